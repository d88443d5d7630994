"""What is renamed is shown under today's name in old nights, and found by both names."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select

from logbook.entryline.context import Understood
from logbook.entryline.format import spell
from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, NightRecord, TargetCopy, UpkeepDone
from logbook.records.search import Wanted
from logbook.report.pages.object import filter_sums
from logbook.report.render.keys import PageKey
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.import_book import import_book
from logbook.store.night_context import read_night_context, understand_in
from logbook.store.opening import open_book
from logbook.store.tables.former_names import former_names
from logbook.store.tables.models import FormerNameRow
from tests.clock import EVENING, Clock
from tests.report.documents import read_document

M31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)


@pytest.fixture(autouse=True)
def over(book: Book, clock: Clock) -> NightRecord:
    """A night with a kit change, frames through Ha and upkeep of the tube, under the old names."""
    site = book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
    tube = book.kit.add_part(Part("Long Tube", "telescope"))
    ha = book.kit.add_part(Part("Ha", "filter"))
    first = book.kit.add_train("First train", "camera", (tube.id, ha.id))
    book.choices.put("site", "Mill Hill")
    book.choices.put("train", "First train")
    book.projects.add(M31, "Ha", 10.0)
    night = book.nights.start(site.id, first.id, "R. Quill", EVENING)
    for entry in (
        NewEntry("kit", EVENING, "kit First train", train_name="First train"),
        NewEntry("object", EVENING, "start m31", "start", M31),
        _frames("Ha"),
        NewEntry(
            "upkeep", EVENING, "upkeep Long Tube: rinsed", upkeep=UpkeepDone("rinsed", "Long Tube")
        ),
    ):
        at = clock.forward(minutes=5)
        book.timeline.keep(night.id, replace(entry, happened_utc=at))
    clock.forward(hours=3)
    return book.nights.end(night.id, clock.now)


def _frames(filter_name: str) -> NewEntry:
    text = f"20 x 180s {filter_name}"
    return NewEntry("frames", EVENING, text, target=M31, frames=Frames(20, 180.0, filter_name))


def part_id(book: Book, name: str) -> int:
    return book.kit.part_named(name).id


def rename_all(book: Book, clock: Clock) -> None:
    clock.forward(days=300)
    book.kit.rename_train(book.kit.train_named("First train").id, "Native f/8")
    book.kit.rename_part(part_id(book, "Long Tube"), "Old Faithful")
    book.kit.rename_part(part_id(book, "Ha"), "Ha 7nm")
    site = book.sites.named("Mill Hill")
    book.sites.revise(site.id, replace(site.site, name="Windmill"))


def test_an_old_night_shows_the_names_of_today(book: Book, over: NightRecord, clock: Clock) -> None:
    rename_all(book, clock)
    night = book.nights.get(over.id)
    assert night.site.name == "Windmill"
    assert night.train is not None
    assert night.train.train.name == "Native f/8"
    assert [each.name for each in night.train.train.parts] == ["Old Faithful", "Ha 7nm"]
    told = [spell(each.content) for each in book.timeline.of_night(over.id)]
    assert told[0].startswith("now with Native f/8")
    assert "Ha 7nm" in told[2]
    assert "Old Faithful" in told[3]
    paper = str(read_document(book, PageKey("night", "", over.id)))
    for name in ("Windmill", "Native f/8", "Ha 7nm", "Old Faithful"):
        assert name in paper
    for name in ("First train", "Mill Hill"):
        assert name not in paper


def test_what_was_typed_stays_as_typed(book: Book, over: NightRecord, clock: Clock) -> None:
    before = [each.content.text for each in book.timeline.of_night(over.id)]
    rename_all(book, clock)
    assert [each.content.text for each in book.timeline.of_night(over.id)] == before


def test_the_history_of_a_part_tells_its_former_name(book: Book, clock: Clock) -> None:
    rename_all(book, clock)
    names = [each.part.name for each in book.kit.part_history(part_id(book, "Old Faithful"))]
    assert names == ["Long Tube", "Old Faithful"]


def test_old_and_new_names_both_name_it(book: Book, clock: Clock) -> None:
    rename_all(book, clock)
    for name in ("first TRAIN", "Native f/8"):
        assert book.kit.train_named(name).train.name == "Native f/8"
    for name in ("Long Tube", "Old Faithful"):
        assert book.kit.part_named(name).part.name == "Old Faithful"
        assert len(book.upkeep.history(name)) == 1
    for name in ("Mill Hill", "Windmill"):
        assert book.sites.named(name).site.name == "Windmill"
    with pytest.raises(NotFound):
        book.kit.train_named("Second train")


def test_the_chosen_site_and_train_stay_chosen(book: Book, clock: Clock) -> None:
    rename_all(book, clock)
    assert book.choices.get("site") == "Windmill"
    assert book.choices.get("train") == "Native f/8"


@pytest.mark.parametrize("what", ["part", "train", "site"])
def test_a_rename_that_is_taken_back_leaves_no_former_name(
    book: Book, clock: Clock, what: str
) -> None:
    clock.forward(days=300)
    if what == "part":
        book.kit.rename_part(part_id(book, "Long Tube"), "Tube")
    elif what == "train":
        book.kit.rename_train(book.kit.train_named("First train").id, "Tube")
    else:
        site = book.sites.named("Mill Hill")
        book.sites.revise(site.id, replace(site.site, name="Tube"))
    with book._sessions.reading() as session:
        assert len(former_names(session)) == 1
    book.units.take_back()
    with book._sessions.reading() as session:
        assert former_names(session) == ()
        assert session.scalar(select(func.count()).select_from(FormerNameRow)) == 0
    assert book.kit.renamed() == ()
    book.units.do_again()
    with book._sessions.reading() as session:
        (again,) = former_names(session)
    assert (again.what, again.now) == (what, "Tube")


def test_a_taken_name_is_refused_and_nothing_changes(book: Book) -> None:
    other = book.kit.add_part(Part("Short Tube", "telescope"))
    train = book.kit.add_train("Second", "camera", (other.id,))
    with pytest.raises(BadInput, match="First train is taken"):
        book.kit.rename_train(train.id, "first train")
    with pytest.raises(BadInput, match="Long Tube is taken"):
        book.kit.rename_part(other.id, "long tube")
    assert book.kit.renamed() == ()


def test_a_name_given_up_may_be_given_to_another(book: Book, clock: Clock) -> None:
    rename_all(book, clock)
    added = book.kit.add_part(Part("Long Tube", "telescope"))
    assert book.kit.part_named("Long Tube").id == added.id
    train = book.kit.add_train("First train", "camera", (added.id,))
    assert book.kit.train_named("First train").id == train.id


def test_a_name_taken_up_again_is_no_former_one(book: Book, clock: Clock) -> None:
    train_id = book.kit.train_named("First train").id
    book.kit.rename_train(train_id, "Native f/8")
    clock.forward(minutes=1)
    book.kit.rename_train(train_id, "First train")
    assert book.kit.renamed() == (("Native f/8", "First train"),)


@pytest.mark.parametrize(
    ("words", "texts"),
    [
        ("first train", ["kit First train"]),
        ("native f/8", ["kit First train"]),
        ("long tube rinsed", ["upkeep Long Tube: rinsed"]),
        ("old faithful rinsed", ["upkeep Long Tube: rinsed"]),
        ("rinsed old faithful", ["upkeep Long Tube: rinsed"]),
        ("180s ha", ["20 x 180s Ha"]),
        ("180s ha 7nm", ["20 x 180s Ha"]),
        ("native f/9", []),
    ],
)
def test_a_search_finds_lines_by_both_names(
    book: Book, clock: Clock, words: str, texts: list[str]
) -> None:
    rename_all(book, clock)
    found = book.search.find(Wanted(words))
    assert [each.text for each in found.hits] == texts


@pytest.mark.parametrize(
    ("words", "kind", "name"),
    [
        ("first train", "train", "Native f/8"),
        ("native", "train", "Native f/8"),
        ("mill hill", "site", "Windmill"),
        ("windmill", "site", "Windmill"),
        ("long tube", "part", "Old Faithful"),
    ],
)
def test_a_search_finds_the_thing_itself_by_both_names(
    book: Book, clock: Clock, words: str, kind: str, name: str
) -> None:
    rename_all(book, clock)
    elsewhere = book.search.find(Wanted(words)).elsewhere
    assert (kind, name) in [(each.kind, each.name) for each in elsewhere]


@pytest.mark.parametrize("name", ["First train", "Native f/8"])
def test_a_search_is_narrowed_by_both_names(book: Book, clock: Clock, name: str) -> None:
    rename_all(book, clock)
    assert len(book.search.find(Wanted("start", train_name=name)).hits) == 1


@pytest.mark.parametrize("name", ["Long Tube", "Old Faithful"])
def test_a_search_is_narrowed_by_both_names_of_a_part(book: Book, clock: Clock, name: str) -> None:
    rename_all(book, clock)
    assert len(book.search.find(Wanted("rinsed", part_name=name)).hits) == 1


def typed(book: Book, over: NightRecord, line: str) -> Understood:
    context = read_night_context(book, over.id)
    return understand_in(context, line, EVENING + timedelta(days=400), {"m31": M31}.get)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("at 22:00 kit first train", "Native f/8, called First train before"),
        ("at 22:00 10 x 60s Ha", "Ha 7nm, called Ha before"),
        ("at 22:00 upkeep Long Tube: dusted", "Old Faithful, called Long Tube before"),
    ],
)
def test_the_entry_line_takes_an_old_name_and_says_so(
    book: Book, over: NightRecord, clock: Clock, line: str, said: str
) -> None:
    rename_all(book, clock)
    understood = typed(book, over, line)
    assert understood.entry is not None
    assert said in understood.said


def light_by_filter(book: Book) -> dict[str, int]:
    revisions = {
        each.revision_id for one in book.kit.trains() for each in book.kit.train_history(one.id)
    }
    sums: dict[str, int] = {}
    for each in book.past.light_through(revisions):
        sums[each.filter_name] = sums.get(each.filter_name, 0) + each.frames
    return sums


def test_sums_by_filter_stay_together_under_the_name_of_today(
    book: Book, over: NightRecord, clock: Clock
) -> None:
    assert light_by_filter(book) == {"Ha": 20}
    assert book.holdings.all()["NGC0224"].hours_by_filter == (("Ha", 1.0),)
    rename_all(book, clock)
    book.timeline.keep(over.id, replace(_frames("Ha 7nm"), happened_utc=EVENING))
    assert light_by_filter(book) == {"Ha 7nm": 40}
    assert book.holdings.all()["NGC0224"].hours_by_filter == (("Ha 7nm", 2.0),)
    ((target_id, _),) = book.past.copies()
    exposed = book.past.frames_of_target(target_id)
    assert [(each.filter_name, each.frames) for each in filter_sums(exposed)] == [("Ha 7nm", 40)]
    (project,) = book.projects.all()
    assert (project.filter_name, project.held_hours) == ("Ha 7nm", 2.0)


def test_frames_through_a_new_filter_of_the_old_name_are_its_own(
    book: Book, over: NightRecord, clock: Clock
) -> None:
    rename_all(book, clock)
    clock.forward(days=1)
    book.kit.add_part(Part("Ha", "filter"))
    clock.forward(days=1)
    book.timeline.keep(over.id, replace(_frames("Ha"), happened_utc=EVENING))
    assert light_by_filter(book) == {"Ha": 20, "Ha 7nm": 20}
    names = [
        each.content.frames.filter_name
        for each in book.timeline.of_night(over.id)
        if each.content.frames
    ]
    assert sorted(filter(None, names)) == ["Ha", "Ha 7nm"]


def test_an_export_and_its_import_know_the_former_names(
    book: Book, clock: Clock, tmp_path: Path
) -> None:
    rename_all(book, clock)
    book.export(tmp_path / "out")
    rows = (tmp_path / "out" / "tables" / "former_name.csv").read_text(encoding="utf-8")
    assert "First train" in rows
    assert "Mill Hill" in rows
    frames = (tmp_path / "out" / "frames.ecsv").read_text(encoding="utf-8")
    assert '"Ha 7nm"' in frames
    assert "Native f/8" in frames
    import_book(tmp_path / "out", tmp_path / "again.db")
    with open_book(tmp_path / "again.db", read_only=True) as again:
        assert again.kit.train_named("First train").train.name == "Native f/8"
        assert again.sites.named("Mill Hill").site.name == "Windmill"
        assert again.kit.part_named("Ha").part.name == "Ha 7nm"
        assert again.findings() == ()
