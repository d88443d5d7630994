"""Every key of the program, once: footer, help and palette read this list.

Only function keys and control letters that pass through tmux and ssh; none that a terminal takes
for another key.
"""

from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True, slots=True)
class Key:
    """A key that works on every page."""

    id: str
    key: str
    shown: str
    action: str
    label: str  # one word, for the bottom line
    help: str
    in_footer: bool = True

    def binding(self) -> Binding:
        return Binding(
            self.key,
            self.action,
            self.label,
            key_display=self.shown,
            tooltip=self.help,
            id=self.id,
            priority=True,
            show=self.in_footer,
        )


PAGES = ("choose", "night", "screws", "kit", "past", "upkeep")

KEYS: tuple[Key, ...] = (
    Key("help", "f1", "F1", "press_key('help')", "Help", "Help: what every key of this page does"),
    Key("choose", "f2", "F2", "turn_to('choose')", "Choose", "What is worth looking at tonight"),
    Key("night", "f3", "F3", "turn_to('night')", "Night", "The night in progress, line by line"),
    Key("screws", "f4", "F4", "turn_to('screws')", "Screws", "Star test and single screw turns"),
    Key("kit", "f5", "F5", "turn_to('kit')", "Kit", "Parts and trains, and what they do"),
    Key("past", "f6", "F6", "turn_to('past')", "Past", "Nights looked back on"),
    Key(
        "upkeep",
        "ctrl+n",
        "^N",
        "turn_to('upkeep')",
        "Upkeep",
        "Work on the kit: what is due, what was done, what to order",
    ),
    Key("red", "f7", "F7", "press_key('red')", "Red", "Red night view on or off"),
    Key(
        "undo",
        "f8",
        "F8",
        "press_key('undo')",
        "Undo",
        "Take back the last thing kept; nothing is erased",
    ),
    Key("form", "f9", "F9", "press_key('form')", "Form", "Keep an entry by filling in a form"),
    Key(
        "begin",
        "f10",
        "F10",
        "press_key('begin')",
        "Start/End",
        "Start the night, or end it",
        False,
    ),
    Key(
        "line",
        "ctrl+t",
        "^T",
        "press_key('line')",
        "Line",
        "To the entry line, from anywhere",
        False,
    ),
    Key(
        "far", "ctrl+g", "^G", "press_key('far')", "Far", "Big letters, read from two metres", False
    ),
    Key("redo", "ctrl+y", "^Y", "press_key('redo')", "Redo", "Do again what was taken back", False),
    Key("palette", "ctrl+p", "^P", "command_palette", "Search", "Search every action", False),
    Key("leave", "ctrl+q", "^Q", "quit", "Leave", "Leave; everything kept is on disk", False),
)
