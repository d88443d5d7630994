"""The Moon on a sheet: its face now, and the named features in low light now and later."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.screen.dialogs.live_sheet import ListSheet, save
from logbook.screen.pages.choose.night import asked_at, calculations, night_of
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.words import pick_question, short
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.sky.bright_night.moon_tonight import FeatureTonight, MoonTonight


class MoonSheet(ListSheet["MoonTonight"]):
    """Colongitude, libration, whether the disc fits, and features by how well they are lit."""

    KEY_WORDS = "↑ ↓ feature   o its altitude   space plan the Moon   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o", "object", "Altitude", tooltip="The Moon's altitude through the night"),
        Binding("space", "pick", "Plan", tooltip="The Moon into the running order, or out of it"),
    ]

    def __init__(self, desk: Desk, feature: str = "") -> None:
        super().__init__(desk, "The Moon")
        self._feature = feature

    def work_out(self) -> "MoonTonight":
        desk, sky = self.desk, calculations()
        train = desk.view.train
        prepared = night_of(desk).ranking.prepared
        instrument = sky.instrument_of(train.train if train else None)
        return sky.moon_tonight(prepared.frame, prepared.night, instrument, asked_at(desk))

    def top_words(self, found: "MoonTonight") -> Text:
        state = found.state
        at = self.desk.event_words(state.at)
        words = f"At {at}: {state.illumination * 100:.0f} % lit, {state.altitude_deg:.0f}° high, "
        words += f"colongitude {state.colongitude_deg:.1f}°."
        return Text(" ".join((words, *found.words)))

    def rows(self, found: "MoonTonight") -> list[Text]:
        return [self._row(each) for each in found.features]

    def _row(self, each: "FeatureTonight") -> Text:
        row = Text(f"{each.score:.2f} {short(each.name, 22):22} ", "bold", no_wrap=True)
        size = "" if each.diameter_km is None else f"{each.diameter_km:4.0f} km"
        row.append(f"{each.kind[:12]:12} {size:7} Sun {each.sun_altitude_deg:5.1f}°", "not bold")
        if each.best_from_utc is not None and each.best_to_utc is not None:
            start, end = (
                self.desk.event_words(at) for at in (each.best_from_utc, each.best_to_utc)
            )
            row.append(f" {start}–{end}", "not bold")
        return row

    def draw_body(self, found: "MoonTonight") -> None:
        super().draw_body(found)
        names = [each.name for each in found.features]
        if self._feature in names:
            self.listed.bring(names.index(self._feature))
            self._feature = ""

    def about_words(self, found: "MoonTonight", place: int) -> Text:
        each = found.features[place]
        pixels = "" if each.diameter_px is None else f"{each.diameter_px:.0f} pixels across. "
        return Text(f"{pixels}{each.words}")

    def action_object(self) -> None:
        self.app.push_screen(ObjectSheet(self.desk, "Moon"))

    def question_before(self, key: str) -> str:
        return pick_question(self.desk, "Moon", "the Moon") if key == "space" else ""

    def action_pick(self) -> None:
        save(self, pick(self.desk, "Moon"))
