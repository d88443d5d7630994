"""How a body that lags behind the air answers to it, as sums of the air's readings."""

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


def response(
    tau_min: Numbers, air_min: Numbers, start_min: float, at_min: Numbers
) -> tuple[Numbers, Numbers]:
    """What is left of the first temperature, and the weight of every reading of the air.

    tau_min -- (k,); air_min -- (m,) rising; at_min -- (n,) rising, none before start_min.
    Gives (k, n) and (k, n, m): body = left * first + weights @ air. The air runs straight between
    its readings and stays level outside them. Exact: over a stretch of x = dt/tau from a to b,
    body becomes e body + (g - e) a + (1 - g) b with e = exp(-x), g = (1 - e)/x.
    """
    inside = air_min[(air_min > start_min) & (air_min < at_min[-1])]
    nodes = np.unique(np.concatenate(([start_min], inside, at_min)))
    shares = np.column_stack([np.interp(nodes, air_min, unit) for unit in np.eye(len(air_min))])
    left = np.ones(len(tau_min))
    weights = np.zeros((len(tau_min), len(air_min)))
    lefts, all_weights = [left], [weights]
    for place in range(len(nodes) - 1):
        x = (nodes[place + 1] - nodes[place]) / tau_min
        e = np.exp(-x)
        g = -np.expm1(-x) / x
        left = left * e
        weights = (
            weights * e[:, None]
            + (g - e)[:, None] * shares[place]
            + (1.0 - g)[:, None] * shares[place + 1]
        )
        lefts.append(left)
        all_weights.append(weights)
    wanted = np.searchsorted(nodes, at_min)
    return np.stack(lefts, axis=1)[:, wanted], np.stack(all_weights, axis=1)[:, wanted]
