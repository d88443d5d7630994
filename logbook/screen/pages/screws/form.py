"""Naming a telescope's outer screws and saying where they sit."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.records.check_kit import checked_screws
from logbook.records.entries import PartRecord, Screw
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.services.run_job import Job
from logbook.text import fold

if TYPE_CHECKING:
    from logbook.store.book import Book

_PROPOSED = "A 12, B 4, C 8"  # a third of a turn apart, one at the top: common practice, no source
_ONE = re.compile(r"(.*\S)\s+(\d{1,2})(?:\.(\d+)|:([0-5]\d))?")
_SENSES = ("clockwise", "anticlockwise")
_HELD = {"plain": "", "push-pull": "push-pull", "locked": "locked"}  # as shown, as saved


class NameScrews(Form[Job]):
    """Every outer screw with its hour, in one field; the centre screw is refused with words."""

    DEFAULT_CSS = """
    NameScrews .field-label { width: 9; }
    NameScrews .field Input { width: 20; }
    """

    def __init__(self, record: PartRecord, screws: tuple[Screw, ...]) -> None:
        self._record = record
        sense = _SENSES[0] if all(each.tighten_clockwise for each in screws) else _SENSES[1]
        super().__init__(
            f"Outer screws of {record.part.name}",
            [
                Field(
                    "screws",
                    "Screws",
                    _written(screws) or _PROPOSED,
                    check=_said,
                    help=(
                        "Each outer screw: your name for it and the hour it sits at, seen from the "
                        "front of the tube, 12 at the top; with commas. Never the centre screw: it "
                        "holds the distance between the mirrors."
                    ),
                    example=_PROPOSED,
                ),
                Field(
                    "tighten",
                    "Tighten",
                    sense,
                    check=_sense,
                    help="Which way tightens a screw, as you face its head.",
                    example=_SENSES[0],
                ),
                Field(
                    "held",
                    "Held",
                    _held_now(screws),
                    check=_held,
                    help=(
                        "plain: against a spring; push-pull: each pulls or pushes against others; "
                        "locked: a second screw or nut holds it."
                    ),
                    example="plain",
                ),
            ],
            "Name and hour, seen from the front of the tube with 12 at the top.",
            about=f"{record.id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        screws = read_screws(values["screws"], clockwise=_sense(values["tighten"]) == _SENSES[0])
        held = _HELD[_held(values["held"])]
        screws = tuple(replace(each, lock_kind=held) for each in screws)
        part_id, name = self._record.id, self._record.part.name

        def job(book: "Book") -> str:
            book.kit.set_screws(part_id, screws)
            return f"Kept: the screws of {name} are {_written(screws)}."

        return job


def read_screws(typed: str, *, clockwise: bool = True) -> tuple[Screw, ...]:
    """`A 12, B 4:30` as screws. Raises BadInput with what is wrong."""
    screws = []
    for piece in filter(None, (piece.strip() for piece in typed.split(","))):
        found = _ONE.fullmatch(piece)
        if found is None:
            raise BadInput(f"{piece[:40]}: give a name and an hour, as {_PROPOSED}")
        minutes = int(found[4]) / 60.0 if found[4] else float(f"0.{found[3] or 0}")
        screws.append(Screw(found[1], int(found[2]) + minutes, clockwise))
    if not screws:
        raise BadInput(f"give each a name and an hour, as {_PROPOSED}")
    return checked_screws(tuple(screws))


def _written(screws: tuple[Screw, ...]) -> str:
    return ", ".join(f"{each.name} {each.clock_hour:g}" for each in screws)


def _said(typed: str) -> str:
    return ", ".join(f"{each.name} at {each.clock_hour:g} o'clock" for each in read_screws(typed))


def _held_now(screws: tuple[Screw, ...]) -> str:
    kinds = {each.lock_kind for each in screws}
    return next((said for said, kind in _HELD.items() if kinds == {kind}), "plain")


def _held(typed: str) -> str:
    meant = [each for each in _HELD if each.startswith(fold(typed))]
    if len(meant) != 1:
        raise BadInput("plain, push-pull (each pulls or pushes against others) or locked")
    return meant[0]


def _sense(typed: str) -> str:
    meant = [each for each in _SENSES if each.startswith(fold(typed))]
    if len(meant) != 1:
        raise BadInput(f"{_SENSES[0]} or {_SENSES[1]}, facing the screw's head")
    return meant[0]
