"""Choose: for this train and this night, what is worth doing, ranked, each with its reasons."""

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.widgets import DataTable, Static

from logbook.errors import LogbookError
from logbook.screen import night_flow
from logbook.screen.desk import Desk
from logbook.screen.entry_bar import EntryBar
from logbook.screen.messages import JobWanted, SkyWanted
from logbook.screen.page import Page
from logbook.screen.pages.choose_drawing import curve_lines, frame_lines

if TYPE_CHECKING:
    from logbook.sky.curve import AltitudeCurve
    from logbook.sky.night import Night
    from logbook.sky.suggest import Factor, Suggestion

_BAR = 10
_FRAME_COLUMNS, _FRAME_ROWS = 24, 7
_CURVE_COLUMNS, _CURVE_ROWS = 42, 6


class ChoosePage(Page):
    """The ranked list, and beside or under it why the chosen one is worth it."""

    TITLE = "Choose"
    DEFAULT_CSS = """
    ChoosePage #choose-head { height: auto; max-height: 6; }
    ChoosePage #choose-body { height: 1fr; layout: vertical; }
    ChoosePage #choose-list { height: 1fr; min-height: 4; }
    ChoosePage #choose-why { height: 8; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "night(-1)", "Night before", tooltip="Choose for the night before"),
        Binding("right", "night(1)", "Next night", tooltip="Choose for the next night"),
        Binding("w", "why", "Why", tooltip="The reasons for the chosen object, on a sheet"),
        Binding("n", "new_site", "New site", tooltip="Write down another place to observe from"),
        Binding("i", "whole_night", "The night", tooltip="Sun, twilights and Moon of the night"),
        Binding("0", "tonight", "Tonight", tooltip="Back to tonight"),
        Binding("t", "next_train", "Next train", tooltip="Choose for the next train"),
        Binding("s", "next_site", "Next site", tooltip="Choose for the next site"),
        Binding("a", "altitude(5)", "Higher", tooltip="Ask for 5° more altitude"),
        Binding("A", "altitude(-5)", "Lower", tooltip="Ask for 5° less altitude"),
        Binding("m", "moon(10)", "Farther from the Moon", tooltip="Ask for 10° more to the Moon"),
        Binding("M", "moon(-10)", "Nearer to the Moon", tooltip="Ask for 10° less to the Moon"),
    ]
    OWN_KEYS = (
        ("Enter", "write `start OBJECT` on the entry line"),
        ("← →", "the night before, the next night; 0 is tonight"),
        ("i", "the night in full: Sun, twilights, darkness, Moon"),
        ("t, s", "the next train, the next site"),
        ("w", "the reasons for the chosen object, its frame and altitude, on a sheet"),
        ("n", "write down another site, with its horizon"),
        ("a, A", "5° more or less of wanted altitude"),
        ("m, M", "10° more or less distance to the Moon"),
    )

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._curve: tuple[str, AltitudeCurve] | None = None

    class CurveReady(Message):
        """The altitudes of one object were worked out."""

        def __init__(self, object_id: str, curve: "AltitudeCurve") -> None:
            super().__init__()
            self.object_id = object_id
            self.curve = curve

    def compose(self) -> ComposeResult:
        yield Static(id="choose-head", markup=False)
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

    def take_focus(self) -> None:
        self._table.focus()

    # --- drawing ---

    def redraw(self) -> None:
        self.query_one("#choose-head", Static).update(head_words(self.desk))

    def redraw_sky(self) -> None:
        self.redraw()
        table, tonight = self._table, self.desk.tonight
        chosen = self._chosen()
        narrow = self.app.size.width < 80
        table.clear(columns=True)
        for label, width in _columns(narrow=narrow):
            table.add_column(Text(label), width=width, key=label)
        for each in tonight.suggestions if tonight else ():
            table.add_row(*_cells(self.desk, each, narrow=narrow), key=each.object_id)
        if chosen is not None and chosen.object_id in table.rows:
            table.move_cursor(row=table.get_row_index(chosen.object_id))
        self._explain()

    def _chosen(self) -> "Suggestion | None":
        tonight = self.desk.tonight
        if tonight is None or not 0 <= self._table.cursor_row < len(tonight.suggestions):
            return None
        return tonight.suggestions[self._table.cursor_row]

    def _explain(self) -> None:
        found = self._chosen()
        words = Text()
        if found is not None:
            words = why_words(found)
            if self.app.size.width >= 100:
                words.append_text(self._drawings(found))
        self.query_one("#choose-words", Static).update(words)

    def _drawings(self, found: "Suggestion") -> Text:
        tonight = self.desk.tonight
        assert tonight is not None
        field = tonight.field.field_deg if tonight.field else None
        angle = self.desk.sky.position_angle_deg(found.object_id)
        lines = frame_lines(found, field, angle, _FRAME_COLUMNS, _FRAME_ROWS)
        unknown = "" if angle is not None else "; angle not known"
        drawn = Text(f"\n\nFrame: north up, east left{unknown}\n")
        drawn.append("\n".join(lines))
        if self._curve is None or self._curve[0] != found.object_id:
            self._work_out_curve(found.object_id)
            return drawn
        limit = tonight.ranking.limits.min_altitude_deg
        curve = curve_lines(self.desk, self._curve[1], limit, _CURVE_COLUMNS, _CURVE_ROWS)
        drawn.append(f"\n\nAltitude; dots: {limit:.0f}°, Moon; foot: dark\n")
        drawn.append("\n".join(curve))
        return drawn

    @work(thread=True, exclusive=True, exit_on_error=False, group="curve")
    def _work_out_curve(self, object_id: str) -> None:
        tonight = self.desk.tonight
        if tonight is None:
            return
        try:
            curve = self.desk.sky.curve(tonight.site, object_id, tonight.night)
        except LogbookError:
            return  # the list says what is known; the curve is extra
        self.post_message(self.CurveReady(object_id, curve))

    @on(CurveReady)
    def _curve_ready(self, event: CurveReady) -> None:
        self._curve = (event.object_id, event.curve)
        self._explain()

    @on(DataTable.RowHighlighted)
    def _highlighted(self) -> None:
        self._explain()

    # --- acting ---

    @on(DataTable.RowSelected)
    def _selected(self) -> None:
        found = self._chosen()
        if found is not None:
            bar = self.app.query_one(EntryBar)
            bar.restore(f"start {found.object_id}")
            bar.line.focus()

    def action_night(self, step: int) -> None:
        self.desk.looked_at = self.desk.chosen_date + timedelta(days=step)
        self.post_message(SkyWanted())

    def action_why(self) -> None:
        from logbook.screen.sheets import Sheet

        found = self._chosen()
        if found is not None:
            words = why_words(found)
            words.append_text(self._drawings(found))
            self.app.push_screen(Sheet("Why", list(words.split("\n"))))

    async def action_new_site(self) -> None:
        await self.app.run_action("new_site")

    def action_whole_night(self) -> None:
        from logbook.report.tonight_page import night_lines
        from logbook.screen.sheets import Sheet

        if self.desk.tonight is not None:
            lines = night_lines(self.desk.tonight)
            self.app.push_screen(Sheet(lines[0].plain, lines[1:]))

    def action_tonight(self) -> None:
        self.desk.looked_at = None
        self.post_message(SkyWanted())

    def action_altitude(self, step: float) -> None:
        limits = self.desk.limits
        wanted = min(85.0, max(0.0, limits.min_altitude_deg + step))
        self.desk.limits = replace(limits, min_altitude_deg=wanted)
        self.post_message(SkyWanted())

    def action_moon(self, step: float) -> None:
        limits = self.desk.limits
        wanted = min(180.0, max(0.0, limits.min_moon_separation_deg + step))
        self.desk.limits = replace(limits, min_moon_separation_deg=wanted)
        self.post_message(SkyWanted())

    def action_next_train(self) -> None:
        names = [each.train.name for each in self.desk.view.trains]
        current = self.desk.view.train.train.name if self.desk.view.train else ""
        self._choose_next("train", names, current)

    def action_next_site(self) -> None:
        names = [each.site.name for each in self.desk.view.sites]
        current = self.desk.view.site.site.name if self.desk.view.site else ""
        self._choose_next("site", names, current)

    def _choose_next(self, what: str, names: list[str], current: str) -> None:
        bar = self.app.query_one(EntryBar)
        if self.desk.view.night is not None:
            bar.say(
                f"A night is in progress; its {what} is in use. Log `kit NAME` to change a train."
            )
        elif len(names) < 2:
            bar.say(f"There is only one {what}." if names else f"There is no {what} yet.")
        else:
            place = names.index(current) if current in names else -1
            name = names[(place + 1) % len(names)]
            self.post_message(JobWanted(night_flow.choose(what, name)))


_WINDOW = "from – to"
# label and width: with a cell of air on each side they fit 80 columns
_COLUMNS = (
    ("Object", 24),
    ("hours", 5),
    (_WINDOW, 11),
    ("alt", 3),
    ("Moon", 5),
    ("fill", 5),
    ("score", 5),
)


def _columns(*, narrow: bool) -> list[tuple[str, int]]:
    """On a narrow screen the name is shorter and the window's clock times are left out."""
    if not narrow:
        return list(_COLUMNS)
    shorter = [("Object", 18), *_COLUMNS[1:]]
    return [each for each in shorter if each[0] != _WINDOW]


def _cells(desk: Desk, each: "Suggestion", *, narrow: bool) -> list[Text]:
    moon = f"{each.moon_separation_min_deg:.0f}°" if each.moon_up_part else "down"
    fill = "size?" if each.major_arcmin is None else "–"
    if each.frame_fill is not None:
        fill = f"{each.frame_fill * 100:.0f}%"
    window = f"{desk.event_words(each.from_utc)}–{desk.event_words(each.to_utc)}"
    return [
        Text(_short(each.name, 18 if narrow else 24), style="bold"),
        Text(f"{each.hours:.1f}", justify="right"),
        *([] if narrow else [Text(window)]),
        Text(f"{each.max_altitude_deg:.0f}°", justify="right"),
        Text(moon, justify="right"),
        Text(fill, justify="right"),
        Text(f"{each.score:.2f}", justify="right"),
    ]


def _short(words: str, longest: int) -> str:
    return words if len(words) <= longest else f"{words[: longest - 1]}…"


def head_words(desk: Desk) -> Text:
    """Train, field, limits and what is to be said of the night."""
    view, tonight = desk.view, desk.tonight
    if view.site is None:
        return Text("No site yet: n writes one down.")
    train = view.train.train.name if view.train else "no train"
    head = Text(train, style="bold")
    if tonight is None:
        head.append("  " + (desk.sky_words or "The night is being worked out ..."), style="")
        return head
    if tonight.field is not None:
        width, height = tonight.field.field_deg
        head.append(f"  {width:.2f}° × {height:.2f}°", style="not bold")
    night, limits = tonight.night, tonight.ranking.limits
    head.append(f"  {_date_words(desk)}  {_dark_words(desk, night)}", style="not bold")
    head.append(
        f"\nabove {limits.min_altitude_deg:.0f}°, {limits.min_moon_separation_deg:.0f}° from a "
        f"risen Moon, {limits.min_hours:g} h or more. {' '.join(tonight.words)}",
        style="not bold",
    )
    return head


def _date_words(desk: Desk) -> str:
    words = f"{desk.chosen_date:%a %d %b}"
    return f"night of {words}" if desk.looked_at is not None else words


def _dark_words(desk: Desk, night: "Night") -> str:
    if night.dark is None:
        return "no full darkness"
    start, end = desk.event_words(night.dark.start), desk.event_words(night.dark.end)
    moonless = night.moonless_hours
    return f"dark {start}–{end}, {f'{moonless:.1f} h' if moonless else 'none of it'} moonless"


def why_words(found: "Suggestion") -> Text:
    """The object in a line, then each factor of its score as a bar with its reason."""
    words = Text()
    words.append(found.name, style="bold")
    number = "" if found.object_id == found.name else f" ({found.object_id})"
    size = "size unknown"
    if found.major_arcmin is not None:
        minor = f" × {found.minor_arcmin:g}" if found.minor_arcmin else ""
        size = f"{found.major_arcmin:g}{minor}′"
    words.append(f"{number}, {found.kind}, {found.constellation}, {size}")
    for factor in found.factors:
        words.append("\n")
        words.append_text(_bar(factor))
    return words


def _bar(factor: "Factor") -> Text:
    full = round(factor.value * _BAR)
    bar = "■" * full + "·" * (_BAR - full)
    return Text(f"{factor.name:10} {bar} {factor.value:.2f} {factor.words}")
