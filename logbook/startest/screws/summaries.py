"""What is believed, in the words of the adviser: spots, responses, chances."""

import math

import numpy as np

from logbook.startest.screws import estimate
from logbook.startest.screws.advice import ScrewResponse, Spot
from logbook.startest.screws.estimate import HAND_SHARES, MIRRORED, Belief
from logbook.startest.screws.learner import Learned
from logbook.startest.screws.next_turn import UNKNOWN_SHARE, unknown_share

_DRAWS = 128
_TINY = 1e-9


def spot_of(belief: Belief, radius_arcsec: float) -> Spot:
    """The offset that is believed, as a fraction of a disc of that radius."""
    mean, covariance = estimate.mixed(belief)
    size = math.hypot(mean[0], mean[1])
    sigma = math.sqrt(float(np.trace(covariance[:2, :2])) / 2.0)
    angle_deg = math.degrees(math.atan2(mean[1], mean[0])) % 360.0
    return Spot(
        fraction=size / radius_arcsec,
        angle_deg=angle_deg if size > sigma else None,
        sigma=sigma / radius_arcsec,
        arcsec=size,
    )


def responses_of(learned: Learned, radius_arcsec: float) -> tuple[ScrewResponse, ...]:
    """How the shadow answers each screw, in the orientation seen last."""
    belief = learned.belief
    mean, covariance = estimate.mixed(belief)
    unsure = unknown_share(belief)
    counts = dict(learned.counts)
    found = []
    for index, name in enumerate(learned.secondary.names):
        at = slice(2 + 2 * index, 4 + 2 * index)
        x, y = mean[at]
        size = math.hypot(x, y)
        along = np.array([x, y]) / max(size, _TINY)
        across = np.array([-along[1], along[0]])
        sigma = math.sqrt(float(along @ covariance[at, at] @ along))
        sideways = math.sqrt(float(across @ covariance[at, at] @ across))
        found.append(
            ScrewResponse(
                screw=name,
                radii_per_turn=size / radius_arcsec,
                arcsec_per_turn=size,
                angle_deg=math.degrees(math.atan2(y, x)) % 360.0,
                sigma_share=sigma / max(size, _TINY),
                angle_sigma_deg=math.degrees(math.atan2(sideways, max(size, _TINY))),
                known=bool(unsure[index] <= UNKNOWN_SHARE),
                turns_seen=counts.get(name, 0),
            )
        )
    return tuple(found)


def mirrored(belief: Belief) -> float:
    """Probability that the picture shows the screws mirrored."""
    return float(belief.weight[MIRRORED].sum())


def chance_better(belief: Belief, screw: int, turns: float) -> float:
    """Probability that a turn leaves a smaller offset, from draws that are always the same."""
    draws = np.random.default_rng(1).normal(size=(len(MIRRORED), _DRAWS, 5))
    at = [0, 1, 2 + 2 * screw, 3 + 2 * screw]
    spread = belief.covariance[:, at][:, :, at] + np.eye(4) * _TINY
    root = np.linalg.cholesky(spread)
    drawn = belief.mean[:, None, at] + np.einsum("hij,hnj->hni", root, draws[:, :, :4])
    moved = turns * (1.0 + HAND_SHARES[:, None] * draws[:, :, 4])
    before = np.hypot(drawn[..., 0], drawn[..., 1])
    after = np.hypot(drawn[..., 0] + moved * drawn[..., 2], drawn[..., 1] + moved * drawn[..., 3])
    return float(belief.weight @ np.mean(after < before, axis=1))
