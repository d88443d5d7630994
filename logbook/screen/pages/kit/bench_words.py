"""The words of the bench: the draft with its joints, and every number before and after."""

from collections.abc import Iterable, Sequence

from rich.text import Text

from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.threads import NO_MATE
from logbook.kit.train.joints import Joint
from logbook.kit.train.rows import PairRow, rows
from logbook.kit.train.sheet import Assumed, sheet
from logbook.kit.train.whatif import whatif
from logbook.screen.dialogs.pick import Choice
from logbook.screen.services.typed_values import number_typed

_LENGTHS = (
    "optical_length_mm",
    "flange_distance_mm",
    "focal_length_mm",
    "thickness_mm",
    "mass_kg",
)


def part_choice(part: Part) -> Choice:
    """A part to pick: its kind, its state and what distinguishes it from its like."""
    words = part.kind if part.state == "owned" else f"{part.kind}, {part.state}"
    return Choice(part.name, part.name, f"{words}  {_size(part)}".rstrip())


def _size(part: Part) -> str:
    for name in _LENGTHS:
        number = part.number(name)
        if number is not None:
            return number_typed(number, "kg" if name.endswith("_kg") else "mm")
    return ""


def draft_lines(train: Train, found: Sequence[Joint]) -> list[Text]:
    """A line a part, with the joint under it where that does not mate."""
    below = {joint.above: joint for joint in found}
    lines = [_part_line(train, part, "") for part in train.parts]
    for line, part in zip(lines, train.parts, strict=True):
        joint = below.get(part.name)
        if joint is not None and joint.verdict == NO_MATE:
            line.append(f"\n    ✗ {_joint_words(joint)}", style="bold not italic")
    return [*lines, *(_part_line(train, part, "carried: ") for part in train.carried)]


def _part_line(train: Train, part: Part, before: str) -> Text:
    line = Text(f"  {before}")
    line.append(part.name, style="bold")
    state = "" if part.state == "owned" else f", {part.state}"
    line.append(f"  {part.kind}{state}  {_size(part)}", style="not bold")
    placement = train.placement(part.name)
    if placement.setting_mm is not None:
        line.append(f"  drawn out {placement.setting_mm:g} mm", style="not bold")
    if placement.along_tube_mm is not None:
        line.append(f"  at {placement.along_tube_mm:g} mm", style="not bold")
    return line


def _joint_words(joint: Joint) -> str:
    words = f"{joint.why}"
    if joint.fixes:
        return f"{words}; f puts in {joint.fixes[0].words or ', '.join(joint.fixes[0].parts)}"
    wanted = f": {joint.wanted}" if joint.wanted else ""
    return f"{words}; nothing on the shelf mends it{wanted}"


def change_lines(
    before: Train | None, draft: Train, assumed: Assumed, shelf: Sequence[Part]
) -> Text:
    """Every number before and after, those that change first."""
    if before is None:
        known = rows(sheet(draft, assumed, shelf))
        return Text("\n").join([Text(f"{row.label:21} {row.shown or row.remark}") for row in known])
    pairs = whatif(before, draft, assumed, shelf)
    changed = [pair for pair in pairs if pair.differs]
    if not changed:
        head = Text("Nothing changed so far. As it is:", style="italic")
        return Text("\n").join([head, *pair_lines(pairs)])
    head = Text(f"{len(changed)} change, before → after:", style="italic")
    same = [pair for pair in pairs if not pair.differs]
    return Text("\n").join([head, *pair_lines(changed), Text("same", "italic"), *pair_lines(same)])


def pair_lines(pairs: Iterable[PairRow]) -> list[Text]:
    lines = []
    for pair in pairs:
        line = Text(f"{pair.label:21} ")
        if pair.differs:
            line.append(f"{pair.one or '–'} → {pair.other or '–'}", style="bold")
        else:
            line.append(pair.one, style="not bold")
        lines.append(line)
    return lines
