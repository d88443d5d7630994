"""The words of the Screws page: each turn, and where every screw stands."""

from rich.text import Text

from logbook.screen.desk import Desk
from logbook.store.records import EntryRecord, Screw, Turn
from logbook.store.words import counted, spell_look, spell_turn, turn_words


def clock_sense(screw: Screw, *, tighten: bool) -> str:
    """`clockwise` or `anticlockwise`, as seen with the screw's head before one."""
    return "clockwise" if tighten == screw.tighten_clockwise else "anticlockwise"


def sum_words(desk: Desk) -> Text:
    """The last turn, then where every screw stands against the first logged turn."""
    view = desk.view
    words = Text()
    if view.turns:
        last = view.turns[-1].content.turn
        assert last is not None
        words.append(f"Last: {_with_sense(desk, last)}\n", style="bold")
    seen = view.last_look
    if seen is not None and seen.content.look is not None:
        local = desk.local(seen.content.happened_utc)
        later = bool(view.turns) and view.turns[-1].content.happened_utc > seen.content.happened_utc
        before = ", before the last turn" if later else ""
        words.append(f"Seen {local:%d %b %H:%M}{before}: {spell_look(seen.content.look)}\n")
    sums = {each.screw: each for each in view.screw_sums}
    for screw in view.screws:
        found = sums.get(screw.name)
        net = net_words(found.turns) if found else "not turned yet"
        count = f", {counted(found.count, 'turn')}" if found else ""
        words.append(f"{screw.name} at {screw.clock_hour:g} o'clock: {net}{count}\n")
    return words


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


def turn_line(desk: Desk, record: EntryRecord, *, wide: bool) -> Text:
    """One turn: when, what was turned with what result; on wide screens the clock sense too."""
    turn = record.content.turn
    assert turn is not None
    local = desk.local(record.content.happened_utc)
    line = Text(f"{local:%d %b %H:%M} ", style="bold")
    line.append(_with_sense(desk, turn) if wide else spell_turn(turn), style="not bold")
    return line
