"""What is unusual about a night, in words."""

from datetime import timedelta, tzinfo

from logbook.sky.night.clock import event_hhmm
from logbook.sky.night.night import Night


def night_words(night: Night, zone: tzinfo, orientation_words: str) -> tuple[str, ...]:
    """Sentences about what does not happen tonight, or is otherwise than one expects.

    zone -- the site's, for the clock times in them.
    """
    words = [*sun_words(night, zone), *_moon_words(night)]
    span = night.next_noon_utc - night.noon_utc
    if span != timedelta(days=1):
        way = "forward" if span < timedelta(days=1) else "back"
        words.append(f"The clocks go {way} this night.")
    if orientation_words:
        words.append(orientation_words)
    return tuple(words)


def sun_words(night: Night, zone: tzinfo) -> list[str]:
    """Sentences about a Sun that does not set, rise or go deep enough."""
    lowest = f"{night.lowest_sun_deg:.1f}° at {event_hhmm(night.lowest_sun_utc, zone)}"
    lowest = lowest.replace("-", "−")
    if not night.sun_down:
        return [f"The Sun does not set: it only sinks to {lowest}."]
    words = []
    if night.sun_down[0].start == night.noon_utc and night.sun_down[0].end == night.next_noon_utc:
        words.append("The Sun does not rise.")
    elif night.sunset is None or night.sunrise is None:
        words.append("The Sun is below the horizon at noon by the clock: is the time zone right?")
    if not night.below_12:
        words.append(f"No nautical darkness: the Sun only reaches {lowest}.")
    elif not night.below_18:
        words.append(f"No astronomical darkness: the Sun only reaches {lowest}.")
    return words


def _moon_words(night: Night) -> list[str]:
    if not night.moon_up:
        return ["The Moon does not rise."]
    if not night.moon_rises and not night.moon_sets:
        return ["The Moon does not set."]
    return []
