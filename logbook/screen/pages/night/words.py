"""The words of the Night page: what runs now, and each entry in a line."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from rich.text import Text

from logbook.entryline.format import counted, spell, total_words
from logbook.records.choosing import OrderItem
from logbook.records.entries import EntryRecord
from logbook.records.runs import Run
from logbook.screen.pages.night.now import current_run, frames_going, order_left, switch_utc
from logbook.screen.pages.night.reminding import Reminder
from logbook.screen.services.services import Desk, duration_words
from logbook.store.history.tonight import is_paused

NO_FRAMES = "no frames yet"


class ShowsTimes(Protocol):
    """Whose clock an entry is shown by: tonight's site, or that of a night of the past."""

    def local(self, instant: datetime) -> datetime: ...

    def clock_words(self, instant: datetime) -> str: ...


def entry_words(clock: ShowsTimes, record: EntryRecord, *, wide: bool) -> Text:
    """One line of the timeline: local time and what it says; on wide screens UTC and kind too."""
    entry = record.content
    line = Text(f"{clock.clock_words(entry.happened_utc)} ", style="bold")
    if wide:
        line.append(f"{entry.happened_utc:%H:%M} UTC  {entry.kind:11}", style="not bold")
    line.append(spell(entry), style="not bold")
    if record.corrected:
        line.append(" (corrected)", style="not bold italic")
    return line


def history_words(clock: ShowsTimes, record: EntryRecord) -> Text:
    """One version: when it was written, why, for when, and the words as typed."""
    causes = {
        None: "written",
        "correct": "corrected",
        "withdraw": "withdrawn",
        "undo": "taken back",
        "redo": "done again",
    }
    cause = causes.get(record.cause, record.cause)
    local = clock.local(record.recorded_utc)
    entry = record.content
    words = Text(f"{local:%d %b %H:%M:%S} {cause}", style="bold")
    words.append(f"  for {clock.clock_words(entry.happened_utc)}: {spell(entry)}", style="not bold")
    if entry.frames is not None and entry.target is not None:
        words.append(f", of {entry.target.name}", style="not bold")
    if entry.text:
        words.append(f"\n      typed: {entry.text}", style="not bold")
    return words


def now_words(desk: Desk) -> Text:
    """What runs now, or what to do first."""
    night = desk.view.night
    if desk.book is None:
        return Text("The book is being opened ...")
    if night is None:
        words = "No night in progress. F10 starts one."
        if desk.view.nights:
            last = desk.view.nights[0]
            words += f" The last was {last.night.local_date}: {last.entries} entries."
        return Text(words)
    if desk.night_is_past:
        return Text(f"The night of {night.local_date:%a %d %b} was left open: F10 ends it.")
    since = f"Night of {night.local_date:%a %d %b}, begun {desk.clock_words(night.started_utc)}"
    with_train = f" with {desk.view.train.train.name}" if desk.view.train else ""
    paused = " A break: `back` ends it." if is_paused(desk.view.timeline) else ""
    run = current_run(desk)
    if run is None:
        nothing = f"{since}{with_train}. Nothing runs: `start m31` begins an object."
        return Text(f"{nothing}{paused}")
    lines = [f"{since}{with_train}.{paused}", _run_words(desk, run), _sky_words(desk)]
    return Text("\n".join(each for each in lines if each))


def _run_words(desk: Desk, run: Run) -> str:
    elapsed = duration_words(desk.clock() - run.started_utc)
    words = f"Now: {run.target.name} for {elapsed}"
    going = frames_going(desk)
    if going is None:
        frames = f"{counted(run.frames, 'frame')}, {total_words(run.exposure_s)}"
        since = f", since {desk.clock_words(run.started_utc)}: "
        return words + since + (frames if run.frames else NO_FRAMES)
    done, now = going.done_by(desk.clock()), desk.clock()
    about = "about " if done != going.frames.count else ""
    end = desk.clock_words(going.end_utc)
    through = f"through at {end}" if now < going.end_utc else f"should be through since {end}"
    return f"{words}: {about}{done} of {going.wanted} frames, {through}"


def _sky_words(desk: Desk) -> str:
    """Where it stands now, and how long to the meridian and to its horizon."""
    now = desk.clock()
    standing = desk.track.at(now) if desk.track else None
    if desk.track is None or standing is None:
        return ""
    words = [f"{standing.altitude_deg:.0f}° high".replace("-", "−")]
    if standing.altitude_deg > 0.0:
        words.append(f"airmass {standing.airmass:.2f}")
    crossing = desk.track.transit_near(now)
    if crossing is not None:
        away = duration_words(abs(crossing - now))
        words.append(f"meridian {f'in {away}' if crossing > now else f'{away} ago'}")
    setting = desk.track.next_set(now)
    if standing.margin_deg < 0.0:
        words.append("below the limit")
    elif setting is not None:
        words.append(f"good {duration_words(setting - now)}")
    moon = "Moon" if standing.moon_is_up else "Moon down"
    words.append(f"{moon} {standing.moon_separation_deg:.0f}°")
    return ", ".join(words)


def next_words(desk: Desk) -> Text:
    """What the running order has next and when to switch; then the reminders."""
    night = desk.view.night
    order = None if night is None else desk.view.running_order(night.local_date)
    if order is None or not order.items:
        return Text("")
    coming = order_left(desk)
    if not coming:
        return Text("The running order is done.")
    words = ", then ".join(_item_words(desk, each) for each in coming[:2])
    left = len(coming) - 2
    more = f", {left} more" if left > 0 else ""
    return Text(f"Next: {words}{more}.{_switch_words(desk)} g starts it.")


def _switch_words(desk: Desk) -> str:
    at = switch_utc(desk)
    if at is None:
        return ""
    if at <= desk.clock():
        return " Switch now."
    return f" Switch {desk.event_words(at)}, in {duration_words(at - desk.clock())}."


def reminder_words(waiting: Sequence[Reminder], most: int) -> Text:
    """The first reminders, one a line, and how they are dismissed."""
    lines = [Text(f"! {each.words}", style="bold reverse") for each in waiting[:most]]
    if lines:
        more = f"  (+{len(waiting) - most})" if len(waiting) > most else ""
        lines[0] = Text("x: seen ").append_text(lines[0]).append(more)
    return Text("\n").join(lines)


def taken_out_words(clock: ShowsTimes, record: EntryRecord) -> Text:
    """A line that was withdrawn."""
    words = Text(f"{clock.clock_words(record.content.happened_utc)} ", style="bold")
    return words.append(spell(record.content), style="not bold")


def _item_words(desk: Desk, item: OrderItem) -> str:
    if item.from_utc is None or item.to_utc is None:
        return f"{item.target.name} (no time)"
    start, end = desk.event_words(item.from_utc), desk.event_words(item.to_utc)
    return f"{item.target.name} {start}–{end}"
