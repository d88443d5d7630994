"""The list of the Choose page: what is worth doing, ranked, and why the chosen one is worth it."""

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import DataTable, Static
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.screen.pages.choose.drawing import curve_lines, frame_lines
from logbook.screen.pages.choose.limits import LimitsLine
from logbook.screen.pages.choose.words import cells, columns, head_words, why_short
from logbook.screen.services.messages import JobWanted, SkyReady, SkyWanted
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import Page, run_beside

if TYPE_CHECKING:
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


class ChooseList:
    """Fills the list of the page from the ranking, and says beside it why the chosen one."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk
        self.limits_before: Limits | None = None  # while the line is open
        self._curve: tuple[Wanted, AltitudeCurve] | None = None
        self._curve_wanted: Wanted | None = None
        self._newest_entry = self._newest()
        self._narrow: bool | None = None  # as the columns were made

    @property
    def table(self) -> "DataTable[Text]":
        return self.page.query_one("#choose-list", DataTable)

    @property
    def limits_line(self) -> LimitsLine:
        return self.page.query_one(LimitsLine)

    @property
    def bar(self) -> EntryBar:
        return self.page.app.query_one(EntryBar)

    def log(self, job: Job | None) -> None:
        """Have a job done; None is a form that was left."""
        if job is not None:
            self.page.post_message(JobWanted(job))

    def want_sky(self) -> None:
        """Have the night computed anew."""
        self.page.post_message(SkyWanted())

    # --- the list ---

    def redraw(self) -> None:
        narrow = self.page.app.size.width < _HOME
        self.page.query_one("#choose-head", Static).update(head_words(self.desk, narrow=narrow))
        self._fill_rows(narrow=narrow)
        tonight = self.desk.tonight
        if tonight is None:
            return
        newest = self._newest()
        if newest != self._newest_entry:  # what is owed, and what was seen, may be different now
            self._newest_entry = newest
            self.want_sky()
        elif tonight.ranking.limits != self.desk.limits:
            self.rank_again()

    def _newest(self) -> int | None:
        return self.desk.view.timeline[-1].id if self.desk.view.timeline else None

    def _fill_rows(self, *, narrow: bool) -> None:
        table, tonight = self.table, self.desk.tonight
        before = self._object_at_cursor()
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
        rows = self.table.ordered_rows
        row = self.table.cursor_row
        return str(rows[row].key.value) if 0 <= row < len(rows) else ""

    def _picked(self) -> dict[str, int]:
        """Places in the running order, by object."""
        order = self.desk.view.running_order(self.desk.chosen_date)
        items = order.items if order else ()
        return {each.target.catalogue_id: place for place, each in enumerate(items, start=1)}

    def chosen(self) -> "Suggestion | None":
        tonight = self.desk.tonight
        if tonight is None or not 0 <= self.table.cursor_row < len(tonight.suggestions):
            return None
        return tonight.suggestions[self.table.cursor_row]

    # --- ranking ---

    def rank_again(self) -> None:
        run_beside(self.page, self._rank_again, "rank")

    def _rank_again(self) -> None:
        """Rank within the limits as they are now, away from the keyboard."""
        tonight, worker = self.desk.tonight, get_current_worker()
        if tonight is None:
            return
        ranked = self.desk.sky.again(tonight, self.desk.limits)
        if not worker.is_cancelled:
            self.page.post_message(SkyReady(ranked))

    def use(self, limits: "Limits") -> None:
        self.desk.own_limits = limits
        self.rank_again()

    # --- why ---

    def explain(self) -> None:
        found = self.chosen()
        words = Text()
        width = self.page.app.size.width
        wide = width >= _WIDE
        if found is not None:
            words = why_short(found, _BESIDE_COLUMNS if wide else width - 2)
            if wide:
                words.append_text(self.drawings(found))
        self.page.query_one("#choose-words", Static).update(words)

    def drawings(self, found: "Suggestion") -> Text:
        """Its frame, and its altitude through the night once that was computed."""
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
            run_beside(self.page, lambda: self._work_out_curve(wanted), "curve")

    def _work_out_curve(self, wanted: "Wanted") -> None:
        object_id, site, night = wanted
        try:
            curve = self.desk.sky.curve(site, object_id, night)
        except LogbookError:
            return  # the list says what is known; the curve is extra
        self.page.call_later(self._curve_ready, wanted, curve)

    def _curve_ready(self, wanted: "Wanted", curve: "AltitudeCurve") -> None:
        self._curve = (wanted, curve)
        self.explain()
