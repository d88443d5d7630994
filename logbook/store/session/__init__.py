"""Transactions and units of work.

One job is one unit (`with book.writing(words) as unit:`, `units.py`): every store method called
inside joins its transaction, and each row as it was goes into `unit_change`, noted at each flush. A
store method names in words what it saves (`name_unit`); the first words of a unit are the ones that
F8 shows. What follows a job (the copy of a night) is done after the commit.
"""
