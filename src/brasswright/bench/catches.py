"""Catches in a stroke: places where force leaves its line by more than the scatter."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from brasswright.bench.force_travel import line_through
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from brasswright.bench.force_travel import Branches
    from brasswright.bench.validity import Array

__all__ = ["Catch", "catches", "scatter_of"]

Direction = Literal["both", "loading", "unloading"]
Kind = Literal["catch", "slack", "step"]

_NORMAL_MAD: Final = 1.4826


@dataclass(frozen=True, slots=True)
class Catch:
    """A place where force leaves its line: travel of its middle, most by which it does, width at half height.

    `kind` is "catch" where the piston is held back, "slack" where it goes more easily than elsewhere, "step" where
    force is off to the same side both ways (spring or geometry, not friction). `times_scatter` is the size over the
    scatter of the line; it is seen in `strokes` of the `of` strokes in its direction.
    """

    kind: Kind
    direction: Direction
    travel_m: float
    size_n: float
    width_m: float
    times_scatter: float
    strokes: int
    of: int

    @property
    def in_words(self) -> str:
        """The place in a phrase."""
        ways = "both ways" if self.direction == "both" else f"while {self.direction}"
        at, width = (words(one, unit="mm", figures=3) for one in (self.travel_m, self.width_m))
        return (
            f"{self.kind} at {at}, {ways}, {words(self.size_n, unit='N', figures=2)}, {width} wide at half height, "
            f"{self.times_scatter:.0f} times the scatter, in {self.strokes} of {self.of} strokes"
        )


@dataclass(frozen=True, slots=True)
class _Place:
    """One run of steps off the line in one direction; `held` is true where the piston is held back."""

    loading: bool
    first: int
    past: int
    travel_m: float
    size_n: float
    width_m: float
    times: float
    strokes: int
    of: int

    @property
    def held(self) -> bool:
        """Return whether it resists: more force pressing in, less force coming back."""
        return (self.size_n > 0) == self.loading


def scatter_of(*, residuals: Array) -> float:
    """Return the standard deviation of the points about a line, catches left out: by median absolute deviation.

    The greater of that about the line and that from point to point, so that neither a smooth bend nor a
    sawtooth passes for quiet.

    >>> round(scatter_of(residuals=np.array([1.0, -1.0, 1.0, -1.0, 30.0, 1.0, -1.0, 1.0])), 2)
    2.1
    """
    about = _NORMAL_MAD * float(np.median(np.abs(residuals - np.median(residuals))))
    between = _NORMAL_MAD * float(np.median(np.abs(np.diff(residuals)))) / 2**0.5
    return max(about, between)


def catches(*, found: Branches, least_n: float) -> tuple[tuple[Catch, ...], float]:
    """Return the catches of both branches in order of travel, and the scatter they were held against.

    A catch is a run of two steps or more off the line, its peak beyond `stroke_peak_times` the scatter and beyond
    `least_n`. Runs that overlap in both directions are one.
    """
    ways = ((True, found.loading_n, found.each_loading), (False, found.unloading_n, found.each_unloading))
    lines = [line_through(x=found.travel_m, y=force, weights=found.rows) for _, force, _ in ways]
    off = [np.asarray(w[1] - line.at_zero - line.slope * found.travel_m) for w, line in zip(ways, lines, strict=True)]
    scatter = max(*(scatter_of(residuals=one) for one in off), 1e-6 * float(np.max(np.abs(found.loading_n))))
    places = []
    for (loading, _, each), one, line in zip(ways, off, lines, strict=True):
        singly = np.asarray(each - line.at_zero - line.slope * found.travel_m)
        places.append(_places(found, one, singly, (scatter, least_n), loading=loading))
    return _paired(*places), scatter


def _places(found: Branches, off: Array, singly: Array, edges: tuple[float, float], *, loading: bool) -> list[_Place]:
    """Return the runs off the line in one direction."""
    scatter, least = edges
    sign = np.where(np.abs(off) > constant("stroke_run_times") * scatter, np.sign(off), 0.0)
    bounds = [0, *(np.flatnonzero(np.diff(sign)) + 1).tolist(), off.size]
    runs = []
    for first, past in pairwise(bounds):
        here = off[first:past]
        size = float(here[np.argmax(np.abs(here))])
        quiet = not sign[first] or past - first < int(constant("stroke_run_steps"))
        if quiet or abs(size) < max(constant("stroke_peak_times") * scatter, least):
            continue
        weight = np.abs(here)
        told = np.nanmean(singly[:, first:past], axis=1) * np.sign(size) > float(weight.mean()) / 2
        runs.append(
            _Place(
                loading=loading, first=first, past=past, size_n=size,
                travel_m=float(np.average(found.travel_m[first:past], weights=weight)),
                width_m=float(np.sum(weight >= abs(size) / 2)) * found.step_m,
                times=abs(size) / scatter, strokes=int(told.sum()), of=int(told.size),
            )
        )  # fmt: skip
    return runs


def _paired(loading: list[_Place], unloading: list[_Place]) -> tuple[Catch, ...]:
    """Return the catches, those that overlap in both directions put together."""
    told = []
    left = list(unloading)
    for one in loading:
        other = next((o for o in left if o.first < one.past and one.first < o.past), None)
        if other is None:
            told.append(_catch(one, one, "catch" if one.held else "slack", "loading"))
            continue
        left.remove(other)
        kind: Kind = "step" if one.held != other.held else "catch" if one.held else "slack"
        told.append(_catch(one, other, kind, "both"))
    told.extend(_catch(one, one, "catch" if one.held else "slack", "unloading") for one in left)
    return tuple(sorted(told, key=lambda c: c.travel_m))


def _catch(one: _Place, other: _Place, kind: Kind, direction: Direction) -> Catch:
    """Return a catch from its places in one direction or both (then the mean of the two)."""
    both = direction == "both"
    return Catch(
        kind=kind,
        direction=direction,
        travel_m=(one.travel_m + other.travel_m) / 2,
        size_n=(abs(one.size_n) + abs(other.size_n)) / 2,
        width_m=(one.width_m + other.width_m) / 2,
        times_scatter=round(max(one.times, other.times), 1),
        strokes=one.strokes + other.strokes if both else one.strokes,
        of=one.of + other.of if both else one.of,
    )
