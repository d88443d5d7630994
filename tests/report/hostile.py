"""A book whose every word is out to do harm, and the pages of it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PIL import Image, ImageDraw

from logbook.kit.parts.part import Part
from logbook.records.entries import (
    Frames,
    LookDetail,
    NewEntry,
    Screw,
    StarLook,
    TargetCopy,
    Turn,
    UpkeepDone,
)
from logbook.report.registry import PageData, load_page
from logbook.report.render.keys import PageKey
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.clock import Clock

EVENING = datetime(2025, 11, 14, 18, 0, tzinfo=UTC)
SCRIPT = "<script>alert(1)</script>"
IMAGE = '"><img src=x onerror=alert(2)>'
ENDS_ALL = "</td></table></main></style></title>--><svg onload=alert(3)>"
LINK = (
    "[free eyepieces](javascript:alert(4)) ![x](http://example.org/y.png) `code` **bold** | cell |"
)
TURNED = "caught \u202egnp.exe\u202c in the act"
FORMULA = '=HYPERLINK("http://example.org","click")'
HEADING = "# not a heading"
HOSTILE = (SCRIPT, IMAGE, ENDS_ALL, LINK, TURNED, FORMULA, HEADING)
OBJECT = f"Nebula {SCRIPT}"
STAR_FILE, PHOTO_FILE = "star.png", "ring.jpg"  # beside the book
PART, TRAIN, SITE = f"Ring {IMAGE}", f"Train | {SCRIPT}", f"Yard {ENDS_ALL}"


def hostile_book(path: Path) -> Book:
    """Two nights with every kind of entry, some with pictures; close it."""
    _pictures(path.parent)
    clock = Clock(EVENING)
    book = open_book(make_book(path), clock=clock)
    site = book.sites.add(Site(SITE, 50.0, 15.0, 300.0, "Europe/Prague"))
    tube = Part("Tube", "telescope", note=SCRIPT).with_number("aperture_mm", 200, how=IMAGE)
    tube = tube.with_number("focal_length_mm", 1600)
    ring = Part(PART, "extension ring").with_number("optical_length_mm", 50)
    chip = Part("Chip", "camera").with_number("pixel_um", 3.76)
    chip = chip.with_number("width_px", 6248).with_number("height_px", 4176)
    parts = [book.kit.add_part(each).id for each in (tube, ring, chip)]
    book.kit.set_screws(parts[0], (Screw("A", 12), Screw("B", 4), Screw("C", 8)))
    train = book.kit.add_train(TRAIN, "camera", tuple(parts))
    for days, width in ((0, 2.0), (7, 3.1)):
        _night(book, clock, EVENING + timedelta(days=days), site.id, train.id, width)
    return book


def _night(
    book: Book, clock: Clock, start: datetime, site_id: int, train_id: int, width: float
) -> None:
    clock.now = start
    night = book.nights.start(site_id, train_id, SCRIPT, start)
    target = TargetCopy(
        "NGC 1", OBJECT, f"nebula {IMAGE}", 30.0, 35.0, major_arcmin=12.0, minor_arcmin=8.0
    )
    lines = [NewEntry("note", start, f"note {each}") for each in HOSTILE]
    lines += [
        NewEntry("trouble", start, f"trouble {SCRIPT}"),
        NewEntry("object", start, SCRIPT, "start", target),
        NewEntry("star", start, IMAGE, look=_look(width, f"/nowhere/{IMAGE}.fits")),
        NewEntry("star", start, IMAGE, look=_look(width, STAR_FILE)),
        NewEntry("turn", start, SCRIPT, turn=Turn("A", 0.125)),
        NewEntry(
            "upkeep",
            start,
            SCRIPT,
            upkeep=UpkeepDone(f"washed {SCRIPT}", PART, after=ENDS_ALL, photo_path=PHOTO_FILE),
        ),
        NewEntry("upkeep", start, SCRIPT, upkeep=_gone(f"javascript:alert(5){SCRIPT}")),
        NewEntry("upkeep", start, SCRIPT, upkeep=_gone("/dev/zero")),
        NewEntry("transport", start, f"transport {LINK}"),
    ]
    for step in range(4):
        air = 8.0 - step
        read = (
            ("air_temperature_c", air),
            ("mirror_temperature_c", air + 3.0 - 0.5 * step),
            ("fwhm_arcsec", width),
            ("seeing_of_five", 3.0),
        )
        at = start + timedelta(minutes=30 * (step + 1))
        focus = (("focus_position", 12000.0 - 20.0 * air), ("air_temperature_c", air))
        lines.append(NewEntry("conditions", at, SCRIPT, readings=read))
        lines.append(NewEntry("focus", at, SCRIPT, readings=focus))
        frames = Frames(10, 120.0, "Ha <b>")
        lines.append(NewEntry("frames", at, SCRIPT, target=target, frames=frames))
    for minutes, line in enumerate(lines):
        happened = line.happened_utc + timedelta(seconds=10 * minutes)
        clock.now = happened
        book.timeline.keep(night.id, _at(line, happened))
    book.nights.end(night.id, start + timedelta(hours=4))


def _look(width: float, picture_path: str) -> StarLook:
    detail = LookDetail(
        disc_x_px=80.0,
        disc_y_px=60.0,
        shadow_x_px=84.0,
        shadow_y_px=63.0,
        shadow_radius_px=14.0,
        picture_width_px=160,
        picture_height_px=120,
    )
    return StarLook(
        width / 20.0,
        40.0,
        disc_radius_px=40.0,
        star=SCRIPT[:50],
        picture_path=picture_path,
        detail=detail,
    )


def _gone(path: str) -> UpkeepDone:
    return UpkeepDone("photographed", PART, photo_path=path)


def _pictures(folder: Path) -> None:
    """A star test and a photograph beside the book."""
    star = Image.new("L", (160, 120), 10)
    pen = ImageDraw.Draw(star)
    pen.ellipse((40, 20, 120, 100), fill=200)
    pen.ellipse((70, 49, 98, 77), fill=12)
    star.save(folder / STAR_FILE)
    Image.new("RGB", (60, 40), (120, 90, 60)).save(folder / PHOTO_FILE, "JPEG", comment=SCRIPT)


def _at(line: NewEntry, happened: datetime) -> NewEntry:
    return replace(line, happened_utc=happened)


def every_page(book: Book) -> dict[str, PageData]:
    """A page of each kind."""
    keys = (
        PageKey("night", "2025-11-21"),
        PageKey("compare", "2025-11-14 2025-11-21"),
        PageKey("object", OBJECT),
        PageKey("part", PART),
        PageKey("train", TRAIN),
        PageKey("year", "2025"),
        PageKey("trends", ""),
    )
    return {key.kind: load_page(book, key) for key in keys}
