"""The keys of the Upkeep page, and what each does with the chosen rule."""

from datetime import timedelta

from logbook.records.upkeep import Due
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.pages.upkeep import jobs
from logbook.screen.pages.upkeep.forms import DoneForm, PutOffForm, RuleForm
from logbook.screen.pages.upkeep.history import UpkeepHistory
from logbook.screen.pages.upkeep.list import UpkeepList
from logbook.screen.pages.upkeep.typed import noon_of
from logbook.screen.pages.upkeep.wishes import WishSheet
from logbook.screen.widgets.page import read_on
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey, footer_words

_PAUSES = (("week", "a week", 7), ("month", "a month", 30), ("season", "three months", 91))


def log_done(it: UpkeepList) -> None:
    it.page.app.push_screen(DoneForm(it.desk, it.chosen), it.log)


def put_off(it: UpkeepList) -> None:
    due = it.chosen_or_say()
    if due is None:
        return
    now = it.desk.local(it.desk.clock())
    choices = [
        Choice(answer, name, f"until {now + timedelta(days=days):%a %d %b %Y}")
        for answer, name, days in _PAUSES
    ]
    choices.append(Choice("date", "till a date", "you type it"))
    if due.snoozed_until_utc is not None:
        choices.insert(0, Choice("now", "take it up again", "it counts from now on"))
    pick = Pick(f"Put off: {due.name}", choices)
    it.page.app.push_screen(pick, lambda answer: _put_off_till(it, due, answer))


def _put_off_till(it: UpkeepList, due: Due, answer: str | None) -> None:
    if answer == "date":
        it.page.app.push_screen(PutOffForm(it.desk, due), it.log)
    elif answer == "now":
        it.log(jobs.take_up(due))
    elif answer is not None:
        days = next(days for name, _, days in _PAUSES if name == answer)
        day = (it.desk.local(it.desk.clock()) + timedelta(days=days)).date()
        it.log(jobs.put_off(due, noon_of(it.desk, day), f"{day}"))


def new_rule(it: UpkeepList) -> None:
    _open_rule(it, None)


def change_rule(it: UpkeepList) -> None:
    due = it.chosen_or_say()
    if due is not None:
        _open_rule(it, due)


def _open_rule(it: UpkeepList, due: Due | None) -> None:
    it.page.app.push_screen(RuleForm(it.desk, due, it.found or ()), it.log)


def retire_rule(it: UpkeepList) -> None:
    due = it.chosen_or_say()
    if due is None:
        return

    def answered(answer: str | None) -> None:
        if answer == "retire":
            it.log(jobs.retire_rule(due))

    choices = [
        Choice("keep", "leave it as it is"),
        Choice("retire", "retire it", "it falls due no more; what was done stays"),
    ]
    it.page.app.push_screen(Pick(f"Retire the rule {due.name}?", choices), answered)


def history_of_part(it: UpkeepList) -> None:
    chosen = it.chosen
    _open_history(it, chosen.record.rule.part_name if chosen else None)


def history_of_all(it: UpkeepList) -> None:
    _open_history(it, None)


def _open_history(it: UpkeepList, part_name: str | None) -> None:
    it.page.app.push_screen(UpkeepHistory(it.desk, part_name))


def wishes(it: UpkeepList) -> None:
    it.page.app.push_screen(WishSheet(it.desk))


UPKEEP_KEYS: KeyTable = (
    KeyRow(
        "d Enter",
        "keep what was done: words, when, time, cost, before, after, photo",
        PageKey("d", "Keep what was done, for the chosen rule or without", log_done, "d done"),
    ),
    KeyRow(
        "o",
        "put the chosen rule off for a week, a month, till a date; or take it up again",
        PageKey("o", "Put the chosen rule off, or take it up again", put_off, "o put off"),
    ),
    KeyRow(
        "n e x",
        "set a rule; change the chosen one; retire it",
        PageKey("n", "Set a rule by which work falls due", new_rule, "n rule"),
        PageKey("e", "Change the chosen rule", change_rule, "e change"),
        PageKey("x", "Retire the chosen rule", retire_rule, "x retire"),
    ),
    KeyRow(
        "h a",
        "what was done to the part of the chosen rule; to everything, year by year",
        PageKey("h", "What was done to the part, year by year", history_of_part, "h history"),
        PageKey("a", "What was done to everything", history_of_all),
    ),
    KeyRow(
        "w",
        "the wish list with prices, and small hardware with its sizes",
        PageKey("w", "The wish list, small hardware and its sizes", wishes, "w wishes"),
    ),
    KeyRow(
        "space",
        "the rest of what is told of the chosen rule",
        PageKey(
            "space",
            "The rest of what is told of the chosen rule",
            lambda it: read_on(it.page, "#upkeep-what"),
        ),
    ),
)

KEY_WORDS = f"{footer_words(UPKEEP_KEYS, 'donexhw', '  ')}  F1"
