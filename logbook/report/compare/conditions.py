"""What was different in the sky, the air and the work of two nights, each as a width in arcseconds.

So that unlike things can be ranked, each is turned into the width it would add to the star images
by itself. Where the trade has a rule its source is named; the rest is common practice, no source.
"""

import math

from logbook.entryline.format import spell_look
from logbook.records.check_entry import label_and_unit
from logbook.report.compare.difference import Difference
from logbook.report.pages.night_facts import NightFacts, Observed

# Width grows as airmass to 0.6. Source: Fried 1966, JOSA 56, 1372 (Kolmogorov turbulence).
_AIRMASS_POWER = 0.6
# A mirror warmer than the air blurs by 0.40″ · ΔT^1.2. Source: Racine et al. 1991, PASP 103, 1020
# (from memory).
_MIRROR_ARCSEC, _MIRROR_POWER = 0.40, 1.2
_FWHM_OF_RMS = 2.355  # of a Gaussian, 2 √(2 ln 2)
# The rest: common practice, no source.
_STEP_OF_SEEING = 0.12  # of the width, for one of ten steps
_LEFT_ALONE_ARCSEC_C = 0.35  # width for each degree a focus was left alone, past the first
_OFFSET_WIDTH = 2.0  # of the width, for a shadow off by the whole radius
_WIND_FREE_M_S, _WIND_WIDTH = 3.0, 0.05  # of the width, for each m/s more than a breeze


def night_differences(now: NightFacts, then: NightFacts, width_arcsec: float) -> list[Difference]:
    """What was different between this night and the other one; `width_arcsec` is the better's."""
    found = [
        _seeing(now, then, width_arcsec),
        _altitude(now, then, width_arcsec),
        _mirror(now, then, width_arcsec),
        _left_alone(now, then, width_arcsec),
        _focus_position(now, then),
        _guiding(now, then, width_arcsec),
        _star_test(now, then, width_arcsec),
        _wind(now, then, width_arcsec),
        _moon(now, then, width_arcsec),
        _site(now, then, width_arcsec),
        _object(now, then),
        *_small(now, then, width_arcsec),
        *_exposures(now, then, width_arcsec),
        *_troubles(now, then, width_arcsec),
    ]
    return [each for each in found if each is not None]


def _both(now: NightFacts, then: NightFacts, quantity: str) -> tuple[float, float] | None:
    after, before = now.mean(quantity), then.mean(quantity)
    return None if after is None or before is None else (before, after)


def _in_quadrature(width: float, before: float, after: float) -> float:
    """How much wider images get when a blur in them grows from one size to another."""
    return math.hypot(width, after) - math.hypot(width, before)


def _seeing(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    before, after = then.seeing_of_ten, now.seeing_of_ten
    if before is None or after is None or abs(after - before) < 0.25:
        return None
    widens = width * ((1.0 + _STEP_OF_SEEING) ** (before - after) - 1.0)
    return Difference(
        "seeing",
        "seeing as judged",
        f"{before:.1f} of 10",
        f"{after:.1f} of 10",
        f"a step of seeing is about {100 * _STEP_OF_SEEING:.0f} % of the width: {_said(widens)}",
        widens,
    )


def _said(widens: float) -> str:
    return f"{widens:+.2f}″".replace("-", "−")


def _altitude(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    pair = _same_object(now, then)
    if pair is None:
        return None
    before, after = pair
    if before.through is None or after.through is None:
        return None
    air_before, air_after = before.through.airmass, after.through.airmass
    if abs(after.through.altitude_deg - before.through.altitude_deg) < 1.0:
        return None
    widens = width * ((air_after / air_before) ** _AIRMASS_POWER - 1.0)
    name = after.target.name
    return Difference(
        "altitude",
        f"altitude of {name}" if before.target == after.target else "altitude of the object",
        f"{before.through.altitude_deg:.0f}°, airmass {air_before:.2f}",
        f"{after.through.altitude_deg:.0f}°, airmass {air_after:.2f}",
        f"width grows as airmass to the power 0.6: {_said(widens)}",
        widens,
    )


def _same_object(now: NightFacts, then: NightFacts) -> tuple[Observed, Observed] | None:
    """The object both nights have, longest exposed in this one; else the main one of each."""
    theirs = {each.target.catalogue_id: each for each in then.objects}
    shared = [each for each in now.objects if each.target.catalogue_id in theirs]
    if shared:
        most = max(shared, key=lambda each: each.exposure_s)
        return theirs[most.target.catalogue_id], most
    before, after = then.main_object, now.main_object
    return None if before is None or after is None else (before, after)


def _object(now: NightFacts, then: NightFacts) -> Difference | None:
    before, after = then.main_object, now.main_object
    if before is None or after is None or before.target.catalogue_id == after.target.catalogue_id:
        return None
    return Difference(
        "object",
        "main object",
        before.target.name,
        after.target.name,
        "another object by itself leaves stars as wide as they are",
        None,
        0.02,
    )


def _mirror(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    before, after = then.mirror_less_air_c, now.mirror_less_air_c
    if before is None or after is None or abs(after - before) < 0.2:
        return None
    blurs = [_MIRROR_ARCSEC * abs(each) ** _MIRROR_POWER for each in (before, after)]
    widens = _in_quadrature(width, *blurs)
    return Difference(
        "mirror",
        "mirror less air",
        f"{before:+.1f} °C".replace("-", "−"),
        f"{after:+.1f} °C".replace("-", "−"),
        f"a mirror off the air's temperature blurs by 0.4″ · ΔT^1.2: {_said(widens)}",
        widens,
    )


def _left_alone(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    before, after = then.left_alone_c, now.left_alone_c
    if before is None or after is None or abs(after - before) < 0.3:
        return None
    blurs = [_LEFT_ALONE_ARCSEC_C * max(0.0, each - 1.0) for each in (before, after)]
    widens = _in_quadrature(width, *blurs)
    return Difference(
        "focus",
        "change of the air since the last focus, at most",
        f"{before:.1f} °C",
        f"{after:.1f} °C",
        f"a focus left alone drifts as the tube shrinks, about {_LEFT_ALONE_ARCSEC_C}″ a degree "
        f"past the first: {_said(widens)}",
        widens,
        evidence=(f"focused {len(then.focus)} and {len(now.focus)} times",),
    )


def _focus_position(now: NightFacts, then: NightFacts) -> Difference | None:
    pair = _both(now, then, "focus_position")
    if pair is None or round(pair[0]) == round(pair[1]):
        return None
    return Difference(
        "focus",
        "focus position, mean",
        f"{pair[0]:.0f}",
        f"{pair[1]:.0f}",
        "the place itself says little: it goes with temperature and with the parts in the train",
        None,
        0.03,
    )


def _guiding(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    pair = _both(now, then, "guiding_rms_arcsec")
    if pair is None or abs(pair[1] - pair[0]) < 0.05:
        return None
    widens = _in_quadrature(width, *(_FWHM_OF_RMS * each for each in pair))
    return Difference(
        "guiding",
        "guiding, rms",
        f"{pair[0]:.2f}″",
        f"{pair[1]:.2f}″",
        f"2.355 times the rms adds to the width in quadrature: {_said(widens)}",
        widens,
    )


def _star_test(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    if now.look is None or then.look is None:
        return None
    before, after = then.look.offset_fraction, now.look.offset_fraction
    if abs(after - before) < 0.01:
        return None
    widens = _OFFSET_WIDTH * width * (after - before)
    return Difference(
        "star test",
        "shadow in the defocused star",
        f"{before:.2f} of the radius off",
        f"{after:.2f} of the radius off",
        f"a shadow off the centre shows coma; 0.05 of the radius is worth a turn: {_said(widens)}",
        widens,
        evidence=(spell_look(then.look), spell_look(now.look)),
    )


def _wind(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    pair = _both(now, then, "wind_m_s")
    if pair is None or abs(pair[1] - pair[0]) < 0.5:
        return None
    over = [max(0.0, each - _WIND_FREE_M_S) for each in pair]
    widens = _WIND_WIDTH * width * (over[1] - over[0])
    return Difference(
        "weather",
        "wind",
        f"{pair[0]:.1f} m/s",
        f"{pair[1]:.1f} m/s",
        f"past a breeze of {_WIND_FREE_M_S:.0f} m/s a long tube shakes: {_said(widens)}",
        widens,
    )


def _moon(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    lights = [each.moon.illumination * _up_part(each) for each in (then, now)]
    same = abs(lights[1] - lights[0]) < 0.05
    if same and abs(now.moon.illumination - then.moon.illumination) < 0.05:
        return None
    widens = 0.08 * width * (lights[1] - lights[0])
    return Difference(
        "Moon",
        "Moon",
        _moon_words(then),
        _moon_words(now),
        "its light hides what is faint and leaves stars about as wide as they are",
        widens,
    )


def _up_part(facts: NightFacts) -> float:
    moon = facts.moon
    return moon.up_hours / moon.worked_hours if moon.worked_hours else 0.0


def _moon_words(facts: NightFacts) -> str:
    moon, main = facts.moon, facts.main_object
    words = f"{moon.phase}, {100 * moon.illumination:.0f} % lit, up {moon.up_hours:.1f} h"
    if main is None or main.through is None or main.through.moon_separation_deg is None:
        return words
    return f"{words}, {main.through.moon_separation_deg:.0f}° from {main.target.name}"


def _site(now: NightFacts, then: NightFacts, width: float) -> Difference | None:
    if now.night.site_id == then.night.site_id:
        return None
    return Difference(
        "site",
        "site",
        then.night.site.name,
        now.night.site.name,
        "another place has its own air, horizon and ground",
        None,
        0.25 * width,
    )


# Quantity, least difference worth a word, part of the width for one unit of it, and why.
_SMALL = (
    ("air_temperature_c", 0.5, 0.005, "the air's own temperature matters through mirror and focus"),
    ("humidity_percent", 3.0, 0.001, "damp air matters when it comes down as dew"),
    ("cloud_percent", 3.0, 0.001, "thin cloud takes light and leaves stars about as wide"),
    ("transparency_of_five", 0.3, -0.02, "clear air gives more light, not sharper stars"),
    ("sky_mag_arcsec2", 0.1, -0.03, "a brighter sky hides what is faint, not what is sharp"),
    ("limiting_magnitude", 0.2, -0.02, "a brighter sky hides what is faint, not what is sharp"),
    ("pressure_hpa", 3.0, 0.0005, "by itself pressure does little"),
    ("sensor_temperature_c", 1.0, 0.001, "a warmer sensor is noisier, not blurred"),
    ("tube_temperature_c", 0.5, 0.005, "the tube follows the air"),
    ("dew_point_c", 0.5, 0.001, "it matters when the air comes down to it"),
    ("drift_arcsec_min", 0.2, 0.02, "drift is a sign of how the mount stands"),
)


def _small(now: NightFacts, then: NightFacts, width: float) -> list[Difference]:
    found = []
    for quantity, least, part, why in _SMALL:
        pair = _both(now, then, quantity)
        if pair is None or abs(pair[1] - pair[0]) < least:
            continue
        label, unit = label_and_unit(quantity)
        before, after = (f"{each:.1f} {unit}".strip().replace("-", "−") for each in pair)
        widens = part * width * (pair[1] - pair[0])
        found.append(Difference("weather", label, before, after, why, widens))
    return found


def _exposures(now: NightFacts, then: NightFacts, width: float) -> list[Difference]:
    """What was set for the frames. Each thing by itself, with all its values of a night."""
    rows = (
        ("filters", "filter_name", "", "colours are blurred a little differently", 0.05),
        ("exposure", "exposure_s", " s", "longer frames show more of guiding and wind", 0.06),
        ("gain", "gain", "", "gain changes noise, not width", 0.02),
        ("binning", "binning", "", "binned pixels show less of what is fine", 0.08),
        ("region", "region", " px", "a part of the sensor shows stars as wide", 0.01),
    )
    found = []
    for label, name, unit, why, part in rows:
        before, after = (_set_values(each, name, unit) for each in (then, now))
        if before != after and then.frames and now.frames:
            found.append(Difference("exposure", label, before, after, why, None, part * width))
    return found


def _set_values(facts: NightFacts, name: str, unit: str) -> str:
    values = {getattr(each, name) for each in facts.frames} - {None}
    said = sorted(f"{each:g}" if isinstance(each, float) else str(each) for each in values)
    return ", ".join(f"{each}{unit}" for each in said) or "none given"


def _troubles(now: NightFacts, then: NightFacts, width: float) -> list[Difference]:
    if now.troubles == then.troubles:
        return []
    less, more = len(then.troubles), len(now.troubles)
    return [
        Difference(
            "trouble",
            "trouble that was written down",
            f"{less} lines" if less else "none",
            f"{more} lines" if more else "none",
            "the owner's own words; 5 % of the width is taken for each line",
            0.05 * width * (more - less) or None,
            0.05 * width,
            evidence=tuple(now.troubles[:5] or then.troubles[:5]),
        )
    ]
