"""The keys of the Choose page: what each does, for the page, the help and the palette."""

from collections.abc import Awaitable
from dataclasses import replace
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

from logbook.screen.dialogs.start_object import start_object
from logbook.screen.pages.choose import jobs as choose_jobs
from logbook.screen.pages.choose import sheets
from logbook.screen.pages.choose.limits import SaveLimits
from logbook.screen.pages.choose.list import ChooseList
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.words import pick_question
from logbook.screen.services import jobs
from logbook.screen.widgets.page_keys import KeyRow, KeyTable, PageKey

if TYPE_CHECKING:
    from logbook.records.choosing import LimitSetRecord
    from logbook.screen.services.run_job import Job
    from logbook.sky.limits.limits import Limits

# --- the chosen object ---


def begin_start(it: ChooseList) -> None:
    """Enter: begin the line that starts the chosen object; ask where another one runs."""
    found = it.chosen()
    if found is not None:
        start_object(it.page.app, it.desk, found.object_id)


def plan(it: ChooseList) -> None:
    found = it.chosen()
    if found is not None:
        it.log(pick(it.desk, found.object_id))


def _asks_plan(it: ChooseList) -> str:
    found = it.chosen()
    return pick_question(it.desk, found.object_id, found.name) if found is not None else ""


# --- limits ---


def change_altitude(it: ChooseList, step_deg: float) -> None:
    limits = it.desk.limits
    wanted = min(85.0, max(0.0, limits.min_altitude_deg + step_deg))
    it.use(replace(limits, min_altitude_deg=wanted))


def change_moon(it: ChooseList, step_deg: float) -> None:
    limits = it.desk.limits
    wanted = min(180.0, max(0.0, limits.min_moon_separation_deg + step_deg))
    it.use(replace(limits, min_moon_separation_deg=wanted))


def type_limits(it: ChooseList) -> None:
    it.limits_before = it.desk.limits
    it.limits_line.open(it.desk.limits)
    it.page.add_class("-typing")


def use_typed(it: ChooseList, limits: "Limits") -> None:
    _close_limits(it)
    it.use(limits)
    it.log(it.limits_line.saved_with(choose_jobs.use_limits(limits)))


def leave_limits(it: ChooseList) -> None:
    _close_limits(it)
    if it.limits_before is not None:
        it.use(it.limits_before)


def save_as_set(it: ChooseList) -> None:
    _close_limits(it)

    def saved(job: "Job | None") -> None:
        it.log(job and it.limits_line.saved_with(job))

    it.page.app.push_screen(SaveLimits(it.desk.limits), saved)


def _close_limits(it: ChooseList) -> None:
    it.limits_line.display = False
    it.page.remove_class("-typing")
    it.page.take_focus()


def _limit_set(it: ChooseList, place: int) -> "LimitSetRecord | None":
    """The set at a place of the list, from 1, if this program can read it."""
    sets = it.desk.view.limit_sets
    return sets[place - 1] if place <= len(sets) and sets[place - 1].limits else None


def use_set(it: ChooseList, place: int) -> None:
    """Use the set at a place of the list, from 1."""
    chosen = _limit_set(it, place)
    if chosen is None or chosen.limits is None:
        it.bar.say(f"There is no set {place} of limits.")
        return
    it.use(chosen.limits)
    it.log(choose_jobs.use_limits(chosen.limits, chosen.name))


def _asks_set(it: ChooseList, place: int) -> str:
    chosen = _limit_set(it, place)
    return f"use the limits {chosen.name} from now on" if chosen else ""


# --- for which night, train and site ---


def change_night(it: ChooseList, step: int) -> None:
    it.desk.looked_at = it.desk.chosen_date + timedelta(days=step)
    it.want_sky()


def tonight(it: ChooseList) -> None:
    it.desk.looked_at = None
    it.want_sky()


def _names_of(it: ChooseList, what: str) -> tuple[list[str], str]:
    """All trains or sites, and the one in use."""
    view = it.desk.view
    if what == "train":
        trains = [each.train.name for each in view.trains]
        return trains, view.train.train.name if view.train else ""
    return [each.site.name for each in view.sites], view.site.site.name if view.site else ""


def choose_next(it: ChooseList, what: str) -> None:
    names, current = _names_of(it, what)
    if it.desk.view.night is not None:
        it.bar.say(
            f"A night is in progress; its {what} is in use. Log `kit NAME` to change a train."
        )
    elif len(names) < 2:
        it.bar.say(f"There is only one {what}." if names else f"There is no {what} yet.")
    else:
        it.log(jobs.choose(what, _next_of(names, current)))


def _asks_next(it: ChooseList, what: str) -> str:
    names, current = _names_of(it, what)
    if it.desk.view.night is not None or len(names) < 2:
        return ""
    return f"choose for the {what} {_next_of(names, current)} from now on"


def _next_of(names: list[str], current: str) -> str:
    place = names.index(current) if current in names else -1
    return names[(place + 1) % len(names)]


def new_site(it: ChooseList) -> Awaitable[object]:
    return it.page.app.run_action("new_site")


def _set_key(place: int) -> PageKey[ChooseList]:
    do, asks = partial(use_set, place=place), partial(_asks_set, place=place)
    return PageKey(str(place), f"Use set {place} of the limits", do, asks=asks)


def _next_key(key: str, what: str) -> PageKey[ChooseList]:
    do, asks = partial(choose_next, what=what), partial(_asks_next, what=what)
    return PageKey(key, f"Choose for the next {what}", do, asks=asks)


CHOOSE_KEYS: KeyTable = (
    KeyRow("Enter", "write `start OBJECT` on the entry line"),
    KeyRow(
        "space",
        "put the object into the running order, or take it out",
        PageKey(
            "space",
            "Put the object into the running order, or take it out",
            plan,
            asks=_asks_plan,
        ),
    ),
    KeyRow(
        "r",
        "the running order: move, hours, take out",
        PageKey("r", "The running order: move, hours, take out", sheets.running_order),
    ),
    KeyRow(
        "o, f",
        "all about the object; the frame to scale with what else is in it",
        PageKey("o", "All about the chosen object", sheets.about_object),
        PageKey("f", "The frame to scale, with what else is in it", sheets.frame),
    ),
    KeyRow(
        "/",
        "search any object of the sky",
        PageKey("slash", "Search any object of the sky", sheets.search),
    ),
    KeyRow(
        "w",
        "the reasons for the chosen object, its frame and altitude, on a sheet",
        PageKey("w", "The reasons for the chosen object, on a sheet", sheets.why),
    ),
    KeyRow(
        "l",
        "type limits; the list follows every key",
        PageKey("l", "Type limits; the list follows every key", type_limits),
    ),
    KeyRow(
        "1 to 9, L",
        "use a set of limits; the sheet of the sets",
        PageKey("L", "The sets of limits: use, edit, rename", sheets.limit_sets),
        *map(_set_key, range(1, 10)),
    ),
    KeyRow(
        "a, A",
        "5° more or less of wanted altitude",
        PageKey("a", "Ask for 5° more altitude", partial(change_altitude, step_deg=5)),
        PageKey("A", "Ask for 5° less altitude", partial(change_altitude, step_deg=-5)),
    ),
    KeyRow(
        "m, M",
        "10° more or less distance to the Moon",
        PageKey("m", "Ask for 10° more to the Moon", partial(change_moon, step_deg=10)),
        PageKey("M", "Ask for 10° less to the Moon", partial(change_moon, step_deg=-10)),
    ),
    KeyRow(
        "b",
        "what to do instead when the Moon is bright",
        PageKey("b", "What to do instead when the Moon is bright", sheets.instead),
    ),
    KeyRow(
        "x", "a star for the star test", PageKey("x", "A star for the star test", sheets.test_star)
    ),
    KeyRow(
        "p",
        "projects: wanted hours by object and filter, owed first",
        PageKey("p", "Wanted hours by object and filter, owed first", sheets.projects),
    ),
    KeyRow(
        "← →",
        "the night before, the next night; 0 is tonight",
        PageKey("left", "Choose for the night before", partial(change_night, step=-1)),
        PageKey("right", "Choose for the next night", partial(change_night, step=1)),
        PageKey("0", "Back to tonight", tonight),
    ),
    KeyRow(
        "c",
        "the next 60 nights, to choose one",
        PageKey("c", "The next 60 nights, to choose one", sheets.calendar),
    ),
    KeyRow(
        "i",
        "the night in full: Sun, twilights, darkness, Moon",
        PageKey("i", "Sun, twilights and Moon of the night", sheets.whole_night),
    ),
    KeyRow(
        "t, s", "the next train, the next site", _next_key("t", "train"), _next_key("s", "site")
    ),
    KeyRow(
        "h",
        "the site in use: its horizon and sky",
        PageKey("h", "The site in use: its horizon and sky", sheets.site),
    ),
    KeyRow(
        "n",
        "write down another site, with its horizon",
        PageKey("n", "Write down another place to observe from", new_site),
    ),
)
