"""Pairs of nights with a planted cause and harmless changes beside it, in a real book.

Invented nights. The width of star images is made by a model of its own, in quadrature: seeing and
mirror by the published laws that the ranking goes by too, guiding, focus and wind by other numbers
than the ranking's, coma by what was planted. Nothing else is shared with the ranking. Where
an object stands comes from its hour angle, so that its altitude is known beforehand.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, Screw, StarLook, TargetCopy, Turn, UpkeepDone
from logbook.report.compare.difference import Difference
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.clock import Clock

LATITUDE, LONGITUDE = 50.0, 15.0
FIRST = datetime(2015, 1, 10, 18, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Planted:
    """A change that was planted, and which difference shows it."""

    name: str
    told_by: Callable[[Difference], bool]


@dataclass
class Made:
    """What one night is made of; a cause or a harmless change alters some of it."""

    seeing_arcsec: float
    judged: bool = True
    hour_angle_deg: float = 0.0
    mirror_less_air_c: float = 0.5
    fall_c: float = 3.0
    refocused: bool = True
    guiding_arcsec: float = 0.5
    wind_m_s: float = 1.5
    offset: float | None = None
    coma_arcsec: float = 0.0
    filter_name: str = "L"
    gain: float = 100.0
    exposure_s: float = 180.0
    humidity_percent: float = 70.0
    transparency: float = 4.0
    train: str = "Long train"
    site: str = "Home"
    declination_deg: float = 30.0


@dataclass
class Pair:
    """Two nights of the book, the cause of what differs, and what else was changed."""

    then_id: int
    now_id: int
    cause: Planted
    harmless: tuple[Planted, ...]


@dataclass
class Maker:
    """Writes pairs of nights into a book, one after the other."""

    book: Book
    clock: Clock
    chance: random.Random
    evening: datetime = FIRST
    parts: dict[str, int] = field(default_factory=dict)
    trains: dict[str, int] = field(default_factory=dict)
    sites: dict[str, int] = field(default_factory=dict)

    def begin(self) -> None:
        """Sites, parts and trains."""
        self.clock.now = FIRST - timedelta(days=30)
        for name, longitude in (("Home", LONGITUDE), ("Hill", LONGITUDE + 0.3)):
            site = Site(name, LATITUDE, longitude, 300.0, "Europe/Prague")
            self.sites[name] = self.book.sites.add(site).id
        for part in (
            Part("Long tube", "telescope").with_number("aperture_mm", 200),
            Part("Ring 50", "extension ring").with_number("optical_length_mm", 50),
            Part("Ring 48", "extension ring").with_number("optical_length_mm", 48),
            Part("Chip", "camera").with_number("pixel_um", 3.76),
            Part("Other chip", "camera").with_number("pixel_um", 3.76),
            Part("Mount", "mount"),
            Part("Weight", "counterweight").with_number("mass_kg", 5),
            Part("Finder", "finder"),
            Part("Spare tube", "telescope"),
        ):
            self.parts[part.name] = self.book.kit.add_part(part).id
        self.book.kit.set_screws(
            self.parts["Long tube"], (Screw("A", 12), Screw("B", 4), Screw("C", 8))
        )
        self._train("Long train", ("Long tube", "Ring 50", "Chip"), ("Mount", "Weight"))
        self._train("Other train", ("Long tube", "Ring 48", "Other chip"), ("Mount", "Weight"))

    def _train(self, name: str, lit: tuple[str, ...], carried: tuple[str, ...]) -> None:
        ids = tuple(self.parts[each] for each in lit), tuple(self.parts[each] for each in carried)
        self.trains[name] = self.book.kit.add_train(name, "camera", *ids).id

    def pair(self) -> Pair:
        """A usual night, then one with a cause and up to three harmless changes."""
        seeing = self.chance.uniform(1.7, 2.4)
        then, now = self._usual(seeing), self._usual(seeing * self.chance.uniform(0.96, 1.04))
        cause = self.chance.choice(CAUSES)
        harmless = self.chance.sample(HARMLESS, self.chance.randint(1, 3))
        if cause.first is not None:
            cause.first(then)
        then_id = self._night(then)
        self.clock.now = self.evening - timedelta(hours=6)  # the day between
        undo = [after for plant in (cause, *harmless) if (after := plant.plant(self, now))]
        now_id = self._night(now)
        for after in undo:
            after()
        self.evening += timedelta(days=self.chance.randint(1, 6))
        return Pair(then_id, now_id, cause.planted, tuple(each.planted for each in harmless))

    def _usual(self, seeing: float) -> Made:
        chance = self.chance
        return Made(
            seeing,
            hour_angle_deg=chance.uniform(-12, 12),
            mirror_less_air_c=chance.uniform(0.3, 0.9),
            fall_c=chance.uniform(2.0, 3.5),
            guiding_arcsec=chance.uniform(0.45, 0.6),
            wind_m_s=chance.uniform(0.5, 2.8),
            humidity_percent=chance.uniform(66, 74),
        )

    def _night(self, made: Made) -> int:
        """Write one night down; the next one is a day or more later."""
        book, start = self.book, self.evening
        self.clock.now = start
        night = book.nights.start(self.sites[made.site], self.trains[made.train], "", start)
        for entry in self._entries(made, start):
            book.timeline.keep(night.id, entry)
        book.nights.end(night.id, start + timedelta(hours=5))
        self.evening += timedelta(days=1)
        return night.id

    def _entries(self, made: Made, start: datetime) -> list[NewEntry]:
        def read(minutes: float, kind: str, **numbers: float) -> NewEntry:
            at = start + timedelta(minutes=minutes)
            return NewEntry(kind, at, kind, readings=tuple(numbers.items()))

        def focus(minutes: float, air_c: float) -> NewEntry:
            return read(minutes, "focus", focus_position=12000.0 - 20.0 * air_c)

        air_c = self.chance.uniform(-2, 12)
        late_c = air_c - made.fall_c
        opening = {
            "air_temperature_c": air_c,
            "humidity_percent": made.humidity_percent,
            "wind_m_s": made.wind_m_s,
            "transparency_of_five": made.transparency,
        }
        if made.judged:
            judged = round(10.5 - 2.2 * (made.seeing_arcsec - 0.8))
            opening["seeing_pickering"] = min(10.0, max(1.0, judged))
        begun, ended = start + timedelta(minutes=35), start + timedelta(minutes=216)
        frames = Frames(40, made.exposure_s, made.filter_name, made.gain, 1)
        entries = [
            read(20, "conditions", **opening),
            focus(30, air_c),
            NewEntry("object", begun, "start", "start", self._target(made, start)),
            read(40, "guiding", guiding_rms_arcsec=made.guiding_arcsec),
            read(
                200,
                "reading",
                air_temperature_c=late_c,
                mirror_temperature_c=late_c + made.mirror_less_air_c,
                fwhm_arcsec=self._width(made),
            ),
            NewEntry("frames", ended - timedelta(minutes=1), "frames", frames=frames),
            NewEntry("object", ended, "stop", "stop"),
        ]
        if made.offset is not None:
            entries.append(NewEntry("star", begun, "star", look=StarLook(made.offset, 40.0)))
        for step in (1, 2) if made.refocused else ():
            between_c = air_c - made.fall_c * step / 3
            entries.append(read(60 + 40 * step, "reading", air_temperature_c=between_c))
            entries.append(focus(61 + 40 * step, between_c))
        return entries

    def _target(self, made: Made, start: datetime) -> TargetCopy:
        """An object whose mean hour angle through the run (minutes 35 to 216) is as made.

        Sidereal time to a tenth of a degree. Source: Meeus 1998, ch. 12, eq. 12.4.
        """
        middle = start + timedelta(minutes=125)
        days = (middle - datetime(2000, 1, 1, 12, tzinfo=UTC)) / timedelta(days=1)
        sidereal = (280.46061837 + 360.98564736629 * days + LONGITUDE) % 360.0
        ra_deg = round((sidereal - made.hour_angle_deg) % 360.0, 3)
        number = f"{self.evening:%Y%m%d}"
        return TargetCopy(
            f"field {number}", f"Field {number}", "galaxy", ra_deg, made.declination_deg
        )

    def _width(self, made: Made) -> float:
        """The width of star images, ″, from what the night is made of."""
        sine = math.sin(math.radians(LATITUDE)) * math.sin(math.radians(made.declination_deg))
        sine += (
            math.cos(math.radians(LATITUDE))
            * math.cos(math.radians(made.declination_deg))
            * math.cos(math.radians(made.hour_angle_deg))
        )
        left_alone = 0.0 if made.refocused else max(0.0, made.fall_c - 0.5)
        blurs = (
            made.seeing_arcsec * sine**-0.6,
            0.4 * abs(made.mirror_less_air_c) ** 1.2,
            2.2 * made.guiding_arcsec,
            0.45 * left_alone,
            0.25 * max(0.0, made.wind_m_s - 2.5),
            made.coma_arcsec,
        )
        return round(math.hypot(*blurs) * self.chance.uniform(0.97, 1.03), 2)


Undo = Callable[[], object]


@dataclass(frozen=True)
class Plant:
    """A way to change the second night of a pair; `first` readies the other one for it."""

    planted: Planted
    plant: Callable[[Maker, Made], Undo | None]
    first: Callable[[Made], None] | None = None


def _of(topic: str, label: str = "", words: str = "") -> Callable[[Difference], bool]:
    def told(each: Difference) -> bool:
        said = " ".join((each.label, each.before, each.after, *each.evidence))
        return each.topic == topic and label in each.label and words in said

    return told


def _seeing(maker: Maker, now: Made) -> None:
    now.seeing_arcsec *= maker.chance.uniform(1.5, 1.9)


def _altitude(maker: Maker, now: Made) -> None:
    now.hour_angle_deg = maker.chance.uniform(75, 88)


def _mirror(maker: Maker, now: Made) -> None:
    now.mirror_less_air_c = maker.chance.uniform(4.0, 6.0)


def _left_alone(maker: Maker, now: Made) -> None:
    now.fall_c, now.refocused = maker.chance.uniform(5.0, 7.0), False


def _guiding(maker: Maker, now: Made) -> None:
    now.guiding_arcsec = maker.chance.uniform(1.2, 1.7)


def _wind(maker: Maker, now: Made) -> None:
    now.wind_m_s = maker.chance.uniform(9.0, 13.0)


def _coma(maker: Maker, now: Made) -> None:
    now.coma_arcsec = maker.chance.uniform(1.6, 2.4)


def _star_test(maker: Maker, now: Made) -> None:
    now.offset = maker.chance.uniform(0.25, 0.4)
    _coma(maker, now)


def _in_line(then: Made) -> None:
    then.offset = 0.03


def _screws(maker: Maker, now: Made) -> None:
    _coma(maker, now)
    screw = maker.chance.choice("ABC")
    for minutes in (0, 10):
        turn = Turn(screw, maker.chance.choice((0.125, 0.1875, 0.25)))
        when = maker.clock.now + timedelta(minutes=minutes)
        maker.book.timeline.keep(
            None, NewEntry("turn", when, "turn", turn=turn, train_name="Long train")
        )


def _transport(maker: Maker, now: Made) -> None:
    _coma(maker, now)
    maker.book.timeline.keep(
        None, NewEntry("transport", maker.clock.now, "transport over the ford")
    )


def _cleaned(maker: Maker, now: Made) -> None:
    _coma(maker, now)
    _done(maker, "Long tube", "mirror taken out and washed")


def _done(maker: Maker, part: str, action: str) -> None:
    done = UpkeepDone(action, part)
    maker.book.timeline.keep(
        None, NewEntry("upkeep", maker.clock.now, f"upkeep {part}: {action}", upkeep=done)
    )


def _ring(maker: Maker, now: Made) -> Undo:
    _coma(maker, now)
    return _revised(maker, ("Long tube", "Ring 48", "Chip"), ("Mount", "Weight"))


def _revised(maker: Maker, lit: tuple[str, ...], carried: tuple[str, ...]) -> Undo:
    """The long train with these parts; what it was comes back after the night."""
    train_id = maker.trains["Long train"]
    before = maker.book.kit.train(train_id)

    def revise(part_ids: tuple[int, ...], carried_ids: tuple[int, ...]) -> None:
        maker.book.kit.revise_train(train_id, part_ids, carried_ids)

    ids = (tuple(maker.parts[each] for each in names) for names in (lit, carried))
    revise(*ids)

    def undo() -> None:
        maker.clock.now = maker.evening - timedelta(hours=2)
        revise(before.part_ids, before.carried_ids)

    return undo


def _spacing(maker: Maker, now: Made) -> None:
    _coma(maker, now)
    ring = maker.book.kit.part(maker.parts["Ring 50"])
    length = (ring.part.number("optical_length_mm") or 50.0) - maker.chance.uniform(0.3, 0.8)
    part = ring.part.with_number("optical_length_mm", round(length, 2))
    maker.book.kit.revise_part(ring.id, part, "filed down")


def _other_train(maker: Maker, now: Made) -> None:
    now.train = "Other train"
    _coma(maker, now)


def _other_site(maker: Maker, now: Made) -> None:
    """Bad air of the place, and nobody judged the seeing."""
    now.site, now.judged = "Hill", False
    now.seeing_arcsec *= maker.chance.uniform(1.4, 1.7)


CAUSES = (
    Plant(Planted("seeing", _of("seeing")), _seeing),
    Plant(Planted("altitude", _of("altitude")), _altitude),
    Plant(Planted("warm mirror", _of("mirror")), _mirror),
    Plant(Planted("focus left alone", _of("focus", "since the last focus")), _left_alone),
    Plant(Planted("guiding", _of("guiding")), _guiding),
    Plant(Planted("wind", _of("weather", "wind")), _wind),
    Plant(Planted("out of line", _of("star test")), _star_test, _in_line),
    Plant(Planted("screws", _of("screws")), _screws),
    Plant(Planted("transport", _of("transport")), _transport),
    Plant(Planted("mirror washed", _of("upkeep", "Long tube")), _cleaned),
    Plant(Planted("another ring", _of("kit", "extension ring", "Ring 48")), _ring),
    Plant(Planted("ring filed", _of("kit", "Ring 50: optical length")), _spacing),
    Plant(Planted("another train", _of("kit", "train", "Other train")), _other_train),
    Plant(Planted("another site", _of("site", "", "Hill")), _other_site),
)


def _set(name: str, value: object) -> Callable[[Maker, Made], None]:
    def plant(_maker: Maker, now: Made) -> None:
        setattr(now, name, value)

    return plant


def _belt(maker: Maker, _now: Made) -> None:
    _done(maker, "Mount", "belt tightened")


def _spare(maker: Maker, _now: Made) -> None:
    _done(maker, "Spare tube", "dusted")


HARMLESS = (
    Plant(Planted("filter", _of("exposure", "filters", "Ha")), _set("filter_name", "Ha")),
    Plant(Planted("gain", _of("exposure", "gain", "200")), _set("gain", 200.0)),
    Plant(Planted("exposure", _of("exposure", "exposure", "300")), _set("exposure_s", 300.0)),
    Plant(Planted("damp", _of("weather", "humidity")), _set("humidity_percent", 92.0)),
    Plant(Planted("haze", _of("weather", "transparency")), _set("transparency", 2.0)),
    Plant(Planted("belt", _of("upkeep", "Mount")), _belt),
    Plant(Planted("spare tube", _of("upkeep", "Spare tube")), _spare),
)
