"""The curve by which a heated lump warms: start, first slope, pace at which the slope dies away; and its bends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.fitting import fit
from brasswright.bench.validity import Array, within
from brasswright.errors import ImpossibleValue

__all__ = ["Bend", "Rise", "bend", "rise_fit", "time_to"]

_SOURCE: Final = "lumped-model"
_LEAST_POINTS: Final = 8
_SMALL: Final = 1e-6
_EDGE: Final = 0.1
"""Share of the points at either end where no bend is sought."""


@dataclass(frozen=True, slots=True)
class Rise:
    """u = start + slope (1 - exp(-pace t)) / pace; `settles` is its height over the start in the end, slope / pace.

    `covariance` is that of start, slope and pace, row by row; `settles_sigma` follows from it.
    """

    start: float
    slope: float
    pace: float
    slope_sigma: float
    pace_sigma: float
    settles: float
    settles_sigma: float
    spread: float
    points: int
    covariance: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Bend:
    """The likeliest bend: when, by how much of the first slope, and in how many standard uncertainties."""

    time_s: float
    change: float
    significance: float


def _warmed(t: Array, pace: float) -> Array:
    """Return (1 - exp(-k t)) / k, also at k = 0."""
    if abs(pace) * float(np.max(np.abs(t), initial=0.0)) < _SMALL:
        return np.asarray(t - pace * t**2 / 2)
    return np.asarray(-np.expm1(-pace * t) / pace)


def rise_fit(*, times_s: Array, rises_k: Array, from_zero: bool = False) -> Rise:
    """Fit a heating curve by least squares; with `from_zero` it is known to begin at nought.

    Symbols: u rise or temperature, t time; u = u_0 + s (1 - exp(-k t)) / k: u_0 start, s first slope, k pace. With
    b1 = s / k and u_0 = 0 it is b1 (1 - exp(-k t)). Uncertainties from the scatter about the curve.
    Valid for eight points or more that rise. Source: lumped-model; gauss-newton; nist-strd.

    >>> t = np.arange(0.0, 900.0, 60.0)
    >>> found = rise_fit(times_s=t, rises_k=20.0 + 0.15 * (1 - np.exp(-t / 4000.0)) * 4000.0)
    >>> round(found.slope, 6), round(1 / found.pace)
    (0.15, 4000)
    """
    t = within("times_s", times_s, low=0.0, high=1.0e9, source=_SOURCE)
    u = within("rises_k", rises_k, low=0.0, high=1.0e4, source=_SOURCE)
    if t.ndim != 1 or t.shape != u.shape or t.size < _LEAST_POINTS:
        raise ImpossibleValue("A heating curve needs points.", got=t.size, allowed=f"{_LEAST_POINTS} or more of each")
    span = float(t[-1])
    x = t / span
    slope = float(np.polyfit(x, u, 1)[0])
    if slope <= 0:
        raise ImpossibleValue("A heating curve rises.", remedy="Log with the element on, nothing drawn.")
    first, rest = ([], 0) if from_zero else ([float(u[0])], 1)
    found = fit(
        lambda p: (p[0] if rest else 0.0) + p[rest] * _warmed(x, float(p[rest + 1])),
        start=[*first, 1.2 * slope, 0.4],
        target=u,
    )
    values = np.array(found.values if rest else (0.0, *found.values))
    together = np.zeros((3, 3))
    together[1 - rest :, 1 - rest :] = found.covariance
    scale = np.array([1.0, 1 / span, 1 / span])
    values, together = values * scale, together * np.outer(scale, scale)
    return _told(values, together, found.spread, found.points)


def _told(values: Array, together: Array, spread: float, points: int) -> Rise:
    """Return the curve with what follows from it."""
    _, s, k = (float(one) for one in values)
    settles, of_settling = math.inf, math.inf
    if k > 0:
        gradient = np.array([0.0, 1 / k, -s / k**2])
        settles, of_settling = s / k, math.sqrt(float(gradient @ together @ gradient))
    return Rise(
        start=float(values[0]),
        slope=s,
        pace=k,
        slope_sigma=math.sqrt(float(together[1, 1])),
        pace_sigma=math.sqrt(float(together[2, 2])),
        settles=settles,
        settles_sigma=of_settling,
        spread=spread,
        points=points,
        covariance=tuple(tuple(float(one) for one in row) for row in together),
    )


def time_to(*, rise: Rise, height_k: float) -> tuple[float, float] | None:
    """When the curve reaches a height, with its standard uncertainty [s]; None where it never does.

    Symbols: t = -ln(1 - k (u - u_0) / s) / k. Valid for any curve that rises. Source: lumped-model.

    >>> t = np.arange(0.0, 900.0, 60.0)
    >>> curve = rise_fit(times_s=t, rises_k=20.0 + 0.15 * t)
    >>> [round(one, 3) for one in time_to(rise=curve, height_k=95.0)]
    [500.0, 0.0]
    """

    def when(start: float, slope: float, pace: float) -> float:
        share = pace * (height_k - start) / slope
        if share >= 1:
            return math.nan
        return (height_k - start) / slope if abs(share) < _SMALL else -math.log1p(-share) / pace

    values = np.array([rise.start, rise.slope, rise.pace])
    at = when(rise.start, rise.slope, rise.pace)
    if math.isnan(at):
        return None
    steps = np.array([1e-3, 1e-5 * rise.slope, 1e-4 * max(abs(rise.pace), 1e-7)])
    gradient = np.array(
        [(when(*(values + step)) - when(*(values - step))) / (2 * step.sum()) for step in np.diag(steps)]
    )
    variance = float(gradient @ np.array(rise.covariance) @ gradient)
    return at, math.sqrt(variance) if variance > 0 else 0.0


def bend(*, rise: Rise, times_s: Array, rises_k: Array) -> Bend | None:
    """The place where a second slope explains most, by one step of least squares at each point; None without scatter.

    Symbols: residual r about the curve, its Jacobian J, hinge h = max(0, t - t_b); change b = h'Mr / h'Mh with
    M = 1 - J (J'J)^-1 J'; z = b / (s / sqrt(h'Mh)). Valid for twenty points or more. Source: lumped-model.

    >>> t = np.arange(0.0, 900.0, 30.0)
    >>> u = 20.0 + 0.1 * t - 0.03 * np.maximum(0.0, t - 600.0) + 0.01 * np.cos(t)
    >>> abs(bend(rise=rise_fit(times_s=t, rises_k=u), times_s=t, rises_k=u).time_s - 600.0) <= 30.0
    True
    """
    t, u = np.asarray(times_s), np.asarray(rises_k)
    if t.size < 2 * _LEAST_POINTS + 4 or rise.spread <= 0:
        return None
    warmed, step = _warmed(t, rise.pace), 1e-4 / float(t[-1])
    by_pace = rise.slope * (_warmed(t, rise.pace + step) - _warmed(t, rise.pace - step)) / (2 * step)
    jacobian = np.stack([np.ones_like(t), warmed / warmed[-1], by_pace / np.max(np.abs(by_pace))], axis=1)
    residuals = u - rise.start - rise.slope * warmed
    basis = np.linalg.qr(jacobian)[0]
    best = Bend(0.0, 0.0, 0.0)
    edge = max(3, int(_EDGE * t.size))
    for place in range(edge, t.size - edge):
        hinge = np.maximum(0.0, t - t[place])
        hinge = hinge - basis @ (basis.T @ hinge)
        size = float(hinge @ hinge)
        change = float(hinge @ residuals) / size
        left = float(residuals @ residuals) - change**2 * size
        spread = math.sqrt(max(left, 1e-24) / (t.size - 4))
        z = change * math.sqrt(size) / spread
        if abs(z) > abs(best.significance):
            best = Bend(float(t[place]), change / rise.slope, z)
    return best
