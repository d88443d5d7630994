"""What the Screws page and its sheets calculate; with numpy and what measures pictures, so only
`jobs.calculations` is to import it."""

from pathlib import Path

from logbook.errors import BadInput
from logbook.screen.pages.screws.frames import Frame
from logbook.screen.services.folder_watch import newest_picture
from logbook.screen.widgets.picture_view import Shown
from logbook.startest.field.map import measure_field
from logbook.startest.picture.measure import measure_file, measure_picture
from logbook.startest.picture.overlay import overlay
from logbook.startest.picture.picture import Picture, is_picture_name
from logbook.startest.picture.read import read_picture
from logbook.startest.result import StarMeasure
from logbook.store.screw_advice import advice_for, way_back_to


def frame_of(path: Path, columns: int, rows: int) -> Frame:
    """Read and measure a picture and draw it small; for workers. A bad one says why."""
    try:
        picture = read_picture(path)
    except BadInput:
        return Frame(path, measure_file(path), None)
    measure = measure_picture(picture, path.name)
    return Frame(path, measure, _shown(picture, measure, columns, rows))


def _shown(picture: Picture, measure: StarMeasure, columns: int, rows: int) -> Shown:
    small = overlay(picture, measure, columns, rows)
    rings = [each for each in (small.disc, small.shadow) if each is not None]
    height, width = small.grey.shape
    return Shown(
        width,
        height,
        small.grey.tobytes(),
        tuple((each.x_px, each.y_px, each.radius_px) for each in rings),
    )


def picture_at(path: Path) -> Path | None:
    """The picture at a path, or the newest one of a folder; None if there is none.

    Raises OSError.
    """
    if path.is_dir():
        return newest_picture(path, is_picture_name)
    return path if path.exists() else None


class Calculations:
    """The functions, for worker threads."""

    advice_for = staticmethod(advice_for)
    frame_of = staticmethod(frame_of)
    is_picture = staticmethod(is_picture_name)
    measure_field = staticmethod(measure_field)
    picture_at = staticmethod(picture_at)
    read_picture = staticmethod(read_picture)
    way_back_to = staticmethod(way_back_to)
