"""From a book's entries to advice on the screws. Imports numpy: call it in a worker."""

import math
from collections.abc import Sequence
from datetime import datetime, timedelta

from logbook.startest.screws.advice import Advice, Step, WayBack
from logbook.startest.screws.adviser import Night, advise
from logbook.startest.screws.events import Happening, Looked, Turned
from logbook.startest.screws.learner import Learned, learn
from logbook.startest.screws.prior import (
    ScrewPlace,
    Secondary,
    defocused_radius_arcsec,
    usual_radius_arcsec,
)
from logbook.startest.screws.stopping import seeing_arcsec
from logbook.startest.screws.way_back import way_back
from logbook.store.book import Book
from logbook.store.history.collimation import ScrewState
from logbook.store.history.disturbances import upset_of
from logbook.store.timeline.collimation_rows import LookLine, TelescopeLines, TurnLine

NEWEST = 120  # looks and as many turns; what is older has faded beside these
GAP = timedelta(hours=6)  # longer than this between two happenings: another night
_EYE_SIGMA, _PICTURE_SIGMA = 0.03, 0.015  # of a look that says nothing of it; fraction
_EYE_SHARE = 0.15  # how far an eye errs in judging a distance
_RADIUS_SHARE = 0.1  # how unlike the defocus of two looks is where it was not measured


def advice_for(book: Book, telescope_id: int, now_utc: datetime) -> Advice:
    """What to do next with the screws of one telescope. Raises NotFound for an unknown part."""
    lines = book.collimation.lines(telescope_id, now_utc, NEWEST)
    secondary = _secondary(lines)
    older, tonight = _parted(_happened(lines, secondary), now_utc)
    night = Night(
        before=learn(Learned(secondary), older),
        tonight=tonight,
        sums=tuple(Step(each.screw, each.turns) for each in lines.sums),
        seeing_arcsec=seeing_arcsec(*lines.seeing[-1]) if lines.seeing else None,
    )
    return advise(night, now_utc)


def way_back_to(book: Book, telescope_id: int, state: ScrewState) -> WayBack:
    """The turns that lead from where the screws stand now to an earlier state."""
    now = {each.screw: each.turns for each in book.timeline.screw_sums(telescope_id)}
    return way_back(now, {each.screw: each.turns for each in state.sums}, state.label)


def _secondary(lines: TelescopeLines) -> Secondary:
    part = lines.part
    return Secondary(
        screws=tuple(
            ScrewPlace(screw.name, screw.clock_hour, screw.lock_kind) for screw in lines.screws
        ),
        aperture_mm=part.number("aperture_mm"),
        focal_length_mm=part.number("focal_length_mm"),
        primary_focal_length_mm=part.number("primary_focal_length_mm"),
        obstruction_mm=part.number("obstruction_mm"),
        back_focus_mm=part.number("back_focus_mm"),
        screw_pitch_mm=part.number("screw_pitch_mm"),
        screw_circle_radius_mm=part.number("screw_circle_radius_mm"),
    )


def _happened(lines: TelescopeLines, secondary: Secondary) -> list[Happening]:
    """The newest happenings in order."""
    names = secondary.names
    ordered: list[tuple[datetime, int, Happening]] = [
        *((each.at_utc, each.entry_id, _looked(each, secondary)) for each in lines.looks),
        *((each.at_utc, each.entry_id, _turned(each)) for each in lines.turns),
        *((each.at_utc, each.entry_id, upset_of(each, names)) for each in lines.upsets),
    ]
    ordered.sort(key=lambda each: each[:2])
    return [each for _, _, each in ordered]


def _parted(
    happened: Sequence[Happening], now_utc: datetime
) -> tuple[Sequence[Happening], tuple[Happening, ...]]:
    """What happened before tonight, and tonight: since the last long gap."""
    past = [each for each in happened if each.at <= now_utc]
    first, later = len(past), now_utc
    while first and later - past[first - 1].at <= GAP:
        first -= 1
        later = past[first].at
    return past[:first], tuple(past[first:])


def _turned(line: TurnLine) -> Turned:
    return Turned(line.at_utc, line.screw, line.turns, line.entry_id)


def _looked(line: LookLine, secondary: Secondary) -> Looked:
    radius, measured = _radius(line, secondary)
    sigma = _sigma(line, measured=measured)
    x = y = 0.0
    if line.angle_deg is None:
        sigma = math.hypot(sigma, line.fraction / math.sqrt(2.0))
    else:
        angle = math.radians(line.angle_deg)
        x, y = line.fraction * math.cos(angle), line.fraction * math.sin(angle)
    return Looked(
        at=line.at_utc,
        x_arcsec=x * radius,
        y_arcsec=y * radius,
        sigma_arcsec=sigma * radius,
        radius_arcsec=radius,
        orientation=line.orientation or f"{line.way}, train {line.train_id}",
        side=line.side or "",
        pier_side=line.pier_side or "",
        entry_id=line.entry_id,
    )


def _radius(line: LookLine, secondary: Secondary) -> tuple[float, bool]:
    """Radius of the disc in arcsec, and whether it was measured or is only the usual one."""
    if line.radius_px and line.arcsec_per_px:
        return line.radius_px * line.arcsec_per_px, True
    if line.defocus_mm:
        return defocused_radius_arcsec(secondary, line.defocus_mm), True
    return usual_radius_arcsec(secondary), False


def _sigma(line: LookLine, *, measured: bool) -> float:
    sigma = line.sigma
    if sigma is None:
        by_eye = math.hypot(_EYE_SIGMA, _EYE_SHARE * line.fraction)
        sigma = by_eye if line.way == "eye" else _PICTURE_SIGMA
    return max(1e-3, sigma if measured else math.hypot(sigma, _RADIUS_SHARE * line.fraction))
