"""Simulated telescopes whose secondary is really tilted: responses by exact ray trace."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from logbook.startest.screws.events import Looked, Turned
from logbook.startest.screws.prior import ScrewPlace, Secondary, usual_radius_arcsec
from tests.startest.two_mirror import Array, TwoMirror, screw_motion

NIGHT = datetime(2026, 3, 20, 21, 0, tzinfo=UTC)
HOURS = (12.0, 4.0, 8.0)
NAMES = ("A", "B", "C")


@dataclass(frozen=True)
class Conditions:
    """How well this user turns and looks, in turns and fractions of the radius."""

    hand_share: float = 0.02
    look_sigma: float = 0.005
    backlash_turns: float = 0.0
    mislabelled: bool = False  # one of the first turns is of another screw than logged


@dataclass
class Simulated:
    """One telescope tonight. `response` is the truth, (screws, 2), in radii a turn."""

    secondary: Secondary
    response: Array
    offset: Array
    rng: np.random.Generator
    conditions: Conditions
    turns: int = 0
    net: float = 0.0
    most_net: float = 0.0
    mislabel_at: int = -1  # the turn that is of another screw than logged
    at: datetime = NIGHT
    sums: Array = field(default_factory=lambda: np.zeros(3))
    _slack: dict[int, float] = field(default_factory=dict)

    @property
    def radius_arcsec(self) -> float:
        return usual_radius_arcsec(self.secondary)

    def turn(self, screw: int, turns: float) -> Turned:
        """Turn a screw as well as this hand can; what is returned is what gets logged."""
        self.turns += 1
        self.at += timedelta(minutes=2)
        self.sums[screw] += turns
        self.net += turns
        self.most_net = max(self.most_net, abs(self.net))
        really = screw
        if self.turns == self.mislabel_at:
            really = (screw + 1 + int(self.rng.integers(2))) % 3
        moved = turns * (1.0 + self.conditions.hand_share * self.rng.normal())
        self.offset = self.offset + self._through_backlash(really, moved) * self.response[really]
        return Turned(self.at, NAMES[screw], turns)

    def _through_backlash(self, screw: int, moved: float) -> float:
        """A screw that changes its way first takes up its play."""
        play = self.conditions.backlash_turns
        slack = self._slack.get(screw, play * int(self.rng.integers(2)))
        free = slack - moved  # play left on the tightening side: 0 .. play
        self._slack[screw] = min(play, max(0.0, free))
        return max(0.0, -free) if moved > 0 else min(0.0, play - free)

    def carry(self) -> None:
        """A week later, and off again after a drive."""
        self.at += timedelta(days=7)
        self.offset = _off(self.rng)

    def look(self) -> Looked:
        self.at += timedelta(minutes=1)
        seen = self.offset + self.conditions.look_sigma * self.rng.normal(size=2)
        x, y = seen * self.radius_arcsec
        sigma = self.conditions.look_sigma * self.radius_arcsec
        return Looked(self.at, float(x), float(y), sigma, self.radius_arcsec, "camera")


def telescope(seed: int, conditions: Conditions) -> Simulated:
    """A telescope of the sizes that are about, its screws a little unlike each other, any camera
    angle, mirrored or not; off by 0.06 to 0.25 of the radius."""
    rng = np.random.default_rng(seed)
    aperture = float(rng.choice([150.0, 180.0, 203.0, 254.0]))
    ratio = float(rng.choice([8.0, 8.5, 9.0]))
    optics = TwoMirror(
        aperture,
        aperture * ratio,
        aperture * float(rng.uniform(2.8, 3.2)),
        aperture * float(rng.uniform(1.05, 1.3)),
        aperture * float(rng.uniform(0.33, 0.45)),
    )
    pitch, circle = float(rng.choice([0.5, 0.7])), float(rng.uniform(16.0, 26.0))
    secondary = Secondary(
        tuple(ScrewPlace(name, hour) for name, hour in zip(NAMES, HOURS, strict=True)),
        aperture_mm=aperture,
        focal_length_mm=optics.focal_length_mm,
        primary_focal_length_mm=optics.primary_focal_length_mm,
        obstruction_mm=optics.obstruction_mm,
        back_focus_mm=optics.back_mm - 50.0,
        screw_pitch_mm=pitch,
        screw_circle_radius_mm=circle,
    )
    radius = usual_radius_arcsec(secondary)
    response = _traced(optics, pitch, circle, rng) / radius
    turned, flip = rng.uniform(0.0, 2.0 * np.pi), rng.integers(2)
    cos, sin = np.cos(turned), np.sin(turned)
    camera = np.array([[cos, -sin], [sin, cos]]) @ np.diag([1.0, -1.0 if flip else 1.0])
    made = Simulated(secondary, response @ camera.T, _off(rng), rng, conditions)
    made.mislabel_at = int(rng.integers(1, 5)) if conditions.mislabelled else -1
    return made


def _off(rng: np.random.Generator) -> Array:
    """Off by 0.06 to 0.25 of the radius, any way."""
    off, way = rng.uniform(0.06, 0.25), rng.uniform(0.0, 2.0 * np.pi)
    return np.array([off * np.cos(way), off * np.sin(way)])


def _traced(optics: TwoMirror, pitch: float, circle: float, rng: np.random.Generator) -> Array:
    """Arcsec of shadow shift per turn of each screw, traced; its angle and thread a little off."""
    angles = np.radians([(hour - 3.0) * 30.0 for hour in HOURS])
    angles = angles + np.radians(rng.normal(0.0, 4.0, 3))
    places = circle * np.column_stack([np.cos(angles), np.sin(angles)])
    places *= rng.normal(1.0, 0.02, (3, 1))
    arm, defocus = float(rng.uniform(5.0, 25.0)), 0.003 * optics.focal_length_mm
    rows = []
    for screw in range(3):
        raised = np.zeros(3)
        raised[screw] = 0.05 * pitch * rng.normal(1.0, 0.08)
        rotation, shift = screw_motion(places, raised, arm)
        rows.append(optics.shadow_offset_arcsec(rotation, shift, defocus)[0] / 0.05)
    return np.array(rows)


def by_trial(simulated: Simulated, limit: float, *, first_step: float, most: int) -> bool:
    """Keep a turn if it looks better, else put it back and try the next; halve the step when no
    screw helps. True once the look is inside the limit."""
    step, tried = first_step, 0
    screw, way = int(simulated.rng.integers(3)), 1.0
    before = _seen(simulated)
    while simulated.turns < most:
        if before <= limit:
            return True
        simulated.turn(screw, way * step)
        after = _seen(simulated)
        if after < before:
            before, tried = after, 0
            continue
        simulated.turn(screw, -way * step)
        before = _seen(simulated)
        tried += 1
        way = -way
        if tried % 2 == 0:
            screw = (screw + 1) % 3
        if tried == 6:
            step, tried = step / 2.0, 0
    return False


def _seen(simulated: Simulated) -> float:
    look = simulated.look()
    return float(np.hypot(look.x_arcsec, look.y_arcsec)) / simulated.radius_arcsec
