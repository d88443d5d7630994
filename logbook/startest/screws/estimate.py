"""What is believed of one telescope in one orientation of the picture: offset and responses.

A few Gaussian hypotheses side by side: the picture mirrored or not; the hand careful or rough, and
the screws with or without play.
Each is an ordinary Kalman filter over x = (offset, response of each screw), two components each,
in arcsec and arcsec per turn. One turn t of screw k moves the offset by t g_k; a look measures
the offset. Source: R. E. Kalman 1960, J. Basic Eng. 82, 35 (prediction and update); weights by
the evidence of each hypothesis (Bayes).
"""

from dataclasses import dataclass, replace

import numpy as np

from logbook.startest.screws.prior import Array

MIRRORED = np.array([False, True] * 3)
HAND_SHARES = np.repeat([0.02, 0.2, 0.2], 2)  # error of a turn as a share of it
PLAY_TURNS = np.repeat([0.0, 0.0, 0.03], 2)  # lost when a screw changes its way
HYPOTHESES = len(MIRRORED)
SLIP_TURNS = 0.002  # what is lost when a screw is let go
_HAND_WEIGHTS = np.array([0.45, 0.2, 0.35])
SHAPE_SHARE = 0.08  # how much screws differ from the plan
_PLAY_SHARE = 0.8  # how unsure the play is, as a share of it
_WORTH_KEEPING = 0.5  # a size less sure than this share of it is no better than the plan
_LEAST_SHAPE = 0.03
_COMMON = 0.8  # of those differences, the part all screws share is already in the size
_LIKELY = 0.02
_LOG_NOTHING = -745.0  # the log of the smallest number there is
_FLOOR = 1e-6  # no hypothesis is ever lost for good


@dataclass(frozen=True, slots=True)
class Belief:
    """Mean (H, d), covariance (H, d, d) and weight (H,) of each hypothesis; d = 2 + 2 screws."""

    mean: Array
    covariance: Array
    weight: Array

    @property
    def screws(self) -> int:
        """How many outer screws the estimate covers."""
        return int(self.mean.shape[1]) // 2 - 1


def prior(
    shapes: Array,
    size: float,
    size_share: float,
    offset_arcsec: float,
    *,
    shape_share: float = SHAPE_SHARE,
    hand_weight: Array | None = None,
) -> Belief:
    """Nothing turned yet: the plan's shape at any rotation, mirrored or not.

    shapes -- (screws, 2), mean size 1. size -- arcsec per turn. offset_arcsec -- how large the
    offset may be on each axis.
    """
    count = len(shapes)
    covariance = np.zeros((HYPOTHESES, 2 + 2 * count, 2 + 2 * count))
    covariance[:, :2, :2] = np.eye(2) * offset_arcsec**2
    per_axis = size**2 * (1.0 + size_share**2) / 2.0
    own = (np.eye(count) - _COMMON / count) * (shape_share * size) ** 2
    for index, mirrored in enumerate(MIRRORED):
        x, y = shapes[:, 0], -shapes[:, 1] if mirrored else shapes[:, 1]
        turned = np.stack([np.column_stack([x, y]), np.column_stack([-y, x])], axis=2)
        spread = turned.reshape(2 * count, 2)
        covariance[index, 2:, 2:] = per_axis * spread @ spread.T + np.kron(own, np.eye(2))
    hands = _HAND_WEIGHTS if hand_weight is None else hand_weight
    mean = np.zeros((HYPOTHESES, 2 + 2 * count))
    return Belief(mean, covariance, np.repeat(hands, 2) / 2.0)


def after_turn(belief: Belief, screw: int, turns: float, change: float) -> Belief:
    """The offset moved by `turns` of a screw; the hand, slip and play make it less sure.

    change -- 0 if the screw went the same way last, 1 if the other, between if that is not known.
    """
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    at = slice(2 + 2 * screw, 4 + 2 * screw)
    size = _second_moment(belief, at)
    lost = np.minimum(abs(turns), change * PLAY_TURNS)
    moved = (turns - np.copysign(lost, turns))[:, None]
    mean[:, :2] += moved * mean[:, at]
    covariance[:, :2, :] += moved[:, :, None] * covariance[:, at, :]
    covariance[:, :, :2] += moved[:, :, None] * covariance[:, :, at]
    share = (HAND_SHARES * turns) ** 2 + SLIP_TURNS**2 + (_PLAY_SHARE * lost) ** 2
    covariance[:, :2, :2] += share[:, None, None] * size
    return Belief(mean, covariance, belief.weight)


def expected_play(belief: Belief) -> float:
    """Turns that are likely lost when a screw changes its way."""
    return float(belief.weight @ PLAY_TURNS)


def _second_moment(belief: Belief, at: slice) -> Array:
    mean = belief.mean[:, at]
    return belief.covariance[:, at, at] + mean[:, :, None] * mean[:, None, :]


@dataclass(frozen=True, slots=True)
class Seen:
    """What became of a look.

    chi2 -- how far it lies from what was foreseen, 2 degrees of freedom, under the likely
        hypothesis that fits best. evidence -- natural log of its probability density, in arcsec.
    """

    belief: Belief
    chi2: float
    evidence: float


def after_look(belief: Belief, seen: Array, sigma_arcsec: float) -> Seen:
    """The belief with a look at the offset."""
    cross = belief.covariance[:, :, :2]
    inverse = np.linalg.inv(cross[:, :2] + np.eye(2) * sigma_arcsec**2)
    missed = seen - belief.mean[:, :2]
    squared = np.einsum("hi,hij,hj->h", missed, inverse, missed)
    gain = cross @ inverse
    mean = belief.mean + (gain @ missed[:, :, None])[:, :, 0]
    covariance = belief.covariance - gain @ cross.transpose(0, 2, 1)
    covariance = (covariance + covariance.transpose(0, 2, 1)) / 2.0  # rounding would grow
    determinant = inverse[:, 0, 0] * inverse[:, 1, 1] - inverse[:, 0, 1] * inverse[:, 1, 0]
    density = np.exp(-0.5 * squared) * np.sqrt(determinant) / (2.0 * np.pi)
    chi2 = float(squared[belief.weight > _LIKELY].min())
    probability = float(belief.weight @ density)
    if probability <= 0.0:
        return Seen(Belief(mean, covariance, belief.weight), chi2, _LOG_NOTHING)
    weight = np.maximum(belief.weight * density / probability, _FLOOR)
    known = Belief(mean, covariance, weight / weight.sum())
    return Seen(known, chi2, float(np.log(probability)))


def with_offset(belief: Belief, seen: Array, sigma_arcsec: float) -> Belief:
    """The offset as just seen and nothing learned from how it came there."""
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    mean[:, :2] = seen
    covariance[:, :2, :] = 0.0
    covariance[:, :, :2] = 0.0
    covariance[:, :2, :2] = np.eye(2) * sigma_arcsec**2
    return Belief(mean, covariance, belief.weight)


def loosened_offset(belief: Belief, sigma_arcsec: float) -> Belief:
    """The offset less sure by so much on each axis."""
    covariance = belief.covariance.copy()
    covariance[:, :2, :2] += np.eye(2) * sigma_arcsec**2
    return replace(belief, covariance=covariance)


def loosened_response(belief: Belief, share: float, screw: int | None = None) -> Belief:
    """The responses (or one) less sure by a share of their size."""
    covariance = belief.covariance.copy()
    diagonal = np.arange(2, covariance.shape[1])
    if screw is not None:
        diagonal = np.arange(2 + 2 * screw, 4 + 2 * screw)
    size2 = np.sum(belief.mean[:, 2:] ** 2, axis=1) + np.trace(
        covariance[:, 2:, 2:], axis1=1, axis2=2
    )
    added = share**2 * size2 / (2.0 * belief.screws)
    covariance[:, diagonal, diagonal] += added[:, None]
    return replace(belief, covariance=covariance)


def with_both_mirrorings(belief: Belief, share: float) -> Belief:
    """The weights drawn back by a share toward not knowing."""
    even = np.full(HYPOTHESES, 1.0 / HYPOTHESES)
    return replace(belief, weight=(1.0 - share) * belief.weight + share * even)


def moments(belief: Belief) -> Array:
    """Expected products E[a·b] of offset and responses over all hypotheses; (1 + screws) square."""
    whole = belief.covariance + belief.mean[:, :, None] * belief.mean[:, None, :]
    mixed = np.tensordot(belief.weight, whole, axes=1)
    count = belief.screws + 1
    products: Array = np.trace(mixed.reshape(count, 2, count, 2), axis1=1, axis2=3)
    return products


def mixed(belief: Belief) -> tuple[Array, Array]:
    """Mean (d,) and covariance (d, d) of all hypotheses taken together."""
    mean: Array = belief.weight @ belief.mean
    apart = belief.mean - mean
    whole = belief.covariance + apart[:, :, None] * apart[:, None, :]
    return mean, np.tensordot(belief.weight, whole, axes=1)


def hand_share(belief: Belief) -> float:
    """Root of the expected squared error of a turn, as a share of it."""
    return float(np.sqrt(belief.weight @ HAND_SHARES**2))


def in_new_orientation(belief: Belief, offset_arcsec: float) -> Belief | None:
    """The camera was turned: which way anything points is open again, the size is not.

    None while too little is known of the size to be worth keeping.
    """
    best = int(np.argmax(belief.weight))
    responses = belief.mean[best, 2:].reshape(-1, 2)
    count = len(responses)
    size = float(np.sqrt(np.mean(np.sum(responses**2, axis=1))))
    spread = belief.covariance[best, 2:, 2:]
    unsure = float(np.sqrt(np.trace(spread) / (2 * count)))
    if unsure > _WORTH_KEEPING * size:
        return None
    own = unsure / size
    hands = belief.weight.reshape(-1, 2).sum(axis=1)
    return prior(
        responses / size,
        size,
        own,
        offset_arcsec,
        shape_share=max(_LEAST_SHAPE, own),
        hand_weight=hands,
    )
