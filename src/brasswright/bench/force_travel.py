"""Logged strokes of a spring: where travel turns back, one averaged curve each way, a straight line through it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from brasswright.bench.validity import Array
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from brasswright.bench.traces import Trace

__all__ = ["Branches", "Line", "Stroke", "branches", "line_through", "rates_of", "strokes", "turning_points"]

_LEAST_BINS: Final = 8
_FINE: Final = 50
"""Steps up to which each reading has its own; more readings are put together two by two."""
_NORMAL_MAD: Final = 1.4826
"""A normal distribution's standard deviation over its median absolute deviation."""
_OUTLYING: Final = 3.5


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way of the travel: first row, row past the last, and whether the spring is being loaded."""

    first: int
    past: int
    loading: bool


@dataclass(frozen=True, slots=True)
class Branches:
    """Both ways averaged over all strokes, at the same places of travel.

    `each_loading` and `each_unloading` hold a row for each stroke (NaN where it has no reading); `rows` weighs the
    readings behind a place; `low_m` and `high_m` are the ends that all strokes reach.
    """

    travel_m: Array
    loading_n: Array
    unloading_n: Array
    each_loading: Array
    each_unloading: Array
    rows: Array
    step_m: float
    low_m: float
    high_m: float

    def mean_over_travel(self, force_n: Array) -> float:
        """Return the mean of a force over the travel."""
        area = np.sum((force_n[1:] + force_n[:-1]) / 2 * np.diff(self.travel_m))
        return float(area / (self.travel_m[-1] - self.travel_m[0]))


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line y = at_zero + slope x with covariance; `kept` tells which points it was laid through."""

    at_zero: float
    slope: float
    covariance: Array
    scatter: float
    kept: NDArray[np.bool_]

    def at(self, x: float) -> float:
        """Return the line's height at x."""
        return self.at_zero + self.slope * x

    def sigma_at(self, x: float) -> float:
        """Return the standard uncertainty of that height."""
        by = np.array([1.0, x])
        return math.sqrt(max(float(by @ self.covariance @ by), 0.0))

    @property
    def slope_sigma(self) -> float:
        """Return the standard uncertainty of the slope."""
        return math.sqrt(max(float(self.covariance[1, 1]), 0.0))


def turning_points(*, travel_m: Array, least_m: float) -> list[int]:
    """Return the rows where travel turns back by `least_m` or more, with the first and the last row.

    Valid for any noise smaller than `least_m`. Source: common-practice.

    >>> turning_points(travel_m=np.array([0.0, 1.0, 2.0, 1.9, 3.0, 1.0, 0.0]), least_m=0.5)
    [0, 4, 6]
    """
    low = high = 0
    turns: list[int] = []
    way = 0
    for row, at in enumerate(travel_m):
        low = row if at < travel_m[low] else low
        high = row if at > travel_m[high] else high
        if way >= 0 and travel_m[high] - at >= least_m:
            turns.append(high)
            way, low = -1, row
            high = row
        elif way <= 0 and at - travel_m[low] >= least_m:
            turns.append(low)
            way, high = 1, row
            low = row
    last = high if way > 0 else low
    return sorted({*turns, last})


def strokes(*, trace: Trace) -> tuple[Stroke, ...]:
    """Return the full strokes of a log with the columns `travel` and `force`; refuses what is none.

    A stroke covers at least three quarters of all travel. Loading is the way in which force, on the whole, grows.
    """
    travel, force = trace["travel"], trace["force"]
    span = float(np.ptp(travel))
    turns = turning_points(travel_m=travel, least_m=constant("stroke_turn_share") * span) if span else []
    found = [
        (first + (first > 0), last + 1)  # the row at which travel turns is the last of the stroke before
        for first, last in pairwise(turns)
        if abs(travel[last] - travel[first]) >= constant("stroke_full_share") * span
    ]
    outward = float(np.polyfit(travel, force, 1)[0]) >= 0 if span else True
    whole = tuple(Stroke(a, b, bool(travel[b - 1] > travel[a]) == outward) for a, b in found)
    for one in whole:
        _check_stroke(trace, one, span)
    if len({one.loading for one in whole}) != len((True, False)):
        raise ImpossibleValue(
            "The log does not hold a whole stroke each way.", where=trace.source,
            got=f"{len(whole)} whole strokes over {words(span, unit='mm')}",
            allowed="the spring pressed over its stroke and let back again, once or more",
        )  # fmt: skip
    return whole


def _check_stroke(trace: Trace, one: Stroke, span: float) -> None:
    """Refuse a stroke of too few readings, or with a gap in its travel."""
    travel, lines = trace["travel"][one.first : one.past], trace.lines[one.first : one.past]
    where = f"{trace.source}, lines {lines[0]} to {lines[-1]}"
    least = int(constant("stroke_least_rows"))
    if travel.size < least:
        raise ImpossibleValue(
            "A stroke has too few readings.", where=where, got=travel.size, allowed=f"{least} or more each way",
            remedy="Log faster, or press more slowly.",
        )  # fmt: skip
    steps = np.abs(np.diff(travel))
    worst = int(np.argmax(steps))
    if steps[worst] > constant("stroke_gap_share") * span:
        raise ImpossibleValue(
            "There is a gap in the travel.", where=f"{trace.source}, line {lines[worst + 1]}",
            got=f"a step of {words(float(steps[worst]), unit='mm')} in a stroke of {words(span, unit='mm')}",
            remedy="Log that stroke again, or cut it out.",
        )  # fmt: skip


def branches(*, travel_m: Array, force_n: Array, found: tuple[Stroke, ...]) -> Branches:
    """Return force over travel each way, averaged in equal steps of travel, the ends of the strokes left out.

    Each mean is moved along its own branch's slope to the middle of its step, so that a straight line stays exact.
    """
    reached = [travel_m[max(s.first - 1, 0) : s.past] for s in found]
    low = max(float(one.min()) for one in reached)
    high = min(float(one.max()) for one in reached)
    off = constant("stroke_end_share") * (high - low)
    fewest = min(s.past - s.first for s in found)
    number = min(max(min(fewest, _FINE), fewest // 2), int(constant("stroke_most_bins")))
    edges = np.linspace(low + off, high - off, number + 1)
    middles = np.asarray((edges[:-1] + edges[1:]) / 2)
    each: dict[bool, list[Array]] = {True: [], False: []}
    counts: dict[bool, Array] = {True: np.zeros(number), False: np.zeros(number)}
    for way in (True, False):
        mine = [s for s in found if s.loading == way]
        slope = float(np.mean([_slope(travel_m, force_n, s, (edges[0], edges[-1])) for s in mine]))
        for s in mine:
            x, y = travel_m[s.first : s.past], force_n[s.first : s.past]
            inside = (x >= edges[0]) & (x < edges[-1])
            place = np.minimum(np.searchsorted(edges, x[inside], side="right") - 1, number - 1)
            levelled = y[inside] + slope * (middles[place] - x[inside])
            many = np.bincount(place, minlength=number).astype(float)
            with np.errstate(invalid="ignore"):
                each[way].append(np.bincount(place, weights=levelled, minlength=number) / many)
            counts[way] = counts[way] + many
    kept = (counts[True] > 0) & (counts[False] > 0)
    if int(kept.sum()) < _LEAST_BINS:
        raise ImpossibleValue("The two ways share too little travel.", got=int(kept.sum()), allowed=f"{_LEAST_BINS}")
    loading, unloading = (np.stack(each[way])[:, kept] for way in (True, False))
    return Branches(
        travel_m=middles[kept],
        loading_n=np.nanmean(loading, axis=0),
        unloading_n=np.nanmean(unloading, axis=0),
        each_loading=loading,
        each_unloading=unloading,
        rows=np.asarray(1 / (1 / counts[True][kept] + 1 / counts[False][kept])),
        step_m=float(edges[1] - edges[0]),
        low_m=low,
        high_m=high,
    )


def _slope(travel_m: Array, force_n: Array, one: Stroke, ends: tuple[float, float]) -> float:
    """Return how force grows with travel in one stroke, between its ends."""
    x, y = travel_m[one.first : one.past], force_n[one.first : one.past]
    inside = (x >= ends[0]) & (x <= ends[1])
    return float(np.polyfit(x[inside], y[inside], 1)[0])


def line_through(*, x: Array, y: Array, weights: Array) -> Line:
    """Return the weighted least-squares line through points, those that lie far off it left out.

    Symbols: line a + b x; covariance s^2 (X'WX)^-1, s^2 = sum w r^2 / (n - 2), weights w relative. Far off is 3.5 times
    the scatter by median absolute deviation, begun from the median of slopes between all pairs.
    Valid where most points lie on the line. Source: theil-sen; nist-handbook.

    >>> x = np.arange(10.0)
    >>> y = 3 + 2 * x + 9 * (x == 4)
    >>> line = line_through(x=x, y=y, weights=np.ones(10))
    >>> round(line.at_zero, 6), round(line.slope, 6), int(line.kept.sum())
    (3.0, 2.0, 9)
    """
    first, second = np.triu_indices(x.size, 1)
    apart = x[second] != x[first]
    first, second = first[apart], second[apart]
    slope = float(np.median((y[second] - y[first]) / (x[second] - x[first])))
    residuals = y - slope * x
    residuals = np.asarray(residuals - np.median(residuals))
    design = np.stack([np.ones_like(x), x], axis=1)
    floor = 1e-9 * float(np.max(np.abs(y)))
    kept = np.ones(x.size, dtype=bool)
    for _ in range(6):
        spread = max(_NORMAL_MAD * float(np.median(np.abs(residuals))), floor)
        now = np.abs(residuals) <= _OUTLYING * spread
        normal = design[now].T @ (weights[now, None] * design[now])
        values = np.linalg.solve(normal, design[now].T @ (weights[now] * y[now]))
        residuals = np.asarray(y - design @ values)
        if np.array_equal(now, kept):
            break
        kept = now
    freedom = max(int(now.sum()) - 2, 1)
    squares = float(np.sum(weights[now] * residuals[now] ** 2)) / freedom
    scatter = math.sqrt(squares / float(np.mean(weights[now])))
    return Line(float(values[0]), float(values[1]), np.asarray(squares * np.linalg.inv(normal)), scatter, now)


def rates_of(*, both: Branches, cycles: int) -> Array:
    """Return the spring rate of each cycle by itself, as its mean of both ways has it."""
    rates = np.empty(cycles)
    for number in range(cycles):
        mean = (both.each_loading[number] + both.each_unloading[number]) / 2
        there = np.isfinite(mean)
        rates[number] = line_through(x=both.travel_m[there], y=mean[there], weights=np.ones(int(there.sum()))).slope
    return rates
