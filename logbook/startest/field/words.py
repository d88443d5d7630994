"""What a pattern of star widths means, stated only as far as it is sure."""

from dataclasses import replace

from logbook.startest.field.result import ElongationPattern, FieldMap, Part, WidthPattern

_MATTERS = 0.04  # of the median width: less is nobody's trouble
_ROUND = 0.03  # elongation that is nobody's trouble
_SIDES = (
    "right",
    "lower right",
    "bottom",
    "lower left",
    "left",
    "upper left",
    "top",
    "upper right",
)


def toward(angle_deg: float) -> str:
    """A side or corner of the frame with row 0 at the top."""
    return _SIDES[round(angle_deg / 45.0) % 8]


def verdict(found: FieldMap) -> FieldMap:
    """The same with words."""
    if found.width is None or found.shape is None or found.fwhm_px is None:
        words: tuple[str, ...] = (
            f"tilt and off-axis blur can't be told apart with {found.stars}"
            f" {'star' if found.stars == 1 else 'stars'} like these: expose longer or aim where"
            " there are more, on all sides of the frame",
        )
        return replace(found, words=words)
    return replace(
        found,
        words=(*_width_words(found, found.width, found.fwhm_px), *_shape_words(found.shape)),
    )


def _width_words(found: FieldMap, width: WidthPattern, fwhm_px: float) -> list[str]:
    least = _MATTERS * fwhm_px
    one, round_, two = (
        part.sure and abs(part.size) > least
        for part in (width.one_sided, width.all_round, width.two_sided)
    )
    words = []
    if one:
        words.append(_one_sided(found, width.one_sided))
    if round_:
        words.append(_all_round(found, width.all_round))
    if one and round_:
        words.append(
            "a round pattern whose middle lies beside the frame's looks like both together: turn"
            " the camera by 90° and take another; tilt within the camera stays on its side of the"
            " picture, all else moves round"
        )
    if two:
        words.append(_two_sided(found, width.two_sided))
    return words or [_even(found, width)]


def _one_sided(found: FieldMap, part: Part) -> str:
    return (
        f"one-sided: wider toward the {toward(part.angle_deg or 0.0)} by"
        f" {found.shown(2.0 * part.size)} ± {found.shown(2.0 * part.sigma)} from edge to edge:"
        " tilt of the sensor or the focuser"
    )


def _all_round(found: FieldMap, part: Part) -> str:
    how = "wider" if part.size > 0 else "narrower"
    cause = (
        "spacing of the corrector, curvature of field, or the mirrors' own off-axis blur"
        if part.size > 0
        else "focused for the corners; refocus on a star a third of the way out"
    )
    return (
        f"alike on all sides: corners {how} by {found.shown(abs(part.size))}"
        f" ± {found.shown(part.sigma)}: {cause}"
    )


def _two_sided(found: FieldMap, part: Part) -> str:
    angle = part.angle_deg or 0.0
    return (
        f"wider toward {toward(angle)} and {toward(angle + 180.0)} alike, by"
        f" {found.shown(part.size)} ± {found.shown(part.sigma)}: a tilt with the middle in focus,"
        " or astigmatism, cannot be told apart in one frame: take another a little out of focus;"
        " with a tilt it becomes one-sided"
    )


def _even(found: FieldMap, width: WidthPattern) -> str:
    most = 3.0 * max(width.one_sided.sigma, width.all_round.sigma)
    return f"even over the frame: nothing above {found.shown(most)} from middle to corner"


def _shape_words(shape: ElongationPattern) -> list[str]:
    words = []
    if shape.common.sure and shape.common.size > _ROUND:
        words.append(
            f"drawn out {100 * shape.common.size:.0f} % ± {100 * shape.common.sigma:.0f} in one"
            f" direction everywhere ({shape.common.angle_deg or 0.0:.0f}° from right toward the"
            " bottom): tracking, wind, or coma of the whole field"
        )
    if shape.radial.sure and abs(shape.radial.size) > _ROUND:
        how = "toward the middle" if shape.radial.size > 0 else "around the middle"
        words.append(
            f"drawn out {how}, {100 * abs(shape.radial.size):.0f} %"
            f" ± {100 * shape.radial.sigma:.0f}: off-axis aberration or spacing, not tracking"
        )
    return words
