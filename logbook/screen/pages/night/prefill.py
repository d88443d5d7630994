"""Beginning a line for the user to end."""

from logbook.screen.widgets.entry_bar import EntryBar


def propose(bar: EntryBar, beginning: str) -> None:
    """Begin a line for the user to end; what is half typed already is left as it is."""
    if bar.line.value.strip():
        bar.say("The line still holds what was typed: Enter keeps it, ctrl+u clears it.")
    else:
        bar.begin(beginning)
    bar.take_keys()
