"""Switching read off a trace: its extremes, their spread and tolerance limits, on and off times, what it hides."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Spread", "Swings", "duty_loss_w", "least_swing", "missed_peak", "spread_of", "swings", "tolerance_factor"]

_NODES: Final = 32
_MOST_COUNT: Final = 300
_HALVINGS: Final = 60
_NOISE: Final = 6.0
"""A reversal counts from this many standard deviations of the noise on."""
_MAD: Final = 0.6745
"""Median deviation of a normal distribution, as share of its standard deviation."""


@dataclass(frozen=True, slots=True)
class Swings:
    """Extremes in turn, each with its time and whether it is a high one; start and end of the log are none."""

    times_s: Array
    values: Array
    is_high: Array

    def of(self, *, high: bool) -> Array:
        """Return the values of the high or of the low ones."""
        return np.asarray(self.values[self.is_high.astype(bool) == high])

    def legs_s(self, *, rising: bool) -> Array:
        """Return how long each rising or falling stretch between two extremes took."""
        return np.asarray(np.diff(self.times_s)[self.is_high[1:].astype(bool) == rising])

    def steps(self, *, rising: bool) -> Array:
        """Return how far each rising or falling stretch went."""
        return np.asarray(np.abs(np.diff(self.values))[self.is_high[1:].astype(bool) == rising])


@dataclass(frozen=True, slots=True)
class Spread:
    """Mean, standard deviation, count; limits that hold 95 % of all with 95 % confidence, and their factor."""

    mean: float
    sd: float
    count: int
    factor: float
    low: float
    high: float


def _chi2_below(x: float, degrees: int) -> float:
    """Return the chance that chi-squared lies below x: the series of the incomplete gamma function."""
    a, half = degrees / 2, x / 2
    if half <= 0:
        return 0.0
    term = total = 1.0
    step = a
    while term > 1e-17 * total:
        step += 1
        term *= half / step
        total += term
    return min(total * math.exp(a * math.log(half) - half - math.lgamma(a + 1)), 1.0)


def _halved(wanted: float, low: float, high: float, of: Callable[[float], float]) -> float:
    """Return where a rising function meets a value, by halving."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if of(middle) < wanted else (low, middle)
    return (low + high) / 2


def _half(x: float, p: float) -> float:
    """Return the half-width about x that holds a share p of a standard normal distribution."""
    root = math.sqrt(2)
    return _halved(p, 0.0, abs(x) + 8.0, lambda r: (math.erf((x + r) / root) - math.erf((x - r) / root)) / 2)


@cache
def tolerance_factor(*, count: int, share: float = 0.95, confidence: float = 0.95) -> float:
    """Factor k for which mean +- k sd holds a share of a normal population with a confidence, two-sided.

    Symbols: n count, p share, g confidence; k solves E[P(chi2(n - 1) > (n - 1) r(z / sqrt(n))^2 / k^2)] = g over a
    normal z, with Phi(x + r) - Phi(x - r) = p. Exact, by Gauss-Hermite. Older tables lie up to half a percent lower.
    Valid for n from 2 to 300, p and g from 0.5 to 0.999. Source: iso-16269-6; nist-handbook.

    >>> round(tolerance_factor(count=10), 2), round(tolerance_factor(count=20), 2)
    (3.39, 2.76)
    """
    n = int(within("count", float(count), low=2, high=_MOST_COUNT, source="iso-16269-6"))
    p, g = (float(within("share", one, low=0.5, high=0.999, source="iso-16269-6")) for one in (share, confidence))
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()

    halves = [_half(float(z) / math.sqrt(n), p) for z in nodes]

    def sure(k: float) -> float:
        tails = [1 - _chi2_below((n - 1) * r**2 / k**2, n - 1) for r in halves]
        return float(weights @ np.array(tails))

    return _halved(g, 0.5, 400.0, sure)


def spread_of(values: Array) -> Spread:
    """Return mean, standard deviation and tolerance limits of switchings; refuses fewer than three."""
    if values.size < 3:
        raise ImpossibleValue(
            "Too few switchings for a spread.", where="log", got=values.size, allowed="3 or more full cycles",
            remedy="Log for longer, with the heating at rest, nothing drawn.",
        )  # fmt: skip
    mean, sd = float(values.mean()), float(values.std(ddof=1))
    factor = tolerance_factor(count=min(int(values.size), _MOST_COUNT))
    return Spread(mean, sd, int(values.size), factor, mean - factor * sd, mean + factor * sd)


def least_swing(*, values: Array) -> float:
    """Smallest reversal that is no noise, from the trace's own second differences and its last place.

    Symbols: sd of the noise from the median of |x(i-1) - 2 x(i) + x(i+1)| / 0.6745 / sqrt(6); six of them, or two steps
    of the last place, whichever is more. Valid for five readings or more. Source: common-practice.

    >>> least_swing(values=np.array([1.0, 1.1, 1.2, 1.1, 1.0, 1.1])) > 0
    True
    """
    x = np.asarray(values, dtype=np.float64)
    noise = float(np.median(np.abs(np.diff(x, 2)))) / _MAD / math.sqrt(6)
    steps = np.abs(np.diff(x))
    place = float(np.min(steps[steps > 1e-9 * max(float(np.max(np.abs(x))), 1e-9)], initial=math.inf))
    extent = float(np.ptp(x))
    return min(max(_NOISE * noise, 2 * place if math.isfinite(place) else 0.0), 0.5 * extent)


def swings(*, times_s: Array, values: Array, swing: float) -> Swings:
    """Extremes of a trace by hysteresis: one counts once the trace has gone back from it by `swing`.

    Start and end of the log never count: the trace came from, or goes on to, where nobody looked. Valid for any trace;
    without reversals there are none. Source: common-practice.

    >>> found = swings(times_s=np.arange(7.0), values=np.array([0.0, 2.0, 1.9, 3.0, 1.0, 2.5, 0.0]), swing=0.5)
    >>> found.values.tolist(), found.is_high.tolist()
    ([3.0, 1.0, 2.5], [1.0, 0.0, 1.0])
    """
    if swing <= 0:
        raise ImpossibleValue("A swing to count is above zero.", got=swing)
    found: list[tuple[int, bool]] = []
    rising: bool | None = None
    top = bottom = 0
    for place, value in enumerate(values):
        top = place if value > values[top] else top
        bottom = place if value < values[bottom] else bottom
        if rising is not False and values[top] - value >= swing:
            found += [(top, True)] if rising else []
            rising, bottom = False, place
        elif rising is not True and value - values[bottom] >= swing:
            found += [(bottom, False)] if rising is False else []
            rising, top = True, place
    places = [place for place, _ in found]
    return Swings(
        np.asarray(times_s[places], dtype=np.float64),
        np.asarray(values[places], dtype=np.float64),
        np.array([float(high) for _, high in found]),
    )


def duty_loss_w(*, power_w: Figure, on_s: Figure, off_s: Figure) -> Figure:
    """Mean power while a switch holds a level: what the boiler loses standing [W].

    Symbols: P t_on / (t_on + t_off). Valid for full cycles, nothing drawn. Source: arithmetic.

    >>> round(duty_loss_w(power_w=800.0, on_s=40.0, off_s=560.0), 1)
    53.3
    """
    power = within("power_w", power_w, low=0.0, high=1.0e6, source="arithmetic")
    on, off = (
        within(name, value, low=0.0, high=1.0e7, source="arithmetic")
        for name, value in (("on_s", on_s), ("off_s", off_s))
    )
    if np.any(on + off <= 0):
        raise ImpossibleValue("On and off times are both zero.", allowed="a cycle that takes some time")
    return plain(power * on / (on + off))


def missed_peak(*, slope_per_s: Figure, step_s: Figure, lag_s: Figure = 0.0) -> Figure:
    """Most by which an extreme may lie beyond what was logged, in the unit of the slope.

    Symbols: slope times the time between two readings, and slope times the sensor's time constant. Valid for straight
    stretches. Source: arithmetic.

    >>> missed_peak(slope_per_s=0.5, step_s=2.0, lag_s=4.0)
    3.0
    """
    slope = within("slope_per_s", slope_per_s, low=0.0, high=1.0e12, source="arithmetic")
    step, lag = (
        within(name, value, low=0.0, high=1.0e6, source="arithmetic")
        for name, value in (("step_s", step_s), ("lag_s", lag_s))
    )
    return plain(slope * (step + lag))
