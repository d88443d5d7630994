"""The night strip on top of every page: where in the night one is, and what light there is.

Three rows: words; the sky from before sunset to after sunrise, drawn the darker the darker it is;
moonlight under it. A mark stands at now.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from logbook.screen.services.services import Desk, duration_words

if TYPE_CHECKING:
    from logbook.sky.night.intervals import Interval
    from logbook.sky.night.night import Night

# By depth of the Sun: what is drawn looks as bright as the sky is.
_DAY, _CIVIL, _NAUTICAL, _ASTRONOMICAL, _DARK = "▓", "▒", "░", "·", " "
_NOW = "┃"
_MOON_UP, _MOON_DOWN = "─", " "
_LABEL = 6
_MARGIN = timedelta(minutes=40)


class NightStrip(Static):
    """Three rows; drawn from the desk."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(id="strip", markup=False)
        self.desk = desk

    def on_mount(self) -> None:
        self.redraw()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        """Draw the strip for now."""
        self.update(strip_text(self.desk, max(40, self.size.width)))


def strip_text(desk: Desk, width: int) -> Text:
    """The three rows, each at most `width` wide."""
    now = desk.clock()
    head = Text(_head_words(desk, now, width), style="bold", no_wrap=True)
    if desk.tonight is None:
        words = desk.sky_words or _waiting_words(desk)
        return Text("\n").join([head, Text(words[:width]), Text("")])
    night = desk.tonight.night
    span = _span(night)
    columns = width - 2 * _LABEL
    sky = _row(span, columns, lambda at: sky_sign(night, at))
    moon = _row(span, columns, lambda at: _MOON_UP if _within(night.moon_up, at) else _MOON_DOWN)
    mark = _column(span, columns, now)
    if mark is not None:
        sky = sky[:mark] + _NOW + sky[mark + 1 :]
        moon = moon[:mark] + _NOW + moon[mark + 1 :]
    start, end = (desk.event_words(each) for each in span)
    lit = f"{night.moon_illumination * 100:4.0f}%"
    return Text("\n").join([head, Text(f"{start} {sky} {end}"), Text(f"{'Moon':5} {moon} {lit}")])


def _waiting_words(desk: Desk) -> str:
    if desk.book is None:
        return ""
    return "The night is being worked out ..." if desk.view.site else "No site yet."


def _head_words(desk: Desk, now: datetime, width: int) -> str:
    site = desk.view.site
    place = site.site.name if site else ""
    local = desk.local(now)
    time = f"{local:%H:%M} ({now:%H:%M} UTC)"
    other = desk.looked_at is not None  # another night than the one that it is
    dark = "" if other or desk.tonight is None else dark_words(desk.tonight.night, now)
    for parts in ((place, f"{local:%a %d %b}", time, dark), (place, time, dark), (time, dark)):
        words = " · ".join(part for part in parts if part)
        if len(words) <= width:
            return words
    return time


def dark_words(night: "Night", now: datetime) -> str:
    """How much darkness is left, or when it comes."""
    dark = night.dark
    if dark is None:
        return "no full darkness tonight"
    if now < dark.start:
        return f"dark in {duration_words(dark.start - now)}"
    if now < dark.end:
        return f"dark for {duration_words(dark.end - now)} more"
    return "darkness is over"


def sky_sign(night: "Night", at: datetime) -> str:
    """The sign for how dark the sky is at an instant."""
    for stretches, sign in (
        (night.below_18, _DARK),
        (night.below_12, _ASTRONOMICAL),
        (night.below_6, _NAUTICAL),
        (night.sun_down, _CIVIL),
    ):
        if _within(stretches, at):
            return sign
    return _DAY


def _within(stretches: "tuple[Interval, ...]", at: datetime) -> bool:
    return any(each.start <= at < each.end for each in stretches)


def _span(night: "Night") -> tuple[datetime, datetime]:
    """What is drawn: a little more than sunset to sunrise, or noon to noon where there are none."""
    start, end = night.noon_utc, night.next_noon_utc
    if night.sunset is not None and night.sunrise is not None:
        start, end = night.sunset - _MARGIN, night.sunrise + _MARGIN
    return start, end


def _row(span: tuple[datetime, datetime], columns: int, sign: Callable[[datetime], str]) -> str:
    start, end = span
    step = (end - start) / columns
    return "".join(sign(start + step * (column + 0.5)) for column in range(columns))


def _column(span: tuple[datetime, datetime], columns: int, at: datetime) -> int | None:
    """The column an instant falls in, None outside."""
    start, end = span
    if not start <= at < end:
        return None
    return int((at - start) / (end - start) * columns)
