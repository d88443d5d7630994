"""A page told: sections of words, facts, tables and drawings, ready for any way of showing it."""

from dataclasses import dataclass, field

from logbook.report.page_keys import PageKey


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
    """An object's ellipse in a train's field, to scale; the long axis is laid along the frame's."""

    object_name: str
    train_name: str
    field_deg: tuple[float, float]
    major_deg: float | None
    minor_deg: float | None

    @property
    def told(self) -> str:
        width, height = self.field_deg
        words = (
            f"{self.object_name} in the field of {self.train_name}, {width:.2f}° × {height:.2f}°"
        )
        if self.major_deg is None:
            return f"{words}; its size is not known"
        return f"{words}; it is {self.major_deg * 60.0:.1f}′ long"


@dataclass(frozen=True, slots=True)
class StarSketch:
    """The defocused star: a disc with its shadow. The angle runs clockwise from 3 o'clock."""

    caption: str
    offset_fraction: float
    angle_deg: float | None


Block = Words | Facts | Listing | Table | Plot | FramingSketch | StarSketch


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
