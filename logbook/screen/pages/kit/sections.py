"""The sheet of one train and of two beside each other: sections, rows and drawings."""

from collections.abc import Callable, Sequence
from functools import partial
from textwrap import wrap

from rich.text import Text

from logbook.kit.parts.part import Part, Train
from logbook.kit.train.rows import (
    CARRYING,
    FOCUS,
    SECTIONS,
    SHARPNESS,
    PairRow,
    SheetRow,
    rows,
    side_by_side,
)
from logbook.kit.train.sheet import Assumed, TrainSheet, sheet
from logbook.screen.pages.kit.assumed import ReckonWith, keep_assumed
from logbook.screen.pages.kit.drawing import contrast_lines, ladder_lines, side_view_lines
from logbook.screen.pages.kit.sheet import Section, SectionSheet
from logbook.screen.services.messages import JobWanted

_LABEL = 20  # columns
Draw = Callable[[TrainSheet, int, int], list[Text]]


class TrainSections(SectionSheet):
    """Everything a train does; the key `a` changes what is reckoned with."""

    def __init__(self, train: Train, shelf: Sequence[Part], assumed: Assumed) -> None:
        self._train = train
        self._shelf = shelf
        self._assumed = assumed
        super().__init__(train.name, self._sections_of_train, "seeing and so on")

    def _sections_of_train(self) -> list[Section]:
        return train_sections(sheet(self._train, self._assumed, self._shelf))

    def ask(self) -> None:
        def change(assumed: Assumed | None) -> None:
            if assumed is not None:
                self._assumed = assumed
                self.app.post_message(JobWanted(keep_assumed(assumed)))
                self.make_again()

        self.app.push_screen(ReckonWith(self._assumed), change)


def train_sections(found: TrainSheet) -> list[Section]:
    """The sections there is something to say in, then the parts and what is not known."""
    by_name: dict[str, list[SheetRow]] = {name: [] for name in _NAMES}
    for row in rows(found):
        by_name[_section_of(row)].append(row)
    sections = [
        Section(name, partial(_section, found, name, tuple(lines)))
        for name, lines in by_name.items()
        if lines
    ]
    return [*sections, Section("parts", partial(_parts, found))]


_CONTRAST = "contrast"
_PLACE = SECTIONS.index(SHARPNESS) + 1
_NAMES = (*SECTIONS[:_PLACE], _CONTRAST, *SECTIONS[_PLACE:])


def _section_of(row: SheetRow) -> str:
    """Contrast has a section of its own: its curve wants the room."""
    return _CONTRAST if row.label.startswith(_CONTRAST) else row.section


def _section(
    found: TrainSheet, name: str, lines: Sequence[SheetRow], columns: int, height: int
) -> Text:
    drawn_already = name == FOCUS and found.back_focus is not None  # each rung, as a bar
    written = [
        line
        for row in lines
        if not (drawn_already and row.label.startswith("+ "))
        for line in row_lines(row, columns)
    ]
    draw = _DRAWINGS.get(name)
    drawn = draw(found, columns, height - len(written) - 1) if draw else []
    return Text("\n").join([*written, Text(""), *drawn] if drawn else written)


def row_lines(row: SheetRow, columns: int) -> list[Text]:
    """Label, value and remark; what does not fit goes on under the value."""
    label = f"{row.label} " if len(row.label) >= _LABEL else f"{row.label:{_LABEL}}"
    words = "  ".join(word for word in (row.shown, row.remark) if word)
    pieces = wrap(f"{label}{words}", columns, subsequent_indent=" " * _LABEL) or [label]
    lines = [Text(piece) for piece in pieces]
    lines[0].stylize("bold", len(label), len(label) + len(row.shown))
    return lines


def _contrast(found: TrainSheet, columns: int, height: int) -> list[Text]:
    if found.contrast is None:
        return []
    across, down = min(columns - 6, 90), min(height - 4, 24)
    plot = contrast_lines(found.contrast.curve, found.contrast.clear, across, max(4, down))
    key = "solid: this telescope   dotted: with nothing in the way"
    return [Text("Contrast passed, from coarse detail to the finest:", style="italic"),
            *map(Text, plot), Text(key)]  # fmt: skip


def _ladder(found: TrainSheet, columns: int, height: int) -> list[Text]:
    del height
    return [] if found.back_focus is None else ladder_lines(found.back_focus, columns)


def _side_view(found: TrainSheet, columns: int, height: int) -> list[Text]:
    del height
    return [] if found.balance is None else side_view_lines(found.balance, min(columns, 90))


_DRAWINGS: dict[str, Draw] = {_CONTRAST: _contrast, FOCUS: _ladder, CARRYING: _side_view}


def _parts(found: TrainSheet, columns: int, height: int) -> Text:
    """The light path, what rides along, what is not known."""
    del columns, height
    lines = [Text(each.name + (" (carried)" if each.carried else "")) for each in found.parts]
    for line, part in zip(lines, found.parts, strict=True):
        line.stylize("bold")
        line.append(f"  {part.kind}", style="not bold")
    lines += [Text(note) for note in found.notes]
    if found.missing:
        lines.append(Text(f"not known: {', '.join(found.missing)}", style="bold"))
    return Text("\n").join(lines)


def beside_lines(
    one: Train,
    other: Train,
    assumed: tuple[Assumed, Assumed],
    shelf: Sequence[Part],
    columns: int,
) -> list[Text]:
    """Two trains, a row a number; what differs stands bold.

    assumed -- what each is reckoned with: telescopes have cooling constants of their own.
    """
    pairs = side_by_side(sheet(one, assumed[0], shelf), sheet(other, assumed[1], shelf))
    width = (columns - _LABEL - 2) // 2
    head = Text(f"{'':20} {one.name[:width]:{width}} {other.name[:width]}", style="bold")
    return [head, *pair_rows(pairs, columns)]


def pair_rows(pairs: Sequence[PairRow], columns: int) -> list[Text]:
    """Rows of two trains under the names of their sections."""
    width = (columns - _LABEL - 2) // 2
    lines: list[Text] = []
    section = ""
    for pair in pairs:
        if pair.section != section:
            section = pair.section
            lines.append(Text(section, style="italic"))
        lines.append(_pair_line(pair, width))
    return lines


def _pair_line(pair: PairRow, width: int) -> Text:
    values = f"{pair.one or '–':{width}} {pair.other or '–'}"
    if max(len(pair.one), len(pair.other)) > width:  # words: one under the other
        apart = f"{pair.one or '–'}\n{'':20} {pair.other or '–'}"
        values = apart if pair.differs else f"both: {pair.one}"
    return Text.assemble(f"{pair.label:20} ", (values, "bold" if pair.differs else ""))
