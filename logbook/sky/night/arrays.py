"""Type names for the arrays of this package."""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Columns = TypeVar("Columns")


def joined(parts: Sequence[Columns]) -> Columns:
    """Dataclasses of arrays, one after another, as one. There is at least one."""
    if len(parts) == 1:
        return parts[0]
    first: Any = parts[0]
    columns = ([getattr(part, each.name) for part in parts] for each in fields(first))
    whole: Columns = type(first)(*(np.concatenate(column) for column in columns))
    return whole
