"""What each turn did, in numbers: the offset seen before it and the one seen after it."""

from collections.abc import Sequence

from logbook.records.entries import EntryRecord, Turn

Outcome = tuple[float | None, float | None]  # before and after, in disc radii


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
