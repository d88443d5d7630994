"""The sheet of a train as lines of text, 80 columns wide."""

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.text import Text

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.values import difference_words
from logbook.kit.train.rings import RingSearch, find_rings
from logbook.kit.train.rows import SECTIONS, PairRow, SheetRow, rows
from logbook.kit.train.sheet import TrainSheet

WIDTH = 80
_LABEL, _SHOWN = 22, 16


def train_lines(what: TrainSheet) -> Iterator[Text]:
    """Every number that is known, section by section, then what is not."""
    yield Text(f"{what.name} ({what.kind})", style="bold")
    yield from _path(what)
    found = rows(what)
    for section in SECTIONS:
        of_it = [row for row in found if row.section == section]
        if of_it:
            yield _heading(section)
            for row in of_it:
                yield from row_lines(row)
    yield from _measured(what)
    yield from _listed("notes", what.notes)
    yield from _listed("not known", what.missing)


def _path(what: TrainSheet) -> Iterator[Text]:
    for words, carried in (("light path: ", False), ("rides along: ", True)):
        names = [each.name for each in what.parts if each.carried == carried]
        if names:
            joined = (" + " if carried else " → ").join(names)
            yield from _wrapped(words + joined, first=2, then=4)


def _heading(words: str) -> Text:
    return Text(words, style="bold")


def row_lines(row: SheetRow) -> Iterator[Text]:
    """Label, value and remark in columns; all in one sentence where one is too long for its own."""
    if len(row.label) >= _LABEL or len(row.shown) >= _SHOWN:
        said = ", ".join(filter(None, (row.shown, row.remark)))
        yield from _wrapped(f"{row.label}: {said}", first=2, then=4)
        return
    start = f"  {row.label:{_LABEL}}"
    if row.shown:
        start += f"{row.shown:{_SHOWN}}"
    if row.remark:
        yield from _hanging(start, row.remark)
    else:
        yield Text(start.rstrip())


def _hanging(start: str, words: str) -> Iterator[Text]:
    indent = " " * len(start)
    for line in textwrap.wrap(words, WIDTH, initial_indent=start, subsequent_indent=indent):
        yield Text(line)


def _wrapped(words: str, *, first: int, then: int) -> Iterator[Text]:
    for line in textwrap.wrap(
        words, WIDTH, initial_indent=" " * first, subsequent_indent=" " * then
    ):
        yield Text(line)


def _listed(heading: str, words: Sequence[str]) -> Iterator[Text]:
    if words:
        yield _heading(heading)
        for each in words:
            yield from _wrapped(each, first=2, then=4)


def _measured(what: TrainSheet) -> Iterator[Text]:
    """Where callipers and scales found something else than was stated."""
    said = [
        f"{part.name}, {line.label}: {line.counts:g} {line.unit}, {difference_words(line)}"
        for part in what.parts
        for line in part.values
        if isinstance(line.counts, float) and line.difference
    ]
    yield from _listed("measured otherwise than stated", said)


def rings_for_focus(train: Train, shelf: Sequence[Part]) -> Iterator[Text]:
    """The nearest sets of rings for a camera, or why there is no answer."""
    if train.kind != "camera":
        return
    try:
        found = find_rings(train, shelf)
    except BadInput as error:
        yield from _listed("rings", (str(error),))
        return
    yield from ring_lines(found)


def ring_lines(found: RingSearch) -> Iterator[Text]:
    """The answers of the ring finder, nearest first."""
    yield _heading(f"rings for {found.wanted_mm:.2f} mm behind {found.place_after}")
    for answer in found.answers:
        shown = f"{answer.length_mm:.2f} mm"
        off = f"{answer.off_mm:+.2f} mm".replace("-", "−")
        fits = f"within {found.tolerance_mm:g} mm" if answer.within_tolerance else ""
        yield from _hanging(
            f"  {shown:>10} {off:>10}  ", f"{' + '.join(answer.rings) or 'none'}  {fits}".rstrip()
        )
    glass = f"; glass counted: {found.glass_mm:.2f} mm" if found.glass_mm else ""
    yield from _wrapped(found.words + glass, first=2, then=4)


_COLUMN = (WIDTH - 2 - _LABEL - 1) // 2


def pair_lines(one: TrainSheet, other: TrainSheet, pairs: Sequence[PairRow]) -> Iterator[Text]:
    """Two sheets beside each other. What differs has a mark and is bold."""
    yield Text(f"  {'':{_LABEL}}{one.name:{_COLUMN}.{_COLUMN - 1}} {other.name}", style="bold")
    for section, of_it in groupby(pairs, key=lambda pair: pair.section):
        yield _heading(section)
        for pair in of_it:
            yield from _pair(pair)


def _pair(pair: PairRow) -> Iterator[Text]:
    """One row; where the words are too long for their column both stand below each other."""
    style = "bold" if pair.differs else "not bold"
    mark = "≠ " if pair.differs else "  "
    if max(len(pair.one), len(pair.other)) < _COLUMN and len(pair.label) < _LABEL:
        yield Text(
            f"{mark}{pair.label:{_LABEL}}{pair.one:{_COLUMN}} {pair.other}".rstrip(), style=style
        )
        return
    for line in textwrap.wrap(f"{mark}{pair.label}", WIDTH, drop_whitespace=False):
        yield Text(line, style=style)
    shown = (pair.one or "–", pair.other or "–") if pair.differs else (pair.one,)
    for words in shown:
        yield from _wrapped(words, first=4, then=6)
