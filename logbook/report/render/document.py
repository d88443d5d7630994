"""A page as sections of words, facts, tables and drawings, ready for any way of showing it."""

from dataclasses import dataclass, field

from logbook.report.render.keys import PageKey
from logbook.startest.result import Circle


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels and what belongs to each."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """Lines of one kind; `ordered` where their order says something."""

    items: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns. `numbers` are the columns that are set to the right."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One series of a plot. `joined` draws a line through it, else dots."""

    name: str
    points: tuple[tuple[float, float], ...]
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """Series over one axis. `ticks` are places on the x axis with their words.

    told -- the plot in a sentence, for those who do not see it.
    bars -- draws each point as a bar from zero.
    """

    title: str
    unit: str
    lines: tuple[Line, ...]
    ticks: tuple[tuple[float, str], ...]
    told: str
    bars: bool = False


@dataclass(frozen=True, slots=True)
class FramingSketch:
    """An object's outline and a train's frame on the sky, to one scale: north up, east left.

    position_angle_deg -- of the object's long axis, from north through east.
    frame_angle_deg -- position angle of the frame's up, as the sketch lays it. No camera's angle
        is in a book, so it is laid as it suits the object.
    """

    object_name: str
    train_name: str
    field_deg: tuple[float, float]
    major_deg: float | None
    minor_deg: float | None
    position_angle_deg: float | None = None
    frame_angle_deg: float = 0.0

    @property
    def told(self) -> str:
        width, height = self.field_deg
        words = (
            f"{self.object_name} in the field of {self.train_name}, {width:.2f}° × {height:.2f}°"
        )
        return f"{words}; {self._size}. North is up, east left; {self._laid}."

    @property
    def _size(self) -> str:
        if self.major_deg is None:
            return "its size is not known"
        size = f"{self.major_deg * 60.0:.1f}′"
        if self.minor_deg is None or self.minor_deg == self.major_deg:
            return f"it is {size} across"
        size = f"it is {size} × {self.minor_deg * 60.0:.1f}′"
        if self.position_angle_deg is None:
            return f"{size}, its direction not known: drawn round"
        return f"{size}, its long axis at {self.position_angle_deg:.0f}°"

    @property
    def _laid(self) -> str:
        if not self.frame_angle_deg:
            return "the frame is drawn upright, the camera's angle not being in the book"
        return (
            f"the frame is laid along the object, its up at position angle "
            f"{self.frame_angle_deg % 360.0:.0f}°, the camera's own angle not being in the book"
        )


@dataclass(frozen=True, slots=True)
class StarPicture:
    """The file of a star test's picture, and what was measured in it, in its own pixels.

    size_px -- width and height it had when it was measured.
    """

    path: str
    disc: Circle | None = None
    shadow: Circle | None = None
    size_px: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class StarSketch:
    """The defocused star: a disc with its shadow. The angle runs clockwise from 3 o'clock."""

    caption: str
    offset_fraction: float
    angle_deg: float | None
    picture: StarPicture | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph beside the book: of a part, or of work done on it."""

    caption: str
    path: str

    @property
    def told(self) -> str:
        return f"{self.caption}: picture {self.path}"


Block = Words | Facts | Listing | Table | Plot | FramingSketch | StarSketch | Photo


@dataclass(frozen=True, slots=True)
class Section:
    """Blocks under a heading; "" for what stands under the page's own title."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Paper:
    """A page, and the pages it leads to."""

    key: PageKey
    title: str
    sections: tuple[Section, ...]
    links: tuple[PageKey, ...] = field(default=())


def section(title: str, *blocks: Block | None) -> Section:
    """A section of the blocks there are."""
    return Section(title, tuple(each for each in blocks if each is not None))


def without_empty(sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """The sections that say something."""
    return tuple(each for each in sections if each.blocks)
