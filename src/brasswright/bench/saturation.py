"""Boiler pressure and steam temperature: which belongs to which, and whether air was left in.

Region 4 of IAPWS-IF97 in numpy, both ways; gauge pressure needs the air outside, from a barometer or the altitude.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.saturation_line import (
    HIGH_M,
    LOW_M,
    barometer_pa,
    saturation_pressure_pa,
    saturation_slope_k_per_pa,
    saturation_temperature_k,
)
from brasswright.bench.steam import boiling_water_enthalpy_j_per_kg, latent_heat_j_per_kg
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import kelvin, words

__all__ = [
    "INSTRUMENT",
    "SaturationResult",
    "barometer_pa",
    "saturation",
    "saturation_pressure_pa",
    "saturation_slope_k_per_pa",
    "saturation_temperature_k",
]

_SOURCE: Final = "iapws-r7-97"
_CLEAR: Final = 2.0
"""A disagreement counts from two standard uncertainties on."""


@dataclass(frozen=True, slots=True)
class SaturationResult:
    """What a boiler's pressure and temperature say together; figures are None where their input was not given.

    `air_pa` is the part of the pressure that steam of that temperature cannot explain, `air_share` its share of the
    absolute pressure; `significance` is the disagreement in standard uncertainties. `flash_share` is how much of the
    boiler's water turns to steam when it is let out into the room.
    """

    barometer_pa: Figure
    pressure_absolute_pa: Figure | None
    steam_temperature_k: Figure | None
    temperature_k: Figure | None
    steam_pressure_absolute_pa: Figure | None
    steam_pressure_gauge_pa: Figure | None
    temperature_short_k: Figure | None
    air_pa: Figure | None
    air_share: Figure | None
    significance: Figure | None
    flash_share: Figure | None
    finding: str
    meaning: str


def saturation(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    pressure_gauge_pa: Figure | None = None,
    temperature_k: Figure | None = None,
    altitude_m: Figure = 0.0,
    barometer_pressure_pa: Figure | None = None,
    pressure_sigma_pa: float | None = None,
    temperature_sigma_k: float | None = None,
) -> SaturationResult:
    """What boiler pressure, steam temperature, or both together mean.

    Symbols: p_g gauge pressure [Pa], T temperature in the steam space [K], p_b barometer [Pa]; p = p_g + p_b;
    T_s(p) steam temperature; air p_a = p - p_s(T) (Dalton). Disagreement z = (T_s - T) / u with
    u^2 = u_T^2 + (dT/dp u_p)^2; unstated uncertainties are 0.5 K and 2.5 kPa, common practice, no source. Flash share
    x = (h'(T) - h'(p_b)) / r(p_b), of the water's own temperature where that was read, else of its pressure's.
    Valid for saturated steam and water, 273.15 K to 647.096 K. Source: iapws-r7-97, eq. 30 and 31; dalton; iso-2533.

    >>> result = saturation(pressure_gauge_pa=100_000.0)
    >>> round(result.steam_temperature_k - 273.15, 1)
    120.4
    """
    if pressure_gauge_pa is None and temperature_k is None:
        raise ImpossibleValue("Neither pressure nor temperature was given.", allowed="pressure, temperature, or both")
    outside = _outside(altitude_m, barometer_pressure_pa)
    absolute = steam_t = t = steam_p = short = air = z = None
    if pressure_gauge_pa is not None:
        gauge = within("pressure_gauge_pa", pressure_gauge_pa, low=-math.inf, high=math.inf, source=_SOURCE)
        absolute = gauge + outside
        steam_t = np.asarray(saturation_temperature_k(pressure_pa=absolute))
    if temperature_k is not None:
        steam_p = np.asarray(saturation_pressure_pa(temperature_k=temperature_k))
        t = np.asarray(temperature_k, dtype=np.float64)
    if absolute is not None and steam_t is not None and t is not None and steam_p is not None:
        short, air = steam_t - t, absolute - steam_p
        weather = constant("weather_sigma_pa") if barometer_pressure_pa is None else 0.0
        z = short / _disagreement_k(absolute, pressure_sigma_pa, temperature_sigma_k, weather)
    finding, meaning = _meaning(z, short, air)
    return SaturationResult(
        barometer_pa=plain(outside),
        pressure_absolute_pa=_maybe(absolute),
        steam_temperature_k=_maybe(steam_t),
        temperature_k=_maybe(t),
        steam_pressure_absolute_pa=_maybe(steam_p),
        steam_pressure_gauge_pa=_maybe(None if steam_p is None else steam_p - outside),
        temperature_short_k=_maybe(short),
        air_pa=_maybe(air),
        air_share=_maybe(None if air is None or absolute is None else air / absolute),
        significance=_maybe(z),
        flash_share=_flash(t if t is not None else steam_t, outside),
        finding=finding,
        meaning=meaning,
    )


def _flash(temperature: Array | None, outside: Array) -> Figure | None:
    """Return the share of water of this temperature that turns to steam at the pressure outside; none below boiling."""
    if temperature is None or np.any(temperature > constant("steam_high_k")):
        return None
    boiling = np.asarray(saturation_temperature_k(pressure_pa=outside))
    hot = np.asarray(boiling_water_enthalpy_j_per_kg(temperature_k=np.maximum(temperature, boiling)))
    cold = np.asarray(boiling_water_enthalpy_j_per_kg(temperature_k=boiling))
    return plain((hot - cold) / np.asarray(latent_heat_j_per_kg(pressure_pa=outside)))


def _outside(altitude_m: Figure, barometer_pressure_pa: Figure | None) -> Array:
    """Return the pressure of the air outside: the barometer where one was read, else the standard atmosphere."""
    if barometer_pressure_pa is None:
        return np.asarray(barometer_pa(altitude_m=altitude_m), dtype=np.float64)
    lowest, most = float(barometer_pa(altitude_m=HIGH_M)), float(barometer_pa(altitude_m=LOW_M))
    return within("barometer_pressure_pa", barometer_pressure_pa, low=lowest, high=most, source="iso-2533")


def _disagreement_k(
    absolute: Array, pressure_sigma_pa: float | None, temperature_sigma_k: float | None, weather_sigma_pa: float
) -> Array:
    """Return the standard uncertainty of the difference of the two temperatures."""
    u_p = constant("gauge_sigma_pa") if pressure_sigma_pa is None else pressure_sigma_pa
    u_t = constant("probe_sigma_k") if temperature_sigma_k is None else temperature_sigma_k
    u_p = math.hypot(u_p, weather_sigma_pa)
    slope = np.asarray(saturation_slope_k_per_pa(pressure_pa=absolute))
    return np.asarray(np.hypot(u_t, slope * u_p))


def _meaning(z: Array | None, short: Array | None, air: Array | None) -> tuple[str, str]:
    """Return the finding and its sentence."""
    if z is None or short is None or air is None:
        return "one reading only", "Pressure and temperature together would show air left in, or a gauge that is out."
    significance, kelvins, pressure = float(z.mean()), float(short.mean()), float(air.mean())
    if significance > _CLEAR:
        return "air left in", (
            f"The steam is {kelvins:.1f} K colder than its pressure says: {words(pressure, unit='bar', figures=2)} of "
            "the pressure is air, or the gauge reads high, or the probe is not in steam. Vent until steam comes."
        )
    if significance < -_CLEAR:
        return "hotter than its pressure", (
            f"The steam is {-kelvins:.1f} K hotter than its pressure says: the gauge reads low or its tube is blocked, "
            "or the probe touches the element. Check the gauge against a reference before anything is trusted."
        )
    return "agree", "Pressure and temperature agree within their uncertainty: saturated steam, air vented."


def _maybe(value: Array | None) -> Figure | None:
    """Return a figure, or None where there is none."""
    return None if value is None else plain(value)


INSTRUMENT: Final = Instrument(
    name="saturation",
    summary="boiler pressure and steam temperature: which belongs to which, and whether air was left in",
    inputs=(
        Input(
            "pressure", "pressure_gauge_pa", "boiler gauge, above the air outside", dimension="pressure_gauge",
            unit="bar", low=-constant("atmosphere_pa"), high=constant("saturation_high_pa"),
            plausible=(-50_000.0, 1_600_000.0), sigma="pressure_sigma_pa",
            silent={"over range": "Beyond the gauge: switch off at the supply and leave it to cool."},
        ),
        Input(
            "temperature", "temperature_k", "probe in the steam space", dimension="temperature", unit="°C",
            low=kelvin(celsius=0.0), high=constant("saturation_high_k"),
            plausible=(kelvin(celsius=0.0), kelvin(celsius=205.0)), sigma="temperature_sigma_k",
            silent={"over range": "Beyond the probe: switch off at the supply and leave it to cool."},
        ),
        Input(
            "altitude", "altitude_m", "height of the workshop above the sea, if no barometer was read",
            dimension="length", unit="m", low=LOW_M, high=HIGH_M,
        ),
        Input(
            "barometer", "barometer_pressure_pa", "air pressure outside, as read, not reduced to sea level",
            dimension="pressure_absolute", unit="hPa", low=54_000.0, high=106_300.0,
        ),
    ),
    outputs=(
        Output("barometer_pa", "Pa", "air pressure outside", "hPa"),
        Output("pressure_absolute_pa", "Pa", "boiler pressure over vacuum", "bar abs"),
        Output("steam_temperature_k", "K", "temperature that belongs to the pressure", "°C"),
        Output("temperature_k", "K", "temperature as read", "°C"),
        Output("steam_pressure_absolute_pa", "Pa", "pressure over vacuum that belongs to the temperature", "bar abs"),
        Output("steam_pressure_gauge_pa", "Pa", "gauge pressure that belongs to the temperature", "bar"),
        Output("temperature_short_k", "K", "how much colder the steam is than its pressure says"),
        Output("air_pa", "Pa", "pressure that the steam does not explain", "bar"),
        Output("air_share", "1", "its share of the pressure over vacuum", "%"),
        Output("significance", "1", "the disagreement in standard uncertainties"),
        Output("flash_share", "1", "share of the boiler's water that flashes to steam when let out into the room", "%"),
        Output("finding", "", "finding: agree, air left in, hotter than its pressure, or one reading only"),
        Output("meaning", "", "meaning: the finding in a sentence"),
    ),
    validity="saturated steam over water, 0 to 373.9 °C; altitude -400 to 5000 m",
    example={"pressure": "1.0 bar", "temperature": "112 °C"},
    cautions=(
        "A zero on the machine's own gauge is never evidence that a boiler is without pressure.",
        "Over-pressure: switch off at the supply, leave it, let it cool and vent; find the cause cold.",
    ),
    sources=("iapws-r7-97", "iso-2533", "dalton", "common-practice"),
    call=saturation,
)  # fmt: skip
