"""How long a telescope takes to come to the temperature of the air.

An expectation until this tube's own constant has been learned from readings: how well air takes
heat from glass differs threefold between still air and a fan.
"""

import math
from dataclasses import dataclass

from logbook.kit.optics.formulas import positive
from logbook.kit.parts.materials import Material, material
from logbook.kit.parts.part import Part

# Heat taken by air in W/(m² K), from memory: 5 to 10 in still air, 15 to 30 with a fan.
STILL_AIR = (5.0, 10.0)
FROM_K, TO_K = 10.0, 0.5


@dataclass(frozen=True, slots=True)
class CoolDown:
    """What cools slowest. Pairs are (at best, at worst) in still air; equal once learned.

    tau_min -- minutes in which the difference falls to 37 %; minutes -- from `from_k` to `to_k`.
    """

    part: str
    material: str
    tau_min: tuple[float, float]
    minutes: tuple[float, float]
    from_k: float
    to_k: float
    learned: bool
    words: str


def tau_s(of: Material, thickness_mm: float, faces: int, heat_w_m2_k: float) -> float:
    """Time in which the difference of a plate to the air falls to 1/e: rho c d / (faces h).

    A body warm alike throughout (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer,
    ch. 5, lumped capacitance; good to some % while h d / 2k is below 0.1).
    """
    positive(thickness_mm=thickness_mm, faces=faces, heat_w_m2_k=heat_w_m2_k)
    return of.density_kg_m3 * of.heat_j_kg_k * thickness_mm / 1000.0 / (faces * heat_w_m2_k)


def minutes_to(tau_min: float, from_k: float, to_k: float) -> float:
    """Minutes until a difference has fallen so far; 0 if it is there already."""
    positive(tau_min=tau_min, to_k=to_k)
    return max(0.0, tau_min * math.log(from_k / to_k)) if from_k > 0 else 0.0


def cool_down(
    telescope: Part,
    *,
    from_k: float = FROM_K,
    to_k: float = TO_K,
    learned_tau_min: float | None = None,
) -> CoolDown | None:
    """The slowest of mirror and tube, by thickness and material; None where neither is known.

    learned_tau_min -- this tube's own, from readings: it replaces the expectation.
    """
    if learned_tau_min is not None:
        pair = (learned_tau_min, learned_tau_min)
        return _found(telescope.name, "own readings", pair, from_k, to_k, learned=True)
    plates = [
        ("primary", material(telescope.word("mirror_material")), "mirror_thickness_mm"),
        ("tube wall", material(telescope.word("tube_material")), "tube_wall_mm"),
    ]
    slowest: CoolDown | None = None
    for name, of, quantity in plates:
        thickness_mm = telescope.possible(quantity)
        if of is None or thickness_mm is None:
            continue
        fast, slow = (tau_s(of, thickness_mm, 2, heat) / 60.0 for heat in reversed(STILL_AIR))
        found = _found(name, of.name, (fast, slow), from_k, to_k, learned=False)
        if slowest is None or found.tau_min > slowest.tau_min:
            slowest = found
    return slowest


def _found(
    part: str,
    of: str,
    tau_min: tuple[float, float],
    from_k: float,
    to_k: float,
    *,
    learned: bool,
) -> CoolDown:
    fast, slow = (minutes_to(each, from_k, to_k) for each in tau_min)
    span = f"{fast:.0f} min" if learned else f"{fast:.0f} to {slow:.0f} min"
    words = f"{from_k:g} K warm: {span} to {to_k:g} K ({part}, {of}"
    words += ")" if learned else ", still air; an expectation)"
    return CoolDown(part, of, tau_min, (fast, slow), from_k, to_k, learned, words)
