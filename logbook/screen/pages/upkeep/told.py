"""The words of the Upkeep page: a rule in a line, and all about it."""

from datetime import datetime, tzinfo

from rich.text import Text

from logbook.kit.parts.upkeep_cautions import upkeep_cautions
from logbook.records.upkeep import Due
from logbook.report.words.upkeep_words import (
    done_words,
    percent,
    put_off_words,
    rule_words,
    share_bar,
)

FIRST_STEPS = """No rules yet. What is worth looking after, and how often (common practice):
  n  mirror rinse                every 12 months, seldom sooner
  n  collimation looked at       after transport
  n  focuser tension             at a step of 15 °C
  n  desiccant of the camera     every 6 months
  n  batteries                   every 6 months
  n  mount: belts, clamps        every 100 hours of use
The bar of a rule fills as nights, months, hours or degrees go by; when it is full it is due, \
here, at the start of a night and on Choose. Parts are written down on F5, Kit. d keeps what was \
done, with or without a rule; h reads it back; w is the wish list, with small hardware and its \
sizes."""


def due_line(due: Due, zone: tzinfo, columns: int) -> Text:
    """A bar, how far it has come, what is to be done and why."""
    cells = 10 if columns >= 68 else 5
    state = "off" if due.snoozed_until_utc else "due" if due.is_due else ""
    line = Text(f"{share_bar(due.share, cells)} {percent(due.share):>6} {state:3} ", no_wrap=True)
    line.append(due.name, style="bold" if due.is_due else "")
    why = put_off_words(due, zone) or next(iter(due.reasons), "")
    line.append(f"  {why}" if why else "", style="not bold")
    line.truncate(columns, overflow="ellipsis")
    return line


def due_words(due: Due, zone: tzinfo, now_utc: datetime) -> Text:
    """All about a rule: when it falls due, how far it has come, when it was done, what hurts."""
    rule = due.record.rule
    words = Text(due.name, style="bold")
    words.append(f"\n{rule_words(rule)}\n", style="not bold")
    reasons = "; ".join(due.reasons) or "nothing counted yet"
    words.append(f"{percent(due.share)}: {reasons}\n", style="not bold")
    if rule.every_step_c is not None and not any("°C" in each for each in due.reasons):
        words.append("°C: not counted, no air temperature was logged before it\n", "not bold")
    words.append(done_words(due, zone), style="not bold")
    if due.last_done_utc is not None:
        words.append(f", {_ago(due.last_done_utc, now_utc)}", style="not bold")
    words.append("\n")
    if due.snoozed_until_utc is not None:
        words.append(f"{put_off_words(due, zone)}; o takes it up again\n", style="not bold")
    for caution in upkeep_cautions(rule.action, rule.part_name):
        words.append(f"! {caution}\n", style="bold")
    return words


def _ago(then: datetime, now: datetime) -> str:
    days = max(0, (now - then).days)
    return "today" if not days else "yesterday" if days == 1 else f"{days} days ago"
