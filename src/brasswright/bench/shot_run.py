"""One pull of a lever reckoned through: pressure falls with travel, the puck takes the water, time follows.

As pressure hangs on travel and resistance on the water gone in, time is the integral of resistance over pressure by
volume: no steps in time are needed. Water past the seals adds to the travel by a closed form too.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Final, TypeVar

import numpy as np

from brasswright.bench.shot_puck import Puck, solved
from brasswright.bench.validity import Array
from brasswright.tables import constant

__all__ = ["Drive", "Pull", "pulled"]

_CELLS: Final = 100
_GAUSS: Final = (0.5 - 0.5 / 3**0.5, 0.5 + 0.5 / 3**0.5)
_POINTS: Final = 61
_Part = TypeVar("_Part", "Puck", "Drive")


@dataclass(frozen=True, slots=True)
class Drive:
    """What presses: pressure at the start of travel and its fall by travel, piston, stroke, leak, pre-infusion.

    `leak` is flow past the seals over pressure [m3/(s Pa)].
    """

    area_m2: Array
    stroke_m: Array
    first_pa: Array
    fall_pa_per_m: Array
    leak: Array
    soak_pa: Array
    soak_s: Array

    def pressure(self, travel_m: Array) -> Array:
        """Return the pressure after so much travel [Pa]."""
        return np.asarray(self.first_pa - self.fall_pa_per_m * travel_m)

    def last_travel_m(self) -> Array:
        """Return where the piston stops at the latest: at the end of its stroke, or where pressure is spent."""
        spare = self.first_pa - constant("shot_spent_pa")
        with np.errstate(divide="ignore", invalid="ignore"):
            spent = np.where(self.fall_pa_per_m > 0, spare / self.fall_pa_per_m, np.inf)
        return np.asarray(np.minimum(self.stroke_m, spent))


@dataclass(frozen=True, slots=True)
class Pull:
    """A pull reckoned through: water in the puck and time at the grid's nodes (first axis), and how it ended."""

    puck: Puck
    drive: Drive
    volumes_m3: Array
    times_s: Array
    soaked_m3: Array
    end_m3: Array
    end_s: Array
    by_time: Array

    def travel_m(self, volume_m3: Array) -> Array:
        """Return the travel at which so much water is in the puck [m]."""
        return _travel(self.puck, self.drive, self.soaked_m3, volume_m3)

    def time_at(self, volume_m3: Array) -> Array:
        """Return when so much water is in the puck, from the first water on; infinite where it never comes to it."""
        early = self.puck.impulse(volume_m3) / np.maximum(self.drive.soak_pa, 1.0)
        late = _between(self.volumes_m3, self.times_s, volume_m3)
        when = np.where(volume_m3 < self.soaked_m3, early, late)
        return np.asarray(np.where(volume_m3 > self.end_m3, np.inf, when))

    def curve(self) -> tuple[Array, Array, Array, Array]:
        """Return time, pressure, flow into the cup and volume in it at even times, of the first sample."""
        t = np.linspace(0.0, float(self.end_s[0]), _POINTS)
        soaking = t < float(self.drive.soak_s[0])
        early = self.puck.volume_for(self.drive.soak_pa * t)
        late = np.interp(t, self.times_s[:, 0], self.volumes_m3[:, 0])
        v = np.where(soaking, early, late)
        p = np.where(soaking, self.drive.soak_pa, self.drive.pressure(self.travel_m(v)))
        drips = v >= self.puck.wet_m3
        flow = np.where(drips, p / np.maximum(self.puck.resistance(v), 1.0), 0.0)
        return t, p, flow, np.maximum(v - self.puck.wet_m3, 0.0)

    def means(self) -> Pull:
        """Return one pull of the means of what all samples were given; this one where it is one."""
        return self if self.end_s.size == 1 else pulled(puck=_mean(self.puck), drive=_mean(self.drive))


def _mean(part: _Part) -> _Part:
    """Return a record of the means of its arrays."""
    means = {entry.name: np.atleast_1d(getattr(part, entry.name).mean()) for entry in dataclasses.fields(part)}
    return dataclasses.replace(part, **means)


def pulled(*, puck: Puck, drive: Drive) -> Pull:
    """Return one pull through a puck: every array of one length, one place a sample.

    Symbols: V water in the puck, S(V) = integral of R dV, V_0 that of pre-infusion with S(V_0) = p_b t_b, G leak;
    travel x = (V - V_0 + G (S(V) - S(V_0))) / A, pressure p(x), time t = t_b + integral of R / p dV by two-point Gauss.
    Ends with the stroke, with pressure spent, or with the longest time. Source: darcy-1856; force-over-area.
    """
    soaked = puck.volume_for(drive.soak_pa * drive.soak_s)
    longest = constant("shot_longest_s")
    by_travel = solved(
        lambda v: _travel(puck, drive, soaked, v), drive.last_travel_m(), soaked + drive.area_m2 * drive.stroke_m
    )
    by_patience = puck.volume_for(puck.impulse(soaked) + drive.first_pa * longest)
    reach = np.minimum(by_travel, by_patience) - soaked
    steps = np.linspace(0.0, 1.0, _CELLS + 1)[:, None]
    nodes = soaked + steps * reach
    cell = np.zeros((_CELLS, reach.size))
    for place in _GAUSS:
        v = nodes[:-1] + place / _CELLS * reach
        cell += puck.resistance(v) / drive.pressure(_travel(puck, drive, soaked, v)) / 2
    times = drive.soak_s + np.concatenate([np.zeros((1, reach.size)), np.cumsum(cell * reach / _CELLS, axis=0)])
    last = np.minimum(times[-1], drive.soak_s + longest)
    end = np.where(last < times[-1], _between(times, nodes, last), nodes[-1])
    return Pull(
        puck, drive, nodes, times, soaked, end, last, np.asarray((last < times[-1]) | (by_patience < by_travel))
    )


def _travel(puck: Puck, drive: Drive, soaked: Array, volume_m3: Array) -> Array:
    """Return the travel at which so much water is in the puck [m]."""
    past_seals = drive.leak * (puck.impulse(volume_m3) - puck.impulse(soaked))
    return np.asarray((volume_m3 - soaked + past_seals) / drive.area_m2)


def _between(nodes: Array, values: Array, at: Array) -> Array:
    """Return values between nodes that rise along the first axis, a place for each sample."""
    above = np.clip(np.sum(nodes < at, axis=0), 1, nodes.shape[0] - 1)
    sample = np.arange(nodes.shape[1])
    low, high = nodes[above - 1, sample], nodes[above, sample]
    share = np.clip((at - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    return np.asarray(values[above - 1, sample] + share * (values[above, sample] - values[above - 1, sample]))
