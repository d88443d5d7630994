"""The demo season: whole, true to the sky, and the same each time. Its data are invented.

Altitudes are checked by a formula of the tests' own: mean sidereal time (Meeus 1998, 12.4) and
sin h = sin φ sin δ + cos φ cos δ cos H (13.6). Precession since 2000 (0.4°) is left out.
"""

import math
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import platformdirs
import pytest

import logbook
from logbook.errors import BadInput, BookRefused
from logbook.kit.parts.spares import spares, wishes
from logbook.records.entries import EntryRecord, NightRecord, TargetCopy
from logbook.records.runs import runs
from logbook.sky.night.site import Site
from logbook.store import opening
from logbook.store.book import Book
from logbook.store.demo import demo
from logbook.store.demo.build import SEASON_BEGINS
from logbook.store.demo.text import Season, read_season
from logbook.store.file import book_state
from logbook.store.screw_advice import advice_for
from logbook.text import clean

LOWEST_DEG = 15.0


@pytest.fixture(scope="module")
def season() -> Season:
    return read_season(demo.sample_folder())


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "season.db"
    demo.build_demo(path)
    return path


@pytest.fixture(scope="module")
def book(built: Path) -> Iterator[Book]:
    with opening.open_book(built, read_only=True) as opened:
        yield opened


@pytest.fixture(scope="module")
def nights(book: Book) -> tuple[tuple[NightRecord, tuple[EntryRecord, ...]], ...]:
    """Every night with its timeline, oldest first."""
    found = [each.night for each in reversed(book.nights.summaries(limit=1000))]
    return tuple((night, book.timeline.of_night(night.id)) for night in found)


Nights = tuple[tuple[NightRecord, tuple[EntryRecord, ...]], ...]


def altitude_deg(target: TargetCopy, site: Site, at_utc: datetime) -> float:
    assert target.ra_deg is not None
    assert target.dec_deg is not None
    days = (at_utc - datetime(2000, 1, 1, 12, tzinfo=UTC)) / timedelta(days=1)
    sidereal_deg = 280.46061837 + 360.98564736629 * days
    hour_angle = math.radians(sidereal_deg + site.longitude_deg - target.ra_deg)
    latitude, declination = math.radians(site.latitude_deg), math.radians(target.dec_deg)
    sine = math.sin(latitude) * math.sin(declination)
    sine += math.cos(latitude) * math.cos(declination) * math.cos(hour_angle)
    return math.degrees(math.asin(sine))


def slope_and_fit(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Least-squares slope and correlation (any statistics text)."""
    mean_x = sum(x for x, _ in points) / len(points)
    mean_y = sum(y for _, y in points) / len(points)
    xy = sum((x - mean_x) * (y - mean_y) for x, y in points)
    xx = sum((x - mean_x) ** 2 for x, _ in points)
    yy = sum((y - mean_y) ** 2 for _, y in points)
    return xy / xx, xy / math.sqrt(xx * yy)


# A whole season


@pytest.mark.slow
def test_it_is_a_season_of_the_size_promised(book: Book, nights: Nights) -> None:
    assert len(nights) >= 26
    assert sum(len(timeline) for _, timeline in nights) >= 400
    assert (nights[-1][0].local_date - nights[0][0].local_date).days >= 8 * 30
    assert {train.train.name for train in book.kit.trains()} == {"native", "reduced", "wide"}
    telescopes = [each for each in book.kit.parts() if each.part.kind == "telescope"]
    assert len(telescopes) == 2
    assert len(book.timeline.of_night(None)) >= 8, "what was done by day"


def test_every_kind_of_entry_is_there(nights: Nights, book: Book) -> None:
    kinds = {record.content.kind for _, timeline in nights for record in timeline}
    kinds |= {record.content.kind for record in book.timeline.of_night(None)}
    assert kinds >= {
        "setup", "conditions", "reading", "object", "frames", "focus", "star", "turn", "kit",
        "meridian", "guiding", "note", "trouble", "break", "upkeep", "transport", "check",
        "adjust",
    }  # fmt: skip


def test_the_screws_of_the_demo_can_be_learned_from(book: Book) -> None:
    """What was turned and seen agrees with a real secondary: three like answers a third apart."""
    tube = book.kit.part_named("Long tube").id
    last = book.collimation.history(tube)[-1].content.happened_utc
    advice = advice_for(book, tube, last)
    angles = [response.angle_deg for response in advice.responses]
    assert advice.mirrored < 0.01
    for response in advice.responses:
        assert 0.8 < response.radii_per_turn < 1.3
    for first, second in pairwise(sorted(angles)):
        assert second - first == pytest.approx(120.0, abs=15.0)
    assert abs(advice.net) <= 0.25
    assert advice.doubts == ()


def test_upkeep_has_rules_due_and_to_come_and_put_off(book: Book) -> None:
    found = book.upkeep.due(datetime(2026, 12, 8, 20, 0, tzinfo=UTC))
    assert {each.record.rule.part_name for each in found} > {"Long tube", "Tall mount", None}
    assert any(each.is_due for each in found)
    assert any(0 < each.share < 1 for each in found)
    assert [each.record.rule.part_name for each in found if each.snoozed_until_utc] == [None]
    done = [each.content.upkeep for each in book.upkeep.history()]
    assert any(each and each.cost for each in done)
    assert any(each and each.photo_path for each in done)
    parts = [each.part for each in book.kit.parts()]
    assert any(each.kind == "small hardware" for each in wishes(parts))
    assert any(each.not_known for each in spares(parts))


def test_frames_went_through_every_filter(nights: Nights) -> None:
    filters = {
        record.content.frames.filter_name
        for _, timeline in nights
        for record in timeline
        if record.content.frames and record.content.frames.frame_type == "light"
    }
    assert filters == {"L", "R", "G", "B", "Ha", "OIII"}


def test_parts_are_set_as_the_text_says(season: Season, book: Book) -> None:
    for text in season.trains:
        first, *_ = book.kit.train_history(book.kit.train_named(text.name).id)
        assert set(first.train.placements) == set(text.placements)
    assert any(text.placements for text in season.trains)


def test_a_train_keeps_its_history(book: Book) -> None:
    native = book.kit.train_named("native")
    history = book.kit.train_history(native.id)
    assert len(history) >= 4
    assert {each.made_utc for each in history} > {SEASON_BEGINS}
    first_night = book.nights.on(datetime(2026, 3, 13, tzinfo=UTC).date())
    last_night = book.nights.on(datetime(2026, 11, 7, tzinfo=UTC).date())
    assert first_night.train is not None
    assert last_night.train is not None
    assert first_night.train.revision < last_night.train.revision
    tube_then, tube_now = first_night.train.train.parts[0], last_night.train.train.parts[0]
    assert tube_then.number("focal_length_mm") == 1624.0
    assert tube_now.number("focal_length_mm") == 1631.0
    carried = [part.name for part in last_night.train.train.carried]
    assert "Dew shield" in carried


# The two stories of the screws


def turns_of(book: Book) -> tuple[EntryRecord, ...]:
    return book.timeline.turns(book.kit.part_named("Long tube").id)


def test_both_stories_are_in_the_screws(book: Book) -> None:
    summer = datetime(2026, 7, 1, tzinfo=UTC)
    spring = [each for each in turns_of(book) if each.content.happened_utc < summer]
    autumn = [each for each in turns_of(book) if each.content.happened_utc > summer]
    for story in (spring, autumn):
        outcomes = {each.content.turn.result for each in story if each.content.turn}
        assert outcomes >= {"better", "same", "worse"}
        assert any(t.content.turn and t.content.turn.puts_back_entry_id for t in story)
        assert {each.content.turn.screw for each in story if each.content.turn} == {"A", "B", "C"}
    assert len(spring) >= 8
    assert len(autumn) >= 8


def test_projects_are_part_done_and_owed_first(book: Book) -> None:
    projects = book.projects.all()
    assert len(projects) >= 3
    assert all(each.held_hours > 0 for each in projects)
    assert any(each.owed_hours > 0 for each in projects)
    owed = [each.owed_hours for each in projects]
    assert owed == sorted(owed, reverse=True)


def test_a_night_to_come_is_planned_in_the_dark_and_up(book: Book) -> None:
    site = book.sites.named("Ottermoss")
    order = book.running_orders.latest(site.id)[0]
    assert len(order.items) >= 3
    for item, following in pairwise((*order.items, None)):
        assert item is not None
        assert item.from_utc is not None
        assert item.to_utc is not None
        for at_utc in (item.from_utc, item.to_utc):
            assert altitude_deg(item.target, site.site, at_utc) > 30, item.target.name
        if following is not None:
            assert item.to_utc == following.from_utc
    assert book.limit_sets.named("small galaxies, steady air").limits is not None


def test_the_sums_of_the_screws(book: Book) -> None:
    sums = book.timeline.screw_sums(book.kit.part_named("Long tube").id)
    assert {each.screw: each.turns for each in sums} == pytest.approx(
        {"A": 1 / 16, "B": -5 / 32, "C": -1 / 8}
    )
    assert abs(sum(each.turns for each in sums)) <= 0.25, "the mirrors stay where they were"


def test_each_story_begins_badly_and_ends_well(nights: Nights) -> None:
    looks = [
        (record.content.happened_utc, record.content.look.offset_fraction)
        for _, timeline in nights
        for record in timeline
        if record.content.look
    ]
    transport = datetime(2026, 8, 13, 12, tzinfo=UTC)
    spring = [offset for at, offset in looks if at < transport]
    autumn = [offset for at, offset in looks if at > transport]
    assert spring[0] > 0.2
    assert spring[-1] < 0.05
    assert autumn[0] > 0.28, "a relapse after the transport"
    assert autumn[-1] < 0.03


# True to the sky


def test_every_object_is_known_and_up_when_it_is_worked_on(nights: Nights) -> None:
    checked = 0
    for night, timeline in nights:
        for record in timeline:
            entry = record.content
            worked_on = entry.kind == "object" and entry.action == "start"
            taken = entry.frames is not None and entry.frames.frame_type == "light"
            if not worked_on and not taken:
                continue
            assert entry.target is not None, entry.text
            height_deg = altitude_deg(entry.target, night.site, entry.happened_utc)
            assert height_deg > LOWEST_DEG, f"{night.local_date} {entry.text}: {height_deg:.0f}°"
            checked += 1
    assert checked > 100


def test_the_sun_is_down_while_frames_are_taken(nights: Nights) -> None:
    """Low-precision Sun (Astronomical Almanac, section C): good to 0.01°."""
    for night, timeline in nights:
        for record in timeline:
            entry = record.content
            if entry.frames is None or entry.frames.frame_type != "light":
                continue
            days = (entry.happened_utc - datetime(2000, 1, 1, 12, tzinfo=UTC)) / timedelta(days=1)
            anomaly = math.radians(357.528 + 0.9856003 * days)
            longitude = math.radians(
                280.460
                + 0.9856474 * days
                + 1.915 * math.sin(anomaly)
                + 0.02 * math.sin(2 * anomaly)
            )
            tilt = math.radians(23.439)
            ra_deg = math.degrees(
                math.atan2(math.cos(tilt) * math.sin(longitude), math.cos(longitude))
            )
            dec_deg = math.degrees(math.asin(math.sin(tilt) * math.sin(longitude)))
            sun = TargetCopy("Sun", "Sun", "star", ra_deg % 360.0, dec_deg)
            assert altitude_deg(sun, night.site, entry.happened_utc) < -10.0, entry.text


def test_frames_fit_into_the_time_they_were_taken_in(nights: Nights) -> None:
    for _, timeline in nights:
        for run in runs(timeline):
            end = run.stopped_utc or timeline[-1].content.happened_utc
            assert timedelta(seconds=run.exposure_s) <= end - run.started_utc, run.target.name


def test_the_mirror_cools_toward_the_air(nights: Nights) -> None:
    cooled = 0
    for _, timeline in nights:
        differences = [
            readings["mirror_temperature_c"] - readings["air_temperature_c"]
            for readings in (dict(record.content.readings) for record in timeline)
            if "mirror_temperature_c" in readings
        ]
        if len(differences) >= 2:
            assert differences[-1] < differences[0]
            cooled += differences[-1] < 0.5 * differences[0]
    assert cooled >= 15


@pytest.mark.parametrize(("train", "steps_per_degree"), [("native", -38.0), ("reduced", -31.0)])
def test_focus_follows_the_temperature(nights: Nights, train: str, steps_per_degree: float) -> None:
    points = []
    for night, timeline in nights:
        if night.train is None or night.train.train.name != train:
            continue
        for record in timeline:
            readings = dict(record.content.readings)
            if record.content.kind == "focus" and "focus_position" in readings:
                points.append((readings["air_temperature_c"], readings["focus_position"]))
    points = [point for point in points if point[1] > 10_000]  # the wide train's are below
    slope, correlation = slope_and_fit(points)
    assert len(points) >= 12
    assert slope == pytest.approx(steps_per_degree, rel=0.1)
    assert correlation < -0.98
    assert correlation > -1.0, "there is scatter, as there would be"


# Time


def test_entries_were_written_down_when_they_happened(nights: Nights) -> None:
    late = 0
    for _, timeline in nights:
        for record in timeline:
            assert record.recorded_utc >= record.content.happened_utc
            if record.recorded_utc != record.content.happened_utc:
                late += 1
                assert record.cause == "correct" or " ago " in record.content.text
    assert late >= 5


def test_nights_hold_their_entries_and_do_not_overlap(nights: Nights) -> None:
    for (before, _), (after, _) in pairwise(nights):
        assert before.ended_utc is not None
        assert before.ended_utc < after.started_utc
    for night, timeline in nights:
        assert night.ended_utc is not None
        assert timeline[-1].content.happened_utc <= night.ended_utc


def test_the_night_the_clocks_went_back(book: Book) -> None:
    night = book.nights.on(datetime(2026, 10, 24, tzinfo=UTC).date())
    notes = {
        record.content.text: record.content.happened_utc
        for record in book.timeline.of_night(night.id)
        if record.content.kind == "note"
    }
    first, second = notes["note first time round"], notes["note the same time again, an hour later"]
    assert first == datetime(2026, 10, 25, 0, 25, tzinfo=UTC)
    assert second == datetime(2026, 10, 25, 1, 20, tzinfo=UTC)


def test_corrections_and_withdrawals_are_in_the_history(book: Book) -> None:
    night = book.nights.on(datetime(2026, 3, 13, tzinfo=UTC).date())
    corrected = [
        record
        for record in book.timeline.of_night(night.id)
        if record.cause == "correct" and record.content.frames
    ]
    assert len(corrected) == 1
    counts = [
        version.content.frames.count
        for version in book.timeline.history(corrected[0].id)
        if version.content.frames
    ]
    assert counts == [28, 27]


def test_it_is_the_same_each_time(built: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.db"
    demo.build_demo(again)
    with opening.open_book(built) as one, opening.open_book(again) as other:
        one_lines, other_lines = one.timeline.latest(10_000), other.timeline.latest(10_000)
    assert [_without_uid(line) for line in one_lines] == [
        _without_uid(line) for line in other_lines
    ]


def _without_uid(record: EntryRecord) -> EntryRecord:
    return replace(record, uid="")


# Its text


def test_its_words_are_plain_text(nights: Nights) -> None:
    for _, timeline in nights:
        for record in timeline:
            assert clean(record.content.text) == record.content.text
            assert "[" not in record.content.text


def test_a_slip_in_the_text_names_the_file_and_the_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = Path(shutil.copytree(demo.sample_folder(), tmp_path / "sample_db"))
    night = folder / "nights" / "2026-03-07.txt"
    night.write_text(night.read_text(encoding="utf-8") + "22:45 humidity 181\n", encoding="utf-8")
    monkeypatch.setattr(demo, "sample_folder", lambda: folder)
    with pytest.raises(BadInput, match=r"2026-03-07\.txt, line \d+: humidity 181: .*not possible"):
        demo.build_demo(tmp_path / "broken.db")


@pytest.mark.parametrize(
    ("name", "more", "words"),
    [
        ("nights/2026-03-07.txt", "noon gone", "write a time"),
        ("nights/2026-03-28.txt", "01:30 note never", "does not come"),
        ("nights/2026-10-24.txt", "03:30 BST note never", "does not come"),
        ("days.txt", "yesterday upkeep", "write a date"),
        ("kit.toml", "= 3", "kit.toml"),
        ("plans.toml", "[[project]]\nat = 2026-12-01T09:00:00Z", "plans.toml: object is missing"),
        ("plans.toml", "[[limits]]\nname = 'x'\nline = 'above 120'", "plans.toml: .*altitude"),
    ],
)
def test_text_that_is_no_season_is_refused(
    tmp_path: Path, name: str, more: str, words: str
) -> None:
    folder = Path(shutil.copytree(demo.sample_folder(), tmp_path / "sample_db"))
    path = folder / name
    path.write_text(f"{path.read_text(encoding='utf-8')}{more}\n", encoding="utf-8")
    with pytest.raises(BadInput, match=words):
        read_season(folder)


def test_the_season_names_only_what_it_has(season: Season) -> None:
    names = {part.name for part in season.parts}
    for train in season.trains:
        assert names.issuperset((*train.parts, *train.carried))
    assert {night.train for night in season.nights} == {train.name for train in season.trains}
    assert {night.site for night in season.nights} == {site.name for site in season.sites}


# Fresh copies


@pytest.fixture
def cache(built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of the test's own, filled by copying the season instead of building it."""
    folder = tmp_path / "cache"
    monkeypatch.setattr(platformdirs, "user_cache_path", lambda *_, **__: folder)
    monkeypatch.setattr(demo, "build_demo", lambda path: shutil.copyfile(built, path))
    return folder


def test_each_demo_is_a_copy_of_its_own(cache: Path, tmp_path: Path) -> None:
    one, other = demo.fresh_demo(tmp_path / "demos"), demo.fresh_demo(tmp_path / "demos")
    assert one != other
    with opening.open_book(one) as opened:
        opened.kit.retire_train(opened.kit.train_named("wide").id)
    with opening.open_book(other) as opened:
        assert len(opened.kit.trains()) == 3
    assert len(list(cache.iterdir())) == 1
    assert {path.suffix for path in (tmp_path / "demos").iterdir()} == {".db"}


def test_an_older_season_leaves_the_cache(cache: Path, tmp_path: Path) -> None:
    cache.mkdir()
    (cache / "demo 0123456789abcdef.db").write_bytes(b"old")
    demo.fresh_demo(tmp_path / "demos")
    assert len(list(cache.iterdir())) == 1


def test_without_a_cache_it_is_built_beside(cache: Path, tmp_path: Path) -> None:
    cache.write_text("a file where the folder should be")
    path = demo.fresh_demo(tmp_path / "demos")
    assert book_state.look(path).condition is book_state.Condition.CURRENT


def test_a_book_is_never_overwritten(built: Path) -> None:
    with pytest.raises(BookRefused, match="already"):
        demo.build_demo(built)


def test_an_installed_program_finds_the_season_beside_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed = tmp_path / "site" / "logbook"
    (installed / "sample_db").mkdir(parents=True)
    monkeypatch.setattr(logbook, "__file__", str(installed / "__init__.py"))
    assert demo.sample_folder() == installed / "sample_db"
