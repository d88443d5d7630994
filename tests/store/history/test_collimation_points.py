"""What lies between two looks, and which turns belong to one: held to going through them all."""

from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from logbook.store.history.collimation import OffsetPoint, _points
from logbook.store.timeline.collimation_rows import LookLine, TurnLine, UpsetLine

BEGIN = datetime(2025, 10, 1, 18, 0, tzinfo=UTC)
NIGHTS = (1, 2, 3)
hours = st.lists(st.tuples(st.integers(0, 90), st.sampled_from((None, *NIGHTS))), max_size=12)


def _at(hour: int) -> datetime:
    return BEGIN + timedelta(hours=hour)


def _look(number: int, hour: int, night_id: int | None) -> LookLine:
    nothing = (None,) * 3
    return LookLine(
        number, _at(hour), night_id, 0.1, *nothing, "eye", None, *nothing, None, train_id=None
    )


def _turns_of(point: OffsetPoint, looks: list[LookLine], turns: list[TurnLine]) -> int:
    if point.night_id is not None:
        return sum(turn.night_id == point.night_id for turn in turns)
    day = [x.at_utc for x in looks if x.night_id is None and x.at_utc.date() == point.local_date]
    return sum(turn.night_id is None and day[0] <= turn.at_utc <= day[-1] for turn in turns)


@given(looked=hours, turned=hours, upset=hours)
def test_turns_and_upsets_are_those_of_the_look(
    looked: list[tuple[int, int | None]],
    turned: list[tuple[int, int | None]],
    upset: list[tuple[int, int | None]],
) -> None:
    looks = [_look(n, *each) for n, each in enumerate(sorted(looked, key=lambda each: each[0]))]
    turns = [
        TurnLine(n, _at(hour), night_id, "A", 0.1)
        for n, (hour, night_id) in enumerate(sorted(turned, key=lambda each: each[0]))
    ]
    upsets = [
        UpsetLine(n, _at(hour), night_id, "transport", f"moved {n}", None, None)
        for n, (hour, night_id) in enumerate(sorted(upset, key=lambda each: each[0]))
    ]
    dates = dict.fromkeys(NIGHTS, date(2025, 10, 1))
    points = list(_points(looks, turns, upsets, dates, {}))
    before: datetime | None = None
    for point in points:
        assert point.turns == _turns_of(point, looks, turns)
        mine = [x.at_utc for x in looks if x.night_id == point.night_id]
        if point.night_id is None:
            mine = [at for at in mine if at.date() == point.local_date]
        since = [
            x.text for x in upsets if (before is None or x.at_utc > before) and x.at_utc < mine[0]
        ]
        assert point.events == tuple(since)
        before = mine[-1]
    assert len(points) == len(
        {(x.night_id, None if x.night_id else x.at_utc.date()) for x in looks}
    )
