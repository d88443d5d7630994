"""The words of the Screws page: the turn in hand, each turn made, where every screw stands."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from rich.text import Text

from logbook.entryline.format import clock_words, counted, spell_look, spell_turn, turn_words
from logbook.records.entries import EntryRecord, Screw, StarLook, Turn
from logbook.screen.pages.screws.hand import Hand
from logbook.screen.services.book_snapshot import BookView, is_mirror_telescope
from logbook.screen.services.services import Desk
from logbook.startest.screws.advice import Advice, Step

CENTRE_WORDS = "Leave the centre screw alone: it sets the distance between the mirrors."
CENTRE_WHY = (
    "Never the centre screw: it sets the distance between the mirrors, so focal length and "
    "correction; backed out, it may let the secondary fall on the primary. The outer ones tilt."
)
CARE_WORDS = (
    f"{CENTRE_WORDS} Never near the Sun. Small turns; before more is loosened: tube level, a hand "
    "under the cell. F1."
)
CARE_LOOSENING = "Loosening: tube level, a hand under the cell."
NO_NIGHT = "Not kept: no night in progress. Escape, then F10 starts one."
CARE_SHORT = "Never the centre screw, never near the Sun; small turns. F1."
_CARE_WORDS_LOW = " · never the centre screw · care: F1"  # where the terminal is low
TALL = 30  # rows from which there is room for more
Outcome = tuple[float | None, float | None]  # before and after, in disc radii
_FAR = Fraction(1, 4)
_HELD = {
    "push-pull": "push-pull: ease the one that opposes it as far first; snug both at the end",
    "locked": "locked: free its lock first, close it again before the look",
}


def clock_sense(screw: Screw, *, tighten: bool) -> str:
    """`clockwise` or `anticlockwise`, as seen with the screw's head before one."""
    return "clockwise" if tighten == screw.tighten_clockwise else "anticlockwise"


def head_words(desk: Desk, height: int, watched: Path | None) -> Text:
    """Telescope and night, or what is to be done before a screw can be turned."""
    view = desk.view
    telescope = view.telescope
    if telescope is None:
        return Text("No telescope: choose a train on the Kit page (F5).")
    if not is_mirror_telescope(telescope.part):
        return Text(f"{telescope.part.name} has no secondary, so no screws to turn.")
    if not view.screws:
        return Text(f"No screws are named for {telescope.part.name} yet: n names them.")
    state = _CARE_WORDS_LOW if height < 22 else ""
    if view.night is None:
        state = ": no night in progress, F10 starts one"
    folder = f" · watching {watched.name}" if watched else ""
    return Text(f"{telescope.part.name}{folder}{state}\n", style="not bold")


def hand_words(
    hand: Hand, screws: Sequence[Screw], way_left: Sequence[Step], *, advised: bool, narrow: bool
) -> Text:
    """The turn that Enter would keep."""
    screw = next((each for each in screws if each.name == hand.screw), None)
    words = Text("")
    if screw is None:
        return words
    if way_left:
        words.append(f"Way back, {counted(len(way_left), 'turn')} left: ", style="not bold")
    elif advised and not narrow:
        words.append("Advised: ", style="not bold")
    words.append(f" {hand.screw} {hand.way} {hand.amount_words()} ", style="bold reverse")
    sense = clock_sense(screw, tighten=hand.tighten)
    words.append(f" {sense}; turn it, then Enter\n", style="not bold")
    return words.append(_held_words(screw), style="not bold")


def idle_words(hand: Hand, screws: Sequence[Screw]) -> Text:
    """No turn is advised now; the arrows prepare one all the same."""
    screw = next((each for each in screws if each.name == hand.screw), None)
    said = f"Arrows prepare a turn of your own: {hand.screw} {hand.way} {hand.amount_words()}\n"
    return Text(said + _held_words(screw), style="not bold")


def _held_words(screw: Screw | None) -> str:
    """How a screw that is no plain one is turned."""
    held = _HELD.get(screw.lock_kind) if screw else None
    return f"{held}\n" if held else ""


def then_words(last: Turn | None, hand: Hand, keys: str, *, seen_since: bool) -> Text:
    """After a turn: what it did is asked; before a large one: care; else the keys."""
    if not hand.tighten and hand.amount >= _FAR:
        return Text(f"{CARE_LOOSENING}\n", style="bold")
    if last is None or last.result is not None or last.puts_back_entry_id is not None:
        return Text(f"{keys}\n", style="not bold")
    look = "seen since;" if seen_since else "look, then"
    return Text(f"{last.screw} turned: {look} b better  s same  w worse  p put back\n")


def sum_words(desk: Desk, advice: Advice | None, *, wide: bool) -> Text:
    """The last turn, the last look, then where every screw stands against the first turn.

    Where the lines are wide: where tightening a screw pulls the shadow, once it is learned.
    """
    view = desk.view
    words = Text()
    if view.turns:
        last = view.turns[-1].content.turn
        assert last is not None
        words.append(f"Last: {_with_sense(desk, last)}\n", style="bold")
    seen = view.last_look
    if seen is not None and seen.content.look is not None:
        words.append(f"{_seen_words(desk, seen, seen.content.look)}\n")
    elif view.screws:
        words.append("No look yet: l by eye, m a picture, f a folder.\n")
    sums = {each.screw: each for each in view.screw_sums}
    for screw in view.screws:
        found = sums.get(screw.name)
        net = net_words(found.turns) if found else "not turned yet"
        count = f", {counted(found.count, 'turn')}" if found else ""
        pull = _pull_words(screw.name, advice) if wide else ""
        words.append(f"{screw.name} at {screw.clock_hour:g} o'clock: {net}{count}{pull}\n")
    return words


def _seen_words(desk: Desk, record: EntryRecord, look: StarLook) -> str:
    """When the last look was and what it showed; picture angles as a clock, as they are drawn."""
    local = desk.local(record.content.happened_utc)
    before = "" if seen_since_turn(desk.view) else ", before the last turn"
    return f"Seen {local:%d %b %H:%M}{before}: {spell_look(look)}"


def _pull_words(name: str, advice: Advice | None) -> str:
    """`; tightening pulls to 4 o'clock` where it is learned."""
    known = advice.responses if advice else ()
    found = next((each for each in known if each.screw == name and each.known), None)
    return f"; tightening pulls to {clock_words(found.angle_deg)}" if found else ""


def seen_since_turn(view: BookView) -> bool:
    """Whether there was a look after the last turn; so it is before any turn."""
    if not view.turns:
        return True
    seen = view.last_look
    last = view.turns[-1].content.happened_utc
    return seen is not None and seen.content.happened_utc >= last


def net_words(turns: float) -> str:
    """`net 1/8 turn tightened`, `back where it was`."""
    if abs(turns) < 1e-6:
        return "back where it was"
    return f"net {turn_words(abs(turns))} {'tightened' if turns > 0 else 'loosened'}"


def _with_sense(desk: Desk, turn: Turn) -> str:
    """`A tightened 1/8 turn clockwise, better`."""
    screw = next((each for each in desk.view.screws if each.name == turn.screw), None)
    said, comma, rest = spell_turn(turn).partition(", ")
    sense = f" {clock_sense(screw, tighten=turn.turns > 0)}" if screw else ""
    return f"{said}{sense}{comma}{rest}"


def turn_line(desk: Desk, record: EntryRecord, outcome: Outcome | None, *, wide: bool) -> Text:
    """One turn: when, what was turned, what it did; on wide screens the clock sense too."""
    turn = record.content.turn
    assert turn is not None
    local = desk.local(record.content.happened_utc)
    line = Text(f"{local:%d %b %H:%M} ", style="bold")
    line.append(_with_sense(desk, turn) if wide else spell_turn(turn), style="not bold")
    return line.append(outcome_words(turn, outcome), style="not bold")


def outcomes(history: Sequence[EntryRecord]) -> dict[int, Outcome]:
    """By the turn's entry id. A look counts for the turns it stands next to, with none between."""
    found: dict[int, Outcome] = {}
    turn: int | None = None
    seen: float | None = None
    for record in history:
        look = record.content.look
        if look is not None:
            seen = look.offset_fraction
            if turn is not None:
                found[turn] = (found[turn][0], seen)
        elif record.content.turn is not None:
            found[record.id] = (seen, None)
            turn, seen = record.id, None
    return found


def outcome_words(turn: Turn, outcome: Outcome | None) -> str:
    """`, 0.20 → 0.12`; "" unless both are known, or where the turn's own words say it."""
    if outcome is None or outcome[0] is None or outcome[1] is None:
        return ""
    if turn.offset_before is not None and turn.offset_after is not None:
        return ""
    return f", {outcome[0]:.2f} → {outcome[1]:.2f}"
