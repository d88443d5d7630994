"""Which night before another one was good, and how that is known."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean
from typing import TYPE_CHECKING

from logbook.records.entries import NightRecord
from logbook.records.history import NightPlace, Spread
from logbook.report.pages.night_facts import SEEING, of_ten
from logbook.text import fold

if TYPE_CHECKING:
    from logbook.store.book import Book

RULE = (
    "Good is a night whose star images were in the narrowest third of the two years before; where "
    "no width was measured, one with seeing of 7 of 10 or better; else one its own words call good."
)
_LOOKED_BACK = timedelta(days=730)
_GOOD_SEEING = 7.0
_FEWEST = 2  # nights with a width before one of them can be called good
_GOOD_WORDS = ("superb", "excellent", "best night", "very good night", "pin sharp", "perfect")


@dataclass(frozen=True, slots=True)
class GoodNight:
    """A night that was good, and why it counts as one."""

    night_id: int
    local_date: date
    why: str


def last_good(book: "Book", night: NightRecord) -> GoodNight | None:
    """The last good night before this one, with its train if there was one; None without any."""
    first = night.local_date - _LOOKED_BACK
    last = night.local_date - timedelta(days=1)
    places = [each for each in book.past.places(first, last) if each.id != night.id]
    read = book.past.spreads(("fwhm_arcsec", *SEEING), first, last)
    said = _said_to_be_good(book, [each for each in places if each.id not in read])
    wanted = None if night.train is None else night.train.id
    same_train = [each for each in places if each.train_id == wanted]
    return _newest(same_train, read, said) or _newest(places, read, said)


def _newest(
    places: Sequence[NightPlace], read: dict[int, dict[str, Spread]], said: dict[int, str]
) -> GoodNight | None:
    widths = sorted(
        read[each.id]["fwhm_arcsec"].mean
        for each in places
        if "fwhm_arcsec" in read.get(each.id, {})
    )
    limit = widths[(len(widths) - 1) // 3] if len(widths) >= _FEWEST else None
    for place in reversed(places):
        why = _why_good(read.get(place.id, {}), limit, len(widths)) or said.get(place.id, "")
        if why:
            return GoodNight(place.id, place.local_date, why)
    return None


def _why_good(read: dict[str, Spread], limit: float | None, nights: int) -> str:
    if "fwhm_arcsec" in read and limit is not None:
        width = read["fwhm_arcsec"].mean
        if width > limit:
            return ""
        third = f"in the narrowest third ({limit:.2f}″) of {nights} nights"
        return f"star images {width:.2f}″ wide: {third}"
    judged = [of_ten(name, each.mean) for name, each in read.items() if name in SEEING]
    if judged and fmean(judged) >= _GOOD_SEEING:
        return f"seeing {fmean(judged):.1f} of 10, no width to go by"
    return ""


def _said_to_be_good(book: "Book", places: Sequence[NightPlace]) -> dict[int, str]:
    """Nights without a width or seeing whose own words call them good, with those words."""
    ids = [each.id for each in places]
    if not ids:
        return {}
    found = {}
    for night_id, texts in book.past.texts(ids, ("note", "conditions", "star")).items():
        good = (text for text in texts if any(word in fold(text) for word in _GOOD_WORDS))
        text = next(good, None)
        if text is not None:
            found[night_id] = f"its own words: “{text[:80]}”"
    return found
