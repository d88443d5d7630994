"""The help page: every key, and the entry line on one sheet."""

from rich.text import Text

from logbook.screen.keys import KEYS
from logbook.screen.page import Page
from logbook.screen.sheets import Sheet

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
CAUTIONS = (
    "Never point any telescope at or near the Sun without a filter made for its full aperture.",
    "Turn outer screws only, a little at a time; the centre screw holds the mirrors' distance.",
    "Before anything is loosened further: tube level, a hand under the mirror's cell.",
    "Two people for what is heavy; counterweights on first, off last.",
    "Mains in the wet: low voltage at the mount, a residual-current device, local rules, and a "
    "licensed electrician for anything fixed.",
)


class HelpSheet(Sheet):
    """Help for the page in view."""

    def __init__(self, page: Page) -> None:
        super().__init__("Help", help_lines(page))


def help_lines(page: Page) -> list[Text]:
    """Keys of every page, keys of this page, the entry line, cautions."""
    lines = [_head("Keys, on every page")]
    lines += [_row(key.shown, key.help) for key in KEYS]
    if page.OWN_KEYS:
        lines += [Text(""), _head(f"Keys of the page {page.TITLE}")]
        lines += [_row(shown, words) for shown, words in page.OWN_KEYS]
    lines += [Text(""), _head("On the entry line: Tab completes, ↑ brings the last line back")]
    for examples, words in _ENTRY_LINE:
        lines += [Text(f"  {examples}"), Text(f"      {words}", style="italic")]
    lines += [Text(""), _head("Take care"), *(Text(f"  {words}") for words in CAUTIONS)]
    return lines


def _head(words: str) -> Text:
    return Text(words, style="bold")


def _row(key: str, words: str) -> Text:
    row = Text(f"  {key:12}", style="bold")
    row.append(words, style="not bold")
    return row
