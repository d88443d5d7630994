"""One thing that was different between two nights, and what it may have done to the images."""

from dataclasses import dataclass, replace

USUAL_WIDTH_ARCSEC = 2.5  # taken where neither night has its star images measured


@dataclass(frozen=True, slots=True)
class Difference:
    """A difference between a night and another one beside it.

    topic -- what it belongs to: seeing, altitude, mirror, focus, guiding, star test, screws, kit,
        upkeep, transport, site, weather, Moon, exposure, trouble.
    before, after -- how it was in the other night and in this one, in words with units.
    widens_arcsec -- by how much it would widen (below 0: narrow) this night's star images by
        itself; None where only `may_arcsec` can be given.
    may_arcsec -- how much it may matter where the direction isn't known.
    reason -- why it weighs what it weighs.
    evidence -- entries and numbers behind it.
    weight -- filled in when the differences are ranked.
    """

    topic: str
    label: str
    before: str
    after: str
    reason: str
    widens_arcsec: float | None = None
    may_arcsec: float = 0.0
    evidence: tuple[str, ...] = ()
    weight: float = 0.0


@dataclass(frozen=True, slots=True)
class Outcome:
    """How this night came out against the other: "worse", "better", "alike" or "unknown"."""

    verdict: str
    measure: str
    before: str
    after: str
    words: str


# What counts of a difference that would have made the night better although it came out worse.
_AGAINST = 0.2
# What counts of one that may have worked either way.
_EITHER_WAY = 0.8


def ranked(found: list[Difference], outcome: Outcome) -> tuple[Difference, ...]:
    """The differences, the one that most likely explains the outcome first."""
    weighed = [_weighed(each, outcome) for each in found]
    return tuple(sorted(weighed, key=lambda each: -each.weight))


def _weighed(each: Difference, outcome: Outcome) -> Difference:
    if each.topic == outcome.measure:
        return replace(each, reason="this is what the two nights were judged by", weight=0.0)
    if each.widens_arcsec is None:
        return replace(each, weight=_EITHER_WAY * each.may_arcsec)
    size = abs(each.widens_arcsec)
    if outcome.verdict not in ("worse", "better"):
        return replace(each, weight=size)
    against = (each.widens_arcsec > 0.0) != (outcome.verdict == "worse")
    if against and size > 0.0:
        words = f"{each.reason}; but that points the other way"
        return replace(each, weight=_AGAINST * size, reason=words)
    return replace(each, weight=size)
