"""Choose: for this train and this night, what is worth doing, ranked, each with its reasons."""

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import DataTable, Static
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.report.words.tonight_text import night_lines
from logbook.screen.dialogs.sheets import Sheet
from logbook.screen.pages.choose import jobs as choose_flow
from logbook.screen.pages.choose.drawing import curve_lines, frame_lines
from logbook.screen.pages.choose.keys import CHOOSE_KEYS, OWN_KEYS
from logbook.screen.pages.choose.limits import LimitsLine, SaveLimits
from logbook.screen.pages.choose.picking import pick
from logbook.screen.pages.choose.sheets import OpensSheets
from logbook.screen.pages.choose.words import (
    cells,
    columns,
    head_words,
    pick_question,
    why_short,
    why_words,
)
from logbook.screen.services import jobs as night_flow
from logbook.screen.services.messages import JobWanted, SkyReady, SkyWanted
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar

if TYPE_CHECKING:
    from logbook.records.choosing import LimitSetRecord
    from logbook.screen.services.run_job import Job
    from logbook.sky.altitude.curve import AltitudeCurve
    from logbook.sky.limits.limits import Limits
    from logbook.sky.night.night import Night
    from logbook.sky.night.site import Site
    from logbook.sky.ranking.suggestions import Suggestion

    Wanted = tuple[str, Site, Night]  # the object, place and night of a curve

_FRAME_COLUMNS, _FRAME_ROWS = 24, 7
_CURVE_COLUMNS, _CURVE_ROWS = 41, 6
_BESIDE_COLUMNS = 43  # beside the list on a wide screen
_HOME, _WIDE = 80, 100
_SET_KEYS = tuple("123456789")


class ChoosePage(OpensSheets):
    """The ranked list, and beside or under it why the chosen one is worth it."""

    TITLE = "Choose"
    BINDINGS: ClassVar[list[BindingType]] = [*CHOOSE_KEYS]
    OWN_KEYS = OWN_KEYS

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._curve: tuple[Wanted, AltitudeCurve] | None = None
        self._curve_wanted: Wanted | None = None
        self._limits_before: Limits | None = None  # while the line is open
        self._newest_entry = desk.view.timeline[-1].id if desk.view.timeline else None
        self._narrow: bool | None = None  # as the columns were made

    class CurveReady(Message):
        """The altitudes of one object were computed."""

        def __init__(self, wanted: "Wanted", curve: "AltitudeCurve") -> None:
            super().__init__()
            self.wanted = wanted
            self.curve = curve

    def compose(self) -> ComposeResult:
        yield Static(id="choose-head", markup=False)
        yield LimitsLine(id="choose-limits")
        with Container(id="choose-body"):
            table: DataTable[Text] = DataTable(id="choose-list", cursor_type="row")
            table.cursor_foreground_priority = "css"
            yield table
            with VerticalScroll(id="choose-why", can_focus=False):
                yield Static(id="choose-words", markup=False)

    def on_resize(self) -> None:
        """A wide screen shows more columns, and drawings beside the list."""
        self.redraw_sky()

    @property
    def _table(self) -> "DataTable[Text]":
        return self.query_one("#choose-list", DataTable)

    @property
    def _limits_line(self) -> LimitsLine:
        return self.query_one(LimitsLine)

    def take_focus(self) -> None:
        self._table.focus()

    # --- drawing ---

    def redraw(self) -> None:
        narrow = self.app.size.width < _HOME
        self.query_one("#choose-head", Static).update(head_words(self.desk, narrow=narrow))
        self._fill_rows()
        tonight = self.desk.tonight
        if tonight is None:
            return
        newest = self.desk.view.timeline[-1].id if self.desk.view.timeline else None
        if newest != self._newest_entry:  # what is owed, and what was seen, may be different now
            self._newest_entry = newest
            self.post_message(SkyWanted())
        elif tonight.ranking.limits != self.desk.limits:
            self._rank_again()

    def redraw_sky(self) -> None:
        self.redraw()
        self._explain()

    def _fill_rows(self) -> None:
        table, tonight = self._table, self.desk.tonight
        before = self._object_at_cursor()
        narrow = self.app.size.width < _HOME
        if narrow != self._narrow:
            self._narrow = narrow
            table.clear(columns=True)
            for label, width in columns(narrow=narrow):
                table.add_column(Text(label), width=width, key=label)
        table.clear()
        picked = self._picked()
        for each in tonight.suggestions if tonight else ():
            table.add_row(*cells(self.desk, each, picked, narrow=narrow), key=each.object_id)
        if before in table.rows:
            table.move_cursor(row=table.get_row_index(before))

    def _object_at_cursor(self) -> str:
        """The object whose row the cursor is on, as the list stands; "" for none."""
        rows = self._table.ordered_rows
        row = self._table.cursor_row
        return str(rows[row].key.value) if 0 <= row < len(rows) else ""

    def _picked(self) -> dict[str, int]:
        """Places in the running order, by object."""
        order = self.desk.view.running_order(self.desk.chosen_date)
        items = order.items if order else ()
        return {each.target.catalogue_id: place for place, each in enumerate(items, start=1)}

    def chosen(self) -> "Suggestion | None":
        tonight = self.desk.tonight
        if tonight is None or not 0 <= self._table.cursor_row < len(tonight.suggestions):
            return None
        return tonight.suggestions[self._table.cursor_row]

    def _explain(self) -> None:
        found = self.chosen()
        words = Text()
        wide = self.app.size.width >= _WIDE
        if found is not None:
            words = why_short(found, _BESIDE_COLUMNS if wide else self.app.size.width - 2)
            if wide:
                words.append_text(self._drawings(found))
        self.query_one("#choose-words", Static).update(words)

    def _drawings(self, found: "Suggestion") -> Text:
        tonight = self.desk.tonight
        assert tonight is not None
        field = tonight.field.field_deg if tonight.field else None
        angle = self.desk.sky.position_angle_deg(found.object_id)
        lines = frame_lines(found, field, angle, _FRAME_COLUMNS, _FRAME_ROWS)
        unknown = "" if angle is not None else "; angle?"
        drawn = Text(f"\n\nFrame: north up, east left{unknown}\n")
        drawn.append("\n".join(lines))
        wanted = (found.object_id, tonight.site, tonight.night)
        if self._curve is None or self._curve[0] != wanted:
            self._want_curve(wanted)
            return drawn
        limit = tonight.ranking.limits.min_altitude_deg
        curve = curve_lines(self.desk, self._curve[1], limit, _CURVE_COLUMNS, _CURVE_ROWS)
        drawn.append(f"\n\nAltitude; dots: {limit:.0f}°, Moon; foot: dark\n")
        drawn.append("\n".join(curve))
        return drawn

    def _want_curve(self, wanted: "Wanted") -> None:
        """Have a curve computed, unless it is being done."""
        if self._curve_wanted != wanted:
            self._curve_wanted = wanted
            self._work_out_curve(wanted)

    @work(thread=True, exclusive=True, exit_on_error=False, group="curve")
    def _work_out_curve(self, wanted: "Wanted") -> None:
        object_id, site, night = wanted
        try:
            curve = self.desk.sky.curve(site, object_id, night)
        except LogbookError:
            return  # the list says what is known; the curve is extra
        self.post_message(self.CurveReady(wanted, curve))

    @on(CurveReady)
    def _curve_ready(self, event: CurveReady) -> None:
        self._curve = (event.wanted, event.curve)
        self._explain()

    @on(DataTable.RowHighlighted)
    def _highlighted(self) -> None:
        self._explain()

    # --- limits ---

    @work(thread=True, exclusive=True, exit_on_error=False, group="rank")
    def _rank_again(self) -> None:
        """Rank within the limits as they are now, away from the keyboard."""
        tonight, worker = self.desk.tonight, get_current_worker()
        if tonight is None:
            return
        ranked = self.desk.sky.again(tonight, self.desk.limits)
        if not worker.is_cancelled:
            self.post_message(SkyReady(ranked))

    def _use(self, limits: "Limits") -> None:
        self.desk.own_limits = limits
        self._rank_again()

    def action_altitude(self, step: float) -> None:
        limits = self.desk.limits
        wanted = min(85.0, max(0.0, limits.min_altitude_deg + step))
        self._use(replace(limits, min_altitude_deg=wanted))

    def action_moon(self, step: float) -> None:
        limits = self.desk.limits
        wanted = min(180.0, max(0.0, limits.min_moon_separation_deg + step))
        self._use(replace(limits, min_moon_separation_deg=wanted))

    def action_limits(self) -> None:
        self._limits_before = self.desk.limits
        self._limits_line.open(self.desk.limits)
        self.add_class("-typing")

    @on(LimitsLine.Typed)
    def _limits_typed(self, event: LimitsLine.Typed) -> None:
        self._use(event.limits)

    @on(LimitsLine.Taken)
    def _limits_taken(self, event: LimitsLine.Taken) -> None:
        self._close_limits()
        self._use(event.limits)
        job = self._limits_line.saved_with(choose_flow.use_limits(event.limits))
        self.post_message(JobWanted(job))

    @on(LimitsLine.Left)
    def _limits_left(self) -> None:
        self._close_limits()
        if self._limits_before is not None:
            self._use(self._limits_before)

    @on(LimitsLine.SaveAsked)
    def _limits_kept(self) -> None:
        self._close_limits()

        def saved(job: "Job | None") -> None:
            self.answered(job and self._limits_line.saved_with(job))

        self.app.push_screen(SaveLimits(self.desk.limits), saved)

    def _close_limits(self) -> None:
        self._limits_line.display = False
        self.remove_class("-typing")
        self.take_focus()

    def give_way(self) -> None:
        if self._limits_line.display:
            self._limits_line.forget_typed()
            self._limits_left()

    @on(LimitsLine.Moved)
    def _move_in_list(self, event: LimitsLine.Moved) -> None:
        self._table.move_cursor(row=self._table.cursor_row + event.step)

    def _limit_set(self, place: int) -> "LimitSetRecord | None":
        """The set at a place of the list, from 1, if this program can read it."""
        sets = self.desk.view.limit_sets
        return sets[place - 1] if place <= len(sets) and sets[place - 1].limits else None

    def action_limit_set(self, place: int) -> None:
        """Use the set at a place of the list, from 1."""
        chosen = self._limit_set(place)
        if chosen is None or chosen.limits is None:
            self.app.query_one(EntryBar).say(f"There is no set {place} of limits.")
            return
        self._use(chosen.limits)
        self.post_message(JobWanted(choose_flow.use_limits(chosen.limits, chosen.name)))

    # --- acting ---

    @on(DataTable.RowSelected)
    def _selected(self) -> None:
        found = self.chosen()
        if found is not None:
            bar = self.app.query_one(EntryBar)
            bar.restore(f"start {found.object_id}")
            bar.take_keys()

    def action_pick(self) -> None:
        found = self.chosen()
        if found is not None:
            self.post_message(JobWanted(pick(self.desk, found.object_id)))

    def action_night(self, step: int) -> None:
        self.desk.looked_at = self.desk.chosen_date + timedelta(days=step)
        self.post_message(SkyWanted())

    def action_tonight(self) -> None:
        self.desk.looked_at = None
        self.post_message(SkyWanted())

    def action_why(self) -> None:
        found = self.chosen()
        if found is not None:
            words = why_words(found)
            words.append_text(self._drawings(found))
            self.app.push_screen(Sheet("Why", list(words.split("\n"))))

    def action_whole_night(self) -> None:
        if self.desk.tonight is not None:
            lines = night_lines(self.desk.tonight)
            self.app.push_screen(Sheet(lines[0].plain, lines[1:]))

    async def action_new_site(self) -> None:
        await self.app.run_action("new_site")

    def question_before(self, key: str) -> str:
        found = self.chosen()
        if key == "space" and found is not None:
            return pick_question(self.desk, found.object_id, found.name)
        if key in _SET_KEYS:
            chosen = self._limit_set(int(key))
            return f"use the limits {chosen.name} from now on" if chosen else ""
        what = {"t": "train", "s": "site"}.get(key)
        names, current = self._names_of(what) if what else ([], "")
        if self.desk.view.night is not None or len(names) < 2:
            return ""
        return f"choose for the {what} {_next_of(names, current)} from now on"

    def takes(self, key: str) -> bool:
        """A digit is a key only where it stands for a set of limits."""
        sets = self.desk.view.limit_sets
        return super().takes(key) and not (key in _SET_KEYS and int(key) > len(sets))

    def _names_of(self, what: str) -> tuple[list[str], str]:
        """All trains or sites, and the one in use."""
        view = self.desk.view
        if what == "train":
            return [
                each.train.name for each in view.trains
            ], view.train.train.name if view.train else ""
        return [each.site.name for each in view.sites], view.site.site.name if view.site else ""

    def action_next_train(self) -> None:
        self._choose_next("train")

    def action_next_site(self) -> None:
        self._choose_next("site")

    def _choose_next(self, what: str) -> None:
        names, current = self._names_of(what)
        bar = self.app.query_one(EntryBar)
        if self.desk.view.night is not None:
            bar.say(
                f"A night is in progress; its {what} is in use. Log `kit NAME` to change a train."
            )
        elif len(names) < 2:
            bar.say(f"There is only one {what}." if names else f"There is no {what} yet.")
        else:
            self.post_message(JobWanted(night_flow.choose(what, _next_of(names, current))))


def _next_of(names: list[str], current: str) -> str:
    place = names.index(current) if current in names else -1
    return names[(place + 1) % len(names)]
