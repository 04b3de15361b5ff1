"""Which nameplates a resistance could belong to, each with its probability."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

from brasswright.bench.alloys import alloys, resistance_factor
from brasswright.bench.rating import rated_power_band
from brasswright.bench.validity import within
from brasswright.tables import constant, rows

__all__ = ["Nameplate", "hot_factors", "likely_nameplates", "power_density"]

_LEAST: Final = 0.01
"""Plates less likely than this are not listed."""


@dataclass(frozen=True, slots=True)
class Nameplate:
    """A plate that would explain the reading, and how likely it is among all usual plates."""

    rated_voltage_v: float
    rated_power_w: float
    probability: float


def likely_nameplates(
    *,
    resistance_ohm: float,
    resistance_sigma_ohm: float | None = None,
    rated_voltage_v: float | None = None,
    rated_power_w: float | None = None,
) -> tuple[Nameplate, ...]:
    """Return the nameplates that explain a cold resistance (leads taken off), likeliest first.

    Symbols: R cold resistance [ohm], U and P of the plate, f factor of the hot wire; the hot power U^2 / (f R) over P
    lies anywhere in the tolerance band of the plate's power (rectangular), blurred by reading, ageing and unknown
    alloy. Usual figures carry the weights of their tables; a stated voltage or power holds with probability 0.9.
    Valid for 0.5 ohm to 20 kohm. Source: iec-60335-1, clause 10.1; common-practice for the weights.

    >>> likely_nameplates(resistance_ohm=48.4, rated_voltage_v=220.0)[0].rated_power_w
    1000.0
    """
    r = float(within("resistance_ohm", resistance_ohm, low=0.5, high=20_000.0, source="common-practice"))
    sigma = constant("meter_uncertainty") * r if resistance_sigma_ohm is None else resistance_sigma_ohm
    blur = math.hypot(constant("element_drift"), sigma / r)
    voltages = _weights("nameplate_voltages", "voltage_v", rated_voltage_v)
    powers = _weights("nameplate_powers", "power_w", rated_power_w)
    scored = {
        (volts, watts): weight
        * share
        * sum(power_density(volts**2 / (r * factor), watts, blur) for factor in hot_factors())
        for volts, weight in voltages.items()
        for watts, share in powers.items()
    }
    total = sum(scored.values())
    if total <= 0:
        return ()
    ranked = sorted(scored.items(), key=lambda item: (-item[1], item[0]))
    return tuple(Nameplate(volts, watts, p / total) for (volts, watts), p in ranked if p / total >= _LEAST)


def _weights(table: str, column: str, stated: float | None) -> dict[float, float]:
    """Return the usual figures with their shares; a stated one holds nine times out of ten."""
    usual = {float(row[column]): float(row["weight"]) for row in rows(table)}
    total = sum(usual.values())
    if stated is None:
        return {figure: weight / total for figure, weight in usual.items()}
    trust = constant("plate_trust")
    others = {figure: (1 - trust) * weight / total for figure, weight in usual.items()}
    return others | {stated: trust + others.get(stated, 0.0)}


@cache
def hot_factors() -> tuple[float, ...]:
    """Return the factors of all alloys at the usual wire temperature: nobody sees which one is inside."""
    return tuple(float(resistance_factor(alloy=name)) for name in alloys())


@cache
def _band(plate_w: float) -> tuple[float, float]:
    """Return the tolerance band of a plate's power as shares of it."""
    band = rated_power_band(rated_power_w=plate_w)
    return band.low_w / plate_w, band.high_w / plate_w


def power_density(power_w: float, plate_w: float, blur: float) -> float:
    """Return the density of this power for that plate: the tolerance band, blurred."""
    (low, high), ratio = _band(plate_w), power_w / plate_w
    spread = blur * ratio * math.sqrt(2)
    return (math.erf((high - ratio) / spread) - math.erf((low - ratio) / spread)) / (2 * (high - low))
