"""What a train shows of the sky, handed from the kit to the sky."""

from typing import TYPE_CHECKING

from logbook.kit.parts import Train
from logbook.kit.sheet import sheet

if TYPE_CHECKING:
    from logbook.sky.framing import FieldOfView


def view_of(train: Train | None) -> "FieldOfView | None":
    """The field of a train; None without a train or where its numbers do not say."""
    from logbook.sky.framing import FieldOfView

    if train is None:
        return None
    known = sheet(train)
    if known.field_deg is None or known.effective_focal_length_mm is None:
        return None
    return FieldOfView(
        train.name,
        known.effective_focal_length_mm,
        known.image_scale_arcsec_px,
        known.field_deg,
    )
