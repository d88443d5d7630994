"""All about one object on a sheet: this night, the year ahead, and what the book holds of it."""

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.errors import NotFound
from logbook.screen.dialogs.live_sheet import TextSheet, room_of, save, text_columns
from logbook.screen.dialogs.start_object import start_object
from logbook.screen.pages.choose.drawing import curve_lines
from logbook.screen.pages.choose.frame import FrameSheet
from logbook.screen.pages.choose.night import calculations, no_sky_words
from logbook.screen.pages.choose.object_words import (
    held_lines,
    night_lines,
    title_words,
    year_words,
)
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.project_form import NewProject
from logbook.screen.pages.choose.words import pick_question
from logbook.screen.pages.choose.year import year_lines
from logbook.screen.services.messages import SkyWanted
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.records.choosing import Held, ProjectRecord
    from logbook.sky.altitude.one_object import ObjectTonight
    from logbook.sky.altitude.year import YearAhead
    from logbook.sky.catalogue.objects import SkyObject

_LOW = 20  # rows


@dataclass(frozen=True, slots=True)
class Seen:
    """What was computed for one object. `year` is None for what moves among the stars."""

    thing: "SkyObject"
    tonight: "ObjectTonight"
    year: "YearAhead | None"
    held: "Held | None"
    projects: "tuple[ProjectRecord, ...]"


class ObjectSheet(TextSheet[Seen]):
    """One object on the chosen night."""

    KEY_WORDS = "f frame   space plan   p project   Enter start it   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "frame", "Frame", tooltip="The frame to scale"),
        Binding("space", "pick", "Plan", tooltip="Into the running order, or out of it"),
        Binding("p", "project", "Project", tooltip="Want hours of it"),
        Binding("enter", "start", "Start", tooltip="Write `start` on the entry line"),
    ]

    def __init__(self, desk: Desk, object_id: str) -> None:
        super().__init__(desk, object_id)
        self.object_id = object_id

    def work_out(self) -> Seen:
        desk, book, sky = self.desk, self.desk.book, calculations()
        if desk.view.site is None:
            raise NotFound(no_sky_words(self.desk))
        site, limits, night = desk.view.site.site, desk.limits, desk.chosen_date
        held = book.holdings.of(self.object_id) if book else None
        projects = book.projects.all() if book else ()
        own = tuple(each for each in projects if each.target.catalogue_id == self.object_id)
        if sky.is_body(self.object_id):
            thing, tonight = sky.seen_body(site, self.object_id, night, limits)
            return Seen(thing, tonight, None, held, own)
        thing = desk.sky.thing(self.object_id)
        tonight = sky.object_tonight(site, thing, night, limits)
        return Seen(thing, tonight, sky.year_ahead(site, thing, night, limits), held, own)

    def top_words(self, found: Seen) -> Text:
        self.heading = found.thing.title
        return title_words(found.thing)

    def lines(self, found: Seen) -> list[Text]:
        columns, rows = text_columns(self), room_of(self)[1]
        limit = self.desk.limits.min_altitude_deg
        low = rows < _LOW
        lines = night_lines(self.desk, found.tonight, limit)
        drawn = curve_lines(
            self.desk,
            found.tonight.curve,
            limit,
            columns,
            6 if low else max(6, rows // 3),
            found.tonight.transit_utc,
        )
        lines.append(Text(f"Altitude, airmass at the right. Dots: {limit:.0f}°, Moon. Foot: dark"))
        lines += [Text(each, no_wrap=True) for each in drawn]
        if found.year is not None:
            lines.append(year_words(found.year))
            lines += [
                Text(each, no_wrap=True)
                for each in year_lines(found.year, columns, max(4, rows // 6))
            ]
        return [*lines, *held_lines(found.held, found.projects)]

    def book_changed(self) -> None:
        """Hours wanted of it change the ranking too."""
        super().book_changed()
        self.app.post_message(SkyWanted())

    def action_frame(self) -> None:
        self.app.push_screen(FrameSheet(self.desk, self.object_id))

    def question_before(self, key: str) -> str:
        name = self.found.thing.title if self.found else self.object_id
        return pick_question(self.desk, self.object_id, name) if key == "space" else ""

    def action_pick(self) -> None:
        save(self, pick(self.desk, self.object_id))

    def action_project(self) -> None:
        if self.found is not None:
            form = NewProject(self.desk, self.found.projects, self.object_id)
            self.app.push_screen(form, partial(save, self))

    def action_start(self) -> None:
        while len(self.app.screen_stack) > 2:
            self.app.pop_screen()
        self.dismiss(None)
        start_object(self.app, self.desk, self.object_id)
