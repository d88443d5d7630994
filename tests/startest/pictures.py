"""Pictures of a defocused star by physical optics, made with prysm, an outside diffraction library.

A pupil with a shadow and vanes, defocus, coma, astigmatism and a little spherical aberration, seen
through two moving von Kármán screens, each moment propagated to the sensor by prysm's matrix
Fourier transform; then sky, photon and read noise, hot pixels, clipping, gamma and steps.

The truth is not a number put in but circles fitted to the pupil's two edges after each point of
them is traced through the slope of the static wavefront: x = 2·N·dW/dρ.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from prysm.conf import config
from prysm.propagation import Wavefront
from scipy import fft

Array = NDArray[np.float64]

config.precision = 32  # enough for pictures, and twice as fast

WAVELENGTH_UM = 0.55
APERTURE_MM = 200.0
FOCAL_RATIO = 8.0
_SAMPLES = 256
_OUTER_SCALE_MM = 20_000.0
_SCREEN = 1024  # samples; four pupils wide


@dataclass(frozen=True)
class Recipe:
    """One picture. Aberrations in waves, lengths of the sensor in pixels, light in electrons."""

    seed: int
    radius_px: float = 50.0
    defocus_waves: float = 10.0
    obstruction: float = 0.38
    decentre: tuple[float, float] = (0.0, 0.0)  # of the shadow in the pupil, in its radii
    coma_waves: tuple[float, float] = (0.0, 0.0)
    astigmatism_waves: float = 0.0
    spherical_waves: float = 0.0
    seeing_arcsec: float = 1.5
    moments: int = 12
    vanes: int = 4
    size: tuple[int, int] = (256, 256)  # rows, columns
    place: tuple[float, float] | None = None  # x, y of the star; else the middle
    plateau_e: float = 8000.0
    sky_e: float = 300.0
    slope_e: float = 0.0  # from edge to edge
    read_noise_e: float = 5.0
    hot_pixels: int = 0
    full_well_e: float = 20000.0
    gamma: float = 1.0
    bits: int = 16
    trail_px: float = 0.0
    companion: tuple[float, float, float] | None = None  # x, y from the star, brightness


@dataclass(frozen=True)
class Truth:
    """Circles in pixels and the offset of the shadow in disc radii."""

    disc: tuple[float, float, float]
    shadow: tuple[float, float, float]
    offset: tuple[float, float]


def slopes(recipe: Recipe, x: Array, y: Array) -> tuple[Array, Array]:
    """dW/dx and dW/dy in waves at points of the pupil (radius 1)."""
    square = x**2 + y**2
    a, b = recipe.coma_waves
    common = 2.0 * recipe.defocus_waves + 4.0 * recipe.spherical_waves * square
    along = 2.0 * (a * x + b * y)
    left = common * x + a * square + along * x + 2.0 * recipe.astigmatism_waves * x
    right = common * y + b * square + along * y - 2.0 * recipe.astigmatism_waves * y
    return left, right


def wavefront(recipe: Recipe, x: Array, y: Array) -> Array:
    """Static wavefront in waves; its derivatives are `slopes`."""
    square = x**2 + y**2
    a, b = recipe.coma_waves
    found: Array = (
        recipe.defocus_waves * square
        + recipe.spherical_waves * square**2
        + (a * x + b * y) * square
        + recipe.astigmatism_waves * (x**2 - y**2)
    )
    return found


def place_of(recipe: Recipe) -> tuple[float, float]:
    """Where the axis meets the sensor."""
    rows, columns = recipe.size
    return recipe.place or ((columns - 1) / 2.0, (rows - 1) / 2.0)


def truth(recipe: Recipe) -> Truth:
    """Circles fitted to the traced edges."""
    angle = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
    turn = np.cos(angle), np.sin(angle)
    px_per_wave = recipe.radius_px / (2.0 * recipe.defocus_waves)
    at_x, at_y = place_of(recipe)
    circles = []
    for centre, radius in (((0.0, 0.0), 1.0), (recipe.decentre, recipe.obstruction)):
        x, y = (centre[axis] + radius * turn[axis] for axis in (0, 1))
        seen_x, seen_y = slopes(recipe, x, y)
        circles.append(_fitted(at_x + px_per_wave * seen_x, at_y + px_per_wave * seen_y))
    disc, shadow = circles
    offset = (shadow[0] - disc[0]) / disc[2], (shadow[1] - disc[1]) / disc[2]
    return Truth(disc, shadow, offset)


def _fitted(x: Array, y: Array) -> tuple[float, float, float]:
    """Algebraic least-squares circle (exact for points on one)."""
    matrix = np.column_stack([x, y, np.ones_like(x)])
    a, b, c = np.linalg.lstsq(matrix, x**2 + y**2, rcond=None)[0]
    return a / 2.0, b / 2.0, float(np.sqrt(c + (a / 2.0) ** 2 + (b / 2.0) ** 2))


def picture(recipe: Recipe) -> Array:
    """What the camera writes, in steps of its converter (0 … 2^bits - 1)."""
    dice = np.random.default_rng(recipe.seed)
    light = _placed(recipe, _donut(recipe, dice))
    rows, columns = recipe.size
    across = np.linspace(-0.5, 0.5, columns)[None, :] + np.linspace(-0.3, 0.3, rows)[:, None]
    light = recipe.plateau_e * light + recipe.sky_e + recipe.slope_e * across
    seen = dice.poisson(np.clip(light, 0.0, None)) + dice.normal(
        0, recipe.read_noise_e, light.shape
    )
    for _ in range(recipe.hot_pixels):
        seen[dice.integers(rows), dice.integers(columns)] = recipe.full_well_e
    share = np.clip(seen / recipe.full_well_e, 0.0, 1.0) ** (1.0 / recipe.gamma)
    steps: Array = np.round(share * (2**recipe.bits - 1))
    return steps


def _placed(recipe: Recipe, donut: Array) -> Array:
    """The patch on the frame (whole pixels), its trail or companion added."""
    light = np.zeros(recipe.size)
    _add(light, donut, place_of(recipe), 1.0)
    if recipe.companion:
        x, y = place_of(recipe)
        dx, dy, share = recipe.companion
        _add(light, donut, (x + dx, y + dy), share)
    if recipe.trail_px:
        steps = np.arange(0.0, recipe.trail_px + 0.5)
        light = np.mean([np.roll(light, int(step), axis=1) for step in steps], axis=0)
    return light


def _add(light: Array, patch: Array, place: tuple[float, float], share: float) -> None:
    half = patch.shape[0] // 2
    first = [round(place[1]) - half, round(place[0]) - half]
    frame = tuple(
        slice(max(0, first[axis]), max(0, min(light.shape[axis], first[axis] + patch.shape[axis])))
        for axis in (0, 1)
    )
    cut = tuple(
        slice(frame[axis].start - first[axis], frame[axis].stop - first[axis]) for axis in (0, 1)
    )
    light[frame] += share * patch[cut]


def _donut(recipe: Recipe, dice: np.random.Generator) -> Array:
    """Mean of the moments; 1.0 is the plateau that geometry would give. Odd number of pixels."""
    x, y = _pupil_plane()
    pupil = _amplitude(recipe, x, y)
    static = wavefront(recipe, x, y)
    screens = _screens(recipe.seeing_arcsec, dice) if recipe.seeing_arcsec else None
    fine = 1 if recipe.radius_px >= 25 else 2
    half = int(2.0 * recipe.radius_px) + 2
    samples = fine * (2 * half + 1)
    pixel_um = 4.0 * FOCAL_RATIO * recipe.defocus_waves * WAVELENGTH_UM / recipe.radius_px
    at_x, at_y = place_of(recipe)
    total = np.zeros((samples, samples))
    for moment in range(recipe.moments):
        waves = static + (_air(screens, moment) if screens is not None else 0.0)
        # the part of the place that is no whole pixel is a tilt of the wavefront
        waves = waves + (x * (at_x - round(at_x)) + y * (at_y - round(at_y))) * (
            2.0 * recipe.defocus_waves / recipe.radius_px
        )
        path_nm = (waves * WAVELENGTH_UM * 1e3).astype(np.float32)
        field = Wavefront.from_amp_and_phase(
            pupil.astype(np.float32), path_nm, WAVELENGTH_UM, APERTURE_MM / _SAMPLES
        )
        seen = field.focus_fixed_sampling(
            APERTURE_MM * FOCAL_RATIO, pixel_um / fine, samples
        ).intensity.data
        total += seen
    mean = total.reshape(samples // fine, fine, samples // fine, fine).mean(axis=(1, 3))
    bright = np.pi * recipe.radius_px**2 * pupil.sum() / (np.pi * (_SAMPLES / 2) ** 2)
    donut: Array = mean * bright / mean.sum()
    return donut


@lru_cache(maxsize=1)
def _pupil_plane() -> tuple[Array, Array]:
    """x and y of the samples; the sample at n/2 is the axis, as the transform has it."""
    axis = (np.arange(_SAMPLES) - _SAMPLES // 2) / (_SAMPLES / 2)
    x, y = np.meshgrid(axis, axis)
    return x, y


def _amplitude(recipe: Recipe, x: Array, y: Array) -> Array:
    soft = _SAMPLES / 2.0
    outer = np.clip((1.0 - 1.0 / soft - np.hypot(x, y)) * soft + 0.5, 0.0, 1.0)
    shift_x, shift_y = recipe.decentre
    inner = np.clip(
        (np.hypot(x - shift_x, y - shift_y) - recipe.obstruction) * soft + 0.5, 0.0, 1.0
    )
    light: Array = outer * inner
    for vane in range(recipe.vanes):
        angle = 0.3 + 2.0 * np.pi * vane / recipe.vanes
        along = x * np.cos(angle) + y * np.sin(angle)
        across = np.abs(-x * np.sin(angle) + y * np.cos(angle))
        light = np.where((along > 0) & (across < 0.012), 0.0, light)
    return light


def _screens(seeing_arcsec: float, dice: np.random.Generator) -> Array:
    """Two phase screens in waves, von Kármán spectrum 0.023 r0^(-5/3) (f² + 1/L0²)^(-11/6).

    Source: Schmidt 2010, Numerical Simulation of Optical Wave Propagation, ch. 9;
    seeing = 0.98 λ/r0. Each screen has half of the turbulence.
    """
    fried_mm = 0.98 * WAVELENGTH_UM * 1e-3 / (seeing_arcsec / 206265.0)
    step_mm = APERTURE_MM / _SAMPLES
    frequency = np.fft.fftfreq(_SCREEN, step_mm)
    square = frequency[:, None] ** 2 + frequency[None, :] ** 2 + _OUTER_SCALE_MM**-2
    power = 0.5 * 0.023 * fried_mm ** (-5.0 / 3.0) * square ** (-11.0 / 6.0)
    power[0, 0] = 0.0
    width = 1.0 / (_SCREEN * step_mm)
    shape = (_SCREEN, _SCREEN)
    noise = dice.normal(size=shape) + 1j * dice.normal(size=shape)
    # the real and the imaginary part are two independent screens
    phase = fft.ifft2((noise * np.sqrt(power) * width).astype(np.complex64)) * _SCREEN**2
    found: Array = np.stack([phase.real, phase.imag]) / (2.0 * np.pi)
    return found


def _air(screens: Array, moment: int) -> Array:
    """What lies over the pupil at a moment. Both screens drift slantwise, and come round again.

    A moment moves them by about a pupil: an exposure of seconds sees many different airs.
    """
    window = np.arange(_SAMPLES)
    found = np.zeros((_SAMPLES, _SAMPLES))
    for screen, (down, across) in zip(screens, ((211, 87), (-61, 239)), strict=True):
        found += screen[
            np.ix_((window + down * moment) % _SCREEN, (window + across * moment) % _SCREEN)
        ]
    return found
