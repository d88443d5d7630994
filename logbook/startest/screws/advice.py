"""Advice on the outer screws of a secondary, as plain frozen values.

Nothing here imports numpy. Angles run 0..360 from +x toward +row of the picture as stored, which
is clockwise on a screen that shows the first row at the top; fractions are of the radius of the
defocused disc as last seen; turns are positive when they tighten.
"""

from bisect import bisect
from dataclasses import dataclass

KINDS = ("turn", "probe", "look", "stop", "ask", "none")

# What a hand can distinguish on a dial of 60 minutes; a half minute is 3 degrees.
SMALLEST_TURN = 1.0 / 120.0
_HANDY = (
    (1, 64), (1, 32), (3, 64), (1, 16), (3, 32), (1, 8), (5, 32), (3, 16), (7, 32), (1, 4),
    (5, 16), (3, 8), (7, 16), (1, 2), (5, 8), (3, 4), (7, 8), (1, 1),
)  # fmt: skip
_NEAR_SHARE = 0.05
_HANDY_TURNS = [above / below for above, below in _HANDY]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the shadow is, or should come to lie.

    angle_deg -- None where the direction drowns in the uncertainty.
    sigma -- standard error on each axis, as a fraction of the radius.
    arcsec -- the same shift on the sky, whatever the defocus.
    """

    fraction: float
    angle_deg: float | None
    sigma: float
    arcsec: float


@dataclass(frozen=True, slots=True)
class Step:
    """One turn of one screw."""

    screw: str
    turns: float


@dataclass(frozen=True, slots=True)
class Limit:
    """What this seeing can show.

    seeing_arcsec -- the width of a star; `seeing_known` is False where it is taken as usual.
    coma_arcsec -- the tangential coma that stays hidden in it: a quarter.
    fraction -- the shadow's offset with that coma, at this defocus.
    look_sigma -- what one look can be wrong by, as a fraction of the radius.
    total -- both together: inside this there is nothing left to turn.
    """

    seeing_arcsec: float
    seeing_known: bool
    coma_arcsec: float
    fraction: float
    look_sigma: float
    total: float
    words: str


@dataclass(frozen=True, slots=True)
class ScrewResponse:
    """How the shadow answers one screw.

    angle_deg -- where tightening pulls the shadow in the picture.
    sigma_share -- standard error of the size, as a share of it.
    known -- sure enough to be drawn.
    """

    screw: str
    radii_per_turn: float
    arcsec_per_turn: float
    angle_deg: float
    sigma_share: float
    angle_sigma_deg: float
    known: bool
    turns_seen: int


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a logged turn is not believed, and what to ask.

    kind -- other screw, other way, slips, labels, camera, moved.
    entry_id -- the turn in doubt; to answer yes is to correct that entry.
    odds -- how many times better this explains what was seen than the turn as logged.
    """

    kind: str
    entry_id: int | None
    screw: str
    instead: str | None
    odds: float
    evidence: str
    question: str


@dataclass(frozen=True, slots=True)
class WayBack:
    """The turns that lead back to an earlier state; their number is the cost."""

    to: str
    steps: tuple[Step, ...]
    turns: float  # how far in all, whatever the way
    words: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do next at the telescope, and why.

    kind -- turn, probe (a turn to learn from), look (first), stop, ask (the last result
        contradicts; answer the first doubt), none (the headline says why).
    step -- the turn to make; with ask, the next one if the last was as logged.
    mirrored -- probability that the picture shows the screws mirrored.
    net -- sum of all running sums: while it is near 0 the mirrors keep their distance.
    """

    kind: str
    headline: str
    step: Step | None = None
    amount_words: str = ""
    now: Spot | None = None
    predicted: Spot | None = None
    chance_better: float | None = None
    reasons: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    put_back: Step | None = None
    limit: Limit | None = None
    responses: tuple[ScrewResponse, ...] = ()
    mirrored: float = 0.5
    sums: tuple[Step, ...] = ()
    net: float = 0.0
    way_back: WayBack | None = None
    looks_wanted: int = 0


def handy(turns: float) -> float:
    """The nearest turn that a hand can make: a handy part of a turn, or half minutes of a dial."""
    size = abs(turns)
    at = bisect(_HANDY_TURNS, size)
    near = min(_HANDY_TURNS[max(0, at - 1) : at + 1], key=lambda each: abs(each - size))
    if abs(near - size) > _NEAR_SHARE * size:
        near = max(SMALLEST_TURN, round(size / SMALLEST_TURN) * SMALLEST_TURN)
    return near if turns > 0 else -near


def amount_words(turns: float) -> str:
    """`1/16 turn`, `4.5 min (27°)`: minutes are those of a dial, 60 a turn."""
    size = abs(turns)
    for above, below in _HANDY:
        if abs(above / below - size) < 1e-4:
            return f"{above}/{below} turn" if below > 1 else "1 turn"
    return f"{_plain(round(size * 60.0, 1))} min ({_plain(round(size * 360.0))}°)"


def step_line(step: Step) -> str:
    """The step as an entry line: `turn B tighten 1/16`, `turn B loosen 4.5 min`."""
    way = "tighten" if step.turns > 0 else "loosen"
    amount = amount_words(step.turns).partition(" (")[0].removesuffix(" turn")
    return f"turn {step.screw} {way} {amount}"


def headline_of(step: Step) -> str:
    """`B TIGHTEN 1/16`, for large letters."""
    amount = amount_words(step.turns).partition(" (")[0].removesuffix(" turn")
    return f"{step.screw} {'TIGHTEN' if step.turns > 0 else 'LOOSEN'} {amount}"


def _plain(value: float) -> str:
    return f"{value:g}"
