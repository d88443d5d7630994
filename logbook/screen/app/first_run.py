"""The first start: a site and a train in under a minute of typing, or the demo season.

It is one step: the book appears with all of it or not at all. What is typed meanwhile is saved in a
small file, so that a start that was broken off goes on where it was. A book that has no telescope
yet is asked for the rest of the form.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual import on, work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.message import Message

from logbook.crash_log import write_crash_log
from logbook.errors import BadInput, LogbookError
from logbook.kit.parts.check import check_part
from logbook.kit.parts.part import Part, Train, Value
from logbook.kit.parts.typed_values import read_length_mm, read_number
from logbook.records.entries import Screw
from logbook.screen.dialogs.field import Field, Remark
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.site_form import NewSite, place_remarks, read_site, site_fields
from logbook.screen.dialogs.typed_draft import HoldsDrafts
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.form_draft import FileDraft
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from logbook.store.book import Book

T = TypeVar("T")

INTRO = "A new book wants a place and a telescope; both can be changed later. F9: the demo instead."
# Three outer screws as most cells have them; the user may rename them. Common practice, no source.
FIRST_SCREWS = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))

_RATIO = re.compile(r"f\s*/\s*([0-9]+(?:[.,][0-9]+)?)", re.IGNORECASE)
_SHARE = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*%")
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
# A bare number below it is more likely inches, or an f-ratio, than millimetres.
_SMALLEST_APERTURE_MM, _SMALLEST_FOCAL_MM = 30.0, 50.0
# The fields of this form by the quantities of its parts.
_FIELDS = {
    "aperture_mm": "aperture",
    "focal_length_mm": "focal",
    "obstruction_mm": "obstruction",
    "pixel_um": "pixel",
    "width_px": "sensor",
    "height_px": "sensor",
    "name": "telescope",
}


def kit_fields(values: Callable[[], Mapping[str, str]]) -> list[Field]:
    """The telescope and the camera; `values` says what is typed in all fields."""
    return [
        Field(
            "aperture",
            "Telescope aperture",
            hint="203, or 8 in",
            check=_said_length,
            help="The free diameter of the main mirror or lens. A bare number is millimetres.",
            example="203, or 8 in",
        ),
        Field(
            "focal",
            "Focal length",
            hint="1624 mm, or f/8",
            check=lambda typed: _said_focal(typed, values()),
            help="The focal length of the whole telescope, or its ratio to the aperture.",
            example="1624, 64 in, f/8",
        ),
        Field(
            "obstruction",
            "Secondary housing",
            "0",
            hint="0 without mirrors",
            check=lambda typed: _said_obstruction(typed, values()),
            help=(
                "The diameter of whatever holds the secondary mirror in the light, or its "
                "share of the aperture's diameter; 0 for a telescope of lenses."
            ),
            example="69, 2.7 in, 34 %",
        ),
        Field(
            "pixel",
            "Camera pixel",
            hint="µm; empty: by eye",
            required=False,
            check=_said_pixel,
            help="The side of one pixel of the camera in µm. Empty: you look by eye.",
            example="3.76",
        ),
        Field(
            "sensor",
            "Sensor pixels",
            hint="6248 x 4176",
            required=False,
            check=_said_sensor,
            help="How many pixels the sensor has, across and down.",
            example="6248 x 4176",
        ),
        Field(
            "telescope",
            "Call it",
            hint="empty: by its aperture",
            required=False,
            help="Your name for the telescope.",
            example="Long tube",
        ),
    ]


def kit_remarks(values: Mapping[str, str]) -> dict[str, Remark]:
    """What cannot be of the telescope and camera as far as they are typed, and what is doubted."""
    found = _units_doubted(values)
    for part in _parts(values):
        for fault in check_part(part):
            name = _FIELDS.get(fault.field, "aperture")
            proposed = found[name].proposed if name in found else ""
            tab = f" Tab: {proposed}" if proposed else ""
            found[name] = Remark(f"{fault.words}{tab}", proposed)
    if bool(values["pixel"]) != bool(values["sensor"]):
        empty, other = ("pixel", "sensor") if values["sensor"] else ("sensor", "pixel")
        label = {"pixel": "Camera pixel", "sensor": "Sensor pixels"}[other]
        found.setdefault(empty, Remark(f"needed too, or leave {label} empty"))
    return found


def _units_doubted(values: Mapping[str, str]) -> dict[str, Remark]:
    """Bare numbers that are hardly millimetres."""
    found = {}
    aperture, focal = values["aperture"].strip(), values["focal"].strip()
    if _BARE.fullmatch(aperture) and _number(aperture) < _SMALLEST_APERTURE_MM:
        proposed = f"{aperture} in"
        found["aperture"] = Remark(f"{aperture} mm? Tab: {proposed}", proposed, asks=True)
    if _BARE.fullmatch(focal) and _number(focal) < _SMALLEST_FOCAL_MM:
        proposed = f"f/{focal}"
        found["focal"] = Remark(f"{focal} mm? Tab: {proposed}", proposed, asks=True)
    return found


def _number(typed: str) -> float:
    return float(typed.replace(",", "."))


class FirstRun(Form[BookSource]):
    """Makes the book when everything is there; ctrl+q leaves without making one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f9", "demo", "Demo", tooltip="Look at the demo season instead", priority=True),
    ]
    KEEP_WORDS = "Enter: next   ctrl+o: make the book   F1: help   F9: demo season   ctrl+q: leave"

    class Made(Message):
        """The book is on disk; `words` say what lay in its way and was moved aside."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Failed(Message):
        """It could not be made; nothing typed is lost."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, source: BookSource) -> None:
        self.source = source
        self._being_made = False
        super().__init__(
            "A new logbook",
            [*site_fields(), *kit_fields(self.values)],
            INTRO,
            before_book=FileDraft(source.path),
        )

    def together(self, values: dict[str, str]) -> dict[str, Remark]:
        return {**place_remarks(values), **kit_remarks(values)}

    def answer(self, values: dict[str, str]) -> BookSource:
        read_site(values)
        read_train(values)
        return self.source

    def action_keep(self) -> None:
        if not self._being_made:
            super().action_keep()

    def finish(self, result: BookSource) -> None:
        self._being_made = True
        self.say("Making the book ...")
        self._make(result, self.values())

    def action_leave(self) -> None:
        """There is no page to go back to."""
        self.say("ctrl+q leaves; what you typed is there at the next start")

    def action_demo(self) -> None:
        self.dismiss(self.source.as_demo(Path(tempfile.mkdtemp(prefix="observing-logbook-"))))

    @work(thread=True, exclusive=True, exit_on_error=False, group="first run")
    def _make(self, source: BookSource, values: dict[str, str]) -> None:
        try:
            words = source.make(lambda book: fill_new_book(book, values))
            self.post_message(self.Made(words))
        except LogbookError as error:
            self.post_message(self.Failed(str(error)))
        except Exception as error:
            where = f" Details: {log}" if (log := write_crash_log(error)) else ""
            self.post_message(self.Failed(f"No book was made ({type(error).__name__}).{where}"))

    @on(Made)
    def _made(self, event: Made) -> None:
        if event.words and isinstance(self.app, HoldsDrafts):
            self.app.warn(event.words)
        self.dismiss(self.draft.cleared_with(self.source))

    @on(Failed)
    def _failed(self, event: Failed) -> None:
        self._being_made = False
        self.say(event.words)


class FirstKit(Form[Job]):
    """The rest of the first form, for a book that has no telescope yet."""

    def __init__(self, *, with_site: bool) -> None:
        self._with_site = with_site
        heading = "A place and a telescope" if with_site else "A telescope"
        intro = "This book has none yet; Escape leaves it so, and Kit and Choose can add them."
        fields = [*(site_fields() if with_site else ()), *kit_fields(self.values)]
        super().__init__(heading, fields, intro)

    def together(self, values: dict[str, str]) -> dict[str, Remark]:
        place = place_remarks(values) if self._with_site else {}
        return {**place, **kit_remarks(values)}

    def answer(self, values: dict[str, str]) -> Job:
        train = read_train(values)
        site = read_site(values) if self._with_site else None

        def job(book: Book) -> str:
            if site is not None:
                book.sites.add(site)
                book.choices.put("site", site.name)
            _add_train(book, train)
            return f"Saved: {train.parts[0].name}, in {train.name}."

        return job


def fill_new_book(book: Book, values: Mapping[str, str]) -> None:
    """Put the site and the train of the form into a book that is being made, all or nothing."""
    site, train = read_site(dict(values)), read_train(values)
    with book.writing(f"site {site.name} and train {train.name}"):
        book.sites.add(site)
        book.choices.put("site", site.name)
        _add_train(book, train)


def _add_train(book: Book, train: Train) -> None:
    ids = tuple(book.kit.add_part(part).id for part in train.parts)
    book.kit.add_train(train.name, train.kind, ids)
    if (train.parts[0].number("obstruction_mm") or 0.0) > 0:
        book.kit.set_screws(ids[0], FIRST_SCREWS)
    book.choices.put("train", train.name)


# --- what is typed, read ---


def read_train(values: Mapping[str, str]) -> Train:
    """The telescope, and the camera if there is one. Raises BadInput."""
    parts = _parts(values)
    for remark in kit_remarks(values).values():
        if not remark.asks:
            raise BadInput(remark.words)
    return Train("First train", "camera" if len(parts) > 1 else "visual", parts)


def _parts(values: Mapping[str, str]) -> tuple[Part, ...]:
    """What can be read so far."""
    aperture_mm = _or_none(lambda: read_length_mm(values["aperture"]))
    obstruction_mm = _or_none(lambda: _obstruction_mm(values["obstruction"], values))
    stated: dict[str, float | None] = {
        "aperture_mm": aperture_mm,
        "focal_length_mm": _or_none(lambda: _focal_mm(values["focal"], values)),
        "obstruction_mm": obstruction_mm,
        "mirror_count": 2.0 if obstruction_mm else 0.0,
    }
    name = values["telescope"] or f"{aperture_mm or 0:.0f} mm telescope"
    telescope = _part(name, "telescope", stated)
    if not values["pixel"] and not values["sensor"]:
        return (telescope,)
    size_px = _or_none(lambda: _sensor_px(values["sensor"]))
    chip: dict[str, float | None] = {
        "pixel_um": _or_none(lambda: read_number(values["pixel"], "µm", "the pixel")),
        "width_px": size_px[0] if size_px else None,
        "height_px": size_px[1] if size_px else None,
    }
    return telescope, _part("Camera", "camera", chip)


def _part(name: str, kind: str, stated: Mapping[str, float | None]) -> Part:
    values = (
        Value(quantity, "stated", number=number)
        for quantity, number in stated.items()
        if number is not None
    )
    return Part(name, kind, tuple(values))


def _focal_mm(typed: str, values: Mapping[str, str]) -> float:
    """A length, or `f/8` with the aperture. Raises BadInput."""
    ratio = _RATIO.fullmatch(typed.strip())
    if ratio is None:
        return read_length_mm(typed)
    return round(_number(ratio[1]) * _aperture_mm(typed, values), 3)


def _obstruction_mm(typed: str, values: Mapping[str, str]) -> float:
    """A length, or its share of the aperture's diameter: `47 %`. Raises BadInput."""
    share = _SHARE.fullmatch(typed.strip())
    if share is None:
        return read_length_mm(typed)
    return round(_number(share[1]) / 100.0 * _aperture_mm(typed, values), 3)


def _aperture_mm(typed: str, values: Mapping[str, str]) -> float:
    try:
        return read_length_mm(values["aperture"])
    except BadInput:
        raise BadInput(f"{typed} of what? Fill in the aperture first") from None


def _sensor_px(typed: str) -> tuple[int, int]:
    pieces = typed.casefold().replace("×", "x").split("x")
    try:
        width, height = (int(piece) for piece in pieces)
    except ValueError:
        raise BadInput("write it like 6248 x 4176") from None
    if not (0 < width <= 100_000 and 0 < height <= 100_000):
        raise BadInput("a sensor has more than 0 pixels each way")
    return width, height


def _said_length(typed: str) -> str:
    return f"{read_length_mm(typed):.1f} mm"


def _said_focal(typed: str, values: Mapping[str, str]) -> str:
    words = f"{_focal_mm(typed, values):.0f} mm"
    aperture_mm = _or_none(lambda: read_length_mm(values["aperture"]))
    return words if not aperture_mm else f"{words}, f/{_focal_mm(typed, values) / aperture_mm:.3g}"


def _said_obstruction(typed: str, values: Mapping[str, str]) -> str:
    housing_mm = _obstruction_mm(typed, values)
    aperture_mm = _or_none(lambda: read_length_mm(values["aperture"]))
    words = f"{housing_mm:.1f} mm"
    return f"{words}, {housing_mm / aperture_mm:.0%} of it" if aperture_mm and housing_mm else words


def _said_pixel(typed: str) -> str:
    return f"{read_number(typed, 'µm', 'the pixel'):g} µm"


def _said_sensor(typed: str) -> str:
    width, height = _sensor_px(typed)
    return f"{width} × {height} px"


def _or_none(read: Callable[[], T]) -> T | None:
    """What is read, None where it cannot be yet."""
    try:
        return read()
    except BadInput:
        return None


def ask_what_is_missing(app: App[int], desk: Desk, answered: Callable[[Job | None], None]) -> None:
    """A book without any part was left half made: ask for what the first start asks for.

    Not in the middle of a night, where what is typed at once belongs on the line.
    """
    view = desk.view
    if view.night is not None:
        return
    if not view.parts and not view.trains:
        app.push_screen(FirstKit(with_site=not view.sites), answered)
    elif not view.sites:
        app.push_screen(NewSite(desk.taken_names("site")), answered)
