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
from logbook.screen.messages import JobWanted
from logbook.screen.night_flow import Job
from logbook.screen.page import Page
from logbook.screen.pages.proposing import propose
from logbook.screen.pages.screws_words import clock_sense, sum_words, turn_line
from logbook.screen.view import is_mirror_telescope
from logbook.store.records import Screw, Turn

AMOUNTS = tuple(Fraction(1, below) for below in (32, 16, 12, 8, 6, 4, 2))
_FIRST_AMOUNT = AMOUNTS.index(Fraction(1, 16))
CENTRE_WORDS = "Leave the centre screw alone: it sets the distance between the mirrors."
CARE_WORDS = (
    f"{CENTRE_WORDS} Never near the Sun. Small turns; before more is loosened: tube level, a hand "
    "under the cell. F1."
)
KEY_WORDS = "↑↓ screw  ← loosen  → tighten  + − amount  b s w p result"
CARE_WORDS_LOW = " · never the centre screw · care: F1"  # where the terminal is low
_DISC = (24, 11)  # columns and rows
_WIDE_DISC = (40, 19)


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
        Binding("n", "name", "Name", tooltip="Name the outer screws and say where they sit"),
        Binding("pageup", "older(-1)", "Newer", tooltip="Newer turns of the list"),
        Binding("pagedown", "older(1)", "Older", tooltip="Older turns of the list"),
    ]
    OWN_KEYS = (
        ("↑ ↓", "choose the screw"),
        ("← →", "loosen or tighten"),
        ("+ -", "a larger or smaller turn"),
        ("Enter", "keep the turn that was made"),
        ("b s w", "the last turn made it better, left it the same, made it worse"),
        ("p", "the last turn was put back"),
        ("l", "log where the shadow sits, on the entry line"),
        ("n", "name the outer screws and say where they sit"),
        ("PgUp PgDn", "newer and older turns of the list"),
    )

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self._screw = 0
        self._tighten = True
        self._amount = _FIRST_AMOUNT
        self._looking = False  # a look is on the entry line; once it is kept, the keys are back

    def compose(self) -> ComposeResult:
        yield Static(id="screws-next", markup=False)
        with Horizontal(id="screws-body"):
            yield Static(id="screws-disc", markup=False)
            with Vertical(id="screws-right"):
                yield Static(id="screws-sums", markup=False)
                turns = OptionList(id="screws-turns", markup=False)
                turns.can_focus = False
                yield turns
        yield Static(Text(CARE_WORDS), id="screws-care", markup=False)

    # --- drawing ---

    def redraw(self) -> None:
        view = self.desk.view
        self._come_back()
        self.query_one("#screws-next", Static).update(self._next_words())
        shown = self._shown_screw()
        wide = self.app.size.width >= 100
        columns, rows = _WIDE_DISC if wide else _DISC
        seen = view.last_look.content.look if view.last_look else None
        lines = []
        if view.screws or seen is not None:
            lines = disc_lines(seen, view.screws, columns, rows, shown.name if shown else None)
        disc = self.query_one("#screws-disc", Static)
        disc.styles.width = columns + 2
        disc.update(Text("\n".join(lines)))
        self.query_one("#screws-sums", Static).update(sum_words(self.desk))
        turns = self.query_one("#screws-turns", OptionList)
        turns.clear_options()
        turns.add_options(
            [Option(turn_line(self.desk, each, wide=wide)) for each in reversed(view.turns)]
        )

    def _come_back(self) -> None:
        if self._looking and not self.app.query_one(EntryBar).line.value:
            self._looking = False
            self.focus()

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

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
            return Text(f"No screws are named for {telescope.part.name} yet: n names them.")
        words = Text(f"{telescope.part.name}{self._night_words()}\n", style="not bold")
        way = "tighten" if self._tighten else "loosen"
        words.append(f" {screw.name} {way} {AMOUNTS[self._amount]} ", style="bold reverse")
        words.append(
            f" {clock_sense(screw, tighten=self._tighten)}; Enter keeps it, once turned\n",
            style="not bold",
        )
        return words.append_text(self._then_words())

    def _night_words(self) -> str:
        """No night is said first of all; on a low terminal the care stands here."""
        if self.desk.view.night is None:
            return ": no night in progress, F10 starts one"
        return CARE_WORDS_LOW if self.app.size.height < 22 else ""

    def _then_words(self) -> Text:
        """After a turn: what it did is asked; else the keys."""
        last = self._turn_tonight()
        if last is None or last.result is not None or last.puts_back_entry_id is not None:
            return Text(KEY_WORDS, style="not bold")
        return Text(f"{last.screw} turned: look, then b better  s same  w worse  p put back")

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
        if self.desk.view.night is not None and self._turn_tonight() is None:
            self.app.query_one(EntryBar).say("No turn yet tonight that could be judged.", bold=True)
        else:
            self._enter(result)

    def action_put_back(self) -> None:
        self._enter("put back")

    def action_look(self) -> None:
        propose(self.app.query_one(EntryBar), "shadow 0.1 toward 12 o'clock")
        self._looking = True

    def action_older(self, step: int) -> None:
        turns = self.query_one("#screws-turns", OptionList)
        turns.scroll_relative(y=step * max(1, turns.size.height - 1), animate=False)

    def action_name(self) -> None:
        from logbook.screen.pages.screws_form import NameScrews

        telescope = self.desk.view.telescope
        if telescope is not None and is_mirror_telescope(telescope.part):
            self.app.push_screen(NameScrews(telescope, self.desk.view.screws), self._named)

    def _named(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    def _turn_tonight(self) -> Turn | None:
        """The last turn, if it was made in the night in progress."""
        night, turns = self.desk.view.night, self.desk.view.turns
        if night is None or not turns or turns[-1].night_id != night.id:
            return None
        return turns[-1].content.turn

    def _enter(self, line: str) -> None:
        """Keep a line; a turn belongs to a night, so without one nothing is kept."""
        bar = self.app.query_one(EntryBar)
        if self.desk.view.night is None:
            bar.say("Not kept: no night in progress. F10 starts one.", bold=True)
        else:
            bar.enter(line)
