"""Measure one picture of a defocused star: disc, shadow, offset, how sure; or why not."""

import math
from pathlib import Path

from logbook.startest.picture.certainty import offset_sigma, quality
from logbook.startest.picture.circles import Fit
from logbook.startest.picture.find_star import Cut, cut_out, find
from logbook.startest.picture.picture import Picture, PictureRefused, shown_name
from logbook.startest.picture.read import read_picture
from logbook.startest.picture.refusals import (
    NO_SHADOW,
    NO_STAR,
    Doubt,
    first_shape,
    fitted_ring,
    no_ring,
    whole_picture,
)
from logbook.startest.picture.ring import Ring, first_look, fit_ring, smoothed
from logbook.startest.result import FAIR_FROM, Circle, StarMeasure


def measure_file(path: Path) -> StarMeasure:
    """The picture in a file, measured or refused; never raises for a bad picture."""
    name = shown_name(path)
    try:
        picture = read_picture(path)
    except PictureRefused as error:
        return StarMeasure(name, ok=False, refusal="unreadable", reason=str(error))
    return measure_picture(picture, name)


def measure_picture(picture: Picture, file: str = "") -> StarMeasure:
    """A picture, measured or refused. `file` is the name to show."""
    found = _look(picture)
    if isinstance(found, Doubt):
        return StarMeasure(
            file,
            ok=False,
            refusal=found.refusal,
            reason=found.reason,
            notes=picture.notes,
            facts=picture.facts,
        )
    return _measured(picture, file, *found)


def _look(picture: Picture) -> Doubt | tuple[Cut, Ring]:
    """Both circles in the cut they were found in, or the first doubt."""
    found = find(picture.pixels)
    doubt = whole_picture(picture, found)
    if doubt:
        return doubt
    cut = cut_out(picture.pixels, found, found.blobs[0])
    light = smoothed(cut.light, found.blobs[0].radius_px / cut.shrink)
    shape = first_look(light, found.plateau)
    if shape is None:
        return NO_STAR
    doubt = first_shape(shape, cut.shrink)
    if doubt or shape.hole is None:
        return doubt or NO_SHADOW
    ring = fit_ring(light, (shape.x, shape.y, shape.radius), shape.hole)
    if ring is None:
        return no_ring(shape)
    return fitted_ring(shape, ring, light) or (cut, ring)


def _measured(picture: Picture, file: str, cut: Cut, ring: Ring) -> StarMeasure:
    disc, shadow = _circle(cut, ring.disc), _circle(cut, ring.shadow)
    dx, dy = shadow.x_px - disc.x_px, shadow.y_px - disc.y_px
    sigma = offset_sigma(ring)
    good = quality(ring, sigma)
    notes = picture.notes
    if good < FAIR_FROM:
        notes += ("the edges are ragged: average several pictures of this setting",)
    return StarMeasure(
        file,
        ok=True,
        disc=disc,
        shadow=shadow,
        offset_fraction=math.hypot(dx, dy) / disc.radius_px,
        offset_sigma=sigma,
        position_angle_deg=math.degrees(math.atan2(dy, dx)) % 360.0,
        quality=good,
        notes=notes,
        facts=picture.facts,
    )


def _circle(cut: Cut, fit: Fit) -> Circle:
    return Circle(
        cut.x0_px + cut.shrink * fit.x, cut.y0_px + cut.shrink * fit.y, cut.shrink * fit.radius
    )
