"""Parts, trains and optics: pure functions from plain numbers to plain numbers.

Positions along a tube are counted from its back plate, positive toward the sky; lengths from the
sky to the sensor. What is not known is None and named in `missing`; a guess is never shown as a
number.
"""
