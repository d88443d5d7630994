"""A star for the star test on a sheet: bright enough for the aperture, high, alone."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.screen.dialogs.live_sheet import ListSheet, room_of, save
from logbook.screen.pages.choose.night import asked_at, calculations, night_of
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.words import pick_question, short
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.sky.bright_night.star_test_star import StarTestStar, StarTestStars


class StarSheet(ListSheet["StarTestStars"]):
    """Stars by how well they suit, now or in the middle of the night chosen for."""

    KEY_WORDS = "Enter all about it   space plan   d driven or not   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "drive", "Driven", tooltip="For a mount that follows the stars, or not"),
        Binding("space", "pick", "Plan", tooltip="Into the running order, or out of it"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "A star for the star test")
        self._driven = True

    def work_out(self) -> "StarTestStars":
        desk, sky = self.desk, calculations()
        train = desk.view.train
        frame = night_of(desk).ranking.prepared.frame
        instrument = sky.instrument_of(train.train if train else None, driven=self._driven)
        return sky.star_test_stars(frame, instrument, asked_at(desk))

    def top_words(self, found: "StarTestStars") -> Text:
        at = self.desk.event_words(asked_at(self.desk))
        mount = "driven" if self._driven else "a mount that stands still"
        return Text(" ".join((f"At {at}, {mount}.", *found.words)))

    def rows(self, found: "StarTestStars") -> list[Text]:
        return [_row(each, room_of(self)[0]) for each in found.stars]

    def about_words(self, found: "StarTestStars", place: int) -> Text:
        star = found.stars[place]
        course = ", ".join(
            f"{self.desk.event_words(at)} {altitude:.0f}°" for at, altitude in star.altitudes_deg
        )
        return Text(f"{'; '.join(star.reasons)}\nAltitude: {course}")

    def taken(self, found: "StarTestStars", place: int) -> None:
        self.app.push_screen(ObjectSheet(self.desk, found.stars[place].object_id))

    def action_drive(self) -> None:
        """With a mount that stands still a slow star counts for more than a high one."""
        self._driven = not self._driven
        self.work_again()

    def question_before(self, key: str) -> str:
        if key != "space" or self.found is None or self.listed.place is None:
            return ""
        star = self.found.stars[self.listed.place]
        return pick_question(self.desk, star.object_id, star.name)

    def action_pick(self) -> None:
        if self.found is not None and self.listed.place is not None:
            save(self, pick(self.desk, self.found.stars[self.listed.place].object_id))


def _row(star: "StarTestStar", columns: int) -> Text:
    row = Text(f"{short(star.name, 26):26}", style="bold", no_wrap=True)
    words = f" {star.constellation:3} mag {star.magnitude:4.1f}  {star.altitude_deg:2.0f}° now"
    words += f", {star.altitude_in_an_hour_deg:2.0f}° in an hour"
    row.append(words if columns >= 70 else words[:22], "not bold")
    row.append(f"  {star.score:.2f}", "not bold")
    return row
