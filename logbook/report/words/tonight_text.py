"""Tonight as text: the night in words, and each object with its reasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from logbook.sky.limits.limits_parser import limits_text
from logbook.sky.night.clock import event_hhmm, zone_or_utc

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime, tzinfo

    from logbook.sky.night.night import Night
    from logbook.sky.ranking.suggestions import Suggestion
    from logbook.sky.ranking.tonight import Tonight


def tonight_lines(answer: Tonight) -> list[Text]:
    """The night in words, then each object with its reasons."""
    lines = [*night_lines(answer), Text(_within_words(answer)), Text("")]
    zone = zone_or_utc(answer.night.time_zone)
    for place, each in enumerate(answer.suggestions, start=1):
        lines += _suggestion_lines(place, each, zone)
    if not answer.suggestions:
        lines.append(Text("Nothing is suggested for this night."))
    return lines


def _within_words(answer: Tonight) -> str:
    """How many objects there are of which the list shows the first, and within what."""
    ranking = answer.ranking
    limits = limits_text(ranking.limits)
    within = f"the limits: {limits}" if limits else "the usual limits"
    return f"{len(ranking.rows)} objects within {within}"


def night_lines(answer: Tonight) -> list[Text]:
    """The night in words: Sun, the three twilights, darkness, Moon, and what to know first."""
    night = answer.night
    at = _clock(night)
    lines = [
        Text(f"Night of {night.local_date:%A %d %B %Y}, {answer.site.name}", style="bold"),
        Text(f"Sunset {at(night.sunset)}, sunrise {at(night.sunrise)} ({night.time_zone})"),
        *(Text(words) for words in _twilight_words(night, at)),
        *dark_and_moon_lines(night),
    ]
    field = answer.field
    if field is not None:
        width, height = field.field_deg
        lines.append(
            Text(f"{field.name}: {field.focal_length_mm:.0f} mm, {width:.2f}° × {height:.2f}°")
        )
    return [*lines, *(Text(words, style="bold") for words in answer.words)]


def dark_and_moon_lines(night: Night) -> list[Text]:
    """When it is dark, and the Moon: phase, rising and setting."""
    at = _clock(night)
    moon = (
        f"Moon: {night.moon_phase}, {night.moon_illumination * 100:.0f} % lit, "
        f"{night.moon_age_days:.1f} days old, rises {at(night.moon_rise)}, "
        f"sets {at(night.moon_set)}"
    )
    return [Text(_dark_words(night, at)), Text(moon)]


def _clock(night: Night) -> Callable[[datetime | None], str]:
    """The local time of an instant in words; "none" for what does not happen."""
    zone = zone_or_utc(night.time_zone)
    return lambda instant: "none" if instant is None else event_hhmm(instant, zone)


def _twilight_words(night: Night, at: Callable[[datetime | None], str]) -> list[str]:
    """Each twilight's end and begin, or that the Sun stays above or below its depth."""
    lines = []
    for name, depth_deg, below, dusk, dawn in (
        ("Civil", 6, night.below_6, night.civil_dusk, night.civil_dawn),
        ("Nautical", 12, night.below_12, night.nautical_dusk, night.nautical_dawn),
        ("Astronomical", 18, night.below_18, night.astronomical_dusk, night.astronomical_dawn),
    ):
        if not below:
            lines.append(f"{name} twilight: the Sun stays above −{depth_deg}°")
        elif dusk is None and dawn is None:
            lines.append(f"{name} twilight: none, the Sun stays below −{depth_deg}°")
        else:
            lines.append(f"{name} twilight to {at(dusk)} and from {at(dawn)}")
    return lines


def _dark_words(night: Night, at: Callable[[datetime | None], str]) -> str:
    if night.dark is None:
        return "No full darkness"
    moonless = f"{night.moonless_hours:.1f} h of it" if night.moonless_hours else "none of it"
    span = f"Dark {at(night.dark.start)} to {at(night.dark.end)}"
    return f"{span}, {night.dark_hours:.1f} h, {moonless} without the Moon"


def _suggestion_lines(place: int, each: Suggestion, zone: tzinfo) -> list[Text]:
    head = Text(f"{place:2}  {each.name}", style="bold")
    number = "" if each.name == each.object_id else f" ({each.object_id})"
    head.append(
        f"{number}, {each.kind}: {event_hhmm(each.from_utc, zone)}–"
        f"{event_hhmm(each.to_utc, zone)}, score {each.score:.2f}",
        style="not bold",
    )
    return [head, Text(f"    {'; '.join(each.all_words)}")]
