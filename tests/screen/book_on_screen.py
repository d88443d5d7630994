"""A small book with two telescopes, and the program opened on it without a sky."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from textual.pilot import Pilot
from textual.widget import Widget

from logbook.errors import NotFound
from logbook.kit.parts.part import Part, Train
from logbook.records.entries import EntryRecord, Screw, TargetCopy
from logbook.screen.app.app import LogbookApp
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.clock import EVENING, Clock
from tests.screen.quiet import key_event, settled

if TYPE_CHECKING:
    from logbook.sky.altitude.curve import AltitudeCurve
    from logbook.sky.altitude.track import Track
    from logbook.sky.catalogue.name_search import Found
    from logbook.sky.catalogue.objects import SkyObject
    from logbook.sky.limits.limits import Limits
    from logbook.sky.night.night import Night
    from logbook.sky.ranking.book_facts import BookFacts
    from logbook.sky.ranking.tonight import Tonight

LONG_NOTE = (
    "the wind is rising from the west and the tent of the neighbour flaps so loudly that nobody "
    "at this end of the field will sleep tonight, so the frames go on until the battery is empty"
)


class NoSky:
    """Knows one galaxy by name and can compute nothing."""

    def load(self) -> None:
        return

    def find(self, typed: str) -> TargetCopy | None:
        if typed.casefold().replace(" ", "") != "m31":
            return None
        return TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)

    def complete(self, typed: str) -> list[str]:
        return []

    def search(self, typed: str) -> "list[Found]":
        return []

    def tonight(
        self,
        site: Site,
        train: Train | None,
        local_date: date,
        limits: "Limits | None",
        facts: "BookFacts",
    ) -> "Tonight":
        raise NotFound("There is no sky in this test.")

    def again(self, tonight: "Tonight", limits: "Limits") -> "Tonight":
        raise NotFound("There is no sky in this test.")

    def thing(self, object_id: str) -> "SkyObject":
        raise NotFound("There is no sky in this test.")

    def curve(self, site: Site, object_id: str, night: "Night") -> "AltitudeCurve":
        raise NotFound("There is no sky in this test.")

    def track(self, site: Site, target: TargetCopy, local_date: date, limit_deg: float) -> "Track":
        raise NotFound("There is no sky in this test.")

    def position_angle_deg(self, object_id: str) -> float | None:
        return None


def build_book(path: Path, clock: Clock) -> Path:
    """A copy of the small book at `path`, whose clock has not moved yet."""
    assert clock.now == EVENING
    path.write_bytes(_small_book())
    return path


@cache
def _small_book() -> bytes:
    """A site, a two-mirror telescope with three screws, a lens telescope, two trains."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "small.db"
        _fill(path, Clock())
        return path.read_bytes()


def _fill(path: Path, clock: Clock) -> None:
    make_book(path, clock=clock)
    with open_book(path, clock=clock) as book:
        book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
        long_tube = Part("Long Tube", "telescope").with_number("mirror_count", 2)
        long_tube = long_tube.with_number("aperture_mm", 203).with_number("focal_length_mm", 1626)
        telescope = book.kit.add_part(long_tube.with_number("obstruction_mm", 69))
        lens = Part("Small Lens", "telescope").with_number("mirror_count", 0)
        other = book.kit.add_part(lens.with_number("aperture_mm", 80))
        chip = Part("Small Chip", "camera").with_number("pixel_um", 3.76)
        chip = chip.with_number("width_px", 4144).with_number("height_px", 2822)
        camera = book.kit.add_part(chip)
        screws = (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0))
        book.kit.set_screws(telescope.id, screws)
        book.kit.add_train("Long train", "camera", (telescope.id, camera.id))
        book.kit.add_train("Short train", "camera", (other.id, camera.id))
        book.choices.put("site", "Mill Hill")
        book.choices.put("train", "Long train")


def begin_night(path: Path, clock: Clock, train: str = "Long train") -> int:
    """Start a night in the book; its id."""
    with open_book(path, clock=clock) as book:
        site = book.sites.all()[0]
        with_train = book.kit.train_named(train)
        return book.nights.start(site.id, with_train.id, "R. Quill", clock()).id


class OnScreen:
    """The program as a test drives it."""

    def __init__(self, pilot: Pilot[int], app: LogbookApp) -> None:
        self.pilot = pilot
        self.app = app

    @property
    def book(self) -> Book:
        assert self.app.desk.book is not None
        return self.app.desk.book

    @property
    def timeline(self) -> tuple[EntryRecord, ...]:
        """What the book itself holds of the night in progress."""
        night = self.book.nights.in_progress()
        assert night is not None
        return self.book.timeline.of_night(night.id)

    @property
    def said(self) -> str:
        """The words above the entry line."""
        return self.words("#understood")

    @property
    def line(self) -> str:
        return self.app.query_one(EntryBar).line.value

    def words(self, selector: str) -> str:
        """What a widget shows, without its drawing's spaces at the line ends."""
        widget = self.app.screen.query_one(selector, Widget)
        return "\n".join(_drawn(widget))

    @property
    def page(self) -> str:
        """The page in view, as drawn."""
        return self.words("#pages")

    async def press(self, *keys: str) -> None:
        """Keys one after the other, each handled to its end: a page read, a line saved."""
        for key in keys:
            await self.app._post_message(key_event(key))
            await self.settle()

    async def press_while_disk_is_slow(self, key: str) -> None:
        """One key, handled by the screen; the book's writer is not waited for."""
        await self.app._post_message(key_event(key))
        await settled(self.app)

    async def yes(self, *keys: str) -> None:
        """Press each key, which asks, and answer that it is meant."""
        for key in keys:
            await self.press(key, "enter")

    async def turned(self) -> None:
        """Say on the page Screws that the turn in hand was made."""
        await self.press("enter")
        assert "Did you turn" in self.said
        assert isinstance(self.app.desk.clock, Clock)
        self.app.desk.clock.forward(seconds=2)
        await self.press("enter")

    async def enter(self, line: str) -> None:
        """Keep a line as if it had been typed and entered."""
        self.app.query_one(EntryBar).enter(line)
        await self.settle()

    async def settle(self) -> None:
        """Wait until nothing works: pages made, jobs on disk, everything drawn."""
        await settled(self.app, self._written)

    async def _written(self) -> None:
        writer = self.app.desk.writer
        if writer is not None:
            await asyncio.wrap_future(writer.submit(lambda: None))


def _drawn(widget: Widget) -> list[str]:
    """The rows of the screen that a widget covers, cut at its edges."""
    region = widget.region
    strips = widget.screen._compositor.render_strips()
    rows = strips[region.y : region.bottom]
    return [row.crop(region.x, region.right).text.rstrip() for row in rows]


@asynccontextmanager
async def opened(
    path: Path, clock: Clock, page: str, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[OnScreen]:
    """The program on the book at `path`, turned to a page, with nothing left to do."""
    app = LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))
    async with app.run_test(size=size) as pilot:
        screen = OnScreen(pilot, app)
        while app.desk.writer is None or not app.desk.view.trains:
            await screen.settle()
        app.action_turn_to(page)
        await screen.settle()
        yield screen
    app.desk.writer.close()
    screen.book.close()
