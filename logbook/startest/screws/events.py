"""What the learner takes in, in the order in which it happened."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Looked:
    """The offset as seen.

    x_arcsec, y_arcsec -- shift of the shadow on the sky, in the picture's axes; None where only
        its size is known, which is then taken as 0 within `sigma_arcsec`.
    radius_arcsec -- of the disc, to turn the shift into a fraction of it.
    orientation -- looks of one orientation have the camera at one angle, in one train and one
        kind of file.
    side -- of focus: inside, outside, or "" where it is not known.
    """

    at: datetime
    x_arcsec: float
    y_arcsec: float
    sigma_arcsec: float
    radius_arcsec: float
    orientation: str = ""
    side: str = ""
    pier_side: str = ""
    entry_id: int | None = None


@dataclass(frozen=True, slots=True)
class Turned:
    """One turn of one screw, tightening positive."""

    at: datetime
    screw: str
    turns: float
    entry_id: int | None = None


@dataclass(frozen=True, slots=True)
class Unsettled:
    """Something that moved the mirrors or loosened what is known.

    offset_arcsec -- how far the offset may have moved on each axis.
    response_share -- by how much the responses may have changed, as a share of their size.
    screw -- the only screw that changed, where one is known.
    camera -- the camera was turned: a new orientation begins.
    """

    at: datetime
    what: str
    offset_arcsec: float = 0.0
    response_share: float = 0.0
    screw: str | None = None
    camera: bool = False
    entry_id: int | None = None


Happening = Looked | Turned | Unsettled
