"""A hold of pressure as two readings or as a log: pressures and temperatures at both ends, and how sure they are."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brasswright.bench.boiler_log import read_boiler_log, single
from brasswright.bench.validity import Array
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant

__all__ = ["Hold", "hold_of_log", "hold_of_readings"]

_LEAST_ROWS = 5


@dataclass(frozen=True, slots=True)
class Hold:
    """Gauge pressure at start and end, temperatures or None, time between; uncertainty of the two differences."""

    start_pa: Array
    end_pa: Array
    temperatures: tuple[Array, Array] | None
    seconds: Array
    pressure_sigma: float
    temperature_sigma: float


def _stated(name: str, sigma: float | None, usual: float, most: float) -> float:
    """Return a stated uncertainty, or the usual one."""
    return usual if sigma is None else single(name, sigma, low=1e-6, high=most, source="common-practice")


def hold_of_readings(
    pressures: tuple[Array, Array],
    temperatures: tuple[Array, Array] | None,
    seconds: Array,
    sigmas: tuple[float | None, float | None],
) -> Hold:
    """Return a hold from two readings of each; an unstated uncertainty is that of a gauge read by eye."""
    of_pressure = _stated("pressure_sigma_pa", sigmas[0], constant("gauge_sigma_pa"), 5e5)
    of_temperature = _stated("temperature_sigma_k", sigmas[1], constant("leakdown_probe_k"), 10.0)
    two = math.sqrt(2)
    return Hold(*pressures, temperatures, seconds, two * of_pressure, two * of_temperature)


def _line(t: Array, values: Array) -> tuple[float, float, float]:
    """Return start and end of the straight line through the values, and the uncertainty of their difference."""
    slope, start = np.polyfit(t, values, 1)
    left = values - start - slope * t
    spread = math.sqrt(float(left @ left) / (t.size - 2))
    apart = spread * float(t[-1]) / math.sqrt(float(np.sum((t - t.mean()) ** 2)))
    return float(start), float(start + slope * t[-1]), apart


def hold_of_log(log: str, *, outside_pa: float, sigmas: tuple[float | None, float | None]) -> Hold:
    """Return a hold from a log: ends of straight lines, with the scatter about them and the drift of the sensors."""
    held = read_boiler_log(log, barometer_pa=outside_pa)
    if held.pressure_gauge_pa is None:
        raise ImpossibleValue("A leak-down needs pressure.", where="log", allowed="a column such as 'pressure [bar]'")
    t = held.time_s
    if t.size < _LEAST_ROWS:
        raise ImpossibleValue("The log has too few rows.", where="log", got=t.size, allowed=f"{_LEAST_ROWS} or more")
    p1, p2, by_pressure = _line(t, held.pressure_gauge_pa)
    two = math.sqrt(2)
    of_pressure = two * _stated("pressure_sigma_pa", sigmas[0], constant("leakdown_gauge_pa"), 5e5)
    of_temperature = two * _stated("temperature_sigma_k", sigmas[1], constant("leakdown_probe_k"), 10.0)
    temperatures = None
    if held.temperature_k is not None:
        t1, t2, by_temperature = _line(t, held.temperature_k)
        temperatures = (np.asarray(t1), np.asarray(t2))
        of_temperature = math.hypot(of_temperature, by_temperature)
    ends = (np.asarray(p1), np.asarray(p2))
    return Hold(*ends, temperatures, np.asarray(float(t[-1])), math.hypot(of_pressure, by_pressure), of_temperature)
