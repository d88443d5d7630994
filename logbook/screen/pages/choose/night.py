"""The night that the Choose page and its sheets are about."""

from datetime import datetime
from typing import TYPE_CHECKING

from logbook.errors import NotFound
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.screen.pages.choose.calculations import Calculations
    from logbook.sky.ranking.tonight import Tonight


def calculations() -> "type[Calculations]":
    """What the sheets calculate. Imported at first use, which is in a worker thread."""
    from logbook.screen.pages.choose.calculations import Calculations

    return Calculations


def night_of(desk: Desk) -> "Tonight":
    """The night chosen for, computed. Raises NotFound with words while it is not."""
    found, site = desk.tonight, desk.view.site
    if found is None or site is None:
        raise NotFound(no_sky_words(desk))
    if found.night.local_date != desk.chosen_date or found.site != site.site:
        raise NotFound("The night is being worked out ...")
    return found


def no_sky_words(desk: Desk) -> str:
    """Why there is no night to choose for yet, and what to do."""
    if desk.book is None:
        return "The book is being opened ..."
    if desk.view.site is None:
        return "No site yet: n on the page Choose writes one down."
    return desk.sky_words or "The night is being worked out ..."


def asked_at(desk: Desk) -> datetime:
    """Now, while the Sun is down in the night chosen for; else the middle of that night.

    Raises NotFound while the night is not computed.
    """
    night = night_of(desk).night
    start, end = night.sunset or night.noon_utc, night.sunrise or night.next_noon_utc
    now = desk.clock()
    return now if start <= now <= end else start + (end - start) / 2
