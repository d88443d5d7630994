"""Every kind of entry by form. What a form says is read as an entry line is."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.entryline.upkeep import upkeep_line
from logbook.errors import BadInput
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.upkeep_fields import DONE_FIELDS
from logbook.screen.services import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.understand_line import read_line
from logbook.screen.widgets.modal import Modal

Values = dict[str, str]


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """One kind of entry: its fields, and the line they come to."""

    label: str
    fields: tuple[Field, ...]
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
            Field(
                "seeing",
                "Seeing",
                hint="3/5, pickering 6, antoniadi III",
                required=False,
                help="How steady stars stand: 5 is best of 5; or another scale's name, or a width.",
                example='3/5, pickering 6, antoniadi III, 2.1"',
            ),
            Field(
                "transparency",
                "Transparency",
                hint="1 worst … 5 best",
                required=False,
                help="How clear the air is, from 1, worst, to 5, best.",
                example="4",
            ),
            Field(
                "cloud",
                "Cloud",
                hint="per cent",
                required=False,
                help="How much of the sky is covered, in per cent.",
                example="20",
            ),
            Field(
                "wind",
                "Wind",
                hint="m/s, or 8 mph",
                required=False,
                help="Its speed, or in words. A bare number is m/s.",
                example="3, 8 mph, calm",
            ),
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
            Field(
                "air",
                "Air",
                hint="°C, or 39F",
                required=False,
                help="The temperature of the air in °C, or in °F with an F.",
                example="4.2, or 39F",
            ),
            Field(
                "mirror",
                "Mirror",
                hint="°C",
                required=False,
                help="The temperature of the mirror in °C, or in °F with an F.",
                example="7.9",
            ),
            Field(
                "humidity",
                "Humidity",
                hint="per cent",
                required=False,
                help="Relative humidity in per cent.",
                example="81",
            ),
            Field(
                "sky",
                "Sky brightness",
                hint="mag/arcsec²",
                required=False,
                help="The brightness of the sky in mag/arcsec².",
                example="21.2",
            ),
        ),
        _joined(air="air {}", mirror="mirror {}", humidity="humidity {}", sky="sky {}"),
    ),
    EntrySheet(
        "Object starts",
        (
            Field(
                "object",
                "Object",
                hint="m31, veil, γ cas",
                required=True,
                help="What you turn to: a name or a number of the catalogue.",
                example="m31, veil, γ cas",
            ),
        ),
        _joined(object="start {}"),
    ),
    EntrySheet(
        "Object stops",
        (
            Field(
                "object",
                "Object",
                hint="empty: what runs",
                required=False,
                help="What you leave. Empty: what runs.",
                example="m31",
            ),
        ),
        lambda v: f"stop {v['object']}",
    ),
    EntrySheet(
        "Frames",
        (
            Field(
                "count",
                "How many",
                hint="20",
                required=True,
                help="How many frames were taken; of how many wanted after a slash.",
                example="20, or 20/30",
            ),
            Field(
                "exposure",
                "Exposure",
                hint="180s",
                required=True,
                help="How long each was exposed.",
                example="180s, 3 min, 1/500s",
            ),
            Field(
                "filter",
                "Filter",
                hint="Ha",
                required=False,
                help="The filter they were taken through.",
                example="Ha",
            ),
            Field(
                "gain",
                "Gain",
                hint="",
                required=False,
                help="The camera's gain setting.",
                example="100",
            ),
            Field(
                "binning",
                "Binning",
                hint="2",
                required=False,
                help="How many pixels were put together each way.",
                example="2",
            ),
            Field(
                "region",
                "Region",
                hint="640x480",
                required=False,
                help="The part of the sensor that was read, in pixels.",
                example="640x480",
            ),
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
        (
            Field(
                "count",
                "How many",
                hint="30",
                required=True,
                help="How many frames are to be taken.",
                example="30",
            ),
            Field(
                "exposure",
                "Exposure",
                hint="180s",
                required=True,
                help="How long each is exposed.",
                example="180s, 3 min",
            ),
        ),
        _joined(count="start {} x", exposure="{}"),
    ),
    EntrySheet(
        "Film of the Moon or a planet",
        (
            Field(
                "rate",
                "Frames a second",
                hint="60",
                required=True,
                help="Frames a second.",
                example="60",
            ),
            Field(
                "lasting",
                "For how long",
                hint="90 s",
                required=True,
                help="How long the film runs.",
                example="90 s",
            ),
            Field(
                "exposure",
                "Exposure",
                hint="8 ms",
                required=True,
                help="How long each frame is exposed.",
                example="8 ms",
            ),
            Field(
                "region",
                "Region",
                hint="640x480",
                required=False,
                help="The part of the sensor that was read, in pixels.",
                example="640x480",
            ),
        ),
        _joined(rate="{} fps", lasting="for {}", exposure="at {}", region="region {}"),
    ),
    EntrySheet(
        "Guiding or drift",
        (
            Field(
                "guiding",
                "Guiding",
                hint='0.8"',
                required=False,
                help="The error of the guiding on the sky.",
                example='0.8"',
            ),
            Field(
                "drift",
                "Drift",
                hint='3"/min',
                required=False,
                help="How fast the field drifts.",
                example='3"/min',
            ),
        ),
        _joined(guiding="guiding {}", drift="drift {}"),
    ),
    EntrySheet("Meridian crossed", (), lambda _: "meridian"),
    EntrySheet(
        "Break begins",
        (
            Field(
                "why",
                "Why",
                hint="",
                required=False,
                help="What for; may stay empty.",
                example="tea",
            ),
        ),
        lambda v: f"break {v['why']}",
    ),
    EntrySheet("Back from a break", (), lambda _: "back"),
    EntrySheet(
        "Setting up",
        (
            Field(
                "words",
                "What",
                hint="polar alignment",
                required=True,
                help="What was set up, in your words.",
                example="polar alignment",
            ),
        ),
        _joined(words="setup {}"),
    ),
    EntrySheet(
        "Focus",
        (
            Field(
                "position",
                "Position",
                hint="as the focuser counts",
                required=True,
                help="Where the focuser stands, as it counts.",
                example="12345",
            ),
            Field(
                "air",
                "Air",
                hint="°C",
                required=False,
                help="The temperature of the air in °C at that moment.",
                example="4.2",
            ),
        ),
        _joined(position="focus {}", air="at {}C"),
    ),
    EntrySheet(
        "Star test by eye",
        (
            Field(
                "offset",
                "Offset",
                hint="0.12 of the radius",
                required=True,
                help="How far the shadow sits from the middle, as a part of the disc's radius.",
                example="0.12",
            ),
            Field(
                "toward",
                "Toward",
                hint="4 (o'clock)",
                required=True,
                help="Which way it sits, as an hour of a clock, 12 at the top.",
                example="4",
            ),
        ),
        _joined(offset="shadow {}", toward="toward {} o'clock"),
    ),
    EntrySheet(
        "Screw turn",
        (
            Field(
                "screw",
                "Screw",
                hint="as you call it",
                required=True,
                help="Which outer screw, by your name for it.",
                example="A",
            ),
            Field(
                "way",
                "Tighten or loosen",
                hint="",
                required=True,
                help="Whether it was tightened or loosened.",
                example="tighten",
            ),
            Field(
                "amount",
                "How far",
                hint="1/8, 5 min, 20 deg",
                required=True,
                help="How far: a part of a turn, minutes of a clock's hand, or degrees.",
                example="1/8, 5 min, 20 deg",
            ),
            Field(
                "result",
                "Result",
                hint="better, same, worse",
                required=False,
                help="How the star looked after it: better, same or worse.",
                example="better",
            ),
        ),
        _joined(screw="turn {}", way="{}", amount="{}", result="{}"),
    ),
    EntrySheet(
        "Train changed",
        (
            Field(
                "train",
                "Train",
                hint="its name",
                required=True,
                help="The train in use from then on: its name, or how the name begins.",
                example="reduced",
            ),
        ),
        _joined(train="kit {}"),
    ),
    EntrySheet("Upkeep", DONE_FIELDS, upkeep_line),
    EntrySheet(
        "Note",
        (
            Field(
                "words",
                "Note",
                hint="",
                required=True,
                help="Anything, in your words.",
                example="a fox came by",
            ),
        ),
        _joined(words="note {}"),
    ),
    EntrySheet(
        "Trouble",
        (
            Field(
                "words",
                "Trouble",
                hint="",
                required=True,
                help="What went wrong.",
                example="cable snagged at the meridian",
            ),
        ),
        _joined(words="trouble {}"),
    ),
    EntrySheet(
        "Moved or knocked",
        (
            Field(
                "words",
                "What happened",
                hint="",
                required=True,
                help="What happened to the kit; the screws are advised anew after it.",
                example="carried down the hill",
            ),
        ),
        _joined(words="transport {}"),
    ),
)


class EntryForm(Modal[Job | None]):
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

    def _filled(self, job: Job | None) -> None:
        if job is not None:
            self.dismiss(job)

    def action_leave(self) -> None:
        self.dismiss(None)


class KindForm(Form[Job]):
    """The fields of one kind of entry, and when it happened."""

    def __init__(self, desk: Desk, kind: EntrySheet) -> None:
        self._desk, self._kind = desk, kind
        at = Field(
            "at",
            "When",
            hint="empty: now; or 22:15",
            required=False,
            help="When it happened. Empty: now.",
            example="22:15",
        )
        about = f"{kind.label} {desk.telescope_id}"
        super().__init__(kind.label, [*kind.fields, at], about=about)

    def answer(self, values: Values) -> Job:
        line = self._kind.line(values).strip()
        if line and values["at"]:
            line = f"at {values['at']} {line}"
        understood = read_line(self._desk, line)
        if understood.entry is None:
            raise BadInput(understood.problem or "fill in one field at least")
        return jobs.keep_understood(understood, None)
