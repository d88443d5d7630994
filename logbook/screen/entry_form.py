"""Every kind of entry by form. A form writes an entry line, so that both ways are one way."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.errors import BadInput
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.reading import read_line
from logbook.store.line_upkeep import upkeep_line

Values = dict[str, str]


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """One kind of entry: its fields (name, label, hint, needed), and the line they come to."""

    label: str
    fields: tuple[tuple[str, str, str, bool], ...]
    line: Callable[[Values], str]


def _joined(**words: str) -> Callable[[Values], str]:
    """A line of the fields that were filled, each in its words."""

    def line(values: Values) -> str:
        filled = (form.format(values[name]) for name, form in words.items() if values[name])
        return " ".join(filled)

    return line


SHEETS: tuple[EntrySheet, ...] = (
    EntrySheet(
        "Conditions",
        (
            ("seeing", "Seeing", "3/5, pickering 6, antoniadi III", False),
            ("transparency", "Transparency", "1 worst … 5 best", False),
            ("cloud", "Cloud", "per cent", False),
            ("wind", "Wind", "m/s, or 8 mph", False),
        ),
        _joined(
            seeing="seeing {}",
            transparency="transparency {}/5",
            cloud="cloud {}%",
            wind="wind {}",
        ),
    ),
    EntrySheet(
        "Readings",
        (
            ("air", "Air", "°C, or 39F", False),
            ("mirror", "Mirror", "°C", False),
            ("humidity", "Humidity", "per cent", False),
            ("sky", "Sky brightness", "mag/arcsec²", False),
        ),
        _joined(air="air {}", mirror="mirror {}", humidity="humidity {}", sky="sky {}"),
    ),
    EntrySheet(
        "Object starts",
        (("object", "Object", "m31, veil, γ cas", True),),
        _joined(object="start {}"),
    ),
    EntrySheet(
        "Object stops",
        (("object", "Object", "empty: what runs", False),),
        lambda v: f"stop {v['object']}",
    ),
    EntrySheet(
        "Frames",
        (
            ("count", "How many", "20", True),
            ("exposure", "Exposure", "180s", True),
            ("filter", "Filter", "Ha", False),
            ("gain", "Gain", "", False),
            ("binning", "Binning", "2", False),
            ("region", "Region", "640x480", False),
        ),
        _joined(
            count="{} x",
            exposure="{}",
            filter="{}",
            gain="gain {}",
            binning="bin {}",
            region="region {}",
        ),
    ),
    EntrySheet(
        "Frames begin",
        (("count", "How many", "30", True), ("exposure", "Exposure", "180s", True)),
        _joined(count="start {} x", exposure="{}"),
    ),
    EntrySheet(
        "Film of the Moon or a planet",
        (
            ("rate", "Frames a second", "60", True),
            ("lasting", "For how long", "90 s", True),
            ("exposure", "Exposure", "8 ms", True),
            ("region", "Region", "640x480", False),
        ),
        _joined(rate="{} fps", lasting="for {}", exposure="at {}", region="region {}"),
    ),
    EntrySheet(
        "Guiding or drift",
        (("guiding", "Guiding", '0.8"', False), ("drift", "Drift", '3"/min', False)),
        _joined(guiding="guiding {}", drift="drift {}"),
    ),
    EntrySheet("Meridian crossed", (), lambda _: "meridian"),
    EntrySheet("Break begins", (("why", "Why", "", False),), lambda v: f"break {v['why']}"),
    EntrySheet("Back from a break", (), lambda _: "back"),
    EntrySheet(
        "Setting up", (("words", "What", "polar alignment", True),), _joined(words="setup {}")
    ),
    EntrySheet(
        "Focus",
        (("position", "Position", "as the focuser counts", True), ("air", "Air", "°C", False)),
        _joined(position="focus {}", air="at {}C"),
    ),
    EntrySheet(
        "Star test by eye",
        (
            ("offset", "Offset", "0.12 of the radius", True),
            ("toward", "Toward", "4 (o'clock)", True),
        ),
        _joined(offset="shadow {}", toward="toward {} o'clock"),
    ),
    EntrySheet(
        "Screw turn",
        (
            ("screw", "Screw", "as you call it", True),
            ("way", "Tighten or loosen", "", True),
            ("amount", "How far", "1/8, 5 min, 20 deg", True),
            ("result", "Result", "better, same, worse", False),
        ),
        _joined(screw="turn {}", way="{}", amount="{}", result="{}"),
    ),
    EntrySheet("Train changed", (("train", "Train", "its name", True),), _joined(train="kit {}")),
    EntrySheet(
        "Upkeep",
        (
            ("part", "Part", "its name", False),
            ("action", "What was done", "", True),
            ("minutes", "Time taken", "25 min, 1 h 20 min", False),
            ("cost", "Cost", "4.50", False),
            ("before", "Before", "how it was", False),
            ("after", "After", "how it is now", False),
            ("photo", "Photo", "path of a file, kept as text", False),
        ),
        upkeep_line,
    ),
    EntrySheet("Note", (("words", "Note", "", True),), _joined(words="note {}")),
    EntrySheet("Trouble", (("words", "Trouble", "", True),), _joined(words="trouble {}")),
    EntrySheet(
        "Moved or knocked", (("words", "What happened", "", True),), _joined(words="transport {}")
    ),
)


class EntryForm(ModalScreen[str | None]):
    """Choose a kind of entry; its form follows."""

    DEFAULT_CSS = """
    EntryForm .sheet { width: 40; }
    EntryForm OptionList { height: auto; max-height: 1fr; border: none; background: $surface; }
    EntryForm OptionList:focus { border: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, keeping nothing"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("What happened?", style="bold"), markup=False)
            yield OptionList(*(Option(Text(each.label)) for each in SHEETS), markup=False)

    def on_mount(self) -> None:
        self.query_one(OptionList).focus()

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        self.app.push_screen(KindForm(self._desk, SHEETS[event.option_index]), self._filled)

    def _filled(self, line: str | None) -> None:
        if line is not None:
            self.dismiss(line)

    def action_leave(self) -> None:
        self.dismiss(None)


class KindForm(Form[str]):
    """The fields of one kind of entry, and when it happened."""

    def __init__(self, desk: Desk, kind: EntrySheet) -> None:
        self._desk, self._kind = desk, kind
        fields = [Field(name, label, "", hint, needed) for name, label, hint, needed in kind.fields]
        fields.append(Field("at", "When", hint="empty: now; or 22:15", required=False))
        super().__init__(kind.label, fields)

    def answer(self, values: Values) -> str:
        line = self._kind.line(values).strip()
        if line and values["at"]:
            line = f"at {values['at']} {line}"
        understood = read_line(self._desk, line)
        if understood.entry is None:
            raise BadInput(understood.problem or "fill in one field at least")
        return line
