"""Asking for one path, with Tab to complete it."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, Static

from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.screws.picture import PathInput
from logbook.screen.widgets.path_line import complete_path


class AskPath(DraftedSheet[str | None]):
    """One path; Enter answers, Escape answers nothing."""

    DEFAULT_CSS = """
    AskPath Input { height: 1; border: none; padding: 0; background: $panel; }
    AskPath Input:focus { border: none; background: $boost; text-style: bold; }
    AskPath #ask-foot { text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, changing nothing"),
    ]

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "ask-path",
            "Path",
            required=True,
            help="The path of a file or folder; Tab completes it.",
            example="~/pictures/tonight",
        ),
    )

    def __init__(self, heading: str, path: str, words: str) -> None:
        super().__init__()
        self._heading, self._path, self._words = heading, path, words
        self.draft_about = heading
        self.draft_heading = "the path"

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            line = PathInput(self._path, id="ask-path")
            line.cursor_blink = False
            yield line
            yield Static(Text(self._words), markup=False)
            foot = "Tab completes · Enter goes on · Escape leaves"
            yield Static(Text(foot), id="ask-foot", markup=False)

    def on_mount(self) -> None:
        line = self.query_one(PathInput)
        line.focus()
        line.cursor_position = len(line.value)
        self.open_draft()

    def say_left(self, words: str) -> None:
        foot = f"{words} Enter goes on · Escape leaves".strip()
        self.query_one("#ask-foot", Static).update(Text(foot))

    @on(PathInput.CompletionAsked)
    def _complete(self, event: PathInput.CompletionAsked) -> None:
        event.stop()
        line = self.query_one(PathInput)
        line.value, count = complete_path(line.value)
        line.cursor_position = len(line.value)
        words = "nothing there begins so" if not count else f"{count} names begin so"
        self.query_one("#ask-foot", Static).update(Text(words if count != 1 else "Enter goes on"))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.finish(event.value.strip() or None)
