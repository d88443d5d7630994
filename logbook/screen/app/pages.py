"""The pages under the strip: each made when it is first turned to, one of them in view."""

import asyncio

from textual.app import App
from textual.widgets import ContentSwitcher

from logbook.screen.app.night_bar import NightStrip
from logbook.screen.app.page_classes import make_page
from logbook.screen.dialogs.live_sheet import LiveSheet
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.key_line import KeyLine
from logbook.screen.widgets.page import Page


class Pages:
    """Makes, shows and redraws the pages of the app, and the sheets over them."""

    def __init__(self, app: App[int], desk: Desk) -> None:
        self._app = app
        self._desk = desk
        self._made: dict[str, asyncio.Task[Page]] = {}
        self._turned_to = ""  # the page that was turned to before the book was there

    def turn_to(self, name: str) -> None:
        """Show a page; before the book is there, the one that is shown then."""
        if self._desk.book is None:
            self._turned_to = name
            self._app.query_one(KeyLine).mark(name)
        else:
            self._turn(name)

    def show_first(self, name: str) -> None:
        """The book is there: show this page, or the one that was turned to before.

        The line keeps the cursor if something was typed on it meanwhile.
        """
        typed = self._app.query_one(EntryBar).unkept
        self._turn(self._turned_to or name, takes_focus=not typed)

    def make_ahead(self, name: str) -> None:
        """Make a page before it can be shown."""

        async def make() -> None:
            await self._page(name)

        self._app.run_worker(make, group="page-ahead")  # type: ignore[arg-type]

    async def _page(self, name: str) -> Page:
        """A page, whole: another turn may cancel the one that waits, never the making."""
        if name not in self._made:
            self._made[name] = asyncio.create_task(self._make(name))
        return await asyncio.shield(self._made[name])

    async def _make(self, name: str) -> Page:
        page = make_page(name, self._desk)
        await self._app.query_one("#pages", ContentSwitcher).add_content(page, id=name)
        return page

    def _turn(self, name: str, *, takes_focus: bool = True) -> None:
        async def show() -> None:
            await self._show(name, takes_focus=takes_focus)

        self._app.run_worker(show, exclusive=True, group="page")  # type: ignore[arg-type]

    async def _show(self, name: str, *, takes_focus: bool) -> None:
        page = await self._page(name)
        if not self._app.is_running:  # left while the page was being made
            return
        self._app.query_one("#pages", ContentSwitcher).current = name
        page.redraw()
        page.redraw_sky()
        bar = self._app.query_one(EntryBar)
        bar.words.drop_question()
        if bar.line.value:
            bar.take_keys()  # what is half typed goes on
        elif takes_focus:
            page.take_focus()
        self._app.query_one(KeyLine).mark(name)

    # --- what is there ---

    def in_view(self) -> Page | None:
        """The page in view; None while the first one is being made, and while leaving."""
        current = {each.current for each in self._app.query("#pages").results(ContentSwitcher)}
        return next((page for page in self.finished() if page.id in current), None)

    def finished(self) -> list[Page]:
        """Pages that are whole; one still being made draws itself when it is."""
        return [page for page in self._app.query(Page) if page.is_mounted]

    def live_sheets(self) -> list[LiveSheet[object]]:
        return [each for each in self._app.screen_stack if isinstance(each, LiveSheet)]

    # --- drawing ---

    def redraw(self) -> None:
        """Draw everything from the desk."""
        for bar in self._app.query(EntryBar):
            bar.words.drop_question()  # what it was asked of may be another now
        self.redraw_strip()
        page = self.in_view()
        if page is not None:
            page.redraw()
        for sheet in self.live_sheets():
            sheet.book_changed()

    def redraw_sky(self) -> None:
        self.redraw_strip()
        for page in self.finished():
            page.redraw_sky()
        for sheet in self.live_sheets():
            sheet.sky_changed()

    def redraw_strip(self) -> None:
        for strip in self._app.query(NightStrip):  # none while the program is being left
            strip.redraw()
