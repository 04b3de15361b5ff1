"""Curves through points by least squares: Gauss-Newton with damping (Levenberg-Marquardt), sigma from the scatter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from brasswright.bench.validity import Array

__all__ = ["Fit", "fit"]

_ROUNDS: Final = 300
_STEP: Final = 6e-6
"""Relative step of the central difference: near the cube root of the machine's precision."""
_STILL: Final = 1e-13
_MOST_DAMPING: Final = 1e14


@dataclass(frozen=True, slots=True)
class Fit:
    """Parameters with standard uncertainties, sum of squares, standard deviation about the curve, how many points.

    `covariance` is that of the parameters, row by row.
    """

    values: tuple[float, ...]
    sigmas: tuple[float, ...]
    squares: float
    spread: float
    points: int
    covariance: tuple[tuple[float, ...], ...]


def fit(model: Callable[[Array], Array], *, start: Sequence[float], target: Array) -> Fit:
    """Return the parameters for which `model` comes nearest to `target` in the sense of least squares.

    Symbols: p parameters, J derivative of the model by p (central differences), r residuals; step (J'J + l D) d = J'r
    with D its diagonal; sigma from r'r / (n - k) (J'J)^-1. Refuses too few points and what does not settle.
    Valid for smooth models and a start in the right valley. Source: gauss-newton.

    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> line = fit(lambda p: p[0] + p[1] * x, start=[0.0, 0.0], target=np.array([1.0, 3.0, 5.0, 7.0]))
    >>> [round(value, 6) for value in line.values]
    [1.0, 2.0]
    """
    p = np.array(start, dtype=np.float64)
    if target.size <= p.size:
        raise ImpossibleValue(
            "There are too few points for this curve.", got=target.size, allowed=f"{p.size + 1} or more"
        )
    residuals = np.asarray(target - model(p))
    squares, damping = float(residuals @ residuals), 1e-3
    for _ in range(_ROUNDS):
        jacobian = _jacobian(model, p)
        normal = jacobian.T @ jacobian
        scale = np.diag(np.where(np.diag(normal) > 0, np.diag(normal), 1.0))
        settled, p, squares, damping = _better(model, target, (p, squares, damping), (normal, scale, jacobian))
        if settled:
            return _told(model, target, p, squares)
    raise ImpossibleValue(
        "No curve settled on these points.", remedy="Look at the points; this is another kind of curve."
    )


def _better(
    model: Callable[[Array], Array],
    target: Array,
    state: tuple[Array, float, float],
    slopes: tuple[Array, Array, Array],
) -> tuple[bool, Array, float, float]:
    """Return whether it has settled, and better parameters with their sum of squares and the damping to go on with."""
    p, squares, damping = state
    normal, scale, jacobian = slopes
    downhill = jacobian.T @ (target - model(p))
    while damping < _MOST_DAMPING:
        step = np.linalg.solve(normal + damping * scale, downhill)
        with np.errstate(over="ignore", invalid="ignore"):
            residuals = np.asarray(target - model(p + step))
            tried = float(residuals @ residuals)
        if math.isfinite(tried) and tried <= squares:
            still = bool(np.all(np.abs(step) <= _STILL * (np.abs(p) + _STILL)))
            return still or tried == squares, p + step, tried, max(damping / 10, 1e-15)
        damping *= 10
    return True, p, squares, damping


def _jacobian(model: Callable[[Array], Array], p: Array) -> Array:
    """Return the derivative of the model by each parameter, one a column."""
    columns = []
    for place in range(p.size):
        step = np.zeros_like(p)
        step[place] = _STEP * max(abs(float(p[place])), _STEP)
        columns.append((model(p + step) - model(p - step)) / (2 * step[place]))
    return np.stack(columns, axis=1)


def _told(model: Callable[[Array], Array], target: Array, p: Array, squares: float) -> Fit:
    """Return the parameters with what the scatter says of them."""
    spread = math.sqrt(squares / (target.size - p.size))
    jacobian = _jacobian(model, p)
    covariance = spread**2 * np.linalg.pinv(jacobian.T @ jacobian)
    sigmas = tuple(float(one) for one in np.sqrt(np.diag(covariance)))
    together = tuple(tuple(float(one) for one in row) for row in covariance)
    return Fit(tuple(float(one) for one in p), sigmas, squares, spread, int(target.size), together)
