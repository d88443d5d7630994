"""The first start: a site and a train in under a minute of typing, or the demo season."""

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message

from logbook.errors import BadInput, LogbookError
from logbook.kit.entry import read_length_mm, read_number
from logbook.kit.parts import Part, Train, Value
from logbook.kit.sheet import sheet
from logbook.screen.form import Field, Form
from logbook.screen.site_form import read_site, site_fields
from logbook.store.book_source import BookSource
from logbook.store.records import Screw

if TYPE_CHECKING:
    from logbook.store.book import Book

INTRO = "A new book wants a place and a telescope; both can be changed later. F9: the demo instead."
# Three outer screws as most cells have them; the owner may rename them. Common practice, no source.
FIRST_SCREWS = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))


class FirstRun(Form[BookSource]):
    """Makes the book when everything is there; ctrl+q leaves without making one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f9", "demo", "Demo", tooltip="Look at the demo season instead", priority=True),
    ]
    KEEP_WORDS = "Enter: next   ctrl+o: make the book   F9: demo season   ctrl+q: leave"

    class Made(Message):
        """The book is on disk."""

    class Failed(Message):
        """It could not be made; nothing typed is lost."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, source: BookSource) -> None:
        self.source = source
        super().__init__("A new logbook", _fields(), INTRO)

    def answer(self, values: dict[str, str]) -> BookSource:
        read_site(values)
        sheet(_train(values))
        return self.source

    def finish(self, result: BookSource) -> None:
        self.foot("Making the book ...")
        self._make(self.values())

    def action_leave(self) -> None:
        """A stray Escape must not throw away what was typed."""
        self.foot("ctrl+q leaves; no book is made before ctrl+o")

    def action_demo(self) -> None:
        self.dismiss(self.source.as_demo(Path(tempfile.mkdtemp(prefix="observing-logbook-"))))

    @work(thread=True, exclusive=True, exit_on_error=False, group="first run")
    def _make(self, values: dict[str, str]) -> None:
        try:
            if self.source.is_missing():  # it may be there half filled, from a try that failed
                self.source.make()
            with self.source.open() as book:
                fill_new_book(book, values)
            self.post_message(self.Made())
        except LogbookError as error:
            self.post_message(self.Failed(str(error)))

    @on(Made)
    def _made(self) -> None:
        self.dismiss(self.source)

    @on(Failed)
    def _failed(self, event: Failed) -> None:
        self.foot(event.words)


def fill_new_book(book: "Book", values: dict[str, str]) -> None:
    """Put the site and the train of the form into a book that was just made, all or nothing."""
    new_site, train = read_site(values), _train(values)
    with book.writing(f"site {new_site.name} and train {train.name}"):
        site = book.sites.add(new_site)
        ids = tuple(book.kit.add_part(part).id for part in train.parts)
        book.kit.add_train(train.name, train.kind, ids)
        if (_number(values["obstruction"]) or 0.0) > 0:
            book.kit.set_screws(ids[0], FIRST_SCREWS)
        book.choices.put("site", site.site.name)
        book.choices.put("train", train.name)


def _fields() -> list[Field]:
    return [
        *site_fields(),
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
            hint="1624 mm",
            check=_said_length,
            help="The focal length of the whole telescope.",
            example="1624, or 64 in",
        ),
        Field(
            "obstruction",
            "Secondary housing",
            "0",
            hint="0 without mirrors",
            check=_said_length,
            help=(
                "The diameter of whatever holds the secondary mirror in the light; 0 for a "
                "telescope of lenses."
            ),
            example="69, or 2.7 in",
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
    ]


def _said_length(typed: str) -> str:
    return f"{read_length_mm(typed):.1f} mm"


def _said_pixel(typed: str) -> str:
    return f"{read_number(typed, 'µm', 'the pixel'):g} µm"


def _said_sensor(typed: str) -> str:
    width, height = _sensor_px(typed)
    return f"{width} × {height} px"


def _sensor_px(typed: str) -> tuple[int, int]:
    pieces = typed.casefold().replace("×", "x").split("x")
    try:
        width, height = (int(piece) for piece in pieces)
    except ValueError:
        raise BadInput("write it like 6248 x 4176") from None
    if not (0 < width <= 100_000 and 0 < height <= 100_000):
        raise BadInput("a sensor has more than 0 pixels each way")
    return width, height


def _number(typed: str) -> float | None:
    return read_length_mm(typed) if typed else None


def _train(values: dict[str, str]) -> Train:
    aperture_mm, focal_mm = read_length_mm(values["aperture"]), read_length_mm(values["focal"])
    obstruction_mm = read_length_mm(values["obstruction"])
    stated = {"aperture_mm": aperture_mm, "focal_length_mm": focal_mm}
    stated |= {"obstruction_mm": obstruction_mm, "mirror_count": 2.0 if obstruction_mm else 0.0}
    telescope = _part(f"{aperture_mm:.0f} mm telescope", "telescope", stated)
    if not values["pixel"] or not values["sensor"]:
        if values["pixel"] or values["sensor"]:
            raise BadInput("a camera needs both: the pixel and the sensor's pixels")
        return Train("First train", "visual", (telescope,))
    width_px, height_px = _sensor_px(values["sensor"])
    pixel_um = read_number(values["pixel"], "µm", "the pixel")
    camera = _part(
        "Camera", "camera", {"pixel_um": pixel_um, "width_px": width_px, "height_px": height_px}
    )
    return Train("First train", "camera", (telescope, camera))


def _part(name: str, kind: str, stated: dict[str, float]) -> Part:
    values = tuple(Value(quantity, "stated", number=number) for quantity, number in stated.items())
    return Part(name, kind, values)
