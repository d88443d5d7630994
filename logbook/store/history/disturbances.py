"""What an entry of transport, upkeep or adjustment means for the mirrors."""

import re
from collections.abc import Sequence

from logbook.startest.screws.events import Unsettled
from logbook.store.history.collimation import HARMLESS, event_words
from logbook.store.timeline.collimation_rows import UpsetLine
from logbook.text import fold

# How far the offset may have gone on each axis, in arcsec: common practice, no source.
CARRIED_ARCSEC = 5.0
REMOUNTED_ARCSEC = 12.0
TOUCHED_ARCSEC = 3.0
# By how much the answers of the screws may have changed.
REMOUNTED_SHARE = 0.3
RESPACED_SHARE = 0.1
_ADJUSTED: dict[str, tuple[float, float]] = {
    **dict.fromkeys(HARMLESS, (0.0, 0.0)),
    "primary": (REMOUNTED_ARCSEC, 0.0),
    "secondary": (REMOUNTED_ARCSEC, REMOUNTED_SHARE),
    "spacing": (TOUCHED_ARCSEC, RESPACED_SHARE),
}
_SECONDARY = re.compile(r"\bsecondary\b|\bspider\b|\bvanes?\b")
_MIRROR = re.compile(r"\bmirrors?\b|\bprimary\b|\bcell\b|\bre-?seat")
_SCREW = re.compile(r"\bscrews?\b")


def upset_of(line: UpsetLine, screws: Sequence[str]) -> Unsettled:
    """What is to be doubted after it: the offset surely, the screws' answers only where it must."""
    what = event_words(line)
    if line.kind == "transport":
        return _upset(line, what, CARRIED_ARCSEC)
    if line.kind == "adjust":
        offset, share = _ADJUSTED.get(line.what or "", (TOUCHED_ARCSEC, 0.0))
        return Unsettled(
            line.at_utc,
            what,
            offset,
            share,
            camera=line.what == "camera",
            entry_id=line.entry_id,
        )
    words = fold(f"{line.action or ''} {line.text}")
    if _SCREW.search(words):
        named = next((name for name in screws if _names(words, name)), None)
        if named is not None:
            return _upset(line, what, REMOUNTED_ARCSEC, REMOUNTED_SHARE, named)
    if _SECONDARY.search(words):
        return _upset(line, what, REMOUNTED_ARCSEC, REMOUNTED_SHARE)
    return _upset(line, what, REMOUNTED_ARCSEC if _MIRROR.search(words) else TOUCHED_ARCSEC)


def _names(words: str, screw: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(fold(screw))}(?!\w)", words) is not None


def _upset(
    line: UpsetLine, what: str, offset: float, share: float = 0.0, screw: str | None = None
) -> Unsettled:
    return Unsettled(line.at_utc, what, offset, share, screw, entry_id=line.entry_id)
