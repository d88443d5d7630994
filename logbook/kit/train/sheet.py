"""The sheet of a train: what its parts do together, and what is not known of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from logbook.kit.optics import formulas
from logbook.kit.optics.contrast import contrast, curve, cutoff_per_arcsec
from logbook.kit.optics.dew_shield import DewShield, dew_shield
from logbook.kit.optics.eyepieces import Eyepiece
from logbook.kit.optics.focus import FocusDrift, FocusZone
from logbook.kit.optics.illumination import Illumination, illumination
from logbook.kit.optics.resolution import WAVELENGTH_UM, Limit, limits
from logbook.kit.optics.sampling import Sampling, sampling
from logbook.kit.parts.check import check_train
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.values import PartLines, part_lines
from logbook.kit.thermal.cooling import FROM_K, CoolDown, cool_down
from logbook.kit.train.balance import Balance, balance, on_tube
from logbook.kit.train.cautions import cautions
from logbook.kit.train.focus import drift_of, zones_of
from logbook.kit.train.focus_reach import FocusReach, focus_reach
from logbook.kit.train.joints import Joint, joints
from logbook.kit.train.lengths import BackFocus, back_focus
from logbook.kit.train.light import TrainLight, light_of
from logbook.kit.train.light_cone import Gaps, Sensor, both, obstruction
from logbook.kit.train.openings import openings
from logbook.kit.train.payload import IMAGING_SHARE, Payload, payload


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is chosen rather than known. learned_tau_min is the tube's own, from readings."""

    seeing_arcsec: float = 2.0
    wavelength_um: float = WAVELENGTH_UM
    payload_share: float = IMAGING_SHARE
    cool_from_k: float = FROM_K
    learned_tau_min: float | None = None


@dataclass(frozen=True, slots=True)
class Contrast:
    """How much contrast is left at shares of the cutoff, beside an unobstructed aperture."""

    obstruction: float
    cutoff_per_arcsec: float
    curve: tuple[tuple[float, float], ...]
    clear: tuple[tuple[float, float], ...]

    def at(self, frequency: float) -> tuple[float, float]:
        """Contrast of this aperture and of a clear one."""
        return contrast(frequency, self.obstruction), contrast(frequency)


@dataclass(frozen=True, slots=True)
class TrainSheet:
    """What a train's parts do together. None stands for what is not known; `missing` names why.

    field_deg -- width and height; for an eyepiece the true field, twice.
    factor -- what reducers and Barlows multiply the focal length by; 1 without any.
    mass_kg -- the light path and what rides along, without mount, saddle and counterweights on
        their shaft; the sum of what was weighed, so too little while `missing` names a mass.
    mirrored -- an odd number of mirrors: the picture is the wrong way round.
    eyepieces -- of a visual train: its own and those of the shelf.
    notes -- how a number came about where that is not plain.
    """

    name: str
    kind: str
    aperture_mm: float | None
    native_focal_length_mm: float | None
    factor: float
    effective_focal_length_mm: float | None
    focal_ratio: float | None
    obstruction_by_diameter: float | None
    light_loss_fraction: float | None
    image_scale_arcsec_px: float | None
    field_deg: tuple[float, float] | None
    sensor: Sensor | None
    magnification: float | None
    exit_pupil_mm: float | None
    mass_kg: float | None
    payload_kg: float | None
    back_focus: BackFocus | None
    mirrored: bool
    missing: tuple[str, ...]
    notes: tuple[str, ...]
    parts: tuple[PartLines, ...]
    light_loss_mag: float | None = None
    sampling: Sampling | None = None
    limits: tuple[Limit, ...] = ()
    contrast: Contrast | None = None
    focus_zones: tuple[FocusZone, ...] = ()
    focus_drift: FocusDrift | None = None
    focus_reach: FocusReach | None = None
    illumination: Illumination | None = None
    eyepieces: tuple[Eyepiece, ...] = ()
    joints: tuple[Joint, ...] = ()
    payload: Payload | None = None
    balance: Balance | None = None
    dew: DewShield | None = None
    cooling: CoolDown | None = None
    cautions: tuple[str, ...] = ()
    assumed: Assumed = field(default_factory=Assumed)


def sheet(train: Train, assumed: Assumed | None = None, shelf: Sequence[Part] = ()) -> TrainSheet:
    """What the train does. Values that cannot be (a zero pixel) count as not known.

    shelf -- the parts the user has: adapters that would mend a joint, weights, eyepieces.
    """
    chosen = assumed or Assumed()
    gaps = Gaps()
    light = light_of(train, shelf, gaps)
    telescope, aperture_mm, chip = train.first("telescope"), light.aperture_mm, light.sensor
    by_diameter = obstruction(telescope, aperture_mm, gaps)
    scale, field_deg, own = light.image_scale_arcsec_px, light.field_deg, light.own_eyepiece
    zones = _focus_zones(train, light, chosen)
    mass_kg = _mass_kg(train, gaps)
    load = _payload(train, mass_kg, chosen)
    balanced = balance(train, shelf)
    met = joints(train, shelf)
    return TrainSheet(
        name=train.name,
        kind=train.kind,
        aperture_mm=aperture_mm,
        native_focal_length_mm=light.native_focal_length_mm,
        factor=light.factor,
        effective_focal_length_mm=light.effective_focal_length_mm,
        focal_ratio=light.focal_ratio,
        obstruction_by_diameter=by_diameter,
        light_loss_fraction=None
        if by_diameter is None
        else formulas.light_loss_fraction(by_diameter),
        light_loss_mag=None if by_diameter is None else formulas.light_loss_mag(by_diameter),
        image_scale_arcsec_px=scale,
        field_deg=field_deg,
        sensor=chip,
        sampling=None if scale is None else sampling(scale, chosen.seeing_arcsec),
        limits=() if aperture_mm is None else limits(aperture_mm, chosen.wavelength_um),
        contrast=_contrast(aperture_mm, by_diameter, chosen),
        focus_zones=zones,
        focus_drift=drift_of(train, light.lenses, zones),
        focus_reach=focus_reach(train, light.lenses),
        illumination=_illumination(train, light, by_diameter),
        eyepieces=light.eyepieces,
        magnification=own.magnification if own else None,
        exit_pupil_mm=own.exit_pupil_mm if own else None,
        mass_kg=mass_kg,
        payload_kg=load.payload_kg if load else _payload_kg(train),
        payload=load,
        balance=balanced,
        dew=_dew(train, aperture_mm, field_deg, chip),
        cooling=_cooling(telescope, chosen),
        back_focus=back_focus(train),
        joints=met,
        mirrored=light.mirrored,
        missing=tuple(gaps.words),
        notes=(*gaps.notes, *check_train(train)),
        cautions=cautions(train, met, mass_kg, load, balanced),
        parts=part_lines(train),
        assumed=chosen,
    )


def _focus_zones(train: Train, light: TrainLight, chosen: Assumed) -> tuple[FocusZone, ...]:
    return zones_of(
        train,
        light.lenses,
        light.focal_ratio,
        light.effective_focal_length_mm,
        chosen.seeing_arcsec,
        chosen.wavelength_um,
    )


def _contrast(
    aperture_mm: float | None, by_diameter: float | None, chosen: Assumed
) -> Contrast | None:
    if aperture_mm is None or by_diameter is None:
        return None
    cutoff = cutoff_per_arcsec(aperture_mm, chosen.wavelength_um)
    return Contrast(by_diameter, cutoff, curve(by_diameter), curve(0.0))


def _illumination(
    train: Train, light: TrainLight, by_diameter: float | None
) -> Illumination | None:
    ratio = both(formulas.focal_ratio, light.native_focal_length_mm, light.aperture_mm)
    if light.sensor is None or ratio is None:
        return None
    opened = openings(train, ratio, light.lenses)
    return illumination(opened, light.sensor.diagonal_mm, by_diameter or 0.0)


def _mass_kg(train: Train, gaps: Gaps) -> float | None:
    weighed = [
        gaps.number(part, "mass_kg")
        for part in (*train.parts, *train.carried)
        if on_tube(train, part)
    ]
    known = [mass for mass in weighed if mass is not None]
    return sum(known) if known else None


def _payload_kg(train: Train) -> float | None:
    mount = train.rides("mount")
    return mount.possible("payload_kg") if mount else None


def _payload(train: Train, mass_kg: float | None, chosen: Assumed) -> Payload | None:
    """For the eye a mount may be loaded in full; a camera asks for a share of it."""
    payload_kg = _payload_kg(train)
    if mass_kg is None or payload_kg is None:
        return None
    share = chosen.payload_share if train.kind == "camera" else 1.0
    return payload(mass_kg, payload_kg, share)


def _dew(
    train: Train,
    aperture_mm: float | None,
    field_deg: tuple[float, float] | None,
    chip: Sensor | None,
) -> DewShield | None:
    if aperture_mm is None:
        return None
    shield, rail = train.rides("dew shield"), train.rides("dovetail")
    across_deg = None
    if field_deg is not None:
        across_deg = (field_deg[0] ** 2 + field_deg[1] ** 2) ** 0.5 if chip else field_deg[0]
    return dew_shield(
        aperture_mm,
        shield.possible("length_mm") if shield else None,
        inner_diameter_mm=shield.possible("inner_diameter_mm") if shield else None,
        notch_mm=shield.possible("notch_mm") if shield else None,
        rail_width_mm=rail.possible("width_mm") if rail else None,
        field_deg=across_deg,
    )


def _cooling(telescope: Part | None, chosen: Assumed) -> CoolDown | None:
    if telescope is None:
        return None
    return cool_down(telescope, from_k=chosen.cool_from_k, learned_tau_min=chosen.learned_tau_min)
