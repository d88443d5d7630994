"""The sheet for frames from disk: a folder, what its frames would add, Enter adds them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.frames.folder_watch import checked_folder, frame_paths, read_frames
from logbook.report.words.frames_words import plan_lines, sum_words
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.sheet_draft import DraftedSheet
from logbook.screen.pages.night.frames import FOLDER_CHOICE, FrameLine
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.path_line import complete_path

if TYPE_CHECKING:
    from logbook.frames.folder_watch import Reading
    from logbook.store.frames.plan import Plan, Wish

_TOLD_EVERY = 50  # files between two words on how far the reading is


class _Left(Exception):
    """The sheet was closed while files were read."""


@dataclass(frozen=True)
class Found:
    """A folder that was read, and what of it would be added."""

    folder: Path
    reading: Reading
    wish: Wish
    plan: Plan


class FolderInput(LineInput):
    """The folder. Tab completes its name."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "complete", "Complete the name", show=False),
        Binding("down", "screen.focus_next", "To what was found", show=False),
    ]

    class CompletionAsked(Message):
        """Tab was pressed."""

    def action_complete(self) -> None:
        self.post_message(self.CompletionAsked())


class FramesSheet(TellsFailures, DraftedSheet[None]):
    """Type a folder, look, add. The line of the Night page does the adding and the watching."""

    DEFAULT_CSS = """
    FramesSheet .sheet { width: 100%; height: 100%; }
    FramesSheet #frames-folder { height: 1; border: none; padding: 0; background: $panel; }
    FramesSheet #frames-folder:focus { background: $boost; text-style: bold; }
    FramesSheet VerticalScroll { height: 1fr; }
    FramesSheet #frames-said, FramesSheet #frames-keys { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close the sheet; a folder watched stays so"),
        Binding("enter", "add", "Add", tooltip="Add the frames that are shown"),
        Binding("w", "watch", "Watch", tooltip="Add frames as they land in the folder, or stop"),
        Binding("b", "begin", "Begin nights", tooltip="Begin nights that are not in the book"),
        Binding("f", "folder", "Folder", tooltip="Another folder"),
    ]

    class Told(Message):
        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    class Planned(Message):
        def __init__(self, found: Found) -> None:
            super().__init__()
            self.found = found

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "frames-folder",
            "Folder",
            required=True,
            help="The folder with tonight's frames, and those below it; Tab completes it.",
            example="~/pictures/tonight",
        ),
    )

    def __init__(self, desk: Desk, line: FrameLine) -> None:
        super().__init__()
        self.desk = desk
        self._line = line
        self.draft_heading = "the folder of frames"
        self._found: Found | None = None

    def compose(self) -> ComposeResult:
        sheet = Vertical(classes="sheet")
        sheet.styles.max_width = 110  # the usual width of a sheet would wrap most runs
        with sheet:
            yield Static(Text("Frames from disk, of this folder and those below", style="bold"))
            folder = FolderInput(
                _proposed(self.desk, self._line),
                placeholder="a folder, such as ~/pictures/tonight",
                id="frames-folder",
                select_on_focus=True,
            )
            folder.cursor_blink = False
            yield folder
            yield Static(id="frames-said", markup=False)
            with VerticalScroll():
                yield Static(id="frames-list", markup=False)
            yield Static(id="frames-keys", markup=False)

    def on_mount(self) -> None:
        watched = self._line.watched
        self.query_one(VerticalScroll if watched else Input).focus()
        self.say(f"Watching {watched}." if watched else "Files are only read, never changed.")
        self.open_draft()

    def say_left(self, words: str) -> None:
        self.say(words)

    def on_descendant_focus(self) -> None:
        self._show_keys()

    def say(self, words: str) -> None:
        self.query_one("#frames-said", Static).update(Text(words, style="bold"))

    def _show_keys(self) -> None:
        if isinstance(self.focused, Input):
            words = "Enter: read the folder   Tab: complete its name   Escape: leave"
        else:
            watch = "stop watching" if self._line.watched else "watch the folder"
            words = f"Enter: add   w: {watch}   b: begin missing nights   f: folder   Escape: leave"
        self.query_one("#frames-keys", Static).update(Text(words, style="italic"))

    # --- reading ---

    @on(FolderInput.CompletionAsked)
    def _complete(self, event: FolderInput.CompletionAsked) -> None:
        event.stop()
        line = self.query_one("#frames-folder", Input)
        line.value, count = complete_path(line.value, folders_only=True)
        line.cursor_position = len(line.value)
        if count != 1:
            self.say(f"{count} folders begin so." if count else "No folder there begins so.")

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            folder = checked_folder(event.value)
        except LogbookError as error:
            self.say(str(error))
            return
        self._found = None
        self.query_one("#frames-list", Static).update("")
        self.say("Looking for frames …")
        self._read(folder)

    @work(thread=True, exclusive=True, exit_on_error=False, group="frames-reading")
    def _read(self, folder: Path) -> None:
        paths = frame_paths(folder)
        worker, done = get_current_worker(), 0

        def step() -> None:
            nonlocal done
            done += 1
            if worker.is_cancelled:
                raise _Left
            if done % _TOLD_EVERY == 0:
                self.post_message(self.Told(f"Reading headers: {done} of {len(paths)}"))

        try:
            reading = read_frames(paths, each=step)
        except _Left:
            return
        _post_plan(self, folder, reading, None)

    @work(thread=True, exclusive=True, exit_on_error=False, group="frames-reading")
    def _plan_again(self, found: Found) -> None:
        _post_plan(self, found.folder, found.reading, found.wish)

    @on(Told)
    def _told(self, event: Told) -> None:
        event.stop()
        self.say(event.words)

    @on(Planned)
    def _planned(self, event: Planned) -> None:
        event.stop()
        self._found = event.found
        self.say(f"{sum_words(event.found.plan)}.")
        lines = plan_lines(event.found.plan)
        self.query_one("#frames-list", Static).update(Text("\n").join(lines))
        self.query_one(VerticalScroll).focus()
        _remember(self.desk, event.found.folder)
        self.draft.note({})  # it is proposed next time

    # --- acting ---

    def action_leave(self) -> None:
        self.workers.cancel_node(self)
        super().action_leave()

    def action_folder(self) -> None:
        self.query_one(Input).focus()

    def action_begin(self) -> None:
        """Plan again with nights begun, or without."""
        if self._found is not None:
            wish = replace(self._found.wish, begin_nights=not self._found.wish.begin_nights)
            self._plan_again(replace(self._found, wish=wish))

    def action_add(self) -> None:
        if self._found is None or not self._found.plan.new:
            self.say("There is nothing to add. f: another folder, Escape: leave.")
            return
        self._line.add(self._found.plan)
        self.dismiss(None)

    def question_before(self, key: str) -> str:
        if key != "w" or self._found is None or self._line.watched is not None:
            return ""
        return f"add frames as they land in {self._found.folder.name} from now on"

    def action_watch(self) -> None:
        """Watch the folder that was read, or stop watching."""
        if self._line.watched is not None:
            self._line.stop()
            self.say("No longer watching.")
            self._show_keys()
        elif self._found is not None:
            self._line.start(self._found.folder, self._found.wish)
            self.dismiss(None)


def _proposed(desk: Desk, line: FrameLine) -> str:
    """The folder watched, else the one read last."""
    last = desk.book.choices.get(FOLDER_CHOICE) if desk.book else None
    return str(line.watched or last or "")


def _post_plan(sheet: FramesSheet, folder: Path, reading: Reading, wish: Wish | None) -> None:
    """In a worker: find what would be added, with the wish of the desk or another one."""
    from logbook.store.frames.plan import Wish, plan_frames

    book = sheet.desk.book
    if book is None:
        sheet.post_message(sheet.Told("The book is not open yet."))
        return
    wish = wish or Wish(sheet.desk.view.site, sheet.desk.view.train)
    try:
        plan = plan_frames(book, reading, wish)
    except LogbookError as error:
        sheet.post_message(sheet.Told(str(error)))
        return
    sheet.post_message(sheet.Planned(Found(folder, reading, wish, plan)))


def _remember(desk: Desk, folder: Path) -> None:
    """Propose it next time; nothing is lost if that could not be saved."""
    book, writer = desk.book, desk.writer
    if book is not None and writer is not None:
        writer.submit(book.choices.put, FOLDER_CHOICE, str(folder))
