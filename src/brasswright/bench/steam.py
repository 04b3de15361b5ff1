"""Water and steam along the saturation line: enthalpy, latent heat, volume. Regions 1 and 2 of IAPWS-IF97 in numpy."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from brasswright.bench.saturation_line import saturation_pressure_pa, saturation_temperature_k
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.tables import constant, rows

__all__ = [
    "boiling_water_enthalpy_j_per_kg",
    "latent_heat_j_per_kg",
    "steam_enthalpy_j_per_kg",
    "steam_volume_m3_per_kg",
    "water_enthalpy_j_per_kg",
    "water_volume_m3_per_kg",
]

_SOURCE: Final = "iapws-r7-97"


@cache
def _terms(table: str) -> tuple[Array, Array, Array]:
    """Return the exponents I and J and the coefficients n of a table, each as a column over its terms."""
    read = [(float(row["i"]), float(row["j"]), float(row["coefficient"])) for row in rows(table)]
    i, j, n = (np.array(column, dtype=np.float64) for column in zip(*read, strict=True))
    return i, j, n


def _sum(table: str, first: Array, second: Array, *, slope: str) -> Array:
    """Return the derivative of sum n first^I second^J with respect to "first" or "second"."""
    i, j, n = _terms(table)
    a, b = first[..., None], second[..., None]
    terms = n * i * a ** (i - 1) * b**j if slope == "first" else n * j * a**i * b ** (j - 1)
    return np.asarray(terms.sum(axis=-1))


def _both(pressure_pa: Figure, temperature_k: Figure | None) -> tuple[Array, Array]:
    """Return pressure and temperature checked, of one shape; without temperature that of saturation."""
    p = within(
        "pressure_pa", pressure_pa, low=constant("saturation_low_pa"), high=constant("steam_high_pa"), source=_SOURCE
    )
    t = saturation_temperature_k(pressure_pa=p) if temperature_k is None else temperature_k
    kelvins = within(
        "temperature_k", t, low=constant("saturation_low_k") - 1e-3, high=constant("steam_high_k"), source=_SOURCE
    )
    p, kelvins = np.broadcast_arrays(p, kelvins)
    return p, kelvins


def _region_1(p: Array, t: Array) -> tuple[Array, Array]:
    """Return the reduced pressure below its edge and the reduced inverse temperature."""
    return (
        constant("steam_region1_edge") - p / constant("steam_region1_pa"),
        constant("steam_region1_k") / t - constant("steam_region1_shift"),
    )


def water_enthalpy_j_per_kg(*, pressure_pa: Figure, temperature_k: Figure | None = None) -> Figure:
    """Specific enthalpy of water [J/kg]; without a temperature, of water about to boil.

    Symbols: p [Pa], T [K]; h = R T tau dgamma/dtau. Valid for 611.212 Pa to 16.529 MPa, 273.15 K to 623.15 K and no
    hotter than boiling. Source: iapws-r7-97, eq. 7.

    >>> round(water_enthalpy_j_per_kg(pressure_pa=3.0e6, temperature_k=300.0) / 1000, 2)
    115.33
    """
    p, t = _both(pressure_pa, temperature_k)
    first, second = _region_1(p, t)
    slope = _sum("steam_region1", first, second, slope="second")
    return plain(constant("steam_gas_j_per_kg_k") * constant("steam_region1_k") * slope)


def water_volume_m3_per_kg(*, pressure_pa: Figure, temperature_k: Figure | None = None) -> Figure:
    """Specific volume of water [m3/kg]; without a temperature, of water about to boil.

    Symbols: p [Pa], T [K]; v = R T / p pi dgamma/dpi. Valid as `water_enthalpy_j_per_kg`. Source: iapws-r7-97, eq. 7.

    >>> round(water_volume_m3_per_kg(pressure_pa=3.0e6, temperature_k=300.0), 6)
    0.001002
    """
    p, t = _both(pressure_pa, temperature_k)
    slope = -_sum("steam_region1", *_region_1(p, t), slope="first")
    return plain(constant("steam_gas_j_per_kg_k") * t * slope / constant("steam_region1_pa"))


def steam_enthalpy_j_per_kg(*, pressure_pa: Figure, temperature_k: Figure | None = None) -> Figure:
    """Specific enthalpy of steam [J/kg]; without a temperature, of dry saturated steam.

    Symbols: p [Pa], T [K]; h = R T tau (dgamma0/dtau + dgammar/dtau). Valid for 611.212 Pa to 16.529 MPa, no colder
    than boiling, to 623.15 K. Source: iapws-r7-97, eq. 15.

    >>> round(steam_enthalpy_j_per_kg(pressure_pa=200_000.0) / 1000, 1)
    2706.2
    """
    p, t = _both(pressure_pa, temperature_k)
    first, tau = p / constant("steam_region2_pa"), constant("steam_region2_k") / t
    ideal = _sum("steam_region2_ideal", np.ones_like(first), tau, slope="second")
    residual = _sum("steam_region2_residual", first, tau - constant("steam_region2_shift"), slope="second")
    return plain(constant("steam_gas_j_per_kg_k") * constant("steam_region2_k") * (ideal + residual))


def steam_volume_m3_per_kg(*, pressure_pa: Figure, temperature_k: Figure | None = None) -> Figure:
    """Specific volume of steam [m3/kg]; without a temperature, of dry saturated steam.

    Symbols: p [Pa], T [K]; v = R T / p (1 + pi dgammar/dpi). Valid as `steam_enthalpy_j_per_kg`.
    Source: iapws-r7-97, eq. 15.

    >>> round(steam_volume_m3_per_kg(pressure_pa=250_000.0), 3)
    0.719
    """
    p, t = _both(pressure_pa, temperature_k)
    first = p / constant("steam_region2_pa")
    second = constant("steam_region2_k") / t - constant("steam_region2_shift")
    residual = _sum("steam_region2_residual", first, second, slope="first")
    return plain(constant("steam_gas_j_per_kg_k") * t / p * (1 + first * residual))


def latent_heat_j_per_kg(*, pressure_pa: Figure) -> Figure:
    """Heat that turns water about to boil into dry steam at an absolute pressure [J/kg].

    Symbols: p [Pa]; difference of the enthalpies of steam and water on the saturation line.
    Valid for 611.212 Pa to 16.529 MPa. Source: iapws-r7-97, eq. 7, 15 and 31.

    >>> round(latent_heat_j_per_kg(pressure_pa=200_000.0) / 1000)
    2202
    """
    steam = np.asarray(steam_enthalpy_j_per_kg(pressure_pa=pressure_pa))
    return plain(steam - np.asarray(water_enthalpy_j_per_kg(pressure_pa=pressure_pa)))


def boiling_water_enthalpy_j_per_kg(*, temperature_k: Figure) -> Figure:
    """Specific enthalpy of water about to boil at a temperature [J/kg].

    Symbols: T [K]. Valid for 273.15 K to 623.15 K. Source: iapws-r7-97, eq. 7 and 30.

    >>> round(boiling_water_enthalpy_j_per_kg(temperature_k=373.15) / 1000)
    419
    """
    pressure = np.maximum(saturation_pressure_pa(temperature_k=temperature_k), constant("saturation_low_pa"))
    return water_enthalpy_j_per_kg(pressure_pa=pressure, temperature_k=temperature_k)
