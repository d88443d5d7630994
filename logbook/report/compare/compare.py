"""Two nights side by side: what was different, and what of it most likely made the difference."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from logbook.errors import BadInput, NotFound
from logbook.report.compare.actions_between import between_differences
from logbook.report.compare.conditions import night_differences
from logbook.report.compare.difference import USUAL_WIDTH_ARCSEC, Difference, Outcome, ranked
from logbook.report.compare.kit import kit_differences
from logbook.report.pages.good_nights import RULE, last_good
from logbook.report.pages.night_facts import NightFacts, read_facts

if TYPE_CHECKING:
    from logbook.store.book import Book

_ALIKE = 0.05  # of the width: nearer than that, two nights came out alike


@dataclass(frozen=True, slots=True)
class Comparison:
    """This night (`now`) against another one (`then`), differences by likely weight.

    how_found -- why the other night was taken, where the program chose it.
    width_arcsec -- the better night's width of star images, which the weights are counted from.
    width_known -- False where neither night measured it and a usual one is taken.
    """

    page_kind: ClassVar[str] = "compare"

    then: NightFacts
    now: NightFacts
    outcome: Outcome
    differences: tuple[Difference, ...]
    width_arcsec: float
    width_known: bool
    how_found: str = ""


def compare_nights(book: "Book", night_id: int, other_id: int, how_found: str = "") -> Comparison:
    """This night against the other. Raises BadInput for one and the same, NotFound."""
    if night_id == other_id:
        raise BadInput("That is one night twice: name two nights to set side by side.")
    now, then = read_facts(book, night_id), read_facts(book, other_id)
    known = [each for each in (now.width_arcsec, then.width_arcsec) if each is not None]
    width = min(known, default=USUAL_WIDTH_ARCSEC)
    outcome = outcome_of(now, then)
    found = [
        *night_differences(now, then, width),
        *kit_differences(now.train, then.train, width),
        *between_differences(book, now, then, width),
    ]
    return Comparison(then, now, outcome, ranked(found, outcome), width, bool(known), how_found)


def compare_with_last_good(book: "Book", night_id: int) -> Comparison:
    """This night against the last good one before it. Raises NotFound, saying the rule."""
    night = book.nights.get(night_id)
    good = last_good(book, night)
    if good is None:
        raise NotFound(
            f"No night before {night.local_date} was good enough to go by. {RULE} "
            "Choose the other night: c in the list of nights, or logbook compare DATE DATE."
        )
    how = f"{good.local_date} is the last good night before it: {good.why}. {RULE}"
    return compare_nights(book, night_id, good.night_id, how)


def compare_dates(book: "Book", wanted: date, other: date) -> Comparison:
    """The night of a date against another's. Raises BadInput, NotFound."""
    now, then = book.nights.on(wanted), book.nights.on(other)
    return compare_nights(book, now.id, then.id)


def outcome_of(now: NightFacts, then: NightFacts) -> Outcome:
    """How this night came out: by the width of star images, else by seeing, else by words."""
    if now.width_arcsec is not None and then.width_arcsec is not None:
        return _by_width(now.width_arcsec, then.width_arcsec)
    if now.seeing_of_ten is not None and then.seeing_of_ten is not None:
        return _by_seeing(now.seeing_of_ten, then.seeing_of_ten)
    more = len(now.troubles) - len(then.troubles)
    if not more:
        words = "Neither width nor seeing was logged in both nights: what made which is open."
        return Outcome("unknown", "nothing both nights have", "–", "–", words)
    verdict = "worse" if more > 0 else "better"
    before, after = (f"{len(each.troubles)} lines" for each in (then, now))
    words = f"By its own words it was the {verdict} night: {after} of trouble against {before}."
    return Outcome(verdict, "lines of trouble", before, after, words)


def _by_width(after: float, before: float) -> Outcome:
    change = after / before - 1.0
    verdict = "alike" if abs(change) < _ALIKE else "worse" if change > 0.0 else "better"
    words = f"Star images were {after:.2f}″ wide against {before:.2f}″, {100 * change:+.0f} %: "
    words += "much alike." if verdict == "alike" else f"the {verdict} night."
    words = words.replace("-", "−")
    return Outcome(verdict, "width of star images", f"{before:.2f}″", f"{after:.2f}″", words)


def _by_seeing(after: float, before: float) -> Outcome:
    change = after - before
    verdict = "alike" if abs(change) < 0.5 else "worse" if change < 0.0 else "better"
    words = f"Seeing was {after:.1f} of 10 against {before:.1f}; no width to go by: "
    words += "much alike." if verdict == "alike" else f"the {verdict} night."
    return Outcome(verdict, "seeing", f"{before:.1f} of 10", f"{after:.1f} of 10", words)
