"""What a logged pull says: the puck's resistance, a sudden drop of it, water that goes past the seals.

Impulse is pressure summed over time: as flow is pressure over resistance, its slope by volume is the resistance.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.fitting import Fit, fit
from brasswright.bench.shot_puck import Puck
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant

if TYPE_CHECKING:
    from brasswright.bench.validity import Array

__all__ = ["Bed", "Drop", "Line", "Sink", "bed_fit", "impulse_pa_s", "line_of", "sink_fit", "sudden_drop"]

_PLACES: Final = 15
_EDGE: Final = 0.15
_MOST_SHARED: Final = 0.98
_LOG_SPAN: Final = (-4.0, 3.0)


@dataclass(frozen=True, slots=True)
class Bed:
    """A puck found from a log: flow it lets through at 9 bar first and last, with sigmas, and its curve.

    `puck` is dry of uptake: it begins at the first volume of the log. `spread_m3` is the scatter about the curve.
    """

    first_flow: float
    first_sigma: float
    last_flow: float
    last_sigma: float
    puck: Puck
    spread_m3: float


@dataclass(frozen=True, slots=True)
class Drop:
    """Where resistance drops at once: place in the log, change as share of what it was, in standard uncertainties."""

    place: int
    change: float
    significance: float


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line: value at nothing, slope, and its standard uncertainty."""

    start: float
    slope: float
    slope_sigma: float


@dataclass(frozen=True, slots=True)
class Sink:
    """A pressure that dies away: start, share lost each second, its standard uncertainty, scatter about the curve."""

    start_pa: float
    rate_per_s: float
    rate_sigma_per_s: float
    spread_pa: float


def impulse_pa_s(*, times_s: Array, pressures_pa: Array) -> Array:
    """Return pressure summed over time from the first reading on [Pa s], by the trapezoidal rule."""
    steps = np.diff(times_s) * (pressures_pa[1:] + pressures_pa[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)])


def line_of(*, volumes_m3: Array, pressures_pa: Array) -> Line:
    """Return the straight line of pressure over volume by least squares. Source: gauss-newton."""
    span, high = float(np.ptp(volumes_m3)), float(np.max(pressures_pa))
    u = (volumes_m3 - volumes_m3[0]) / span
    found = fit(lambda p: p[0] + p[1] * u, start=[1.0, 0.0], target=pressures_pa / high)
    return Line(found.values[0] * high, found.values[1] * high / span, found.sigmas[1] * high / span)


def sink_fit(*, times_s: Array, pressures_pa: Array) -> Sink:
    """Return how a pressure dies away, nothing drawn: p = p_0 exp(-r t). Source: first-order-decay; gauss-newton."""
    high, span = float(np.max(pressures_pa)), float(np.ptp(times_s))
    u = (times_s - times_s[0]) / span
    found = fit(lambda p: p[0] * np.exp(-p[1] * u), start=[1.0, 0.1], target=pressures_pa / high)
    return Sink(found.values[0] * high, found.values[1] / span, found.sigmas[1] / span, found.spread * high)


def bed_fit(*, volumes_m3: Array, impulses_pa_s: Array) -> Bed | None:
    """Return the puck that a log shows: resistance first and last; None where no curve with a resistance settles.

    Symbols: S = S_0 + last v + (first - last) w (1 - exp(-v / w)), v volume since the first reading, w softening.
    Source: darcy-1856; gauss-newton.
    """
    u, y, span, high = _scaled(volumes_m3, impulses_pa_s)
    found = _settled(u, y, None)
    if found is None:
        return None
    _, last, change, width = found.values[:4]
    w = _width(width)
    slopes = (np.array([0.0, 1.0, 1.0, 0.0]), np.array([0.0, 1.0, np.exp(-1 / w), change * np.exp(-1 / w) / w]))
    ends = (last + change, last + change * float(np.exp(-1 / w)))
    covariance = np.array(found.covariance)
    wider = _together(found, u, y)
    sigmas = [wider * float(np.sqrt(max(slope @ covariance @ slope, 0.0))) for slope in slopes]
    if min(ends) <= 0 or last <= 0:
        return None
    unit = high / span
    flows = [constant("shot_reference_pa") / (one * unit) for one in ends]
    puck = Puck(np.zeros(1), np.array([ends[0] * unit]), np.array([last * unit]), np.array([w * span]))
    return Bed(
        flows[0], flows[0] * sigmas[0] / ends[0], flows[1], flows[1] * sigmas[1] / ends[1], puck,
        found.spread * span / float(np.mean(ends)),
    )  # fmt: skip


def sudden_drop(*, volumes_m3: Array, impulses_pa_s: Array) -> Drop | None:
    """Return the clearest sudden change of resistance on top of the gradual one; None where no curve settles.

    The place is the one of those tried that leaves the least squares; how clear it is goes by what the bend takes off
    them, or by its own uncertainty where that says less. Source: gauss-newton.
    """
    u, y, _, _ = _scaled(volumes_m3, impulses_pa_s)
    best: tuple[Fit, float] | None = None
    for place in np.linspace(_EDGE, 1 - _EDGE, _PLACES).tolist():
        found = _settled(u, y, place)
        if found is not None and (best is None or found.squares < best[0].squares):
            best = (found, place)
    if best is None:
        return None
    found, place = best
    _, last, change, width, step = found.values
    before = last + change * float(np.exp(-place / _width(width)))
    smooth = _settled(u, y, None)
    if smooth is None or before <= 0 or found.sigmas[4] <= 0:
        return None
    gained = np.sqrt(max(smooth.squares - found.squares, 0.0)) / max(found.spread, 1e-300)
    clear = min(abs(step) / found.sigmas[4], float(gained)) / _together(smooth, u, y)
    return Drop(int(np.searchsorted(u, place)), step / before, float(np.copysign(clear, step)))


def _scaled(volumes_m3: Array, impulses_pa_s: Array) -> tuple[Array, Array, float, float]:
    """Return volume and impulse from their first values on, as shares of their spans, and the spans."""
    span, high = float(volumes_m3[-1] - volumes_m3[0]), float(impulses_pa_s[-1] - impulses_pa_s[0])
    if span <= 0 or high <= 0:
        raise ImpossibleValue("No water passes while pressure stands: there is no resistance to find.", where="log")
    return (volumes_m3 - volumes_m3[0]) / span, (impulses_pa_s - impulses_pa_s[0]) / high, span, high


def _width(logarithm: float) -> float:
    """Return a softening volume, as share of the span, from its bounded logarithm."""
    return float(np.exp(np.clip(logarithm, *_LOG_SPAN)))


def _curve(p: Array, u: Array, place: float | None) -> Array:
    """Return impulse over volume, both as shares, with a bend at a place where one is given."""
    w = _width(float(p[3]))
    smooth = p[0] + p[1] * u + p[2] * w * -np.expm1(-u / w)
    return np.asarray(smooth if place is None else smooth + p[4] * np.maximum(u - place, 0.0))


def _settled(u: Array, y: Array, place: float | None) -> Fit | None:
    """Return the curve through the readings; None where none settles."""
    start = [0.0, 0.8, 0.4, -1.0] + ([] if place is None else [0.0])
    try:
        return fit(lambda p: _curve(p, u, place), start=start, target=y)
    except ImpossibleValue:
        return None


def _together(found: Fit, u: Array, y: Array) -> float:
    """Return by how much sigmas grow as neighbours err together, as summed noise does: root of (1 + r) / (1 - r)."""
    left = y - _curve(np.array(found.values), u, None)
    whole = float(left @ left)
    shared = 0.0 if whole == 0 else min(max(float(left[1:] @ left[:-1]) / whole, 0.0), _MOST_SHARED)
    return float(np.sqrt((1 + shared) / (1 - shared)))
