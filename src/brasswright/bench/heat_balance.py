"""Power, heat capacity and loss that stand behind a heating curve, with what is uncertain in each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.steam import boiling_water_enthalpy_j_per_kg
from brasswright.bench.validity import Array, within
from brasswright.bench.warming import specific_heat_j_per_kg_k, water_mass_kg
from brasswright.tables import constant
from brasswright.units import kelvin

if TYPE_CHECKING:
    from brasswright.bench.rise import Rise

__all__ = ["Balance", "Powers", "balance", "stretched_k"]

_SOURCE: Final = "lumped-model"
_SHOWN: Final = 2.0
_COLD_C: Final = 45.0
"""A log that begins hotter than this was not begun when the water was filled in: that was at room temperature."""
_ROOM_SIGMA_K: Final = 1.0
"""Uncertainty of a room that is only taken as usual is five times this."""


def _water_heat(temperature_k: float) -> float:
    """Return the specific heat of water about to boil [J/(kg K)]."""
    pair = np.asarray(boiling_water_enthalpy_j_per_kg(temperature_k=np.array([temperature_k, temperature_k + 1.0])))
    return float(pair[1] - pair[0])


def stretched_k(*, temperature_k: Array, water_share: float) -> Array:
    """Temperatures stretched so that equal heat makes equal steps, the first one left as it is [K].

    Symbols: w share of water in the heat capacity at the first temperature T_0; u = T_0 + (1 - w)(T - T_0) + w (h(T) -
    h(T_0)) / c(T_0), h enthalpy and c specific heat of water. Valid for 0 to 215 °C, w from 0 to 1.
    Source: lumped-model; iapws-r7-97.

    >>> stretched_k(temperature_k=np.array([300.0, 380.0]), water_share=0.0).tolist()
    [300.0, 380.0]
    """
    t = within("temperature_k", temperature_k, low=kelvin(celsius=0.0), high=kelvin(celsius=215.0), source=_SOURCE)
    w = float(within("water_share", water_share, low=0.0, high=1.0, source=_SOURCE))
    first = float(t[0])
    heats = np.asarray(boiling_water_enthalpy_j_per_kg(temperature_k=t))
    return np.asarray(first + (1 - w) * (t - first) + w * (heats - heats[0]) / _water_heat(first))


@dataclass(frozen=True, slots=True)
class Powers:
    """Power and reckoned heat capacity where given, each with its uncertainty; share of water in the capacity."""

    power: float | None
    power_sigma: float
    reckoned: float | None
    reckoned_sigma: float
    water_share: float

    @classmethod
    def of(
        cls,
        *,
        power_w: float | None,
        power_sigma_w: float | None,
        water_m3: float | None,
        metal: tuple[float, str],
        first_k: float,
    ) -> Powers:
        """Return them from power and masses; unstated uncertainties are the usual ones."""
        sigma = constant("heating_power_share") * (power_w or 0.0) if power_sigma_w is None else power_sigma_w
        if water_m3 is None:
            return cls(power_w, sigma, None, 0.0, constant("heating_water_share"))
        filled = first_k if first_k < kelvin(celsius=_COLD_C) else kelvin(celsius=constant("room_c"))
        water = float(water_mass_kg(volume_m3=water_m3, temperature_k=filled)) * _water_heat(first_k)
        reckoned = water + metal[0] * specific_heat_j_per_kg_k(metal=metal[1])
        return cls(power_w, sigma, reckoned, constant("heating_mass_share") * reckoned, water / reckoned)


@dataclass(frozen=True, slots=True)
class Balance:
    """Capacity [J/K] and loss [W/K], their uncertainties and correlation; power that masses and slope stand for."""

    capacity: float | None
    capacity_sigma: float | None
    loss: float | None
    loss_sigma: float | None
    loss_shown: bool
    correlation: float | None
    apparent: float | None
    apparent_sigma: float | None
    disagreement: float | None
    room_k: float

    def loss_to(self, temperature_k: float) -> float:
        """Return the loss at a temperature [W]."""
        return (self.loss or 0.0) * (temperature_k - self.room_k)


def balance(*, rise: Rise, powers: Powers, room_k: float | None) -> Balance:
    """Turn a fitted curve into capacity and loss; from the power, or from the masses where no power was given.

    Symbols: r = s + k (T_0 - T_r) slope that there would be at room temperature; C = P / r, G = k C; power for the
    reckoned capacity P' = C' r. Covariances to first order. Valid where r is above 0. Source: lumped-model; jcgm-100.

    >>> from brasswright.bench.rise import rise_fit
    >>> t = np.arange(0.0, 900.0, 60.0)
    >>> curve = rise_fit(times_s=t, rises_k=293.15 + 400.0 * (1 - np.exp(-t / 4000.0)))
    >>> found = balance(rise=curve, powers=Powers(1000.0, 0.0, None, 0.0, 0.0), room_k=293.15)
    >>> round(found.capacity), round(found.loss, 4)
    (10000, 2.5)
    """
    room = kelvin(celsius=constant("room_c")) if room_k is None else room_k
    room_sigma = _ROOM_SIGMA_K * (5.0 if room_k is None else 1.0)
    slope = rise.slope + rise.pace * (rise.start - room)
    together = np.array(rise.covariance)
    by_fit = np.array([rise.pace, 1.0, rise.start - room])
    slope_share = math.sqrt(float(by_fit @ together @ by_fit) + (rise.pace * room_sigma) ** 2) / slope
    capacity, of_capacity, rest = _capacity(powers, slope, by_fit, rise.pace * room_sigma)
    of_loss = rise.pace * of_capacity + np.array([0.0, 0.0, capacity])
    capacity_sigma = math.sqrt(float(of_capacity @ together @ of_capacity) + rest)
    loss_sigma = math.sqrt(float(of_loss @ together @ of_loss) + rise.pace**2 * rest)
    common = float(of_capacity @ together @ of_loss) + rise.pace * rest
    apparent = None if powers.reckoned is None else powers.reckoned * slope
    apart = None
    if powers.power is not None and powers.reckoned is not None:
        apart = (capacity - powers.reckoned) / math.hypot(capacity_sigma, powers.reckoned_sigma)
    return Balance(
        capacity=capacity,
        capacity_sigma=capacity_sigma,
        loss=rise.pace * capacity,
        loss_sigma=loss_sigma,
        loss_shown=rise.pace > _SHOWN * rise.pace_sigma,
        correlation=common / (capacity_sigma * loss_sigma) if capacity_sigma and loss_sigma else None,
        apparent=apparent,
        apparent_sigma=None if apparent is None else apparent * math.hypot(slope_share, _mass_share(powers)),
        disagreement=apart,
        room_k=room,
    )


def _mass_share(powers: Powers) -> float:
    """Return the uncertainty of the reckoned capacity as its share."""
    return powers.reckoned_sigma / powers.reckoned if powers.reckoned else 0.0


def _capacity(powers: Powers, slope: float, by_fit: Array, by_room: float) -> tuple[float, Array, float]:
    """Return the capacity, its derivative by start, slope and pace, and its variance from everything else."""
    if powers.power is None:
        return powers.reckoned or 0.0, np.zeros(3), powers.reckoned_sigma**2
    capacity = powers.power / slope
    rest = (capacity * powers.power_sigma / powers.power) ** 2 + (capacity * by_room / slope) ** 2
    return capacity, -by_fit * capacity / slope, rest
