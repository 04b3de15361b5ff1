"""What pressure does in a closed vessel when temperature drifts or something leaks: gas, or full of water."""

from __future__ import annotations

from typing import Final

import numpy as np

from brasswright.bench.steam import water_volume_m3_per_kg
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin, to_si

__all__ = [
    "KELVINS",
    "LITRES",
    "expansion_per_k",
    "full_metals",
    "gas_gain_mol_per_s",
    "stored_energy_j",
    "water_modulus_pa",
    "water_rise_pa_per_k",
]

KELVINS: Final = (kelvin(celsius=1.0), kelvin(celsius=60.0))
"""Temperatures of a cold test."""
LITRES: Final = (to_si(0.02, unit="l"), to_si(100.0, unit="l"))
_PASCALS: Final = (1.0, to_si(50.0, unit="bar"))


def gas_gain_mol_per_s(  # noqa: PLR0913 - keyword-only: two readings of pressure and temperature
    *,
    volume_m3: Figure,
    start_pressure_absolute_pa: Figure,
    end_pressure_absolute_pa: Figure,
    start_temperature_k: Figure,
    end_temperature_k: Figure,
    hold_s: Figure,
) -> Figure:
    """Gas that came into a vessel, negative where it went out [mol/s].

    Symbols: V volume, R gas constant, p absolute pressure, T temperature, t time; V / R (p2 / T2 - p1 / T1) / t.
    Valid for an ideal gas up to 50 bar, 1 to 60 °C. Source: cfr-40-1065-644.

    >>> round(gas_gain_mol_per_s(volume_m3=0.002, start_pressure_absolute_pa=25300.0, end_pressure_absolute_pa=50600.0,
    ...                          start_temperature_k=293.15, end_temperature_k=293.15, hold_s=70.0) * 1e6, 1)
    296.6
    """
    source = "cfr-40-1065-644"
    v = within("volume_m3", volume_m3, low=LITRES[0], high=LITRES[1], source=source)
    p1, p2 = (
        within(name, value, low=_PASCALS[0], high=_PASCALS[1], source=source)
        for name, value in (
            ("start_pressure_absolute_pa", start_pressure_absolute_pa),
            ("end_pressure_absolute_pa", end_pressure_absolute_pa),
        )
    )
    t1, t2 = (
        within(name, value, low=KELVINS[0], high=KELVINS[1], source=source)
        for name, value in (("start_temperature_k", start_temperature_k), ("end_temperature_k", end_temperature_k))
    )
    seconds = within("hold_s", hold_s, low=1.0, high=1.0e6, source=source)
    return plain(v / constant("molar_gas_j_per_mol_k") * (p2 / t2 - p1 / t1) / seconds)


def stored_energy_j(*, volume_m3: Figure, pressure_absolute_pa: Figure, outside_pa: Figure) -> Figure:
    """Energy that a gas gives up when it expands to the air outside [J]; nought at or below it.

    Symbols: p pressure, p_a outside, V volume, g ratio of specific heats; p V / (g - 1) (1 - (p_a / p)^((g - 1) / g)).
    Valid for air up to 50 bar. Source: ideal-gas-expansion.

    >>> round(stored_energy_j(volume_m3=0.005, pressure_absolute_pa=121325.0, outside_pa=101325.0))
    76
    """
    source = "ideal-gas-expansion"
    v = within("volume_m3", volume_m3, low=0.0, high=LITRES[1], source=source)
    outside = within("outside_pa", outside_pa, low=_PASCALS[0], high=_PASCALS[1], source=source)
    p = within("pressure_absolute_pa", pressure_absolute_pa, low=_PASCALS[0], high=_PASCALS[1], source=source)
    over = np.maximum(p, outside)
    g = constant("air_heat_ratio")
    return plain(over * v / (g - 1) * (1 - (outside / over) ** ((g - 1) / g)))


def _specific(temperature_k: Array, pressure_pa: float) -> Array:
    return np.asarray(water_volume_m3_per_kg(pressure_pa=pressure_pa, temperature_k=temperature_k))


def _cold(temperature_k: Figure) -> Array:
    return within("temperature_k", temperature_k, low=KELVINS[0], high=KELVINS[1], source="iapws-r7-97")


def water_modulus_pa(*, temperature_k: Figure) -> Figure:
    """How hard water is to compress, at constant temperature and low pressure [Pa]: -v dp/dv, by difference.

    Symbols: v specific volume, p pressure. Valid for 1 to 60 °C. Source: iapws-r7-97, eq. 7.

    >>> round(water_modulus_pa(temperature_k=293.15) / 1e9, 2)
    2.18
    """
    t = _cold(temperature_k)
    low, high = (to_si(bar, unit="bar") for bar in (1.0, 11.0))
    loose, tight = _specific(t, low), _specific(t, high)
    return plain((loose + tight) / 2 * (high - low) / (loose - tight))


def full_metals() -> tuple[str, ...]:
    """Return the metals whose expansion is in the table."""
    return tuple(row["metal"] for row in rows("metal_expansions"))


def expansion_per_k(*, metal: str) -> float:
    """Return the linear thermal expansion of a metal near 20 °C [1/K].

    Valid for the metals of the table. Source: expansion-tables (from memory).

    >>> expansion_per_k(metal="copper")
    1.7e-05
    """
    for row in rows("metal_expansions"):
        if row["metal"] == metal:
            return float(row["per_k"])
    raise NotFound(f"The expansion of '{metal}' is not in the table.", allowed=", ".join(full_metals()))


def water_rise_pa_per_k(*, temperature_k: Figure, metal: str) -> Figure:
    """Most that pressure rises for each kelvin in a stiff vessel full of water, without any air [Pa/K].

    Symbols: K bulk modulus, b volume expansion of water, a linear expansion of the metal; K (b - 3 a). Negative below
    about 7 °C, where the metal grows more than the water. Valid for 1 to 60 °C. Source: iapws-r7-97; expansion-tables.

    >>> round(water_rise_pa_per_k(temperature_k=293.15, metal="copper") / 1e5, 1)
    3.4
    """
    t = _cold(temperature_k)
    here = to_si(2.0, unit="bar")
    below, above = _specific(t - 0.5, here), _specific(t + 0.5, here)
    expansion = 2 * (above - below) / (above + below)
    return plain(np.asarray(water_modulus_pa(temperature_k=t)) * (expansion - 3 * expansion_per_k(metal=metal)))
