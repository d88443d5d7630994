"""What to do when the Moon is bright, on a sheet: Moon, planets, doubles, star test, upkeep."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.screen.dialogs.live_sheet import ListSheet, room_of, save
from logbook.screen.pages.choose.moon import MoonSheet
from logbook.screen.pages.choose.night import asked_at, calculations, night_of
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.words import pick_question, short
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.sky.bright_night.bright_night import Instead

    Found = tuple[Instead, ...]

_ON_THE_MOON = ("Moon", "Moon feature")


class InsteadSheet(ListSheet["Found"]):
    """Everything that moonlight leaves, ranked together."""

    KEY_WORDS = "Enter all about it   space plan   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "pick", "Plan", tooltip="Into the running order, or out of it"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, f"What else the night of {desk.chosen_date:%a %d %b} is good for")

    def work_out(self) -> "Found":
        desk, sky = self.desk, calculations()
        train = desk.view.train
        prepared = night_of(desk).ranking.prepared
        instrument = sky.instrument_of(train.train if train else None)
        frame, night = prepared.frame, prepared.night
        return sky.instead_tonight(
            frame, night, instrument, at=asked_at(desk), upkeep=_upkeep_due(desk)
        )

    def top_words(self, found: "Found") -> Text:
        words = self.desk.tonight.words[:1] if self.desk.tonight else ()
        if not found:
            words = (*words, "Nothing of it can be done this night either.")
        return Text(" ".join(words), style="bold")

    def rows(self, found: "Found") -> list[Text]:
        return [self._row(each) for each in found]

    def _row(self, each: "Instead") -> Text:
        when = ""
        if each.from_utc is not None and each.to_utc is not None:
            start, end = (self.desk.event_words(at) for at in (each.from_utc, each.to_utc))
            when = f"{start}–{end}"
        row = Text(f"{each.score:.2f} ", no_wrap=True)
        row.append(f"{when:11} {each.kind:12} ")
        row.append(short(each.title, max(16, room_of(self)[0] - 32)), style="bold")
        return row

    def about_words(self, found: "Found", place: int) -> Text:
        return Text("; ".join(found[place].reasons))

    def taken(self, found: "Found", place: int) -> None:
        chosen = found[place]
        if chosen.kind in _ON_THE_MOON:
            self.app.push_screen(MoonSheet(self.desk, chosen.name))
        elif chosen.kind == "upkeep":
            self.dismiss(None)
            self.app.call_later(self.app.run_action, "turn_to('upkeep')")
        else:
            self.app.push_screen(ObjectSheet(self.desk, _object_id(chosen)))

    def question_before(self, key: str) -> str:
        if key != "space" or self.found is None or self.listed.place is None:
            return ""
        chosen = self.found[self.listed.place]
        object_id = _object_id(chosen)
        return "" if chosen.kind == "upkeep" else pick_question(self.desk, object_id, object_id)

    def action_pick(self) -> None:
        if self.found is None or self.listed.place is None:
            return
        chosen = self.found[self.listed.place]
        if chosen.kind == "upkeep":
            self.say("Upkeep is no object of the sky; Enter turns to the page that has it.")
        else:
            save(self, pick(self.desk, _object_id(chosen)))


def _upkeep_due(desk: Desk) -> list[str]:
    """What is due, each with its most pressing reason."""
    found = desk.book.upkeep.due(desk.clock()) if desk.book is not None else ()
    return [f"{each.name} ({each.reasons[0]})" for each in found if each.is_due]


def _object_id(chosen: "Instead") -> str:
    """What the catalogues call it: the Moon for its features, the star for each of its pairs."""
    return "Moon" if chosen.kind in _ON_THE_MOON else chosen.name.partition("/")[0]
