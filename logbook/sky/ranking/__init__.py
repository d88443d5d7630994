"""Choosing for tonight, with reasons in numbers.

`prepare` (a night over a site) comes first, then `rank` (field, limits, facts of the book), and
`reranked` while one types: windows and moonlight stay as they are unless the altitude or the
darkness changes. The score is a product of factors in 0..1, each an array with words (`scoring.py`,
`reasons.py`); what the catalogue does not know is NaN, passes every limit and is named.
`running_order.py` knows only instants, so that the screen can change an order without numpy.
"""
