"""The words of an advice: in one line on the page, whole with its numbers on a sheet."""

from collections.abc import Sequence

from rich.text import Text

from logbook.entryline.format import clock_words, turn_words
from logbook.records.entries import Screw
from logbook.screen.pages.screws.words import clock_sense, net_words
from logbook.startest.screws.advice import Advice, ScrewResponse, Spot, Step

MOVES = ("turn", "probe")
CARE_LINES = (
    "Never aim near the Sun. Outer screws only, small turns; look after each.",
    "A hand under the mirror's cell before anything is loosened; tube level when a screw could "
    "come free.",
    "Put the star back in the middle before every look: off the middle it looks misaligned.",
)


def spot_words(spot: Spot) -> str:
    """`0.12 ± 0.01 toward 3 o'clock`; the clock is the picture's as shown."""
    said = f"{spot.fraction:.2f} ± {spot.sigma:.2f}"
    return said if spot.angle_deg is None else f"{said} toward {clock_words(spot.angle_deg)}"


def step_words(step: Step, amount: str = "") -> str:
    """`B tighten 1/16 turn`."""
    way = "tighten" if step.turns > 0 else "loosen"
    return f"{step.screw} {way} {amount or turn_words(abs(step.turns))}"


def sense_words(step: Step, screws: Sequence[Screw]) -> str:
    """The clock sense of a step, "" for a screw that is not named."""
    screw = next((each for each in screws if each.name == step.screw), None)
    return clock_sense(screw, tighten=step.turns > 0) if screw else ""


def advice_words(advice: Advice | None, *, in_hand: bool) -> Text:
    """What is advised, if it is not the turn in hand; then what the star should show."""
    if advice is None:
        return Text("")
    words = Text("")
    if advice.doubts:
        words.append(f"{advice.doubts[0].question}{_answer_keys(advice)}\n", style="bold")
    elif advice.kind in MOVES and advice.step is not None:
        if not in_hand:
            step = step_words(advice.step, advice.amount_words)
            words.append(f"Advised: {step} (Escape takes it)\n", style="bold")
    else:
        words.append(f"{advice.headline}\n", style="bold")
    return words.append(_expected(advice), style="not bold")


def _answer_keys(advice: Advice) -> str:
    if not advice.doubts:
        return ""
    return "  1 yes  2 no, as logged" + ("  p put it back" if advice.put_back else "")


def _expected(advice: Advice) -> str:
    """What is now, what should be then, how sure; else the first reason."""
    if advice.now is not None and advice.predicted is not None and advice.kind in MOVES:
        said = f"{advice.now.fraction:.2f} → {spot_words(advice.predicted)}"
        if advice.chance_better is not None:
            said += f", {advice.chance_better:.0%} sure"
        return said + (", to learn what it does" if advice.kind == "probe" else "")
    return advice.reasons[0] if advice.reasons else ""


def reason_lines(advice: Advice, screws: Sequence[Screw]) -> list[Text]:
    """Everything behind an advice: reasons, cautions, doubts, what each screw does, the sums."""
    lines = [Text(advice.headline, style="bold")]
    if advice.step is not None:
        sense = sense_words(advice.step, screws)
        lines.append(Text(f"{step_words(advice.step, advice.amount_words)} {sense}".rstrip()))
    if advice.now is not None:
        lines.append(Text(f"Now {spot_words(advice.now)}: {advice.now.arcsec:.2f}″ on the sky"))
    if advice.predicted is not None:
        lines.append(Text(f"Then {spot_words(advice.predicted)}"))
    if advice.chance_better is not None:
        lines.append(Text(f"Better with {advice.chance_better:.0%} chance"))
    lines += _part("Why", advice.reasons)
    lines += _part("In doubt", [f"{each.question} {each.evidence}" for each in advice.doubts])
    if advice.put_back is not None:
        lines.append(Text(f"  or put it back: {step_words(advice.put_back)} (p)"))
    lines += _part("What this air can show", [advice.limit.words] if advice.limit else [])
    lines += _part("What each screw does", _response_lines(advice))
    lines += _part("Turned in all", _sum_lines(advice))
    return lines + _part("Care", (*advice.cautions, *CARE_LINES))


def _part(heading: str, said: Sequence[str]) -> list[Text]:
    if not said:
        return []
    return [Text(""), Text(heading, style="bold"), *(Text(f"  {each}") for each in said)]


def _response_lines(advice: Advice) -> list[str]:
    said = [response_words(each) for each in advice.responses]
    if any(each.known for each in advice.responses):
        sure = max(advice.mirrored, 1.0 - advice.mirrored)
        how = "mirrored" if advice.mirrored > 0.5 else "not mirrored"
        said.append(f"the picture shows the screws {how} ({sure:.0%} sure); c: camera turned")
    return said


def response_words(response: ScrewResponse) -> str:
    """`B: 1.10 radii a turn ± 12 %, tightening pulls toward 4 o'clock ± 8° (from 5 turns)`."""
    said = f"{response.screw}: {response.radii_per_turn:.2f} radii a turn"
    said += f" ± {response.sigma_share:.0%}"
    if not response.known:
        return f"{said}; where it pulls is not learned yet"
    said += f", tightening pulls toward {clock_words(response.angle_deg)}"
    said += f" ± {response.angle_sigma_deg:.0f}°"
    seen = response.turns_seen
    return f"{said} (from {seen} turn{'' if seen == 1 else 's'})"


def _sum_lines(advice: Advice) -> list[str]:
    said = [f"{each.screw}: {net_words(each.turns)}" for each in advice.sums]
    if advice.sums:
        said.append(
            f"all together {advice.net:+.3f} turn; within 1/4 the mirrors keep their distance"
        )
    if advice.way_back is not None and advice.way_back.steps:
        said.append(f"{advice.way_back.words} (z: ways back)")
    return said
