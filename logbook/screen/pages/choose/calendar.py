"""The nights to come on a sheet: how dark each is, and how much of it without the Moon."""

from datetime import date, timedelta
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.errors import NotFound
from logbook.screen.dialogs.live_sheet import ListSheet, room_of
from logbook.screen.pages.choose.night import calculations, no_sky_words
from logbook.screen.services.messages import SkyWanted
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.sky.night.calendar import CalendarNight

    Nights = tuple[CalendarNight, ...]

NIGHTS = 60
_BAR_HOURS = 16


class CalendarSheet(ListSheet["Nights"]):
    """60 nights; Enter chooses for one of them."""

    KEY_WORDS = "↑ ↓ night   Enter chooses for it   Escape closes"

    def __init__(self, desk: Desk) -> None:
        super().__init__(
            desk, f"{NIGHTS} nights: ■ dark without the Moon, ▒ dark with it, an hour each"
        )

    def work_out(self) -> "Nights":
        site = self.desk.view.site
        if site is None:
            raise NotFound(no_sky_words(self.desk))
        return calculations().calendar(site.site, self.desk.night_date, NIGHTS)

    def rows(self, found: "Nights") -> list[Text]:
        narrow = room_of(self)[0] < 70
        return [self._row(each, narrow=narrow) for each in found]

    def _row(self, night: "CalendarNight", *, narrow: bool) -> Text:
        order = self.desk.view.running_order(night.local_date)
        planned = f" {len(order.items)} planned" if order and order.items else ""
        row = Text(f"{_day(night.local_date)} ", style="bold", no_wrap=True)
        row.append(
            f"{_bar(night)} {night.moonless_hours:4.1f} of {night.dark_hours:4.1f} h", "not bold"
        )
        row.append(f" Moon {night.moon_illumination * 100:3.0f}%", "not bold")
        row.append("" if narrow else f" {night.moon_phase}", "not bold")
        row.append(planned, "bold")
        return row

    def about_words(self, found: "Nights", place: int) -> Text:
        night = found[place]
        if night.dark_from is None or night.dark_to is None:
            return Text(night.words or "It does not get dark.")
        desk = self.desk
        depth = "" if night.sun_below_deg == -18.0 else " (the Sun below −12° only)"
        words = f"Dark {desk.event_words(night.dark_from)}–{desk.event_words(night.dark_to)}{depth}"
        words += f", Moon {night.moon_phase}, {night.moon_illumination * 100:.0f} % lit."
        return Text(f"{words} {night.words}".strip())

    def taken(self, found: "Nights", place: int) -> None:
        chosen = found[place].local_date
        self.desk.looked_at = None if chosen == self.desk.night_date else chosen
        self.app.post_message(SkyWanted())
        self.dismiss(None)


def _day(local_date: date) -> str:
    """Weekends stand out by their sign, since that is when most people can go."""
    weekend = (local_date + timedelta(days=1)).weekday() >= 5  # Friday or Saturday evening
    return f"{'▸' if weekend else ' '}{local_date:%a %d %b}"


def _bar(night: "CalendarNight") -> str:
    moonless = min(_BAR_HOURS, round(night.moonless_hours))
    dark = min(_BAR_HOURS, max(moonless, round(night.dark_hours)))
    return ("■" * moonless + "▒" * (dark - moonless)).ljust(_BAR_HOURS, "·")
