"""Which trains and parts are listed: all, one kind, one state, the wish list, what was retired."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from logbook.kit.parts.check import STATES
from logbook.kit.parts.kinds import KINDS
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.dialogs.pick import Choice

WISHED = "wished for"


@dataclass(frozen=True, slots=True)
class Shown:
    """What is listed. Empty words let everything through."""

    kind: str = ""  # "train", or a kind of part
    state: str = ""
    retired: bool = False

    @property
    def is_all(self) -> bool:
        return self == Shown()

    def trains(self, records: Sequence[TrainRecord]) -> list[TrainRecord]:
        if self.state or self.kind not in ("", "train"):
            return []
        return [each for each in records if each.retired == self.retired]

    def parts(self, records: Sequence[PartRecord]) -> list[PartRecord]:
        """By kind and name."""
        found = [
            each
            for each in records
            if each.retired == self.retired
            and self.kind in ("", each.part.kind)
            and self.state in ("", each.part.state)
        ]
        return sorted(found, key=lambda each: (each.part.kind, each.part.name.casefold()))

    def after(self, answer: str) -> "Shown":
        """What is listed once this choice was made; kind and state narrow each other."""
        what, _, name = answer.partition(":")
        if what == "kind":
            return replace(self, kind=name, state="" if name == "train" else self.state)
        if what == "state":
            return replace(self, state=name, kind="" if self.kind == "train" else self.kind)
        return Shown(retired=what == "retired")


def choices(parts: Sequence[PartRecord], trains: Sequence[TrainRecord]) -> list[Choice]:
    """What can be listed, with how many there are of each."""
    found = [Choice("all", "everything", f"{len(trains)} trains, {len(parts)} parts")]
    found.append(Choice("kind:train", "trains", str(len(trains))))
    for state in STATES:
        count = sum(each.part.state == state for each in parts)
        name = "wish list" if state == WISHED else state
        found.append(Choice(f"state:{state}", name, str(count)))
    for kind in KINDS:
        count = sum(each.part.kind == kind for each in parts)
        if count:
            found.append(Choice(f"kind:{kind}", kind, str(count)))
    found.append(Choice("retired", "retired", "out of every other list"))
    return found


def head_words(shown: Shown, trains: Sequence[TrainRecord], parts: Sequence[PartRecord]) -> str:
    """What is listed now, in one line; of wishes with what they cost in all."""
    counted = [_counted(len(trains), "train"), _counted(len(parts), "part")]
    numbers = ", ".join(words for words in counted if words) or "nothing"
    if shown.is_all:
        return f"Everything: {numbers}. f shows less."
    name = " ".join(word for word in (shown.state, shown.kind) if word)
    name = "retired" if shown.retired else name
    words = f"{name.capitalize()}: {numbers}"
    prices = [each.part.price for each in parts if each.part.price is not None]
    if shown.state == WISHED and prices:
        words += f", {sum(prices):.2f} in all"
    return f"{words}. Escape shows everything."


def _counted(count: int, what: str) -> str:
    return "" if not count else f"{count} {what}{'' if count == 1 else 's'}"
