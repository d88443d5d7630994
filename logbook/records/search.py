"""What a search asks for and what it finds, as plain frozen values."""

from dataclasses import dataclass
from datetime import date, datetime

COUNTED_TO = 500  # entries; of more only the newest are read, and more are reported


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to search for. Words may stand in any order, each may be the beginning of one.

    words -- "mirror rinsed"; words between double quotes must follow each other.
    first, last -- local dates of evenings, both included; an entry by day counts by
        its date at the site that was chosen last.
    """

    words: str = ""
    kinds: tuple[str, ...] = ()
    object_name: str = ""
    part_name: str = ""
    train_name: str = ""
    first: date | None = None
    last: date | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing narrows the search."""
        return self == Wanted()

    @property
    def is_narrowed(self) -> bool:
        """Whether something besides words is asked for."""
        return self != Wanted(self.words)


@dataclass(frozen=True, slots=True)
class Hit:
    """One line that was found, as it was written.

    night -- the evening of its night; None for a line by day. train_name -- in use then.
    standing -- "stands", or "corrected" or "withdrawn" since; `now` is then what it reads now.
    standing_id -- the entry that stands in its place; of a withdrawn line the one that took it out.
    """

    entry_id: int
    night_id: int | None
    night: date | None
    time_zone: str
    happened_utc: datetime
    kind: str
    text: str
    object_name: str = ""
    train_name: str = ""
    standing: str = "stands"
    now: str = ""
    standing_id: int = 0

    @property
    def stands(self) -> bool:
        """Whether the entry is neither corrected nor withdrawn since."""
        return self.standing == "stands"


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Words that were found beside the timeline: in the kit, the sites, the plans.

    kind -- "part", "train", "site", "project", "plan", "upkeep", "rule", "observer", "limits".
    what -- which of its texts holds them: "note", "why it was changed" ...
    id -- of the part, train, project ...; night_id, entry_id -- where in the timeline it leads to.
    as_of -- date since which it reads so, where it may have changed; `is_now`: it still does.
    """

    kind: str
    name: str
    what: str
    text: str
    id: int | None = None
    night_id: int | None = None
    night: date | None = None
    entry_id: int | None = None
    as_of: date | None = None
    is_now: bool = True


@dataclass(frozen=True, slots=True)
class Found:
    """What was found: lines newest first (or best first), and words beside the timeline.

    more -- there are other lines than these, which are the newest.
    slow -- the book has no index of words: every line was read.
    """

    hits: tuple[Hit, ...]
    more: bool = False
    elsewhere: tuple[Elsewhere, ...] = ()
    slow: bool = False

    @property
    def standing(self) -> int:
        """How many of the lines stand as they were found."""
        return sum(hit.stands for hit in self.hits)

    @property
    def nights(self) -> int:
        """How many nights the lines that stand belong to."""
        return len({hit.night_id for hit in self.hits if hit.stands and hit.night_id is not None})


@dataclass(frozen=True, slots=True)
class Counted:
    """One value that a filter may have, and how many of the lines found that stand have it."""

    value: str
    entries: int


@dataclass(frozen=True, slots=True)
class Loosened:
    """A search that finds something where the one asked for finds nothing, and what it changes."""

    words: str
    wanted: Wanted
    entries: int
    more: bool = False
