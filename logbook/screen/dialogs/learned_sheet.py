"""What the readings of a night teach: cooling, focus against temperature, dew."""

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.entryline.context_of_book import telescope_of
from logbook.errors import LogbookError
from logbook.kit.thermal.dew_point import CLOSE_K, DewNow
from logbook.kit.thermal.focus_fit import FocusSlope, Suggested
from logbook.kit.thermal.tube_constant import BODIES, TubeConstant
from logbook.kit.thermal.uncertainty import NotLearned
from logbook.screen.dialogs.learned_drawing import Points, plot_lines
from logbook.screen.dialogs.live_sheet import TextSheet, room_of, text_columns
from logbook.screen.services.services import Desk

if TYPE_CHECKING:  # that module has SQLAlchemy
    from logbook.store.history.learned import CoolingNight

_STEPS = 60


@dataclass(frozen=True, slots=True)
class LearnedNow:
    """All of it, as computed."""

    cooling: "tuple[CoolingNight, ...]"
    constants: tuple[TubeConstant | NotLearned, ...]
    slope: FocusSlope | NotLearned
    suggested: Suggested | NotLearned
    focused: tuple[tuple[tuple[float, float], ...], ...]
    dew: tuple[DewNow, ...]


class LearnedSheet(TextSheet[LearnedNow]):
    """Lines and drawings of one night; scrolls."""

    def __init__(self, desk: Desk, night_id: int) -> None:
        super().__init__(desk, "Learned from readings")
        self.night_id = night_id

    def work_out(self) -> LearnedNow:
        book = self.desk.book
        if book is None:
            raise LogbookError("The book is not open yet.")
        self.heading = f"Learned from readings, {book.nights.get(self.night_id).local_date}"
        learned, train = book.learned, book.timeline.train_in_use(self.night_id)
        telescope = telescope_of(train, book.kit.parts(include_retired=True))
        constants: tuple[TubeConstant | NotLearned, ...] = ()
        if telescope is not None:
            constants = tuple(learned.constant(telescope.id, body) for body in BODIES)
        no_train = NotLearned("which train is in use is not known")
        return LearnedNow(
            cooling=tuple(learned.cooling(self.night_id, body) for body in BODIES),
            constants=constants,
            slope=learned.focus(train.id) if train else no_train,
            suggested=learned.suggested_focus(self.night_id),
            focused=learned.focusings(train.id) if train else (),
            dew=learned.dew_line(self.night_id),
        )

    def lines(self, found: LearnedNow) -> list[Text]:
        shown: list[Text] = []
        for place, night in enumerate(found.cooling):
            constant = found.constants[place] if found.constants else None
            shown += self._cooling(night, constant)
        return [*shown, *self._focus(found), *self._dew(found.dew)]

    @property
    def _rows(self) -> int:
        """Of each drawing."""
        return max(6, min(14, room_of(self)[1] // 3))

    def _drawn(
        self, points: Points, curves: list[Points], foot: tuple[str, str], level: float | None
    ) -> list[Text]:
        made = plot_lines(points, curves, text_columns(self), self._rows, foot=foot, level=level)
        return [Text(each, no_wrap=True) for each in made]

    def _cooling(self, night: "CoolingNight", own: TubeConstant | NotLearned | None) -> list[Text]:
        lines = [Text(f"Cooling of the {night.body_name}", style="bold"), Text(night.words)]
        if own is not None and not (night.fit is None and isinstance(own, NotLearned)):
            lines.append(Text(own.words))
        if night.fit is None or night.within is None:
            return [*lines, Text("")]
        fit = night.fit
        end = max(fit.end_min, min(night.within.late_min, fit.end_min + 240.0))
        minutes = [
            fit.start_min + (end - fit.start_min) * step / _STEPS for step in range(_STEPS + 1)
        ]
        apart = [(at, each - fit.air_at(at)) for at, each in night.body]
        curve = [(at, fit.difference_at(at)) for at in minutes]
        lines.append(Text(f"K from the air; the dotted line: {night.within.to_k:g} K"))
        first, last = (
            self.desk.event_words(night.began_utc + timedelta(minutes=at))
            for at in (fit.start_min, end)
        )
        return [*lines, *self._drawn(apart, [curve], (first, last), night.within.to_k), Text("")]

    def _focus(self, found: LearnedNow) -> list[Text]:
        lines = [Text("Focus against temperature", style="bold"), Text(found.slope.words)]
        if isinstance(found.slope, NotLearned):
            return [*lines, Text("")]
        slope = found.slope
        lines.append(Text(found.suggested.words))
        lines.append(Text(f"focus anew after {slope.redo_after_k:.1f} K ({slope.redo_basis})"))
        points = _levelled(found.focused)
        low, high = min(c for c, _ in points), max(c for c, _ in points)
        edges = (slope.low_per_k, slope.per_k, slope.high_per_k)
        band: list[Points] = [[(low, low * each), (high, high * each)] for each in edges]
        lines.append(Text("Nights laid over each other, from their own means; line and 95 % band"))
        foot = f"{low:+.1f} K", f"{high:+.1f} K"
        return [*lines, *self._drawn(points, band, foot, None), Text("")]

    def _dew(self, dew: tuple[DewNow, ...]) -> list[Text]:
        lines = [Text("Dew", style="bold")]
        if not dew:
            return [*lines, Text("air temperature and humidity, or the dew point, are needed")]
        lines.append(Text(dew[-1].words, style="bold" if dew[-1].close else ""))
        lines.append(Text(f"Smallest margin in K; the dotted line: {CLOSE_K:g} K"))
        margins = [((each.at_utc - dew[0].at_utc).total_seconds(), each.least_k) for each in dew]
        foot = self.desk.event_words(dew[0].at_utc), self.desk.event_words(dew[-1].at_utc)
        return [*lines, *self._drawn(margins, [margins], foot, CLOSE_K)]


def _levelled(nights: tuple[tuple[tuple[float, float], ...], ...]) -> list[tuple[float, float]]:
    """Every focusing as (K, position) from the means of its night; single ones say nothing."""
    found = []
    for night in (each for each in nights if len(each) > 1):
        mean_c = sum(celsius for celsius, _ in night) / len(night)
        mean = sum(position for _, position in night) / len(night)
        found += [(celsius - mean_c, position - mean) for celsius, position in night]
    return found
