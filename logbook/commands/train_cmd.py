"""What a train does, as text or JSON."""

import json
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.entryline.context_of_book import telescope_of
from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.typed_values import read_length_mm
from logbook.kit.parts.values import PartLines
from logbook.kit.thermal.tube_constant import TubeConstant
from logbook.kit.train.rings import find_rings
from logbook.kit.train.rows import side_by_side
from logbook.kit.train.sheet import Assumed, TrainSheet, sheet
from logbook.report.terminal import print_lines
from logbook.report.words.train_words import pair_lines, ring_lines, rings_for_focus, train_lines

if TYPE_CHECKING:
    from logbook.records.entries import TrainRecord
    from logbook.store.book import Book


def print_trains(
    book: "Book", name: str | None, *, as_json: bool, seeing_arcsec: float | None = None
) -> None:
    """One train, or every one. Raises NotFound, BadInput."""
    records = (book.kit.train_named(name),) if name else book.kit.trains()
    trains = [each.train for each in records]
    shelf, assumed = _shelf(book), _assumed(seeing_arcsec)
    sheets = [sheet(each.train, _learned(book, each, assumed), shelf) for each in records]
    if as_json:
        found = [train_json(each) for each in sheets]
        print(json.dumps(found[0] if name else found, indent=2, ensure_ascii=False))
        return
    for train, made in zip(trains, sheets, strict=True):
        print_lines([*train_lines(made), *rings_for_focus(train, shelf), Text("")])


def print_against(
    book: "Book", name: str, other_name: str, seeing_arcsec: float | None = None
) -> None:
    """Two trains side by side. Raises NotFound, BadInput."""
    shelf, assumed = _shelf(book), _assumed(seeing_arcsec)
    records = [book.kit.train_named(each) for each in (name, other_name)]
    one, other = (sheet(each.train, _learned(book, each, assumed), shelf) for each in records)
    print_lines(pair_lines(one, other, side_by_side(one, other)))


def print_rings(book: "Book", name: str, typed: str) -> None:
    """The sets of owned rings nearest to a length in a train. Raises NotFound, BadInput."""
    wanted_mm = read_length_mm(typed, "the length")
    train: Train = book.kit.train_named(name).train
    print_lines(ring_lines(find_rings(train, _shelf(book), wanted_mm=wanted_mm)))


def _shelf(book: "Book") -> tuple[Part, ...]:
    return tuple(record.part for record in book.kit.parts())


def _assumed(seeing_arcsec: float | None) -> Assumed:
    if seeing_arcsec is None:
        return Assumed()
    if not (math.isfinite(seeing_arcsec) and 0.1 <= seeing_arcsec <= 30.0):
        raise BadInput(f"seeing of {seeing_arcsec:g}″ is not possible: 0.1 to 30″")
    return Assumed(seeing_arcsec=seeing_arcsec)


def _learned(book: "Book", record: "TrainRecord", assumed: Assumed) -> Assumed:
    """With the mirror's own constant in place of the expectation, once three nights gave it."""
    telescope = telescope_of(record, book.kit.parts())
    found = book.learned.constant(telescope.id) if telescope else None
    learned = found.tau_min if isinstance(found, TubeConstant) else None
    return replace(assumed, learned_tau_min=learned)


def train_json(what: TrainSheet) -> dict[str, object]:
    """A train as plain values; what is not known is null."""
    focus, sensor = what.back_focus, what.sensor
    return {
        "name": what.name,
        "kind": what.kind,
        "aperture_mm": what.aperture_mm,
        "effective_focal_length_mm": what.effective_focal_length_mm,
        "focal_ratio": what.focal_ratio,
        "obstruction_by_diameter": what.obstruction_by_diameter,
        "image_scale_arcsec_px": what.image_scale_arcsec_px,
        "field_deg": None if what.field_deg is None else list(what.field_deg),
        "sensor": None
        if sensor is None
        else {
            "pixel_um": sensor.pixel_um,
            "width_px": sensor.width_px,
            "height_px": sensor.height_px,
        },
        "mass_kg": what.mass_kg,
        "back_focus_mm": {
            "wanted": focus.wanted_mm if focus else None,
            "reached": focus.reached_mm if focus else None,
        },
        "parts": [_part_json(each) for each in what.parts],
    }


def _part_json(part: PartLines) -> dict[str, object]:
    return {"name": part.name, "kind": part.kind, "carried": part.carried}
