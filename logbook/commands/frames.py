"""The command for frames on disk: what they would add, adding it, and watching for more."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from logbook.entryline.format import counted
from logbook.errors import BadInput, NotWritten
from logbook.frames.folder_watch import (
    FolderWatch,
    Reading,
    checked_folder,
    frame_paths,
    read_frames,
)
from logbook.report.defaults import chosen_site, chosen_train
from logbook.report.terminal import print_lines
from logbook.report.words.frames_words import (
    added_words,
    kept_words,
    left_out,
    plan_lines,
    sum_words,
)
from logbook.sky.night.clock import iso_z
from logbook.store.frames.plan import Plan, PlannedRun, Wish, plan_frames
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.frames.add import Added

LOOK_EVERY_S = 1.0
_BAR_FROM = 50  # fewer are read at once


@dataclass(frozen=True, slots=True)
class FramesWanted:
    """What the command was asked."""

    folder: str
    add: bool = False
    watch: bool = False
    as_json: bool = False
    site_name: str | None = None
    train_name: str | None = None
    begin_nights: bool = False


def frames_command(book: Book, wanted: FramesWanted) -> None:
    """Print what a folder's frames would add; with `add` or `watch`, add it. Raises BadInput."""
    folder = checked_folder(wanted.folder)
    wish = _wish(book, wanted)
    if wanted.watch:
        _watch(book, folder, wish, as_json=wanted.as_json)
        return
    plan = plan_frames(book, read_with_bar(frame_paths(folder)), wish)
    added = _add(book, plan) if wanted.add else []
    if wanted.as_json:
        print(json.dumps(_plan_json(plan, added, wanted.add), indent=2))
    else:
        _print(plan, added, wanted.add)


def _wish(book: Book, wanted: FramesWanted) -> Wish:
    site = chosen_site(book, wanted.site_name)
    train = chosen_train(book, wanted.train_name)
    return Wish(site, train, wanted.begin_nights)


def read_with_bar(paths: Sequence[Path]) -> Reading:
    if len(paths) < _BAR_FROM:
        return read_frames(paths)
    with _bar("reading headers", len(paths)) as step:
        return read_frames(paths, each=step)


def _add(book: Book, plan: Plan) -> list[Added]:
    """Add run by run; one that cannot be saved is reported, and the next is tried."""
    kept: list[Added] = []
    with _bar("adding", len(plan.to_add)) as step:
        for planned in plan.to_add:
            try:
                added = book.frame_files.add(planned)
            except BadInput as refusal:
                _say(f"Not added, {planned.run.first.path.name!r} and its run: {refusal}")
                added = None
            if added is not None:
                kept.append(added)
            step()
    return kept


@contextmanager
def _bar(words: str, total: int) -> Iterator[Callable[[], None]]:
    """A bar on a terminal, on standard error; nothing in a pipe."""
    columns = (TextColumn(words), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    console = Console(stderr=True)
    with Progress(
        *columns, console=console, transient=True, disable=not console.is_terminal
    ) as bar:
        task = bar.add_task(words, total=total)
        yield lambda: bar.advance(task)


def _print(plan: Plan, added: Sequence[Added], was_wanted: bool) -> None:
    print_lines(plan_lines(plan))
    if was_wanted:
        _say(f"{'; '.join([kept_words(added), *left_out(plan)])}.")
        return
    _say(f"{sum_words(plan)}.")
    if plan.new:
        _say("Nothing was added yet: --add adds it.")
    if plan.without_night:
        _say("--begin-nights begins the nights that are not in the book (--site, --train).")


# --- watching ---


def _watch(book: Book, folder: Path, wish: Wish, *, as_json: bool) -> None:
    """Add frames as they land, until ctrl+c."""
    looking = Looking(FolderWatch(folder), wish, book.frame_files.add, _say, read_with_bar)
    frames = 0
    _say(f"Watching {clean(str(folder))}; ctrl+c ends it.")
    try:
        while True:
            kept = looking.look(book)
            frames += sum(each.new for each in kept)
            for added in kept:
                words = json.dumps(_added_json(added)) if as_json else f"Kept: {added_words(added)}"
                print(words, flush=True)
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        _say(f"No longer watching; {counted(frames, 'frame')} came in.")


@dataclass
class Looking:
    """What a watch works with: a folder, all frames seen in it so far, and how to save and report.

    Runs go on from look to look, so every frame seen is remembered. A book that cannot be written
    (a full disk) is tried again at every look; `unwritten` says why it could not.
    """

    watch: FolderWatch
    wish: Wish
    keep: Callable[[PlannedRun], Added | None]
    say: Callable[[str], object]
    read: Callable[[Sequence[Path]], Reading] = read_frames
    seen: Reading = field(default_factory=Reading)
    unwritten: str = ""

    def look(self, book: Book) -> list[Added]:
        """Add what has settled since the last look or could not be written then; what was added."""
        paths = self.watch.settled()
        if not paths and not self.unwritten:
            return []
        came = self.read(paths)
        self.seen.frames += came.frames
        for refused in came.refused:
            self.say(f"Not read as a frame, {refused.words}")
        plan = plan_frames(book, self.seen, self.wish)
        self._tell_left_out(plan, {frame.path for frame in came.frames})
        before, self.unwritten = self.unwritten, ""
        kept = [added for each in plan.to_add if (added := self._kept(each)) is not None]
        if self.unwritten not in ("", before):
            self.say(self.unwritten)
        return kept

    def _kept(self, planned: PlannedRun) -> Added | None:
        try:
            added = self.keep(planned)
        except NotWritten as error:
            self.unwritten = str(error)
            return None
        except BadInput as refusal:
            self.say(f"Not added, a run of {counted(len(planned.new), 'frame')}: {refusal}")
            return None
        for warning in planned.warnings if added is not None and not added.grew else ():
            self.say(f"! {warning}")
        return added

    def _tell_left_out(self, plan: Plan, came: set[Path]) -> None:
        for planned in plan.without_night:
            fresh = sum(frame.path in came for frame in planned.new)
            if fresh:
                self.say(f"Left out {counted(fresh, 'frame')}: {planned.left_out}.")


# --- JSON ---


def _plan_json(plan: Plan, added: Sequence[Added], was_wanted: bool) -> dict[str, Any]:
    found: dict[str, Any] = {
        "runs": [_run_json(each) for each in plan.runs],
        "new_frames": plan.new,
        "known_frames": plan.known,
        "repeated_files": [str(frame.path) for frame in plan.again],
        "refused": [{"file": str(each.path), "reason": each.reason} for each in plan.refused],
    }
    if was_wanted:
        found["added"] = [_added_json(each) for each in added]
    return found


def _run_json(planned: PlannedRun) -> dict[str, Any]:
    entry = planned.entry_of(planned.new)
    target = planned.matched.target
    return {
        "night": planned.local_date.isoformat(),
        "in_book": planned.night is not None,
        "left_out": planned.left_out,
        "begins_night": planned.begins is not None,
        "object": target.name if target else None,
        "object_id": target.catalogue_id if target else None,
        "matched": planned.matched.how,
        "object_in_header": planned.run.first.object_name,
        "frames": asdict(entry.frames) if entry.frames else None,
        "readings": dict(entry.readings),
        "electrons_per_adu": planned.run.first.electrons_per_adu,
        "begins_utc": iso_z(planned.run.begins_utc),
        "ends_utc": iso_z(planned.run.ends_utc),
        "new_frames": len(planned.new),
        "known_frames": len(planned.run.frames) - len(planned.new),
        "grows": planned.grows,
        "warnings": list(planned.warnings),
        "files": [str(frame.path) for frame in planned.new],
    }


def _added_json(added: Added) -> dict[str, Any]:
    content = added.entry.content
    return {
        "entry": added.entry.id,
        "new_frames": added.new,
        "grew": added.grew,
        "object": content.target.name if content.target else None,
        "frames": asdict(content.frames) if content.frames else None,
    }


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
