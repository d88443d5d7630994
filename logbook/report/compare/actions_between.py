"""What was done between two nights: screws turned, upkeep, transport."""

from datetime import datetime
from typing import TYPE_CHECKING

from logbook.entryline.format import counted, spell, turn_words
from logbook.records.entries import EntryRecord
from logbook.report.compare.difference import Difference
from logbook.report.pages.night_facts import NightFacts
from logbook.text import fold

if TYPE_CHECKING:
    from logbook.store.book import Book

# How much of the width work between two nights may cost. Common practice, no source.
_EIGHTH, _MOST = 0.15, 0.6
_TRANSPORT = 0.3
_UPKEEP = {"telescope": 0.3, "focuser": 0.2, "mount": 0.12}
_UPKEEP_LIT, _UPKEEP_OTHER = 0.15, 0.04
_LIT = (
    "camera",
    "reducer",
    "corrector",
    "barlow",
    "filter",
    "diagonal",
    "adapter",
    "extension ring",
)


def between_differences(
    book: "Book", now: NightFacts, then: NightFacts, width_arcsec: float
) -> list[Difference]:
    """Screws by their net turns, then what was done and where it was carried, in order."""
    first, last = sorted((then, now), key=lambda each: each.settled_utc)
    span = first.settled_utc, last.settled_utc
    done = book.past.between(*span, ("upkeep", "transport"))
    seen = now.look is not None and then.look is not None
    found = _screws(book, span, width_arcsec, backward=now is first, seen=seen)
    in_use = _parts_in_use(now, then)
    backward = now is first
    return found + [_done(each, in_use, width_arcsec, backward=backward) for each in done]


def _parts_in_use(now: NightFacts, then: NightFacts) -> dict[str, str]:
    """Names, folded, and kinds of the parts that either night used."""
    trains = [each.train.train for each in (now, then) if each.train is not None]
    return {fold(part.name): part.kind for each in trains for part in (*each.parts, *each.carried)}


def _screws(
    book: "Book", span: tuple[datetime, datetime], width: float, *, backward: bool, seen: bool
) -> list[Difference]:
    found = []
    turned = book.past.turned_between(*span)
    several = len({telescope_id for telescope_id, *_ in turned}) > 1
    for telescope_id, screw, turns, count in turned:
        name = f"screw {screw}"
        if several and telescope_id is not None:
            name += f" of {book.kit.part(telescope_id).part.name}"
        found.append(_screw(name, -turns if backward else turns, count, width, seen=seen))
    return found


def _screw(name: str, turns: float, count: int, width: float, *, seen: bool) -> Difference:
    net = abs(turns)
    said = (
        "where it was"
        if net < 1e-6
        else f"{turn_words(net)} {'tighter' if turns > 0 else 'looser'}"
    )
    part = min(_MOST, _EIGHTH * net * 8.0)
    why = (
        f"an outer screw tilts the secondary; 1/8 turn may cost {100 * _EIGHTH:.0f} % of the width"
    )
    if seen:
        part *= 0.5
        why += "; the star tests of both nights say more"
    return Difference(
        "screws",
        name,
        "–",
        said,
        why,
        None,
        part * width,
        evidence=(f"{counted(count, 'turn')}, net {turns:+.3f} turns".replace("-", "−"),),
    )


def _done(
    record: EntryRecord, in_use: dict[str, str], width: float, *, backward: bool
) -> Difference:
    entry = record.content
    on = f"{entry.happened_utc:%Y-%m-%d}"
    how = f"undone on {on}" if backward else f"done on {on}"
    if entry.kind == "transport":
        return Difference(
            "transport",
            "transport",
            "–",
            how,
            "a tube that was moved or knocked goes out of line",
            None,
            _TRANSPORT * width,
            evidence=(spell(entry),),
        )
    done = entry.upkeep
    part_name = (done.part_name if done else None) or ""
    kind = in_use.get(fold(part_name), "")
    part = _UPKEEP.get(kind, _UPKEEP_LIT if kind in _LIT else _UPKEEP_OTHER)
    what = f"work on the {kind}" if kind else "work on what neither night's train names"
    before = (done.before if done else None) or "–"
    after = (done.after if done else None) or how
    return Difference(
        "upkeep",
        f"upkeep, {part_name}" if part_name else "upkeep",
        before,
        after,
        f"{what} may cost or bring {100 * part:.0f} % of the width",
        None,
        part * width,
        evidence=(f"{on}: {spell(entry)}",),
    )
