"""Cooling, focus against temperature, dew: models, and what readings teach of them.

`cooling_fit.py` fits the lag equation to a night's own readings of mirror and air;
`tube_constant.py` is the mean over nights, `focus_fit.py` gives one slope with a level of its own
for each night, `dew_point.py` margins from dew and frost. Intervals hold 95 % (tests count them;
`tests/kit/outside.py` has the models they are held against). The cooling constant belongs to the
telescope, whatever train it is in; the slope to the train, as focusers count on scales of their
own.

These are the only estimators: trends, a train's history, sheets and reminders ask `book.learned`.
What readings cannot show is a `NotLearned` with words.
"""
