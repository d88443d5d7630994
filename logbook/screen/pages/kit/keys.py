"""The keys of the Kit page, and what each does to the chosen train or part."""

from dataclasses import replace
from functools import partial

from logbook.kit.parts.part import Part, Train
from logbook.kit.train.sheet import Assumed
from logbook.records.entries import PartRecord, TrainRecord
from logbook.records.names import Sort
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.kit import list_filter
from logbook.screen.pages.kit.assumed import ReckonWith, keep_assumed
from logbook.screen.pages.kit.bench import Bench
from logbook.screen.pages.kit.history import part_history_lines, train_history_lines
from logbook.screen.pages.kit.jobs import CopyTrain, Rename, bring_back, name_of, retire
from logbook.screen.pages.kit.kit_forms import NewPart, NewTrain, SetValue
from logbook.screen.pages.kit.list import KitList, Record
from logbook.screen.pages.kit.part_form import PartForm
from logbook.screen.pages.kit.rings import RingFinder
from logbook.screen.pages.kit.sections import TrainSections, beside_lines, pair_rows
from logbook.screen.pages.kit.words import part_words
from logbook.screen.services import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import read_on, run_beside
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey, footer_words

_RETIRED = "It is retired; x brings it back."


def take_chosen(it: KitList) -> None:
    """Enter: use the train, in the night in progress too; open the form of the part."""
    chosen = it.chosen()
    if isinstance(chosen, PartRecord):
        change(it)
    elif chosen is None or chosen.retired:
        it.say(_RETIRED)
    elif it.desk.view.night is not None:
        it.page.app.query_one(EntryBar).enter(f"kit {chosen.train.name}")
    else:
        it.log(jobs.choose("train", chosen.train.name))


# --- parts ---


def new_part(it: KitList) -> None:
    def begun(part: Part | None) -> None:
        if part is not None:
            open_part(it, part, None)

    it.page.app.push_screen(NewPart(it.desk.taken_names("part")), begun)


def open_part(it: KitList, part: Part, record: PartRecord | None) -> None:
    today = it.desk.local(it.desk.clock()).date()
    taken = it.desk.taken_names("part", record.id if record else None)
    it.page.app.push_screen(PartForm(part, record, today, taken), it.log)


def set_value(it: KitList) -> None:
    record = it.chosen_part()
    if record is not None:
        today = it.desk.local(it.desk.clock()).date()
        it.page.app.push_screen(SetValue(record, today), it.log)


# --- trains ---


def new_train(it: KitList) -> None:
    def begun(answer: Job | Train | None) -> None:
        if isinstance(answer, Train):
            _open_bench(it, None, answer)
        else:
            it.log(answer)

    it.page.app.push_screen(NewTrain(it.desk), begun)


def what_if(it: KitList) -> None:
    record = it.chosen_train()
    if record is not None:
        _open_bench(it, record, record.train, only_trying=True)


def _open_bench(
    it: KitList, record: TrainRecord | None, draft: Train, *, only_trying: bool = False
) -> None:
    assumed = it.assumed_of(record) if record else it.assumed
    bench = Bench(it.desk, record, draft, assumed, only_trying=only_trying)
    it.page.app.push_screen(bench, it.log)


def find_rings(it: KitList) -> None:
    record = it.chosen_train()
    if record is None:
        return

    def on_the_bench(draft: Train | None) -> None:
        if draft is not None:
            _open_bench(it, record, draft)

    it.page.app.push_screen(RingFinder(record.train, it.shelf(), f"{record.id}"), on_the_bench)


def compare_trains(it: KitList) -> None:
    one = it.chosen_train()
    if one is None:
        return
    others = {each.train.name: each for each in it.desk.view.trains if each != one}

    def show(name: str | None) -> None:
        if name is not None:
            _show_beside(it, one, others[name])

    choices = [Choice(name, name, each.train.kind) for name, each in others.items()]
    if not choices:
        it.say("There is only one train; o copies it, c puts another one together.")
        return
    it.page.app.push_screen(Pick(f"Beside {one.train.name}", choices), show)


def _show_beside(it: KitList, one: TrainRecord, other: TrainRecord) -> None:
    columns = min(it.page.app.size.width, 76) - 6
    assumed = it.assumed_of(one), it.assumed_of(other)
    head, *lines = beside_lines(one.train, other.train, assumed, it.shelf(), columns)
    taught = it.learned.pairs(one, other, it.desk.view.parts) if it.learned else ()
    lines = [head, *pair_rows(taught, columns), *lines]
    it.page.app.push_screen(Sheet(f"{one.train.name} and {other.train.name}", lines))


def reckon(it: KitList) -> None:
    def answered(assumed: Assumed | None) -> None:
        if assumed is not None:
            it.log(keep_assumed(assumed))

    it.page.app.push_screen(ReckonWith(it.assumed), answered)


# --- the chosen one, part or train ---


def change(it: KitList) -> None:
    chosen = it.chosen()
    if chosen is not None and chosen.retired:
        it.say(_RETIRED)
    elif isinstance(chosen, PartRecord):
        open_part(it, chosen.part, chosen)
    elif chosen is not None:
        _open_bench(it, chosen, chosen.train)


def show_sheet(it: KitList) -> None:
    chosen = it.chosen()
    if isinstance(chosen, PartRecord):
        it.page.app.push_screen(Sheet(chosen.part.name, [part_words(chosen)]))
    elif chosen is not None:
        sections = TrainSections(chosen.train, it.shelf(), it.assumed_of(chosen))
        it.page.app.push_screen(sections)


def show_history(it: KitList) -> None:
    chosen = it.chosen()
    if chosen is not None:
        run_beside(it.page, partial(_read_history, it, chosen), "kit history")


def _read_history(it: KitList, record: Record) -> None:
    book, zone = it.desk.book, it.desk.zone
    if book is None:
        return
    if isinstance(record, TrainRecord):
        lines = train_history_lines(book.kit.train_history(record.id), zone)
    else:
        lines = part_history_lines(book.kit.part_history(record.id), zone)
    heading = f"History of {name_of(record)}"
    it.page.call_later(lambda: it.page.app.push_screen(Sheet(heading, lines)))


def rename(it: KitList) -> None:
    chosen = it.chosen()
    if chosen is None:
        return
    if chosen.retired:
        it.say(_RETIRED)
        return
    sort: Sort = "train" if isinstance(chosen, TrainRecord) else "part"
    taken = it.desk.taken_names(sort, chosen.id)
    it.page.app.push_screen(Rename(chosen, taken), it.log)


def copy(it: KitList) -> None:
    chosen = it.chosen()
    if isinstance(chosen, TrainRecord):
        it.page.app.push_screen(CopyTrain(chosen, it.desk.taken_names("train")), it.log)
    elif chosen is not None:
        open_part(it, replace(chosen.part, name=""), None)


def retire_or_bring_back(it: KitList) -> None:
    chosen = it.chosen()
    if chosen is None:
        return
    if chosen.retired:
        it.log(bring_back(chosen))
        return

    def answered(answer: str | None) -> None:
        if answer == "retire":
            it.log(retire(chosen))

    choices = [
        Choice("keep", "leave it where it is"),
        Choice("retire", "retire it", "out of every list; old nights keep it"),
    ]
    it.page.app.push_screen(Pick(f"Retire {name_of(chosen)}?", choices), answered)


def _asks_bring_back(it: KitList) -> str:
    chosen = it.chosen()
    return f"bring {name_of(chosen)} back" if chosen is not None and chosen.retired else ""


# --- the list ---


def choose_shown(it: KitList) -> None:
    choices = list_filter.choices(it.desk.view.parts, it.desk.view.trains)
    intro = "A kind and a state may be chosen one after the other."
    it.page.app.push_screen(Pick("Show", choices, intro), it.show)


KIT_KEYS: KeyTable = (
    KeyRow("Enter", "use the chosen train; open the form of the chosen part"),
    KeyRow(
        "n c",
        "write down a part; put parts together as a train",
        PageKey("n", "Write down a part you have or wish for", new_part, "n part"),
        PageKey("c", "Put parts together as a train", new_train, "c train"),
    ),
    KeyRow(
        "e o x",
        "change the chosen one; copy it; retire it or bring it back",
        PageKey("e", "Change the chosen train or part", change, "e change"),
        PageKey("o", "Another one like the chosen one", copy),
        PageKey(
            "x",
            "Retire the chosen one, or bring it back",
            retire_or_bring_back,
            asks=_asks_bring_back,
        ),
    ),
    KeyRow(
        "m",
        "another name for the chosen one, on past nights too",
        PageKey("m", "Give the chosen one another name", rename),
    ),
    KeyRow(
        "v",
        "set one stated or measured value of the chosen part",
        PageKey("v", "Set one value of the chosen part", set_value),
    ),
    KeyRow(
        "s b",
        "the whole sheet of the train, with drawings; two trains side by side",
        PageKey("s", "Everything the chosen train does, with drawings", show_sheet, "s sheet"),
        PageKey("b", "The chosen train and another side by side", compare_trains, "b beside"),
    ),
    KeyRow(
        "w",
        "what if: every number before and after, nothing kept",
        PageKey("w", "Try a change of the train, keeping nothing", what_if, "w what if"),
    ),
    KeyRow(
        "r",
        "which rings come nearest to the wanted length, and what to buy",
        PageKey("r", "Which owned rings come nearest to a length", find_rings, "r rings"),
    ),
    KeyRow(
        "h",
        "its history: what changed, when and why",
        PageKey("h", "What became of the chosen one, and why", show_history),
    ),
    KeyRow(
        "f",
        "list one kind, one state, the wish list, the retired; Escape: everything",
        PageKey("f", "List one kind or state, the wish list, the retired", choose_shown, "f show"),
        PageKey("escape", "List everything again", lambda it: it.show("all")),
    ),
    KeyRow(
        "a",
        "seeing, payload share and warmth that the sheets reckon with",
        PageKey("a", "Seeing, payload share and so on", reckon),
    ),
    KeyRow(
        "space",
        "the rest of what is told of the chosen one",
        PageKey(
            "space",
            "The rest of what is told of the chosen one",
            lambda it: read_on(it.page, "#kit-what"),
        ),
    ),
)

KEY_WORDS = f"{footer_words(KIT_KEYS, 'nceswrbf', '  ')}  F1"
