"""Heat in a boiler: what water, steam, metal, lagging and case take up, and how long power and loss need.

One lump: water, shell, group and element share one temperature, the lagging lies half way between them and the room,
the case nearer to the room; the space over the water fills with steam on the saturation line.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Final

import numpy as np

from brasswright.bench.saturation import saturation_pressure_pa
from brasswright.bench.steam import (
    boiling_water_enthalpy_j_per_kg,
    latent_heat_j_per_kg,
    steam_volume_m3_per_kg,
    water_volume_m3_per_kg,
)
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound, OutsideValidity
from brasswright.tables import constant, rows
from brasswright.units import kelvin, to_si

__all__ = ["Lump", "metals", "specific_heat_j_per_kg_k", "steam_space_heat_j", "time_between_s", "water_mass_kg"]

_SOURCE: Final = "lumped-model"
_LOW_K: Final = kelvin(celsius=0.0)
_HIGH_K: Final = kelvin(celsius=215.0)
_MOST_LITRES: Final = 100.0
_NODES: Final = 12
"""Points of the Gauss-Legendre rule; exact for polynomials of degree 23."""


@dataclass(frozen=True, slots=True)
class Lump:
    """Water by mass [kg]; everything else by its heat capacity [J/K]; loss by its conductance [W/K] to the room [K].

    `steam_m3` is the space over the water: what it takes to fill it with steam counts as heat capacity too.
    """

    water_kg: Array
    rest_j_per_k: Array
    loss_w_per_k: Array
    room_k: Array
    steam_m3: Array = field(default_factory=lambda: np.asarray(0.0))

    def capacity_j_per_k(self, temperature_k: Array) -> Array:
        """Return the heat capacity of all of it at a temperature."""
        temperatures, heats = _water_heats()
        held = np.asarray(self.water_kg * np.interp(temperature_k, temperatures, heats) + self.rest_j_per_k)
        if not np.any(self.steam_m3):
            return held
        return np.asarray(held + self.steam_m3 * np.interp(temperature_k, *_steam_heats()))


def metals() -> tuple[str, ...]:
    """Return the metals whose specific heat is in the table."""
    return tuple(row["metal"] for row in rows("metal_heats"))


def specific_heat_j_per_kg_k(*, metal: str) -> float:
    """Return the specific heat of a metal near room temperature [J/(kg K)].

    Valid for the metals of the table; up to 215 °C it rises by some percent, which is left out.
    Source: material-tables.

    >>> specific_heat_j_per_kg_k(metal="brass")
    380.0
    """
    for row in rows("metal_heats"):
        if row["metal"] == metal:
            return float(row["heat_j_per_kg_k"])
    raise NotFound(f"The specific heat of '{metal}' is not in the table.", allowed=", ".join(metals()))


def water_mass_kg(*, volume_m3: Figure, temperature_k: Figure) -> Figure:
    """Mass of a volume of water at a temperature, in an open vessel at sea level [kg].

    Symbols: V volume [m3], T temperature [K]. Valid for 0 to 100 l, 0 to 100 °C. Source: iapws-r7-97, eq. 7.

    >>> round(water_mass_kg(volume_m3=0.001, temperature_k=293.15), 3)
    0.998
    """
    volume = within("volume_m3", volume_m3, low=0.0, high=to_si(_MOST_LITRES, unit="l"), source=_SOURCE)
    t = within("temperature_k", temperature_k, low=_LOW_K, high=kelvin(celsius=100.0), source=_SOURCE)
    specific = water_volume_m3_per_kg(pressure_pa=constant("atmosphere_pa"), temperature_k=t)
    return plain(volume / np.asarray(specific))


@cache
def _water_heats() -> tuple[Array, Array]:
    """Return temperatures and the specific heat of water about to boil at them, by central difference."""
    edges = np.arange(_LOW_K, _HIGH_K + 2.0, 1.0)
    enthalpies = np.asarray(boiling_water_enthalpy_j_per_kg(temperature_k=edges))
    return (edges[1:] + edges[:-1]) / 2, np.diff(enthalpies)


def steam_space_heat_j(*, volume_m3: Figure, from_k: Figure, to_k: Figure) -> Figure:
    """Heat that evaporates the steam by which a closed space fills up between two temperatures [J].

    Symbols: V volume, r latent heat, v specific volume of the steam; V (r / v at the end less that at the start).
    Valid for 0 to 215 °C, no air. Source: iapws-r7-97.

    >>> round(steam_space_heat_j(volume_m3=0.001, from_k=293.15, to_k=393.15))
    2428
    """
    volume = within("volume_m3", volume_m3, low=0.0, high=1.0, source=_SOURCE)
    start, end = (
        within(name, value, low=_LOW_K, high=_HIGH_K, source=_SOURCE)
        for name, value in (("from_k", from_k), ("to_k", to_k))
    )
    return plain(volume * (_steam_held(end) - _steam_held(start)))


def _steam_held(temperature_k: Array) -> Array:
    """Return the heat that evaporated a cubic metre of steam [J/m3]."""
    pressures = np.asarray(saturation_pressure_pa(temperature_k=temperature_k))
    volumes = np.asarray(steam_volume_m3_per_kg(pressure_pa=pressures, temperature_k=temperature_k))
    return np.asarray(np.asarray(latent_heat_j_per_kg(pressure_pa=pressures)) / volumes)


@cache
def _steam_heats() -> tuple[Array, Array]:
    """Return temperatures, and the heat that evaporates what a cubic metre of steam takes up for each kelvin."""
    edges = np.arange(_LOW_K, _HIGH_K + 2.0, 1.0)
    return (edges[1:] + edges[:-1]) / 2, np.diff(_steam_held(edges))


def time_between_s(*, lump: Lump, power_w: Figure, from_k: Figure, to_k: Figure) -> Figure:
    """Time that power less loss needs from one temperature to another [s]; with no power, the time to cool.

    Symbols: C(T) heat capacity, G loss conductance, T_r room, P power; t = integral of C / (P - G (T - T_r)) over T,
    by Gauss-Legendre. Valid for 0 to 215 °C; refuses where the power does not reach the end, or cooling never does.
    Source: lumped-model; iapws-r7-97.

    >>> one = np.asarray(1.0)
    >>> pot = Lump(water_kg=one * 0, rest_j_per_k=one * 4000, loss_w_per_k=one * 0, room_k=one * 293.15)
    >>> time_between_s(lump=pot, power_w=1000.0, from_k=300.0, to_k=350.0)
    200.0
    """
    start = within("from_k", from_k, low=_LOW_K, high=_HIGH_K, source=_SOURCE)
    end = within("to_k", to_k, low=_LOW_K, high=_HIGH_K, source=_SOURCE)
    power = within("power_w", power_w, low=0.0, high=1.0e6, source=_SOURCE)
    loss_at_end = np.asarray(lump.loss_w_per_k * (end - lump.room_k))
    if np.any((power <= loss_at_end) & (end > start)):
        raise OutsideValidity(
            "power_w", got=float(power.min()), low=float(loss_at_end.max()), high=1.0e6, source=_SOURCE
        )
    if np.any((power >= loss_at_end) & (end < start)):
        raise OutsideValidity("to_k", got=float(end.min()), low=float(lump.room_k.max()), high=_HIGH_K, source=_SOURCE)
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    half = np.asarray((end - start) / 2)
    total = np.zeros(np.broadcast_shapes(half.shape, power.shape, lump.loss_w_per_k.shape, lump.water_kg.shape))
    for node, weight in zip(nodes, weights, strict=True):
        t = np.asarray((start + end) / 2 + half * node)
        net = power - lump.loss_w_per_k * (t - lump.room_k)
        total = total + weight * half * lump.capacity_j_per_k(t) / net
    return plain(np.where(end == start, 0.0, total))
