"""A terminal logbook for observing nights."""

__version__ = "0.1.0"
