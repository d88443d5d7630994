"""What a part may carry, and one part by itself.

`kinds.py` describes once what a part of each kind may carry; forms, checks and sheets read it.
`check.py` finds everything that is wrong with a part, `typed_values.py` reads what is typed for a
quantity, `threads.py` what screws into what. `spares.py` lists small hardware with its sizes, as
far as it is known; `upkeep_cautions.py` finds what can hurt by the words of the work.
"""
