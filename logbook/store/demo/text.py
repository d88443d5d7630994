"""The demo season as it is written down: sites, kit, changes, days and nights read from text.

Every failure names the file and the line, so that who edits the season sees where.
"""

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from logbook.entryline.context import Surroundings, Unclear
from logbook.entryline.times import local_instant
from logbook.errors import BadInput
from logbook.kit.parts.part import MEASURED, STATED, Part, Placement, Value
from logbook.records.entries import Screw
from logbook.sky.night.clock import zone_or_utc
from logbook.sky.night.site import Site
from logbook.store.demo.plans import Plan, read_plans
from logbook.store.demo.upkeep import read_upkeep

_LINE = re.compile(r"(?P<clock>[0-9]{2}:[0-9]{2})(?: (?P<zone>[A-Z]{3,4})(?= ))? (?P<text>\S.*)")
_INSTEAD = re.compile(r"instead of (?P<clock>[0-9]{2}:[0-9]{2}): (?P<text>\S.*)")
_TAKE_OUT = re.compile(r"take out (?P<clock>[0-9]{2}:[0-9]{2})")
_DAY_LINE = re.compile(r"(?P<day>[0-9-]{10}) (?P<clock>[0-9]{2}:[0-9]{2}) (?P<text>\S.*)")
_HEADER = re.compile(r"(?P<name>site|train|observer|from|to): (?P<value>\S.*)")
_LATER = timedelta(days=400)  # a season is read long after it happened


@dataclass(frozen=True, slots=True)
class TimedLine:
    """A line of the timeline: when it was typed, and what.

    about -- the time of the earlier line that this one corrects or takes out.
    """

    at_utc: datetime
    text: str
    about: time | None
    where: str


@dataclass(frozen=True, slots=True)
class NightText:
    local_date: date
    site: str
    train: str
    observer: str
    from_utc: datetime
    to_utc: datetime
    lines: tuple[TimedLine, ...]


@dataclass(frozen=True, slots=True)
class TrainText:
    name: str
    kind: str
    parts: tuple[str, ...]
    carried: tuple[str, ...]
    placements: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """A part measured again or a train that carries more, from an instant on."""

    at_utc: datetime
    why: str
    part: str = ""
    train: str = ""
    values: tuple[Value, ...] = ()
    state: str | None = None
    carry: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Season:
    sites: tuple[Site, ...]
    parts: tuple[Part, ...]
    screws: dict[str, tuple[Screw, ...]]
    trains: tuple[TrainText, ...]
    changes: tuple[Change, ...] = ()
    days: tuple[TimedLine, ...] = ()
    nights: tuple[NightText, ...] = field(default_factory=tuple)
    plans: tuple[Plan, ...] = ()


def read_season(folder: Path) -> Season:
    """Read a whole season. Raises BadInput for what cannot be read."""
    kit = _toml(folder / "kit.toml")
    sites = tuple(_site(table) for table in _toml(folder / "sites.toml")["site"])
    zones = {site.name: site.time_zone for site in sites}
    home = sites[0].time_zone
    return Season(
        sites=sites,
        parts=tuple(_part(table) for table in kit["part"]),
        screws={table["telescope"]: _screws(table) for table in kit["screws"]},
        trains=tuple(_train(table) for table in kit["train"]),
        changes=tuple(_change(table) for table in _toml(folder / "changes.toml")["change"]),
        days=tuple(_days(folder / "days.txt", home)),
        nights=tuple(_night(path, zones) for path in sorted(folder.glob("nights/*.txt"))),
        plans=(
            *_plans(folder / "plans.toml", zones),
            *read_upkeep(_toml(folder / "upkeep.toml"), "upkeep.toml"),
        ),
    )


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise BadInput(f"{path.name}: {error}") from error


def _site(table: dict[str, Any]) -> Site:
    points = ((float(azimuth), float(altitude)) for azimuth, altitude in table.pop("horizon", []))
    return Site(**table, horizon=tuple(points))


def _part(table: dict[str, Any]) -> Part:
    stated, measured = table.pop("stated", {}), table.pop("measured", {})
    values = (*_values(stated, STATED), *_values(measured, MEASURED))
    return Part(**table, values=values)


def _values(table: dict[str, Any], basis: str) -> tuple[Value, ...]:
    return tuple(_value(name, value, basis) for name, value in table.items())


def _value(name: str, value: Any, basis: str) -> Value:
    if isinstance(value, dict):
        return Value(name, basis, float(value["value"]), how=value["how"], measured_on=value["on"])
    if isinstance(value, str):
        return Value(name, basis, word=value)
    return Value(name, basis, float(value))


def _screws(table: dict[str, Any]) -> tuple[Screw, ...]:
    return tuple(Screw(name, float(hour)) for name, hour in table["clock_hours"].items())


def _train(table: dict[str, Any]) -> TrainText:
    return TrainText(
        table["name"],
        table["kind"],
        tuple(table["parts"]),
        tuple(table["carried"]),
        _placements(table.get("setting_mm", {}), table.get("along_tube_mm", {})),
    )


def _placements(drawn_out: dict[str, float], along: dict[str, float]) -> tuple[Placement, ...]:
    return tuple(
        Placement(name, drawn_out.get(name), along.get(name))
        for name in dict.fromkeys((*drawn_out, *along))
    )


def _change(table: dict[str, Any]) -> Change:
    return Change(
        at_utc=table["at"].astimezone(UTC),
        why=table["why"],
        part=table.get("part", ""),
        train=table.get("train", ""),
        values=_values(table.get("measured", {}), MEASURED),
        state=table.get("state"),
        carry=tuple(table.get("carry", ())),
    )


def _lines(path: Path) -> Iterator[tuple[str, str]]:
    """The lines that say something, each with where it stands."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if line.strip() and not line.startswith("#"):
            yield line.strip(), f"{path.name}, line {number}"


def _plans(path: Path, zones: dict[str, str]) -> tuple[Plan, ...]:
    def instants(night: date, site: str) -> Callable[[str], datetime]:
        clock = _NightClock(night, zones[site])
        return lambda local: clock.instant(local, None, path.name)

    return read_plans(_toml(path), instants, path.name)


def _days(path: Path, time_zone: str) -> Iterator[TimedLine]:
    for line, where in _lines(path):
        found = _DAY_LINE.fullmatch(line)
        if found is None:
            raise BadInput(f"{where}: write a date, a time and what was done: {line}")
        local = datetime.fromisoformat(f"{found['day']}T{found['clock']}")
        at_utc = local.replace(tzinfo=zone_or_utc(time_zone)).astimezone(UTC)
        yield TimedLine(at_utc, found["text"], None, where)


def _night(path: Path, zones: dict[str, str]) -> NightText:
    local_date = date.fromisoformat(path.stem)
    header: dict[str, str] = {}
    written: list[tuple[re.Match[str], str]] = []
    for line, where in _lines(path):
        named = _HEADER.fullmatch(line)
        timed = _LINE.fullmatch(line)
        if named is not None and not written:
            header[named["name"]] = named["value"]
        elif timed is not None:
            written.append((timed, where))
        else:
            raise BadInput(f"{where}: write a time and what happened: {line}")
    missing = [name for name in ("site", "train", "observer", "from", "to") if name not in header]
    if missing or header["site"] not in zones:
        raise BadInput(f"{path.name}: wants {', '.join(missing) or 'a known site'}")
    clock = _NightClock(local_date, zones[header["site"]])
    return NightText(
        local_date,
        header["site"],
        header["train"],
        header["observer"],
        clock.instant(header["from"], None, path.name),
        clock.instant(header["to"], None, path.name),
        tuple(_timed_line(found, where, clock) for found, where in written),
    )


@dataclass(frozen=True, slots=True)
class _NightClock:
    """Local times of one night, noon to noon, as instants."""

    local_date: date
    time_zone: str

    def instant(self, clock: str, zone_word: str | None, where: str) -> datetime:
        noon = datetime.combine(self.local_date, time(12), UTC)
        around = Surroundings(noon + _LATER, self.time_zone, self.local_date)
        try:
            instant, _ = local_instant(time.fromisoformat(clock), around)
        except (Unclear, ValueError) as error:
            raise BadInput(f"{where}: {error}") from error
        if zone_word is None:
            return instant
        zone = zone_or_utc(self.time_zone)
        for shift in (timedelta(0), timedelta(hours=-1), timedelta(hours=1)):
            local = (instant + shift).astimezone(zone)
            if f"{local:%Z}" == zone_word and f"{local:%H:%M}" == clock:
                return instant + shift
        raise BadInput(f"{where}: {clock} {zone_word} does not come that night")


def _timed_line(found: re.Match[str], where: str, clock: _NightClock) -> TimedLine:
    at_utc = clock.instant(found["clock"], found["zone"], where)
    text = found["text"]
    instead, take_out = _INSTEAD.fullmatch(text), _TAKE_OUT.fullmatch(text)
    if instead is not None:
        return TimedLine(at_utc, instead["text"], time.fromisoformat(instead["clock"]), where)
    if take_out is not None:
        return TimedLine(at_utc, "", time.fromisoformat(take_out["clock"]), where)
    return TimedLine(at_utc, text, None, where)
