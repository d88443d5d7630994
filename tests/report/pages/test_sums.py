"""Every page that says what was exposed says the same, as summed here from the bare rows."""

import re
import sqlite3
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from logbook import cli
from logbook.kit.parts.part import STATED, Part, Value
from logbook.records.entries import Frames, NewEntry, TargetCopy
from logbook.report.render.keys import PageKey
from logbook.sky.night.site import Site
from logbook.store.demo.demo import fresh_demo
from logbook.store.opening import make_book, open_book
from tests.report.documents import as_text, read_document

STANDING = """
    SELECT e.id, e.night_id, n.local_date, e.kind, e.action, o.name, e.train_revision_id,
           f.frame_type, f.count, f.exposure_s
    FROM entry e
    LEFT JOIN night n ON n.id = e.night_id
    LEFT JOIN target o ON o.id = e.target_id
    LEFT JOIN frames f ON f.entry_id = e.id
    WHERE e.kind <> 'withdrawn'
      AND e.id NOT IN (SELECT supersedes_id FROM entry WHERE supersedes_id IS NOT NULL)
    ORDER BY e.night_id, e.happened_utc, e.id
"""


@dataclass
class Sum:
    entries: int = 0
    turns: int = 0
    frames: int = 0
    seconds: float = 0.0
    nights: set[int] = field(default_factory=set)

    @property
    def exposed(self) -> str:
        """`2 h 06 min`: minutes, half a one rounded up."""
        hours, minutes = divmod(int((self.seconds + 30) // 60), 60)
        return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


class Sums:
    """By night's date, by object, by year, by (year, object), by train's name."""

    def __init__(self, path: Path) -> None:
        self.nights: dict[str, Sum] = defaultdict(Sum)
        self.objects: dict[str, Sum] = defaultdict(Sum)
        self.of_nights: dict[tuple[str, str], Sum] = defaultdict(Sum)
        self.years: dict[str, Sum] = defaultdict(Sum)
        self.of_years: dict[tuple[str, str], Sum] = defaultdict(Sum)
        self.trains: dict[str, Sum] = defaultdict(Sum)
        connection = sqlite3.connect(path)
        trains = dict(
            connection.execute(
                "SELECT r.id, t.name FROM train_revision r JOIN train t ON t.id = r.train_id"
            )
        )
        rows = connection.execute(STANDING).fetchall()
        connection.close()
        ran: dict[int, str | None] = {}
        for _, night_id, day, kind, action, name, revision, frame_type, count, exposure_s in rows:
            if night_id is None:
                continue
            self.nights[day].entries += 1
            self.nights[day].turns += kind == "turn"
            if kind == "object":
                ran[night_id] = name if action == "start" else None
            if frame_type != "light":
                continue
            of = name or ran.get(night_id)
            into = [self.nights[day], self.years[day[:4]]]
            into += [self.trains[trains[revision]]] if revision else []
            if of:
                into += [self.objects[of], self.of_years[day[:4], of], self.of_nights[day, of]]
            for each in into:
                each.frames += count
                each.seconds += count * exposure_s
                each.nights.add(night_id)


@pytest.fixture(scope="module", params=["demo", "odd"])
def path(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sums")
    return fresh_demo(folder) if request.param == "demo" else odd_book(folder / "odd.db")


FIRST = datetime(2025, 12, 30, 18, tzinfo=UTC)
GALAXY = TargetCopy("NGC0224", "M 31", "galaxy", 10.6847, 41.2691)
NEBULA = TargetCopy("NGC1976", "M 42", "nebula", 83.8221, -5.3911)


def odd_book(path: Path) -> Path:
    """Two nights about the turn of a year: frames before, during and without a run, darks,
    corrected, withdrawn and half-minute ones, and a train changed in the night."""
    make_book(path)
    with open_book(path, clock=lambda: FIRST + timedelta(days=3)) as book:
        site = book.sites.add(Site("Skerry", 52.0, -3.0, 5.0, "UTC"))
        size = Value("focal_length_mm", STATED, 1000.0)
        parts = [book.kit.add_part(Part(name, "telescope", (size,))) for name in ("Long", "Wide")]
        trains = [
            book.kit.add_train(name, "visual", (part.id,))
            for name, part in zip(("long", "wide"), parts, strict=True)
        ]
        for day in (0, 2):
            begun = FIRST + timedelta(days=day)
            night = book.nights.start(site.id, trains[0].id, "", begun)
            for entry in odd_entries(begun, "wide"):
                record = book.timeline.keep(night.id, entry)
                if entry.text == "wrong":
                    right = Frames(9, 90.0)
                    book.timeline.correct(record.id, replace(entry, text="right", frames=right))
                if entry.text == "not taken":
                    book.timeline.withdraw(record.id)
            book.nights.end(night.id, begun + timedelta(hours=2))
    return path


def odd_entries(begun: datetime, other_train: str) -> Iterator[NewEntry]:
    def light(
        minutes: int, count: int, seconds: float, target: TargetCopy | None = None, text: str = "l"
    ) -> NewEntry:
        at, frames = begun + timedelta(minutes=minutes), Frames(count, seconds)
        return NewEntry("frames", at, text, target=target, frames=frames)

    yield light(10, 3, 45.0)
    started = begun + timedelta(minutes=20)
    yield NewEntry("object", started, "start", action="start", target=GALAXY)
    yield light(30, 7, 90.0)
    yield light(31, 99, 90.0, text="wrong")
    yield light(32, 50, 60.0, GALAXY, text="not taken")
    yield replace(light(33, 1, 1.0), frames=Frames(20, 300.0, frame_type="dark"))
    yield light(34, 11, 30.0, NEBULA)
    changed = begun + timedelta(minutes=35)
    yield NewEntry("kit", changed, "train wide", train_name=other_train)
    yield light(36, 5, 30.0)
    yield NewEntry("object", begun + timedelta(minutes=40), "stop", action="stop")
    yield light(40, 1, 30.0)
    yield light(50, 13, 600.0, GALAXY)


@pytest.fixture(scope="module")
def sums(path: Path) -> Sums:
    return Sums(path)


@pytest.fixture(scope="module")
def told(path: Path) -> Iterator[Callable[[str, str], str]]:
    with open_book(path, read_only=True) as book:
        yield lambda kind, name: as_text(read_document(book, PageKey(kind, name)))


Told = Callable[[str, str], str]


@pytest.mark.slow
def test_the_list_of_nights_and_each_night(
    path: Path, told: Told, sums: Sums, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["nights", "--book", str(path)]) == 0
    listed = dict(line.split(" ", 1) for line in capsys.readouterr().out.splitlines())
    assert set(listed) >= set(sums.nights)
    for day, each in sums.nights.items():
        assert f"{each.frames} frames, {each.exposed}" in listed[day]
        assert f"{each.entries} entries" in listed[day]
        page = told("night", day)
        exposed = f", {each.exposed} exposed" if each.seconds else ""
        turned = f", {each.turns} screw turn{'s' if each.turns > 1 else ''}" if each.turns else ""
        frames = f"{each.frames} frame{'' if each.frames == 1 else 's'}"
        said = " ".join(page.split())
        assert f"{frames}{exposed}{turned}." in said


def test_the_objects_of_each_night(told: Told, sums: Sums) -> None:
    for (day, name), each in sums.of_nights.items():
        page = told("night", day).split("Exposed by filter")[0]
        first = name.split()[0]
        assert re.search(rf"^{first}.* {each.frames} +{each.exposed}", page, re.MULTILINE), name


def test_each_object(told: Told, sums: Sums) -> None:
    for name, each in sums.objects.items():
        page = told("object", name)
        assert re.search(rf"exposed +{each.exposed} in ", page), name
        if len(each.nights) > 1 and "Exposed in all" in page:
            assert f"{each.exposed} in {len(each.nights)} night" in page or "in all" in page


def test_each_year_and_its_objects(told: Told, sums: Sums) -> None:
    for year, each in sums.years.items():
        page = told("year", year)
        assert re.search(rf"exposed +{each.exposed}, {each.frames} frames", page)
    for (year, name), each in sums.of_years.items():
        page = told("year", year).split("\nObjects\n")[1]
        assert re.search(rf"^{re.escape(name)} +\d+ +{each.exposed}$", page, re.MULTILINE), name


def test_each_train(told: Told, sums: Sums) -> None:
    for name, each in sums.trains.items():
        page = told("train", name).split("\nExposed\n")[1]
        rows = re.findall(r"^.* (\d+) +((?:\d+ h )?\d+ min)$", page.split("\n\n")[0], re.MULTILINE)
        assert sum(int(frames) for frames, _ in rows) == each.frames
        if len(rows) == 1:
            assert rows[0][1] == each.exposed
