"""The gate of every instrument: numbers that hold go in, all others are refused by name."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from brasswright.errors import ImpossibleValue, OutsideValidity

__all__ = ["Array", "Figure", "plain", "within"]

Array = NDArray[np.float64]
Figure = float | NDArray[np.float64]
"""One figure, or an array of them: every instrument takes and gives both."""

_SENTINELS = (-999.0, -9999.0)


def within(name: str, value: Figure, *, low: float, high: float, source: str) -> Array:
    """Return the value as an array; refuses what is no number, sentinels, and anything outside `low` to `high`."""
    got = np.asarray(value, dtype=np.float64)
    if not np.all(np.isfinite(got)) or any(np.any(got == sentinel) for sentinel in _SENTINELS):
        raise ImpossibleValue(
            f"{name} is no reading.", got=value, remedy="A reading without number is censored, not NaN."
        )
    wrong = (got < low) | (got > high)
    if np.any(wrong):
        worst = float(np.atleast_1d(got)[np.atleast_1d(wrong)][0])
        raise OutsideValidity(name, got=worst, low=low, high=high, source=source)
    return got


def plain(value: Array | np.float64) -> Figure:
    """Return a single figure as a float and leave arrays as they are."""
    got = np.asarray(value, dtype=np.float64)
    return float(got) if got.ndim == 0 else got
