"""The help page: every key, and the entry line on one sheet."""

from typing import Any

from rich.text import Text
from textual.screen import Screen

from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.widgets.keys import KEYS
from logbook.screen.widgets.page import Page

_ENTRY_LINE = (
    ("seeing 3/5 · transparency 4/5 · cloud 20% · wind 3 m/s", "conditions"),
    ("air 4.2 mirror 7.9 humidity 81 · sky 21.2", "readings; 39F and 8 mph are understood"),
    ("start m31 · stop", "an object begins, ends"),
    ("20 x 180s Ha gain 100 bin 2 · darks 10 x 180s", "frames"),
    ("focus 12345 at 4.2C", "focused, at that position and temperature"),
    ("shadow toward 4 o'clock, a quarter · shadow centred", "star test by eye"),
    ("turn A tighten 1/8 · turn B loosen 1/16 worse · put back", "one outer screw, and the result"),
    ("better · same · worse", "what the last turn did"),
    ('kit NAME · meridian · guiding 0.8" · break · back', "train changed, and so on"),
    ("note … · trouble …", "words"),
    (
        "upkeep PART: what was done, 25 min, cost 4.50; before …; after …; photo PATH",
        "work on the kit",
    ),
    ("at 22:15 … · 10 min ago …", "log late"),
)
_WHERE_LETTERS_GO = (
    "▸ before the line: letters are typed. Escape clears the line, ↑ brings it back;",
    "Escape on an empty line gives the keys to the page, and the line says so.",
    "A key of the page that logs something asks first: Enter does it, Escape drops it.",
    "Any other letter then is typed, with the first; so is one that means nothing here.",
)
CAUTIONS = (
    "Never point any telescope at or near the Sun without a filter made for its full aperture.",
    "Turn outer screws only, a little at a time; the centre screw holds the mirrors' distance.",
    "Before anything is loosened further: tube level, a hand under the mirror's cell.",
    "Two people for what is heavy; counterweights on first, off last.",
    "Mains in the wet: low voltage at the mount, a residual-current device, local rules, and a "
    "licensed electrician for anything fixed.",
)


class HelpSheet(Sheet):
    """Help for the page in view, or for the form or sheet that lies over it."""

    def __init__(self, shown: Page | Screen[Any]) -> None:
        if isinstance(shown, Page):
            super().__init__("Help", help_lines(shown))
        else:
            super().__init__("Help", sheet_lines(shown))


def help_lines(page: Page) -> list[Text]:
    """Keys of every page, keys of this page, the entry line, cautions."""
    lines = [_head("Keys, on every page")]
    lines += [_row(key.shown, key.help) for key in KEYS]
    lines += [Text(""), _head(f"Keys of the page {page.TITLE}")]
    lines += [_row(row.shown, row.help) for row in page.KEYS]
    lines += [
        Text(""),
        _head("Where letters go"),
        *(Text(f"  {each}") for each in _WHERE_LETTERS_GO),
    ]
    lines += [Text(""), _head("On the entry line: Tab completes, ↑ brings the last line back")]
    for examples, words in _ENTRY_LINE:
        lines += [Text(f"  {examples}"), Text(f"      {words}", style="italic")]
    lines += [Text(""), _head("Take care"), *(Text(f"  {words}") for words in CAUTIONS)]
    return lines


def sheet_lines(screen: Screen[Any]) -> list[Text]:
    """What each field takes, with an example, the one in focus first; then the keys."""
    fields = screen.fields if isinstance(screen, Form) else getattr(screen, "FIELDS", ())
    focused = (screen.focused.id or "") if screen.focused is not None else ""
    lines = []
    for each in fields:
        if focused in (each.name, f"field-{each.name}"):
            lines += [_head("The field you are in"), *_field_lines(each), Text("")]
    if fields:
        lines.append(_head("Every field"))
    for each in fields:
        lines += _field_lines(each)
    return [*lines, *([Text("")] if lines else []), *key_lines(screen)]


def _field_lines(each: Field) -> list[Text]:
    head = Text(f"  {each.label}", style="bold")
    head.append("" if each.required else "  may stay empty", style="not bold")
    return [head, Text(f"      {each.help}"), Text(f"      such as  {each.example}", "italic")]


def key_lines(screen: Screen[Any]) -> list[Text]:
    """The keys of a form or sheet, and those of every page that work in it too."""
    own: dict[str, list[str]] = {}
    for bindings in screen._bindings.key_to_bindings.values():
        for each in bindings:
            if each.tooltip:
                own.setdefault(each.tooltip, []).append(shown_key(each.key))
    lines = [_head("Keys here")]
    lines += [_row(" ".join(keys), words) for words, keys in own.items()]
    lines += [_row(key.shown, key.help) for key in KEYS if key.id in ("red", "leave")]
    return [*lines, _row("F1", "This help")]


_SHOWN_KEYS = {
    "escape": "Escape",
    "enter": "Enter",
    "space": "space",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "slash": "/",
    "question_mark": "?",
    "plus": "+",
    "minus": "-",
    "comma": ",",
    "full_stop": ".",
}


def shown_key(key: str) -> str:
    """A key as its cap says it."""
    named = _SHOWN_KEYS.get(key)
    if named is not None:
        return named
    return key.capitalize() if key[:1] == "f" and key[1:].isdigit() else key


def _head(words: str) -> Text:
    return Text(words, style="bold")


def _row(key: str, words: str) -> Text:
    row = Text(f"  {key:12}", style="bold")
    row.append(words, style="not bold")
    return row
