"""The words by which a report is known as one of this program's."""

MARK = "observing-logbook report"
