"""What the sky has to know of the train in use."""

from logbook.kit.parts.part import Train
from logbook.kit.train.light import light_of
from logbook.sky.framing.field_of_view import view_through
from logbook.sky.framing.instrument import Instrument


def instrument_of(train: Train | None, *, driven: bool = True) -> Instrument:
    """Aperture, field and mirroring; unknown where the train or its numbers do not say.

    driven -- whether the mount follows the stars; no part of a train says so.
    """
    if train is None:
        return Instrument(None, None, driven=driven)
    light = light_of(train)
    return Instrument(light.aperture_mm, view_through(light), light.mirrored, driven)
