"""What was done to one part or to everything, newest first, with the sums of each year."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.commands.upkeep_cmd import NOTHING_DONE
from logbook.entryline.format import counted
from logbook.errors import NotFound
from logbook.records.entries import EntryRecord
from logbook.records.photo_path import photo_remark
from logbook.records.upkeep import Due
from logbook.report.words.upkeep_words import (
    YearOfUpkeep,
    by_year,
    entry_words,
    percent,
    rule_words,
)
from logbook.screen.dialogs.live_sheet import ListSheet, save, set_words
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.pages.upkeep.forms import DoneForm
from logbook.screen.services import jobs
from logbook.screen.services.services import Desk

Row = YearOfUpkeep | EntryRecord


@dataclass(frozen=True, slots=True)
class Found:
    """Years, each followed by what was done in it; the rules of the part; photos not there."""

    rows: tuple[Row, ...]
    rules: tuple[Due, ...]
    missing: dict[int, str]


class UpkeepHistory(ListSheet[Found]):
    """part_name -- whose upkeep; None for everything."""

    KEY_WORDS = "p part   a everything   e correct   x take out   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "part", "Part", tooltip="The upkeep of another part"),
        Binding("a", "everything", "Everything", tooltip="The upkeep of everything"),
        Binding("e", "correct", "Correct", tooltip="Correct the chosen entry"),
        Binding("x", "take_out", "Take out", tooltip="Take the chosen entry out"),
    ]

    def __init__(self, desk: Desk, part_name: str | None) -> None:
        super().__init__(desk, _heading(part_name))
        self._part_name = part_name

    def work_out(self) -> Found:
        book, name = self.desk.book, self._part_name
        if book is None:
            return Found((), (), {})
        try:
            history = book.upkeep.history(name)
        except NotFound:  # a part that was retired or renamed meanwhile
            history = ()
        rules = book.upkeep.due(self.desk.clock())
        rows: list[Row] = []
        for year in by_year(history, self.desk.zone):
            rows += [year, *year.entries]
        own = tuple(each for each in rules if name is None or each.record.rule.part_name == name)
        return Found(tuple(rows), own, _missing(history))

    def top_words(self, found: Found) -> Text:
        years = [each for each in found.rows if isinstance(each, YearOfUpkeep)]
        if not years:
            return Text(f"{NOTHING_DONE}{_rules_words(found, self._part_name)}")
        times = sum(len(each.entries) for each in years)
        cost = sum(each.cost for each in years)
        words = f"{counted(times, 'time')} in all, cost {cost:.2f}."
        return Text(words + _rules_words(found, self._part_name))

    def rows(self, found: Found) -> list[Text]:
        return [_row(self.desk, each) for each in found.rows]

    def about_words(self, found: Found, place: int) -> Text:
        row = found.rows[place]
        if isinstance(row, YearOfUpkeep):
            unpriced = sum(
                each.content.upkeep is not None and each.content.upkeep.cost is None
                for each in row.entries
            )
            return Text(f"{row.words}; {unpriced} of them without a cost.")
        words = Text(entry_words(row, self.desk.zone))
        if row.id in found.missing:
            words.append(f" ({found.missing[row.id]})")
        where = "in a night" if row.night_id is not None else "by day"
        words.append(f"\nas typed, {where}: {row.content.text}", style="italic")
        return words

    # --- keys ---

    @property
    def _entry(self) -> EntryRecord | None:
        if self.found is None or self.listed.place is None:
            return None
        row = self.found.rows[self.listed.place]
        return row if isinstance(row, EntryRecord) else None

    def _show(self, part_name: str | None) -> None:
        self._part_name, self.heading = part_name, _heading(part_name)
        self.listed.bring(0)
        set_words(self, "#live-about", Text(""))
        self.work_again()

    def action_everything(self) -> None:
        self._show(None)

    def action_part(self) -> None:
        parts = sorted(self.desk.view.parts, key=lambda each: each.part.name.casefold())
        choices = [Choice(each.part.name, each.part.name, each.part.kind) for each in parts]

        def show(answer: str | None) -> None:
            if answer is not None:
                self._show(answer)

        if choices:
            self.app.push_screen(Pick("Upkeep of", choices), show)
        else:
            self.say("There are no parts yet; F5, then n, writes one down.")

    def action_correct(self) -> None:
        if self._entry is not None:
            self.app.push_screen(DoneForm(self.desk, record=self._entry), partial(save, self))

    def action_take_out(self) -> None:
        entry = self._entry
        if entry is None:
            return

        def do(answer: str | None) -> None:
            if answer == "out":
                save(self, jobs.withdraw_entry(entry.id))

        choices = [
            Choice("keep", "leave it where it is"),
            Choice("out", "take it out", "its text is kept in the history"),
        ]
        self.app.push_screen(Pick("Take this out?", choices, entry.content.text[:200]), do)


def _row(desk: Desk, row: Row) -> Text:
    if isinstance(row, YearOfUpkeep):
        return Text(row.words, style="bold reverse")
    return Text(f"  {entry_words(row, desk.zone)}", no_wrap=True)


def _heading(part_name: str | None) -> str:
    return f"Upkeep of {part_name or 'everything'}, newest first"


def _rules_words(found: Found, part_name: str | None) -> str:
    """The rules of one part; of everything they stand on the page."""
    if part_name is None:
        return ""
    told = [
        f"{each.record.rule.action} {rule_words(each.record.rule)} ({percent(each.share)})"
        for each in found.rules
    ]
    return f" Rules: {'; '.join(told) or 'none'}."


def _missing(history: Sequence[EntryRecord]) -> dict[int, str]:
    """What to say of photos that are not there, by entry."""
    paths = ((each.id, each.content.upkeep.photo_path) for each in history if each.content.upkeep)
    said = ((entry_id, photo_remark(path)) for entry_id, path in paths if path)
    return {entry_id: words for entry_id, words in said if words}
