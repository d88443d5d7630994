"""What readings taught of trains and their telescopes, for the Kit page."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from logbook.entryline.context_of_book import telescope_of
from logbook.kit.thermal.focus_fit import FocusSlope
from logbook.kit.thermal.tube_constant import TubeConstant
from logbook.kit.train.rows import PairRow
from logbook.records.entries import PartRecord, TrainRecord

if TYPE_CHECKING:
    from logbook.store.book import Book

_SECTION = "learned from readings"


@dataclass(frozen=True, slots=True)
class Learned:
    """Cooling constants of mirrors by telescope id, focus against temperature by train id."""

    constants: dict[int, TubeConstant] = field(default_factory=dict)
    slopes: dict[int, FocusSlope] = field(default_factory=dict)

    def constant_of(self, train: TrainRecord, parts: Sequence[PartRecord]) -> TubeConstant | None:
        telescope = telescope_of(train, parts)
        return self.constants.get(telescope.id) if telescope else None

    def pairs(
        self, one: TrainRecord, other: TrainRecord, parts: Sequence[PartRecord]
    ) -> tuple[PairRow, ...]:
        """Two trains beside each other: only what was learned of one of them at least."""
        cooling = [_constant_words(self.constant_of(each, parts)) for each in (one, other)]
        focus = [_slope_words(self.slopes.get(each.id)) for each in (one, other)]
        rows = (("cooling constant", cooling), ("focus for each K", focus))
        return tuple(
            PairRow(_SECTION, label, left, right, left != right)
            for label, (left, right) in rows
            if left or right
        )


def read_learned(
    book: "Book", trains: Sequence[TrainRecord], parts: Sequence[PartRecord]
) -> Learned:
    """In a worker: what the book's readings teach."""
    telescopes = [each.id for each in parts if each.part.kind == "telescope"]
    constants = {each: book.learned.constant(each) for each in telescopes}
    slopes = {each.id: book.learned.focus(each.id) for each in trains}
    return Learned(
        {key: of for key, of in constants.items() if isinstance(of, TubeConstant)},
        {key: of for key, of in slopes.items() if isinstance(of, FocusSlope)},
    )


def _constant_words(constant: TubeConstant | None) -> str:
    if constant is None:
        return ""
    return f"{constant.tau_min:.0f} min ({constant.low_min:.0f} to {constant.high_min:.0f})"


def _slope_words(slope: FocusSlope | None) -> str:
    return "" if slope is None else f"{slope.per_k:+.3g} ± {slope.sigma_per_k:.2g}"
