"""What the program on the screen is made of: the strip, one page, the entry line, the keys.

Here is what is drawn, and the sky over it; `app.py` adds the book. Threads: workers touch no
widget, they post messages; the handlers own the desk.
"""

import asyncio
import sys
from collections.abc import Iterable, Sequence
from functools import partial
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.events import Key, Paste
from textual.filter import LineFilter
from textual.message import Message
from textual.screen import Screen
from textual.widgets import ContentSwitcher, Input, Static
from textual.worker import get_current_worker

from logbook.crash_log import crash_words, write_crash_log
from logbook.errors import LogbookError
from logbook.records.entries import TargetCopy
from logbook.records.runs import running_object
from logbook.screen.app.key_pump import KeyByKey, TypedKey
from logbook.screen.app.night_bar import NightStrip
from logbook.screen.app.page_classes import make_page
from logbook.screen.dialogs.live_sheet import LiveSheet
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.messages import (
    LineWasTyped,
    RedrawWanted,
    SkyFailed,
    SkyReady,
    SkyWanted,
    TrackReady,
)
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar, EntryInput
from logbook.screen.widgets.key_line import KeyLine
from logbook.screen.widgets.keys import KEYS
from logbook.screen.widgets.modal import Modal, Palette
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.question import Question
from logbook.screen.widgets.red import RedFilter


class PagesApp(TellsFailures, KeyByKey[int]):
    """The pages under the strip, and the sky they are drawn with.

    desk -- holds the sky and the clock; tests put stand-ins there.
    """

    CSS_PATH = "app.tcss"
    TITLE = "Observing logbook"
    BINDINGS: ClassVar[list[BindingType]] = [key.binding() for key in KEYS]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 (Textual's own)
    VERTICAL_BREAKPOINTS = [(0, "-low"), (22, "-home")]  # noqa: RUF012

    def __init__(self, desk: Desk, *, red: bool = False) -> None:
        super().__init__()
        self.desk = desk
        self.crash: str = ""
        self._red_filter = RedFilter(enabled=red, plain=self.console.color_system == "standard")
        self._followed: tuple[object, ...] | None = None
        self._pages_made: dict[str, asyncio.Task[Page]] = {}
        self._turned_to = ""  # the page that was turned to before the book was there

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

    # --- the sky ---

    @work(thread=True, exclusive=True, exit_on_error=False, group="sky")
    def work_out_sky(self) -> None:
        """Compute the night for the site and train in use, away from the screen's thread."""
        view, worker = self.desk.view, get_current_worker()
        if view.site is None:
            return
        try:
            train = view.train.train if view.train else None
            desk = self.desk
            facts = desk.facts()
            tonight = desk.sky.tonight(view.site.site, train, desk.chosen_date, desk.limits, facts)
            message: Message = SkyReady(tonight)
        except LogbookError as error:
            message = SkyFailed(str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    def follow(self) -> None:
        """Have the object that runs followed through the night, if it is another one now."""
        view = self.desk.view
        running = running_object(view.timeline) if view.night else None
        limit_deg = self.desk.limits.min_altitude_deg
        wanted = (running, view.site, self.desk.night_date, limit_deg)
        if wanted == self._followed:
            return
        self._followed = wanted
        self.desk.track = None
        if running is not None:
            self.work_out_track(running, limit_deg)

    @work(thread=True, exclusive=True, exit_on_error=False, group="track")
    def work_out_track(self, target: TargetCopy, limit_deg: float) -> None:
        view, worker = self.desk.view, get_current_worker()
        if view.site is None:
            return
        try:
            date = self.desk.night_date
            message = TrackReady(self.desk.sky.track(view.site.site, target, date, limit_deg))
        except LogbookError:  # an object of a book from elsewhere: the page says less of it
            message = TrackReady(None)
        if not worker.is_cancelled:
            self.post_message(message)

    @on(TrackReady)
    def _track_ready(self, event: TrackReady) -> None:
        self.desk.track = event.track
        self.redraw_sky()

    @on(SkyWanted)
    def _sky_wanted(self) -> None:
        self.work_out_sky()

    @on(SkyReady)
    def _sky_ready(self, event: SkyReady) -> None:
        self.desk.tonight, self.desk.sky_words = event.tonight, ""
        self.follow()
        self.redraw_sky()

    @on(SkyFailed)
    def _sky_failed(self, event: SkyFailed) -> None:
        self.desk.tonight, self.desk.sky_words = None, event.words
        self.redraw_sky()

    def redraw_sky(self) -> None:
        for strip in self.query(NightStrip):  # none while the program is being left
            strip.redraw()
        for page in self.finished_pages():
            page.redraw_sky()
        for sheet in self.live_sheets():
            sheet.sky_changed()

    # --- pages ---

    def action_turn_to(self, page: str) -> None:
        """Show a page; it is made when it is first turned to, and shown once the book is there."""
        if self.desk.book is None:
            self._turned_to = page
            self.query_one(KeyLine).mark(page)
        else:
            self._turn_to(page)

    def show_pages(self, page: str) -> None:
        """The book is there: show this page, or the one that was turned to before.

        The line keeps the cursor if something was typed on it meanwhile.
        """
        typed = self.query_one(EntryBar).unkept
        self._turn_to(self._turned_to or page, takes_focus=not typed)

    @work(group="page-ahead")
    async def make_page_ahead(self, name: str) -> None:
        """Make a page before it can be shown."""
        await self._made(name)

    async def _made(self, name: str) -> Page:
        """A page, whole: another turn may cancel the one that waits, never the making."""
        if name not in self._pages_made:
            self._pages_made[name] = asyncio.create_task(self._make(name))
        return await asyncio.shield(self._pages_made[name])

    async def _make(self, name: str) -> Page:
        page = make_page(name, self.desk)
        await self.query_one("#pages", ContentSwitcher).add_content(page, id=name)
        return page

    @work(exclusive=True, group="page")
    async def _turn_to(self, name: str, *, takes_focus: bool = True) -> None:
        page = await self._made(name)
        self.query_one("#pages", ContentSwitcher).current = name
        page.redraw()
        page.redraw_sky()
        bar = self.query_one(EntryBar)
        bar.drop_question()
        if bar.line.value:
            bar.take_keys()  # what is half typed goes on
        elif takes_focus:
            page.take_focus()
        self.query_one(KeyLine).mark(name)

    @on(RedrawWanted)
    def redraw(self) -> None:
        """Draw everything from the desk."""
        for bar in self.query(EntryBar):
            bar.drop_question()  # what it was asked of may be another now
        for strip in self.query(NightStrip):  # none while the program is being left
            strip.redraw()
        self.follow()
        page = self.page_in_view()
        if page is not None:
            page.redraw()
        for sheet in self.live_sheets():
            sheet.book_changed()

    def live_sheets(self) -> list[LiveSheet[object]]:
        return [each for each in self.screen_stack if isinstance(each, LiveSheet)]

    def page_in_view(self) -> Page | None:
        """The page in view; None while the first one is being made, and while leaving."""
        current = {each.current for each in self.query("#pages").results(ContentSwitcher)}
        return next((page for page in self.finished_pages() if page.id in current), None)

    @on(EntryBar.QuestionChanged)
    def _question_changed(self) -> None:
        page = self.page_in_view()
        if page is not None:
            page.redraw_question()

    def finished_pages(self) -> list[Page]:
        """Pages that are whole; one still being made draws itself when it is."""
        return [page for page in self.query(Page) if page.is_mounted]

    # --- a line that was typed while a page had the keys ---

    def takes_key(self, key: TypedKey) -> bool:
        """Follow what is typed to a page; a line typed into a field that its first letter opened
        was meant for the entry line."""
        focused = self.focused
        if isinstance(key, Paste) and not isinstance(focused, Input):
            self.line_was_pasted(key.text)
            return True
        on_line = isinstance(focused, EntryInput)
        in_field = isinstance(focused, Input) and not on_line
        for bar in self.query(EntryBar):
            sign = (key.character or "") if isinstance(key, Key) and key.is_printable else ""
            ends_word = sign == " " or (isinstance(key, Key) and key.key == "enter")
            if in_field and ends_word and self._is_line(bar.run.text):
                self.line_was_typed(sign)
                return True
            if sign and not on_line:
                may_begin = len(self.screen_stack) == 1 and not in_field
                bar.run.add(sign, key.time, may_begin=may_begin)
            else:
                bar.run.end()
        return False

    def _is_line(self, typed: str) -> bool:
        from logbook.entryline.understand import nearly_begins_line

        return len(typed) > 1 and nearly_begins_line(typed)

    @on(LineWasTyped)
    def _line_was_typed(self) -> None:
        self.line_was_typed()

    def line_was_typed(self, more: str = "") -> None:
        """What the first letter opened closes, and the line has all that was typed."""
        if self._gave_way():
            bar = self.query_one(EntryBar)
            bar.type(f"{bar.run.text}{more}")

    def line_was_pasted(self, text: str) -> None:
        """Nothing that has the keys takes a text: the line does."""
        self._gave_way()
        bar = self.query_one(EntryBar)
        bar.take_keys()
        bar.take_pasted(text)

    def _gave_way(self) -> bool:
        """Close what lies over the page, for a line; whether all of it closed."""
        while isinstance(self.screen, Modal):
            shown = self.screen
            shown.give_way()
            if self.screen is shown:
                return False
        page = self.page_in_view()
        if page is not None:
            page.give_way()
        return True

    # --- sheets and keys ---

    def action_open_help(self) -> None:
        """Help for the form or sheet on top, else for the page in view."""
        from logbook.screen.app.help import HelpSheet

        shown = self.screen if len(self.screen_stack) > 1 else self.page_in_view()
        if shown is not None:
            self.push_screen(HelpSheet(shown))

    def action_command_palette(self) -> None:
        if len(self.screen_stack) == 1:
            self.push_screen(Palette())

    def action_far_view(self) -> None:
        """Big letters over everything, or away with them."""
        from logbook.screen.pages.night.big_display import FarView

        if isinstance(self.screen, FarView):
            self.screen.action_leave()
        elif len(self.screen_stack) == 1:
            self.push_screen(FarView(self.desk))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a form is open only its own keys, help, red view and leaving work."""
        if len(self.screen_stack) > 1 and action in _PAGE_ACTIONS:
            return False
        if action == "open_help" and self._has_own_help():
            return False
        return super().check_action(action, parameters)

    def _has_own_help(self) -> bool:
        """Whether what lies on top does something else with the key: help itself, the palette."""
        over_page = len(self.screen_stack) > 1
        own = "f1" in self.screen._bindings.key_to_bindings
        return over_page and (own or isinstance(self.screen, Palette))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: every action by name, of every page and of the page in view."""
        for key in KEYS:
            yield SystemCommand(key.help, f"key {key.shown}", partial(self.run_action, key.action))
        page = self.page_in_view()
        if page is None:
            return
        for binding in page.BINDINGS:
            if isinstance(binding, Binding):
                run = partial(self._run_of_page, page, binding)
                yield SystemCommand(binding.tooltip, f"key {binding.key}", run)

    async def _run_of_page(self, page: Page, binding: Binding) -> None:
        """Do what a key of the page does; what would ask at the key asks here too.

        Not for Enter: that key led here.
        """
        run = partial(self.run_action, binding.action, page)
        words = page.question_before(binding.key)
        if not words:
            await run()
            return

        async def answered(yes: bool | None) -> None:
            if yes:
                await run()

        self.push_screen(Question(f"{words[0].upper()}{words[1:]}?", "yes", "y"), answered)

    # --- a fault ---

    def get_driver_class(self) -> type[Driver]:
        """Textual's; where it reads bytes of a terminal, in a way that none of them can end."""
        if sys.platform == "win32":
            return super().get_driver_class()
        from logbook.screen.app.terminal_driver import TerminalDriver

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


_PAGE_ACTIONS = {
    "turn_to",
    "undo",
    "redo",
    "entry_form",
    "start_or_end_night",
    "type_entry",
    "command_palette",
}
