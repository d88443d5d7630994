"""What a star test, a check in focus and an adjustment must be before they are saved."""

from logbook.errors import BadInput
from logbook.records import checks
from logbook.records.entries import (
    ADJUST_UNITS,
    ADJUSTED,
    CHECK_VERDICTS,
    PIER_SIDES,
    STAR_ROLES,
    TURN_RESULTS,
    Adjustment,
    LookDetail,
    StarCheck,
    StarLook,
)


def checked_look(look: StarLook) -> StarLook:
    """A star test as it will be saved. Raises BadInput."""
    angle_deg = checks.maybe_number(look.position_angle_deg, "the angle", -360.0, 360.0, "°")
    return StarLook(
        offset_fraction=checks.number(look.offset_fraction, "the offset", 0.0, 1.0),
        position_angle_deg=None if angle_deg is None else angle_deg % 360.0,
        offset_sigma=checks.maybe_number(look.offset_sigma, "the offset's uncertainty", 0.0, 10.0),
        disc_radius_px=checks.maybe_number(look.disc_radius_px, "the radius", 0.0, 1e5, "px"),
        quality=checks.maybe_number(look.quality, "the quality", 0.0, 1e6),
        way=checks.one_of(look.way, "the way of looking", ("eye", "picture")),
        side_of_focus=checks.maybe_one_of(
            look.side_of_focus, "the side of focus", ("inside", "outside")
        ),
        star=checks.maybe_line(look.star, "the star's name", 60),
        picture_path=checks.maybe_line(look.picture_path, "the picture's path", 1000),
        detail=None if look.detail is None else _detail(look.detail),
    )


def _detail(detail: LookDetail) -> LookDetail | None:
    """The detail as it will be saved; None if nothing is in it."""
    pixels = {
        name: checks.maybe_number(getattr(detail, name), name.replace("_", " "), -1e6, 1e6, "px")
        for name in ("disc_x_px", "disc_y_px", "shadow_x_px", "shadow_y_px")
    }
    sizes = {
        name: checks.maybe_number(getattr(detail, name), name.replace("_", " "), 0.0, 1e6, "px")
        for name in ("disc_sigma_px", "shadow_radius_px", "shadow_sigma_px")
    }
    checked = LookDetail(
        **pixels,
        **sizes,
        picture_kind=checks.maybe_line(detail.picture_kind, "the kind of picture", 40),
        picture_width_px=checks.maybe_whole(detail.picture_width_px, "the width", 1, 1_000_000),
        picture_height_px=checks.maybe_whole(detail.picture_height_px, "the height", 1, 1_000_000),
        arcsec_per_px=checks.maybe_number(detail.arcsec_per_px, "the scale", 1e-4, 1e4, '"/px'),
        orientation=checks.maybe_line(detail.orientation, "the orientation", 120),
        defocus_mm=checks.maybe_number(detail.defocus_mm, "the defocus", -500.0, 500.0, "mm"),
        exposure_s=checks.maybe_number(detail.exposure_s, "exposure", 0.0, 86400.0, "s"),
        altitude_deg=_altitude(detail.altitude_deg),
        azimuth_deg=checks.maybe_number(detail.azimuth_deg, "azimuth", 0.0, 360.0, "°"),
        pier_side=_pier_side(detail.pier_side),
        star_role=_star_role(detail.star_role),
        frames=checks.maybe_whole(detail.frames, "the number of frames", 1, 100_000),
    )
    return None if checked == LookDetail() else checked


def _altitude(altitude_deg: float | None) -> float | None:
    return checks.maybe_number(altitude_deg, "the altitude", -5.0, 90.0, "°")


def _pier_side(side: str | None) -> str | None:
    return checks.maybe_one_of(side, "the side of the pier", PIER_SIDES)


def _star_role(role: str | None) -> str | None:
    return checks.maybe_one_of(role, "which star", STAR_ROLES)


def checked_check(check: StarCheck) -> StarCheck:
    """A check in focus as it will be saved. Raises BadInput."""
    angle_deg = checks.maybe_number(check.position_angle_deg, "the angle", -360.0, 360.0, "°")
    return StarCheck(
        verdict=checks.one_of(check.verdict, "how the star looks", CHECK_VERDICTS),
        position_angle_deg=None if angle_deg is None else angle_deg % 360.0,
        place=checks.line(check.place, "where in the field", 40, wanted=True),
        star=checks.maybe_line(check.star, "the star's name", 60),
        star_role=_star_role(check.star_role),
        altitude_deg=_altitude(check.altitude_deg),
        pier_side=_pier_side(check.pier_side),
    )


def maybe_checked_adjustment(adjustment: Adjustment | None) -> Adjustment | None:
    """An adjustment as it will be saved, or None. Raises BadInput."""
    if adjustment is None:
        return None
    if (adjustment.amount is None) != (adjustment.unit is None):
        raise BadInput("an amount needs a unit: a part of a turn, mm or degrees")
    return Adjustment(
        what=checks.one_of(adjustment.what, "what was set", ADJUSTED),
        place=checks.line(adjustment.place, "the place", 40),
        amount=checks.maybe_number(adjustment.amount, "the amount", -1000.0, 1000.0),
        unit=checks.maybe_one_of(adjustment.unit, "the unit", ADJUST_UNITS),
        result=checks.maybe_one_of(adjustment.result, "the result", TURN_RESULTS),
    )
