"""How fast a boiler cools: the time constant of a logged curve, with its uncertainty, and the loss it stands for."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.boiler_log import ask_if_absolute, read_boiler_log, single
from brasswright.bench.fitting import fit
from brasswright.bench.heat_balance import Powers
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.saturation import barometer_pa, saturation_temperature_k
from brasswright.bench.validity import Array, within
from brasswright.bench.warming import metals
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import kelvin, to_si, words

__all__ = ["INSTRUMENT", "CoolingFit", "cooling", "cooling_fit"]

_SOURCE: Final = "lumped-model"
_LEAST_POINTS: Final = 6
_LEAST_FALL_K: Final = 5.0
_CLEAR: Final = 3.0
_VOLUME: Final = (to_si(0.05, unit="l"), to_si(50.0, unit="l"))
_KILOGRAMS: Final = (0.0, 200.0)


@dataclass(frozen=True, slots=True)
class CoolingFit:
    """A cooling curve as excess over the room times exp(-t / tau): all with standard uncertainty.

    `spread_k` is the standard deviation of the points about the curve. `drift` is by how many standard uncertainties
    the later half cools at another pace than the earlier; `meaning` says what that may be. Heat capacity and loss
    are None where no water was given.
    """

    cooling_time_s: float
    cooling_time_sigma_s: float
    start_temperature_k: float
    start_temperature_sigma_k: float
    room_temperature_k: float
    room_temperature_sigma_k: float
    spread_k: float
    drift: float
    points: int
    meaning: str
    heat_capacity_j_per_k: float | None = None
    loss_w_per_k: float | None = None
    loss_sigma_w_per_k: float | None = None


def cooling_fit(*, times_s: Array, temperatures_k: Array, room_temperature_k: float | None = None) -> CoolingFit:
    """Fit a boiler's cooling curve by least squares.

    Symbols: T = T_r + (T_0 - T_r) exp(-t / tau), with t from the first point; T_r room, fitted too where not given.
    Uncertainties from the scatter about the curve. Valid for at least six points that fall by 5 K or more, heating off,
    nothing drawn, lid and taps shut; one lump. Source: lumped-model; gauss-newton.

    >>> t = np.arange(0.0, 3600.0, 300.0)
    >>> round(cooling_fit(times_s=t, temperatures_k=293.15 + 90 * np.exp(-t / 5000.0)).cooling_time_s)
    5000
    """
    t, temperature = _checked(times_s, temperatures_k)
    room = None
    if room_temperature_k is not None:
        high = float(temperature.min())
        room = single("room_temperature_k", room_temperature_k, low=kelvin(celsius=-20.0), high=high, source=_SOURCE)
    values, sigmas, spread = _exponential(t, temperature, room)
    middle = t.size // 2
    drift = 0.0
    if t.size >= 2 * _LEAST_POINTS:
        early, late = (
            _exponential(t[half], temperature[half], values[2]) for half in (slice(middle), slice(middle, None))
        )
        apart = float(np.hypot(early[1][1], late[1][1]))
        drift = (late[0][1] - early[0][1]) / apart if apart else 0.0
    return CoolingFit(
        cooling_time_s=values[1],
        cooling_time_sigma_s=sigmas[1],
        start_temperature_k=values[0],
        start_temperature_sigma_k=sigmas[0],
        room_temperature_k=values[2],
        room_temperature_sigma_k=sigmas[2],
        spread_k=spread,
        drift=drift,
        points=int(t.size),
        meaning=_meaning(values[1], sigmas[1], drift),
    )


def cooling(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    log: str,
    room_temperature_k: float | None = None,
    water_volume_m3: float | None = None,
    metal_mass_kg: float = 0.0,
    metal: str = "brass",
    altitude_m: float = 0.0,
    pressure_is_gauge: bool = False,
) -> CoolingFit:
    r"""How fast a boiler cools, from a log: a CSV with `time` and `temperature` or `pressure`, each with its unit.

    Symbols: T = T_r + (T_0 - T_r) exp(-t / tau); tau cooling time, T_0 start, T_r room; loss G = C / tau with the heat
    capacity C of water and metal at the mean temperature. Pressure above the air outside becomes temperature by the
    saturation line. What is wrong with the log is refused with its line. Valid for six points or more that fall by 5 K
    or more. Arrays are refused. Source: lumped-model; gauss-newton; iapws-r7-97; material-tables.

    >>> rows = "".join(f"{m},{20 + 80 * 2.718281828 ** (-m / 60):.3f}\n" for m in range(0, 60, 5))
    >>> found = cooling(log="time [min],temperature [°C]\n" + rows, room_temperature_k=293.15)
    >>> round(found.cooling_time_s / 60)
    60
    """
    t, temperature = _logged(log, altitude_m, confirmed=pressure_is_gauge)
    found = cooling_fit(times_s=t, temperatures_k=temperature, room_temperature_k=room_temperature_k)
    mass = single("metal_mass_kg", metal_mass_kg, low=_KILOGRAMS[0], high=_KILOGRAMS[1], source=_SOURCE)
    if water_volume_m3 is None:
        return found
    water = single("water_volume_m3", water_volume_m3, low=_VOLUME[0], high=_VOLUME[1], source=_SOURCE)
    mean = float(temperature.mean())
    powers = Powers.of(power_w=None, power_sigma_w=None, water_m3=water, metal=(mass, metal), first_k=mean)
    capacity = powers.reckoned or 0.0
    loss = capacity / found.cooling_time_s
    share = math.hypot(found.cooling_time_sigma_s / found.cooling_time_s, powers.reckoned_sigma / capacity)
    return dataclasses.replace(
        found,
        heat_capacity_j_per_k=capacity,
        loss_w_per_k=loss,
        loss_sigma_w_per_k=loss * share,
        meaning=f"{found.meaning} With its water and metal it loses {words(loss, loss * share, unit='W/K')}.",
    )


def _logged(log: str, altitude_m: float, *, confirmed: bool) -> tuple[Array, Array]:
    """Return times and temperatures of a log; of pressure, as long as there is some."""
    metres = single("altitude_m", altitude_m, low=-400.0, high=5000.0, source="iso-2533")
    outside = float(barometer_pa(altitude_m=metres))
    held = read_boiler_log(log, barometer_pa=outside)
    if held.temperature_k is not None:
        return held.time_s, held.temperature_k
    gauge = np.asarray(held.pressure_gauge_pa)
    ask_if_absolute(float(gauge[-1]), barometer_pa=outside, confirmed=confirmed, where="log, pressure")
    boils = gauge >= constant("heating_boil_pa")
    if not np.any(boils):
        raise ImpossibleValue("There is no pressure: it says nothing of the temperature.", where="log")
    return held.time_s[boils], np.asarray(saturation_temperature_k(pressure_pa=gauge[boils] + outside))


def _checked(times_s: Array, temperatures_k: Array) -> tuple[Array, Array]:
    """Return times from the first point on, and temperatures."""
    t = within("times_s", times_s, low=0.0, high=1.0e9, source=_SOURCE)
    temperature = within(
        "temperatures_k", temperatures_k, low=kelvin(celsius=0.0), high=kelvin(celsius=250.0), source=_SOURCE
    )
    if t.ndim != 1 or t.shape != temperature.shape or t.size < _LEAST_POINTS:
        raise ImpossibleValue("A cooling curve needs points.", got=t.size, allowed=f"{_LEAST_POINTS} or more of each")
    if np.any(np.diff(t) <= 0):
        raise ImpossibleValue("The times of a cooling curve rise.", remedy="Sort the log and take double lines out.")
    fall = float(temperature[0] - temperature[-1])
    if fall < _LEAST_FALL_K:
        raise ImpossibleValue(
            "The curve falls too little to tell how fast it cools.",
            got=words(fall, unit="K", dimension="temperature_difference"),
            allowed="5 K or more",
            remedy="Log for longer, with the heating off.",
        )
    return np.asarray(t - t[0]), temperature


def _exponential(
    t: Array, temperature: Array, room: float | None
) -> tuple[tuple[float, float, float], tuple[float, float, float], float]:
    """Return start, time constant and room with their standard uncertainties, and the spread about the curve."""
    t = t - t[0]
    guess = float(temperature.min()) - 1.0 if room is None else room
    ratio = float((temperature[0] - guess) / max(float(temperature[-1]) - guess, 1e-6))
    start = [float(temperature[0]), float(t[-1]) / max(float(np.log(max(ratio, 1.0 + 1e-6))), 1e-3)]
    if room is not None:
        found = fit(lambda p: room + (p[0] - room) * np.exp(-t / p[1]), start=start, target=temperature)
        return (found.values[0], found.values[1], room), (found.sigmas[0], found.sigmas[1], 0.0), found.spread
    found = fit(lambda p: p[2] + (p[0] - p[2]) * np.exp(-t / p[1]), start=[*start, guess], target=temperature)
    first, tau, base = found.values
    u_first, u_tau, u_base = found.sigmas
    return (first, tau, base), (u_first, u_tau, u_base), found.spread


def _meaning(tau_s: float, sigma_s: float, drift: float) -> str:
    """Return what the curve says."""
    said = f"Its excess over the room falls to 37 % in {words(tau_s, sigma_s or None, unit='min', dimension='time')}."
    if drift > _CLEAR:
        return f"{said} It cools faster at first: steam escaping, or lagging and case still taking up heat."
    if drift < -_CLEAR:
        return f"{said} It cools slower at first: heat still flowing in, or the room was not at rest."
    return said


INSTRUMENT: Final = Instrument(
    name="cooling",
    summary="how fast a boiler cools, from a logged curve: the cooling time that gives its standing loss",
    inputs=(
        Input(
            "log", "log", "a CSV file (or its text): time with temperature, or with pressure above the air outside",
            kind="log", required=True,
        ),
        Input(
            "room_temperature", "room_temperature_k", "the room; without it, it is found from the curve",
            dimension="temperature", unit="°C", low=kelvin(celsius=-20.0), high=kelvin(celsius=250.0),
            plausible=(kelvin(celsius=-5.0), kelvin(celsius=45.0)),
        ),
        Input(
            "water_volume", "water_volume_m3", "cold water filled in, for the loss", dimension="volume", unit="l",
            low=_VOLUME[0], high=_VOLUME[1], plausible=(to_si(0.2, unit="l"), to_si(30.0, unit="l")),
        ),
        Input(
            "metal_mass", "metal_mass_kg", "boiler, group and all metal that is as hot", dimension="mass", unit="kg",
            low=_KILOGRAMS[0], high=_KILOGRAMS[1],
        ),
        Input("metal", "metal", "what it is mostly made of", kind="choice", choices=metals()),
        Input("altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0),
        Input("pressure_is_gauge", "pressure_is_gauge", "the gauge shows zero on an open vessel", kind="yes or no"),
    ),
    outputs=(
        Output("cooling_time_s", "s", "time to cool to 37 % of the excess over the room", "min"),
        Output("cooling_time_sigma_s", "s", "its standard uncertainty", "min"),
        Output("start_temperature_k", "K", "temperature at the start, on the curve", "°C"),
        Output("start_temperature_sigma_k", "K", "its standard uncertainty"),
        Output("room_temperature_k", "K", "the room, as read or as found", "°C"),
        Output("room_temperature_sigma_k", "K", "its standard uncertainty, none where it was read"),
        Output("spread_k", "K", "standard deviation of the points about the curve"),
        Output("drift", "1", "how far the later pace is from the earlier, in standard uncertainties"),
        Output("points", "", "points: how many were used"),
        Output("heat_capacity_j_per_k", "J/K", "heat capacity of water and metal, reckoned", "kJ/K"),
        Output("loss_w_per_k", "W/K", "loss for each kelvin over the room"),
        Output("loss_sigma_w_per_k", "W/K", "its standard uncertainty"),
        Output("meaning", "", "meaning: what the curve says in a sentence"),
    ),
    validity="six points or more that fall by 5 K or more, 0 to 250 °C, heating off, nothing drawn",
    example={
        "log": "time [min],temperature [°C]\n0,118.0\n10,107.1\n20,97.6\n30,88.7\n40,81.0\n50,74.1\n60,67.7",
        "room_temperature": "20 °C", "water_volume": "1.5 l", "metal_mass": "4.5 kg",
    },
    cautions=(
        "Switch off at the supply and let it cool by itself: no tap, cap or joint is opened to hasten it.",
        "Read the temperature at the shell or a fitted probe; a zero on the machine's own gauge is no evidence.",
        "Hot metal and steam burn; old lagging is not touched to place a probe.",
    ),
    sources=("lumped-model", "gauss-newton", "iapws-r7-97", "material-tables", "common-practice"),
    call=cooling,
)  # fmt: skip
