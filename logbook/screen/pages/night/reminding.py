"""Quiet reminders: one short list, each dismissed by a key, none taking the keyboard."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from logbook.errors import BadInput
from logbook.records.runs import running_object
from logbook.screen.services.services import Desk, duration_words
from logbook.store.history.tonight import frames_run

BEFORE = timedelta(minutes=15)  # the meridian and the end of darkness are announced so long before
_AFTER = timedelta(minutes=20)  # and no longer than so long after
_FRESH = timedelta(hours=2)  # an older reading says nothing about the dew now
DEW_MARGIN_C = 2.0
FOCUS_STEP_C = 2.0


@dataclass(frozen=True, slots=True)
class Reminder:
    """`occasion` parts one from the next of its kind, so that only this one is dismissed."""

    occasion: str
    words: str


@dataclass(frozen=True, slots=True)
class Wishes:
    """How the user wants to be reminded: saved in the book as one line."""

    bell: bool = False
    focus_step_c: float = FOCUS_STEP_C
    dew_margin_c: float = DEW_MARGIN_C

    def line(self) -> str:
        bell = "on" if self.bell else "off"
        return f"bell {bell}, focus {self.focus_step_c:g}, dew {self.dew_margin_c:g}"


def read_wishes(line: str) -> Wishes:
    """What `Wishes.line` wrote; the usual ones for a line of a newer program."""
    words = dict(each.split(" ", 1) for each in line.split(", ") if " " in each)
    try:
        return Wishes(
            words.get("bell") == "on",
            step_of(words.get("focus", f"{FOCUS_STEP_C:g}")),
            step_of(words.get("dew", f"{DEW_MARGIN_C:g}")),
        )
    except BadInput:
        return Wishes()


def step_of(typed: str) -> float:
    """A number of °C that reminds. Raises BadInput."""
    try:
        value = float(typed.strip().removesuffix("°C").removesuffix("C").replace(",", "."))
    except ValueError:
        value = 0.0
    if not 0.1 <= value <= 30.0:
        raise BadInput("a number of °C from 0.1 to 30")
    return value


def reminders(desk: Desk) -> list[Reminder]:
    """What should be thought of now, the most pressing first. Those dismissed are left out."""
    if desk.view.night is None or desk.night_is_past:
        return []
    now = desk.clock()
    found = [_frames(desk, now), _meridian(desk, now), _horizon(desk, now), _dew(desk, now)]
    found += [_focus(desk), _darkness(desk, now)]
    return [each for each in found if each and each.occasion not in desk.put_aside]


def _frames(desk: Desk, now: datetime) -> Reminder | None:
    run = frames_run(desk.view.timeline)
    if run is None or now < run.end_utc:
        return None
    words = f"The frames should be through since {desk.clock_words(run.end_utc)}"
    return Reminder(f"frames {run.entry_id}", f"{words}: {run.wanted} wanted.")


def _meridian(desk: Desk, now: datetime) -> Reminder | None:
    if desk.track is None or running_object(desk.view.timeline) is None:
        return None
    crossing = desk.track.transit_near(now)
    if crossing is None or not crossing - BEFORE <= now <= crossing + _AFTER:
        return None
    logged = (each for each in desk.view.timeline if each.content.kind == "meridian")
    if any(abs(each.content.happened_utc - crossing) < timedelta(hours=1) for each in logged):
        return None
    words = f"Meridian at {desk.event_words(crossing)}"
    words += f", in {duration_words(crossing - now)}." if crossing > now else ": it is past."
    return Reminder(f"meridian {crossing:%d %H}", words)


def _horizon(desk: Desk, now: datetime) -> Reminder | None:
    if desk.track is None or running_object(desk.view.timeline) is None:
        return None
    standing = desk.track.at(now)
    if standing is not None and standing.margin_deg < 0.0:
        return Reminder("horizon", "It stands below the limit or the horizon.")
    going = desk.track.next_set(now)
    if going is None or going - now > BEFORE:
        return None
    words = f"Below the limit or the horizon at {desk.event_words(going)}."
    return Reminder(f"setting {going:%d %H}", words)


def _dew(desk: Desk, now: datetime) -> Reminder | None:
    dew = desk.lessons.dew
    if dew is None or now - dew.at_utc > _FRESH:
        return None
    if dew.least_k >= read_wishes(desk.view.reminders_line).dew_margin_c:
        return None
    what = "frost" if dew.frost else "dew"
    cold = dew.surface if dew.surface and dew.least_k != dew.margin_k else "air"
    side = "above" if dew.least_k >= 0.0 else "below"
    words = f"Dew: the {cold} is {abs(dew.least_k):.1f} °C {side} its {what} point."
    return Reminder(f"dew {now:%d} {int(dew.least_k)}", words)


def _focus(desk: Desk) -> Reminder | None:
    """After a step that the book has learned, else after the one that is set."""
    step, suggested = desk.lessons.since_k, desk.lessons.suggested
    if step is None:
        return None
    set_step = abs(step) >= read_wishes(desk.view.reminders_line).focus_step_c
    if not (suggested.redo if suggested else set_step):
        return None
    way = "colder" if step < 0 else "warmer"
    near = f" near {suggested.position:.0f}" if suggested else ""
    words = f"{abs(step):.1f} °C {way} than at the last focus: focus again{near}."
    focused = [each.id for each in desk.view.timeline if each.content.kind == "focus"]
    return Reminder(f"focus {max(focused, default=0)} {round(step)}", words)


def _darkness(desk: Desk, now: datetime) -> Reminder | None:
    dark = desk.tonight.night.dark if desk.tonight else None
    if dark is None or not dark.end - BEFORE <= now <= dark.end + _AFTER:
        return None
    words = f"Darkness ends at {desk.event_words(dark.end)}"
    words += f", in {duration_words(dark.end - now)}." if dark.end > now else ": it is over."
    return Reminder(f"darkness {dark.end:%d}", words)
