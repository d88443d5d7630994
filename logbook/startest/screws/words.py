"""The sentences of the adviser: short, with the numbers that the user can check."""

from logbook.startest.screws.advice import (
    Doubt,
    Limit,
    ScrewResponse,
    Spot,
    Step,
    amount_words,
    handy,
)
from logbook.startest.screws.events import Turned, Unsettled
from logbook.startest.screws.next_turn import MOST_NET
from logbook.startest.screws.prior import USUAL_PITCH_MM, ScrewPlace, Secondary

NO_SCREWS = "Name the outer screws and where they sit: advice needs two at least."
NO_LOOK = "Look at a defocused star first: log where the shadow sits."
STALE_LOOK = "The last look was another night's: look again before turning anything."
NO_TURN_HELPS = "No turn that a hand can make is sure to help: average more looks."
AFTER_STOP = "Now check in focus, then a second star, then the other side of the meridian."
LOOSENED_WARNING = 0.5  # turns of one screw against the start
_WORTH_SAYING_MM = 0.02


def clock(angle_deg: float | None) -> str:
    """` toward 4 o'clock`, as the picture shows it; nothing where no direction is known."""
    if angle_deg is None:
        return ""
    halves = round((angle_deg / 30.0 + 3.0) * 2.0) % 24
    hour, half = divmod(halves, 2)
    return f" toward {hour or 12}{':30' if half else ''} o'clock"


def spot(seen: Spot) -> str:
    """Where the shadow sits, in radii of the disc, with its uncertainty."""
    return f"The shadow sits {seen.fraction:.3f} ± {seen.sigma:.3f} off{clock(seen.angle_deg)}."


def response(known: ScrewResponse) -> str:
    """What tightening one screw does, and from how many turns that is known."""
    turns = "1 turn" if known.turns_seen == 1 else f"{known.turns_seen} turns"
    return (
        f"{known.screw} tightened pulls{clock(known.angle_deg)}: {known.radii_per_turn:.2f} ± "
        f"{known.sigma_share * known.radii_per_turn:.2f} radii a turn, from {turns}."
    )


def predicted(spot_after: Spot, chance: float, planned: int) -> str:
    """Where a turn should leave the shadow, and how sure it is to make it better."""
    more = "" if planned == 1 else f"; {planned - 1} more planned"
    return (
        f"Should leave {spot_after.fraction:.3f} ± {spot_after.sigma:.3f}"
        f"{clock(spot_after.angle_deg)}; {100.0 * chance:.0f} % sure to be better{more}."
    )


def probe(step: Step, shift: float) -> str:
    """Why a screw is turned whose response is not known, and what to expect."""
    return (
        f"How {step.screw} answers is not known well: a turn to learn from; expect the shadow to "
        f"move by about {shift:.2f}."
    )


def net(sum_now: float, step: Step) -> str:
    """What the turns of all screws come to after a step."""
    after = sum_now + step.turns
    said = f"Sum of all screws then {after:+.2f} turn"
    if abs(after) > MOST_NET:
        return f"{said}: over 1/4, so the mirrors' distance has changed; it is not let grow."
    return f"{said}, kept within 1/4 so that the mirrors keep their distance."


def near(limit: Limit, wanted: int) -> str:
    """That the offset is close to the limit, and how many more looks are wanted."""
    more = "once" if wanted == 1 else "twice"
    return f"Close to the limit of {limit.total:.3f}: look {more} more before anything is turned."


def inside(seen: Spot, limit: Limit) -> str:
    """That the offset is inside the limit."""
    return f"{seen.fraction:.3f} ± {seen.sigma:.3f} is inside {limit.total:.3f}: nothing to turn."


def distance(sum_now: float, secondary: Secondary) -> str:
    """What the sum of all turns did to the distance of the mirrors; "" if nothing to speak of."""
    pitch_mm = secondary.screw_pitch_mm or USUAL_PITCH_MM
    count = len(secondary.screws)
    moved_mm = abs(sum_now) / count * pitch_mm
    if moved_mm < _WORTH_SAYING_MM:
        return ""
    return (
        f"The mirrors' distance changed by {moved_mm:.2f} mm since the start; {count} equal turns "
        f"of {amount_words(handy(sum_now / count))} the other way would undo it."
    )


def not_looked_since(turned: Turned) -> str:
    """That a turn waits for its look."""
    return f"{turned.screw} was turned {amount_words(turned.turns)}: look what it did."


def unsettled_since(upset: Unsettled) -> str:
    """That something moved the telescope since the last look."""
    return f"{upset.what} since the last look: look again before turning anything."


def back(step: Step) -> str:
    """How to take back a turn that made it worse."""
    way = "tighten" if step.turns > 0 else "loosen"
    return (
        f"It grew worse: put it back ({step.screw} {way} {amount_words(step.turns)}, or whichever "
        "screw it was) and look."
    )


def question_headline(doubt: Doubt) -> str:
    """The question about a contradiction, in a few large words."""
    if doubt.kind == "other screw":
        return f"WAS IT {doubt.instead}?"
    if doubt.kind == "labels":
        return f"{doubt.screw} OR {doubt.instead}?"
    heads = {
        "other way": "WHICH WAY?",
        "slips": f"{doubt.screw} SLIPS?",
        "camera": "CAMERA TURNED?",
        "moved": "LOOK AGAIN",
    }
    return heads[doubt.kind]


def cautions(step: Step, sum_before: float, screw: ScrewPlace) -> tuple[str, ...]:
    """What to mind with this turn: a mirror that could come loose, and how the screw is held."""
    said = []
    after = sum_before + step.turns
    if step.turns < 0 and after <= -LOOSENED_WARNING:
        said.append(
            f"{step.screw} would be loosened by {-after:.2f} turn in all: it may come free. "
            "Tube level, a hand under the cell; stop if it turns without force."
        )
    elif step.turns < 0:
        said.append("Loosening: a hand under the mirror cell.")
    if screw.lock_kind == "push-pull":
        first = "loosen its pulling screw" if step.turns > 0 else "loosen its pushing screw"
        said.append(f"{step.screw} is push-pull: {first} first, snug it after, then look.")
    if screw.lock_kind == "locked":
        said.append(f"{step.screw} is locked: free the lock, turn, lock, then look.")
    return tuple(said)
