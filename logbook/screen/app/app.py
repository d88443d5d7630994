"""The program on the screen: the strip, one page, the entry line, the keys.

The app hands messages and keys to its parts (`parts.py`). Threads: workers touch no widget; they
post messages or call back, and what is called owns the desk. What writes in the book goes to its
one writer thread, and "kept" is shown only when that has it on disk.
"""

import sys
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from inspect import isawaitable
from typing import ClassVar

from textual import on
from textual.app import App, ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.events import Event
from textual.filter import LineFilter
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Static

from logbook.crash_log import crash_words, write_crash_log
from logbook.screen.app.actions import ACTIONS, ask_as_the_key, open_sheet
from logbook.screen.app.key_pump import KeyPump, NextKey
from logbook.screen.app.night_bar import NightStrip
from logbook.screen.app.parts import Parts
from logbook.screen.app.terminal_driver import TerminalDriver
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.messages import (
    BookChanged,
    JobDone,
    JobFailed,
    JobWanted,
    LineWasTyped,
    NightEntriesWanted,
    RedrawWanted,
    SkyReady,
    SkyWanted,
)
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.key_line import KeyLine
from logbook.screen.widgets.keys import KEYS
from logbook.screen.widgets.line_sender import LineEntered, LinesTyped
from logbook.screen.widgets.line_words import QuestionChanged
from logbook.screen.widgets.modal import Palette
from logbook.screen.widgets.red import RedFilter

_OF_PAGES = {"undo", "redo", "form", "begin", "line"}  # keys that do nothing over a form or sheet


class LogbookApp(TellsFailures, App[int]):
    """The program on the screen.

    source -- makes or opens the book; the first frame is drawn before it is asked.
    desk -- holds the sky and the clock; tests put stand-ins there.
    when_settled -- called once, in a thread, when all that the program works with has been made.
    """

    CSS_PATH = "app.tcss"
    TITLE = "Observing logbook"
    BINDINGS: ClassVar[list[BindingType]] = [key.binding() for key in KEYS]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 (Textual's own)
    VERTICAL_BREAKPOINTS = [(0, "-low"), (22, "-home")]  # noqa: RUF012

    def __init__(
        self,
        source: BookSource,
        desk: Desk,
        *,
        red: bool = False,
        when_settled: Callable[[], None] = lambda: None,
    ) -> None:
        super().__init__()
        self.desk = desk
        self.crash: str = ""
        self._red_filter = RedFilter(enabled=red, plain=self.console.color_system == "standard")
        self.parts = Parts(
            self,
            desk,
            source,
            self._red_filter,
            when_settled=when_settled,
            forget_typed_ahead=lambda: self.pump.forget_typed_ahead(),
        )
        self.pump = KeyPump(
            self,
            deliver=super().on_event,
            takes=self.parts.typed.takes,
            is_held=self.parts.held_keys.is_held,
            longest_wait_s=self.parts.held_keys.longest_wait_s,
        )
        drafts = self.parts.drafts  # what `HoldsDrafts` asks of an app
        self.form_draft, self.now, self.when_words = (
            drafts.form_draft,
            drafts.now,
            drafts.when_words,
        )
        self.say_left, self.warn = drafts.say_left, drafts.warn

    # --- what is drawn ---

    def compose(self) -> ComposeResult:
        yield NightStrip(self.desk)
        with ContentSwitcher(id="pages", initial="opening"):
            yield Static("The book is being opened ...", id="opening", markup=False)
        yield EntryBar(self.desk)
        yield KeyLine()

    def get_line_filters(self) -> Sequence[LineFilter]:
        filters = list(super().get_line_filters())
        return [*filters, self._red_filter] if self._red_filter.enabled else filters

    @on(RedrawWanted)
    def redraw(self) -> None:
        """Draw everything from the desk."""
        self.parts.follower.redraw()

    # --- beginning and end ---

    def on_mount(self) -> None:
        self.call_after_refresh(self.parts.opener.begin)

    def on_unmount(self) -> None:
        self.parts.follower.stop()
        self.parts.jobs.leave()
        self.parts.drafts.put_now()
        self.parts.opener.close_window()

    async def action_quit(self) -> None:
        """Leave. A book that was refused and never opened shows in the exit code."""
        self.exit(return_code=self.parts.opener.exit_code)

    # --- messages, handed to the parts ---

    @on(SkyWanted)
    def _sky_wanted(self) -> None:
        self.parts.sky.work_out()

    @on(SkyReady)
    def _sky_ready(self, event: SkyReady) -> None:
        self.parts.sky.is_ready(event)

    @on(BookChanged)
    def _book_changed(self, event: BookChanged) -> None:
        self.parts.follower.has_changed(event)

    @on(JobWanted)
    def _job_wanted(self, event: JobWanted) -> None:
        self.parts.jobs.want(event)

    @on(JobDone)
    def _job_done(self, event: JobDone) -> None:
        self.parts.jobs.done(event)

    @on(JobFailed)
    def _job_failed(self, event: JobFailed) -> None:
        self.parts.jobs.failed(event)

    @on(NightEntriesWanted)
    def _night_entries_wanted(self, event: NightEntriesWanted) -> None:
        from logbook.screen.pages.past.entries import NightEntries

        self.push_screen(NightEntries(self.desk, event.night_id, event.entry_id))

    @on(LineWasTyped)
    def _line_was_typed(self) -> None:
        self.parts.typed.was_typed()

    @on(LinesTyped)
    def _typed(self, event: LinesTyped) -> None:
        self.parts.drafts.typed(event)

    @on(LineEntered)
    def _entered(self, event: LineEntered) -> None:
        self.parts.drafts.entered(event)

    @on(EntryBar.Left)
    def _left(self) -> None:
        page = self.parts.pages.in_view()
        if page is not None:
            page.leave_line()

    @on(QuestionChanged)
    def _question_changed(self) -> None:
        page = self.parts.pages.in_view()
        if page is not None:
            page.redraw_question()

    # --- keys ---

    async def on_event(self, event: Event) -> None:
        await self.pump.on_event(event)

    async def on_next_key(self, event: NextKey) -> None:
        event.stop()
        await self.pump.deliver(event.key)

    async def action_press_key(self, name: str) -> None:
        """Do what a key of every page stands for."""
        done = ACTIONS[name](self.parts)
        if isawaitable(done):
            await done

    def action_turn_to(self, page: str) -> None:
        """Show a page; it is made when it is first turned to, and shown once the book is there."""
        self.parts.pages.turn_to(page)

    def action_new_site(self) -> None:
        open_sheet(self.parts, "new site")

    def action_command_palette(self) -> None:
        if len(self.screen_stack) == 1:
            self.push_screen(Palette())

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a form is open only its own keys, help, red view and leaving work."""
        over_page = len(self.screen_stack) > 1
        if over_page and (action in _PAGE_ACTIONS or _OF_PAGES.intersection(parameters)):
            return False
        if over_page and "help" in parameters and _has_own_help(self.screen):
            return False
        return super().check_action(action, parameters)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: every action by name, of every page and of the page in view."""
        for key in KEYS:
            yield SystemCommand(key.help, f"key {key.shown}", partial(self.run_action, key.action))
        page = self.parts.pages.in_view()
        if page is None:
            return
        for binding in page.BINDINGS:
            if isinstance(binding, Binding):
                run = partial(ask_as_the_key, page, binding)
                yield SystemCommand(binding.tooltip, f"key {binding.key}", run)

    # --- a fault ---

    def get_driver_class(self) -> type[Driver]:
        """Textual's; where it reads bytes of a terminal, in a way that none of them can end."""
        if sys.platform == "win32":
            return super().get_driver_class()
        return TerminalDriver

    def _handle_exception(self, error: Exception) -> None:
        """Keep the details in a file and end with one line, not a page of colours.

        Textual's own, of the pinned release: the first error is stored for tests to raise.
        """
        self._return_code = 1
        if self._exception is None:
            self._exception = error
            self._exception_event.set()
        self.crash = crash_words(error, write_crash_log(error))
        self._close_messages_no_wait()


_PAGE_ACTIONS = {"turn_to", "command_palette"}


def _has_own_help(screen: Screen[object]) -> bool:
    """Whether what lies on top does something else with the key: help itself, the palette."""
    return "f1" in screen._bindings.key_to_bindings or isinstance(screen, Palette)
