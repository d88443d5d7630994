"""What readings teach, where the readings come from other models than the program's own.

The mirror: a plate of borosilicate glass in layers, heat led from layer to layer and given to air
on both faces, integrated by scipy; its constant is that of the slowest mode, from the eigenvalues
of the layers. Conductivity, density and heat of the glass: 1.13 W/(m K), 2230 kg/m³, 830 J/(kg K),
from memory. The focus: a metal tube that follows the air some minutes late, integrated too.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

Numbers = NDArray[np.float64]
Air = Callable[[float], float]
Readings = list[tuple[float, float]]

LAYERS = 9


def plate(thickness_m: float, heat_w_m2_k: float) -> tuple[Numbers, Numbers]:
    """dT/dt = A T + b Ta for the layers of a plate, by finite differences."""
    step = thickness_m / (LAYERS - 1)
    capacity = np.full(LAYERS, 2230.0 * 830.0 * step)
    capacity[[0, -1]] /= 2.0
    between = 1.13 / step
    matrix = np.diag(np.full(LAYERS, -2.0 * between))
    matrix += np.diag(np.full(LAYERS - 1, between), 1) + np.diag(np.full(LAYERS - 1, between), -1)
    matrix[0, 0] = matrix[-1, -1] = -between - heat_w_m2_k
    to_air = np.zeros(LAYERS)
    to_air[[0, -1]] = heat_w_m2_k
    return matrix / capacity[:, None], to_air / capacity


def constant_min(thickness_m: float, heat_w_m2_k: float) -> float:
    """Of the mode that dies out last."""
    matrix, _ = plate(thickness_m, heat_w_m2_k)
    return float(-1.0 / np.max(np.linalg.eigvals(matrix).real) / 60.0)


def falling_air(rng: np.random.Generator) -> Air:
    """Air that falls fast after sunset, then slowly, with a swing; instants in seconds."""
    fall, swing, wait = rng.uniform(1.0, 6.0), rng.uniform(0.0, 0.4), rng.uniform(0.0, 6.0)
    return lambda s: 6.0 - fall * (1.0 - np.exp(-s / 9000.0)) + swing * np.sin(s / 2400.0 + wait)


def a_night(
    rng: np.random.Generator, thickness_m: float, heat_w_m2_k: float, noise: float
) -> tuple[Readings, Readings]:
    """Readings of air and of the glass's face, to 0.1 K, a quarter of them missing."""
    matrix, to_air = plate(thickness_m, heat_w_m2_k)
    air, span_s = falling_air(rng), 2.5 * 60.0 * constant_min(thickness_m, heat_w_m2_k)
    warm = np.full(LAYERS, 6.0 + rng.uniform(8.0, 20.0))
    run = solve_ivp(
        lambda s, layers: matrix @ layers + to_air * air(s),
        (0.0, span_s),
        warm,
        method="LSODA",
        dense_output=True,
        rtol=1e-6,
        atol=1e-6,
    )
    at = np.sort(np.concatenate(([rng.uniform(0.0, 300.0)], rng.uniform(360.0, span_s, 13))))
    at, air_at = (
        each[rng.random(len(each)) > 0.25] for each in (at, np.arange(0.0, span_s, 720.0))
    )
    face = run.sol(at)[0] + rng.normal(0.0, noise, len(at))
    read = [air(each) + rng.normal(0.0, noise) for each in air_at]
    return _readings(air_at, np.array(read)), _readings(at, face)


def _readings(at_s: Numbers, celsius: Numbers) -> Readings:
    return list(zip((at_s / 60.0).tolist(), np.round(celsius, 1).tolist(), strict=True))


def focus_night(
    rng: np.random.Generator, per_k: float, noise: float, lag_min: float = 5.0
) -> Readings:
    """(°C of the air as read, position): the tube follows the air late and sets the focus."""
    air, level = falling_air(rng), rng.normal(9000.0, 400.0)
    run = solve_ivp(
        lambda s, tube: (air(s) - tube) / (60.0 * lag_min),
        (0.0, 25200.0),
        [air(0.0)],
        method="LSODA",
        dense_output=True,
        rtol=1e-6,
        atol=1e-6,
    )
    at = np.sort(rng.uniform(0.0, 25200.0, 6))
    at = at[rng.random(6) > 0.2]
    position = level + per_k * run.sol(at)[0] + rng.normal(0.0, noise, len(at))
    celsius = [round(air(each) + rng.normal(0.0, 0.1), 1) for each in at]
    return list(zip(celsius, np.round(position).tolist(), strict=True))
