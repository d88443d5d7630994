"""Screws: the disc and shadow as last seen, the turns made, and one turn at a time recorded."""

from fractions import Fraction
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen.desk import Desk
from logbook.screen.disc import disc_lines
from logbook.screen.entry_bar import EntryBar
from logbook.screen.page import Page
from logbook.screen.view import is_mirror_telescope
from logbook.store.records import EntryRecord, Screw
from logbook.store.words import spell_look, spell_turn, turn_words

AMOUNTS = tuple(Fraction(1, below) for below in (32, 16, 12, 8, 6, 4, 2))
_FIRST_AMOUNT = AMOUNTS.index(Fraction(1, 16))
CENTRE_WORDS = "Leave the centre screw alone: it sets the distance between the mirrors."
_DISC_COLUMNS, _DISC_ROWS = 24, 11


class ScrewsPage(Page):
    """Choose screw, way and amount with the arrows; Enter keeps; then better, same or worse."""

    TITLE = "Screws"
    can_focus = True
    DEFAULT_CSS = """
    ScrewsPage #screws-next { height: auto; text-style: bold; }
    ScrewsPage #screws-body { height: 1fr; }
    ScrewsPage #screws-disc { width: 26; height: auto; }
    ScrewsPage #screws-right { width: 1fr; }
    ScrewsPage #screws-sums { height: auto; }
    ScrewsPage #screws-turns { height: 1fr; border: none; padding: 0; background: $background; }
    ScrewsPage #screws-care { height: auto; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "screw(-1)", "Screw", tooltip="The screw before"),
        Binding("down", "screw(1)", "Screw", tooltip="The next screw"),
        Binding("left", "way(-1)", "Loosen", tooltip="This turn loosens"),
        Binding("right", "way(1)", "Tighten", tooltip="This turn tightens"),
        Binding("plus,equals_sign", "amount(1)", "More", tooltip="A larger turn"),
        Binding("minus", "amount(-1)", "Less", tooltip="A smaller turn"),
        Binding("enter", "keep", "Keep", tooltip="Keep the turn that was made"),
        Binding("b", "result('better')", "Better", tooltip="The last turn made it better"),
        Binding("s", "result('same')", "Same", tooltip="The last turn changed nothing"),
        Binding("w", "result('worse')", "Worse", tooltip="The last turn made it worse"),
        Binding("p", "put_back", "Put back", tooltip="The last turn was put back"),
        Binding("l", "look", "Look", tooltip="Log where the shadow sits"),
    ]
    OWN_KEYS = (
        ("↑ ↓", "choose the screw"),
        ("← →", "loosen or tighten"),
        ("+ -", "a larger or smaller turn"),
        ("Enter", "keep the turn that was made"),
        ("b s w", "the last turn made it better, left it the same, made it worse"),
        ("p", "the last turn was put back"),
        ("l", "log where the shadow sits, on the entry line"),
    )

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._screw = 0
        self._tighten = True
        self._amount = _FIRST_AMOUNT

    def compose(self) -> ComposeResult:
        yield Static(id="screws-next", markup=False)
        with Horizontal(id="screws-body"):
            yield Static(id="screws-disc", markup=False)
            with Vertical(id="screws-right"):
                yield Static(id="screws-sums", markup=False)
                turns = OptionList(id="screws-turns", markup=False)
                turns.can_focus = False
                yield turns
        yield Static(
            Text(f"{CENTRE_WORDS} Small turns; a hand under the cell before loosening more; F1."),
            id="screws-care",
            markup=False,
        )

    # --- drawing ---

    def redraw(self) -> None:
        view = self.desk.view
        self.query_one("#screws-next", Static).update(self._next_words())
        shown = self._shown_screw()
        lines = disc_lines(
            view.last_look.content.look if view.last_look else None,
            view.screws,
            _DISC_COLUMNS,
            _DISC_ROWS,
            shown.name if shown else None,
        )
        self.query_one("#screws-disc", Static).update(Text("\n".join(lines)))
        self.query_one("#screws-sums", Static).update(sum_words(self.desk))
        turns = self.query_one("#screws-turns", OptionList)
        turns.clear_options()
        turns.add_options([Option(turn_line(self.desk, each)) for each in reversed(view.turns)])

    def _shown_screw(self) -> Screw | None:
        screws = self.desk.view.screws
        return screws[self._screw % len(screws)] if screws else None

    def _next_words(self) -> Text:
        """The turn that Enter would keep, or why there is none."""
        telescope, screw = self.desk.view.telescope, self._shown_screw()
        if telescope is None:
            return Text("No telescope: choose a train on the Kit page (F5).")
        if not is_mirror_telescope(telescope.part):
            return Text(f"{telescope.part.name} has no secondary, so no screws to turn.")
        if screw is None:
            return Text(f"No screws are named for {telescope.part.name} yet.")
        words = Text(f"{telescope.part.name}\n", style="not bold")
        way = "tighten" if self._tighten else "loosen"
        words.append(f" {screw.name} {way} {AMOUNTS[self._amount]} ", style="bold reverse")
        words.append(
            f" {clock_sense(screw, tighten=self._tighten)}   Enter keeps it once it is turned",
            style="not bold",
        )
        return words

    # --- acting ---

    def action_screw(self, step: int) -> None:
        if self.desk.view.screws:
            self._screw = (self._screw + step) % len(self.desk.view.screws)
            self.redraw()

    def action_way(self, step: int) -> None:
        self._tighten = step > 0
        self.redraw()

    def action_amount(self, step: int) -> None:
        self._amount = min(len(AMOUNTS) - 1, max(0, self._amount + step))
        self.redraw()

    def action_keep(self) -> None:
        screw = self._shown_screw()
        if screw is not None:
            way = "tighten" if self._tighten else "loosen"
            self._enter(f"turn {screw.name} {way} {AMOUNTS[self._amount]}")

    def action_result(self, result: str) -> None:
        self._enter(result)

    def action_put_back(self) -> None:
        self._enter("put back")

    def action_look(self) -> None:
        bar = self.app.query_one(EntryBar)
        bar.restore("shadow 0.1 toward 12 o'clock")
        bar.line.focus()

    def _enter(self, line: str) -> None:
        self.app.query_one(EntryBar).enter(line)


def clock_sense(screw: Screw, *, tighten: bool) -> str:
    """`clockwise` or `anticlockwise`, as seen with the screw's head before one."""
    return "clockwise" if tighten == screw.tighten_clockwise else "anticlockwise"


def sum_words(desk: Desk) -> Text:
    """The last turn, then where every screw stands against the first logged turn."""
    view = desk.view
    words = Text()
    if view.turns:
        last = view.turns[-1].content.turn
        assert last is not None
        words.append(f"Last: {spell_turn(last)}\n", style="bold")
    seen = view.last_look
    if seen is not None and seen.content.look is not None:
        local = desk.local(seen.content.happened_utc)
        words.append(f"Seen {local:%d %b %H:%M}: {spell_look(seen.content.look)}\n")
    sums = {each.screw: each for each in view.screw_sums}
    for screw in view.screws:
        found = sums.get(screw.name)
        net = net_words(found.turns) if found else "not turned yet"
        count = f", {found.count} turns" if found else ""
        words.append(f"{screw.name} at {screw.clock_hour:g} o'clock: {net}{count}\n")
    return words


def net_words(turns: float) -> str:
    """`net 1/8 turn tightened`, `back where it was`."""
    if abs(turns) < 1e-6:
        return "back where it was"
    return f"net {turn_words(abs(turns))} {'tightened' if turns > 0 else 'loosened'}"


def turn_line(desk: Desk, record: EntryRecord) -> Text:
    """One turn: when, and what was turned with what result."""
    turn = record.content.turn
    assert turn is not None
    local = desk.local(record.content.happened_utc)
    line = Text(f"{local:%d %b %H:%M} ", style="bold")
    line.append(spell_turn(turn), style="not bold")
    return line
