"""What is read from two metres: the time, the frames left, what runs, what comes next."""

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Static

from logbook.entryline.times import without_time
from logbook.screen.pages.night.now import coming_up, current_run, frames_going
from logbook.screen.pages.night.reminding import Reminder, reminders
from logbook.screen.services.services import Desk, duration_words
from logbook.screen.widgets.big_letters import HIGH, big_lines, drawable
from logbook.screen.widgets.modal import Modal

_EVERY_S = 1.0
Band = tuple[
    str, Sequence[str]
]  # a line of small words, and what may stand in big ones, best first


class FarView(Modal[None]):
    """Over everything, until the same key."""

    DEFAULT_CSS = """
    FarView { align: left top; }
    FarView #far { width: 100%; height: 100%; background: $background; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", "Back", tooltip="Back to the page"),
        Binding("x", "put_aside", "Put aside", tooltip="Put the first reminder aside"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def compose(self) -> ComposeResult:
        yield Static(id="far", markup=False)

    def on_mount(self) -> None:
        self.draw()
        self.set_interval(_EVERY_S, self.draw)

    def on_resize(self) -> None:
        self.draw()

    def draw(self) -> None:
        size = self.app.size
        self.query_one("#far", Static).update(far_words(self.desk, size.width, size.height))

    def action_leave(self) -> None:
        self.dismiss(None)

    def action_put_aside(self) -> None:
        for each in reminders(self.desk)[:1]:
            self.desk.put_aside.add(each.occasion)
        self.draw()


def far_words(desk: Desk, columns: int, rows: int) -> Text:
    """The whole view. Each band has a small line and big letters; the last row is for reminders."""
    bands = (_time_band(desk), _running_band(desk), _next_band(desk))
    small = 1 if rows >= 3 * (HIGH + 1) + 1 else 0
    high = (rows - 1) // 3 - small
    drawn = [_band_lines(each, columns, high, small=bool(small)) for each in bands]
    blank = max(0, rows - 1 - sum(map(len, drawn))) // 3
    lines = [line for each in drawn for line in (*each, *[Text("")] * blank)]
    otherwise = "ctrl+g: back to the page" if small else bands[-1][0]
    return Text("\n").join([*lines[: rows - 1], _last_row(reminders(desk), columns, otherwise)])


def _last_row(waiting: Sequence[Reminder], columns: int, otherwise: str) -> Text:
    if not waiting:
        return Text(otherwise[:columns])
    more = f"   {len(waiting) - 1} more;" if len(waiting) > 1 else "  "
    seen = f"{more} x: seen"
    return Text(waiting[0].words[: columns - len(seen)] + seen, style="bold reverse", no_wrap=True)


def _band_lines(band: Band, columns: int, high: int, *, small: bool) -> list[Text]:
    words, candidates = band
    big = [Text(each, no_wrap=True) for each in first_fitting(candidates, columns, high)]
    if big and not small:
        return big
    return [Text(words[:columns], style="bold", no_wrap=True), *big]


def first_fitting(candidates: Sequence[str], columns: int, rows: int) -> list[str]:
    """The first of some words that fits in big letters; no lines if none does."""
    for each in candidates:
        found = big_lines(each, columns, rows)
        if found:
            return found
    return []


def _time_band(desk: Desk) -> Band:
    now = desk.clock()
    going = frames_going(desk)
    clock = desk.clock_words(now)
    words = f"{clock} ({now:%H:%M} UTC)"
    if going is None:
        return words, (clock,)
    left = going.left_at(now)
    words += (
        f"   {left} of {going.wanted} frames left, through at {desk.clock_words(going.end_utc)}"
    )
    return words, (f"{clock}  {left} LEFT", f"{clock}  {left}", f"{left}", clock)


def _running_band(desk: Desk) -> Band:
    run = current_run(desk)
    if run is None:
        night = "Nothing runs." if desk.view.night else "No night in progress."
        return night, ("NOTHING RUNS", "NOTHING")
    words = f"{run.target.name} for {duration_words(desk.clock() - run.started_utc)}"
    standing = desk.track.at(desk.clock()) if desk.track else None
    words += f", {standing.altitude_deg:.0f}° high" if standing else ""
    return words, _names(desk, run.target.name, run.target.catalogue_id)


def _names(desk: Desk, name: str, catalogue_id: str) -> tuple[str, ...]:
    """As the user typed it, its name, its number in a catalogue: what can be drawn."""
    started = [each.content for each in desk.view.timeline if each.content.action == "start"]
    typed = [without_time(each.text).partition(" ")[2] for each in started if each.target]
    names = (name, typed[-1].partition(";")[0].strip() if typed else "", catalogue_id)
    return tuple(each.upper() for each in names if drawable(each))


def _next_band(desk: Desk) -> Band:
    coming = coming_up(desk)
    if not coming:
        return "Nothing more tonight.", ("-",)
    soonest = coming[0]
    clock = desk.event_words(soonest.at_utc)
    word = soonest.word.upper()
    short = word.split()[0]
    words = f"Next: {soonest.words(desk)}"
    return words, (f"{word} {clock}", f"{short} {clock}", f"{short[:4]} {clock}", clock)
