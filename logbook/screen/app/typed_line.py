"""A line that was typed, or pasted, while a page or a sheet had the keys: the entry line has it."""

from textual.app import App
from textual.events import Key, Paste
from textual.widgets import Input

from logbook.screen.app.key_pump import TypedKey
from logbook.screen.app.pages import Pages
from logbook.screen.widgets.entry_bar import EntryBar, EntryInput
from logbook.screen.widgets.grammar import Grammar
from logbook.screen.widgets.modal import Modal


class TypedLines:
    """Follows what is typed, and takes a line away from what its first letter opened."""

    def __init__(self, app: App[int], pages: Pages) -> None:
        self._app = app
        self._pages = pages

    def takes(self, key: TypedKey) -> bool:
        """Follow what is typed to a page; a line typed into a field that its first letter opened
        was meant for the entry line."""
        focused = self._app.focused
        if isinstance(key, Paste) and not isinstance(focused, Input):
            self._was_pasted(key.text)
            return True
        on_line = isinstance(focused, EntryInput)
        in_field = isinstance(focused, Input) and not on_line
        for bar in self._app.query(EntryBar):
            sign = (key.character or "") if isinstance(key, Key) and key.is_printable else ""
            ends_word = sign == " " or (isinstance(key, Key) and key.key == "enter")
            if in_field and ends_word and _is_line(bar.run.text):
                self.was_typed(sign)
                return True
            if sign and not on_line:
                may_begin = len(self._app.screen_stack) == 1 and not in_field
                bar.run.add(sign, key.time, may_begin=may_begin)
            else:
                bar.run.end()
        return False

    def was_typed(self, more: str = "") -> None:
        """What the first letter opened closes, and the line has all that was typed."""
        if self._gave_way():
            bar = self._app.query_one(EntryBar)
            bar.type(f"{bar.run.text}{more}")

    def _was_pasted(self, text: str) -> None:
        """Nothing that has the keys takes a text: the line does."""
        self._gave_way()
        bar = self._app.query_one(EntryBar)
        bar.take_keys()
        bar.lines.take_pasted(text)

    def _gave_way(self) -> bool:
        """Close what lies over the page, for a line; whether all of it closed."""
        while isinstance(self._app.screen, Modal):
            shown = self._app.screen
            shown.give_way()
            if self._app.screen is shown:
                return False
        page = self._pages.in_view()
        if page is not None:
            page.give_way()
        return True


def _is_line(typed: str) -> bool:
    return len(typed) > 1 and Grammar().nearly_begins_line(typed)
