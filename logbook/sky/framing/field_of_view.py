"""What a train shows of the sky, handed from the kit to the sky."""

from typing import TYPE_CHECKING

from logbook.kit.parts.part import Train
from logbook.kit.train.light import TrainLight, light_of

if TYPE_CHECKING:
    from logbook.sky.framing.framing import FieldOfView


def view_of(train: Train | None) -> "FieldOfView | None":
    """The field of a train; None without a train or where its numbers do not say."""
    return None if train is None else view_through(light_of(train))


def view_through(light: TrainLight) -> "FieldOfView | None":
    """The same, where the light of the train is known already."""
    from logbook.sky.framing.framing import FieldOfView

    if light.field_deg is None or light.effective_focal_length_mm is None:
        return None
    return FieldOfView(
        light.name,
        light.effective_focal_length_mm,
        light.image_scale_arcsec_px,
        light.field_deg,
    )
