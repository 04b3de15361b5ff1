"""The saturation line of water both ways, and the air outside: region 4 of IAPWS-IF97 in numpy."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from brasswright.bench.validity import Figure, plain, within
from brasswright.tables import constant, rows

__all__ = [
    "HIGH_M",
    "LOW_M",
    "barometer_pa",
    "saturation_pressure_pa",
    "saturation_slope_k_per_pa",
    "saturation_temperature_k",
]

_SOURCE: Final = "iapws-r7-97"
LOW_M: Final = -400.0
HIGH_M: Final = 5000.0
"""Altitudes for which the standard atmosphere is taken here."""


@cache
def _coefficients() -> tuple[float, ...]:
    """Return n1 to n10 of region 4."""
    return tuple(float(row["coefficient"]) for row in rows("saturation_line"))


def saturation_pressure_pa(*, temperature_k: Figure) -> Figure:
    """Absolute pressure of steam in balance with water at a temperature [Pa].

    Symbols: T temperature [K], p pressure [MPa in the equation], theta = T + n9 / (T - n10).
    Valid for 273.15 K to 647.096 K. Source: iapws-r7-97, eq. 30.

    >>> round(saturation_pressure_pa(temperature_k=500.0))
    2638898
    """
    t = within(
        "temperature_k",
        temperature_k,
        low=constant("saturation_low_k"),
        high=constant("saturation_high_k"),
        source=_SOURCE,
    )
    n = _coefficients()
    theta = t + n[8] / (t - n[9])
    a = theta**2 + n[0] * theta + n[1]
    b = n[2] * theta**2 + n[3] * theta + n[4]
    c = n[5] * theta**2 + n[6] * theta + n[7]
    return plain((2 * c / (-b + np.sqrt(b**2 - 4 * a * c))) ** 4 * constant("saturation_scale_pa"))


def saturation_temperature_k(*, pressure_pa: Figure) -> Figure:
    """Temperature of steam in balance with water at an absolute pressure [K].

    Symbols: p pressure [MPa in the equation], beta = p^(1/4). Valid for 611.212 Pa to 22.064 MPa.
    Source: iapws-r7-97, eq. 31.

    >>> round(saturation_temperature_k(pressure_pa=1.0e6), 2)
    453.04
    """
    p = within(
        "pressure_pa",
        pressure_pa,
        low=constant("saturation_low_pa"),
        high=constant("saturation_high_pa"),
        source=_SOURCE,
    )
    n = _coefficients()
    beta = (p / constant("saturation_scale_pa")) ** 0.25
    e = beta**2 + n[2] * beta + n[5]
    f = n[0] * beta**2 + n[3] * beta + n[6]
    g = n[1] * beta**2 + n[4] * beta + n[7]
    d = 2 * g / (-f - np.sqrt(f**2 - 4 * e * g))
    return plain((n[9] + d - np.sqrt((n[9] + d) ** 2 - 4 * (n[8] + n[9] * d))) / 2)


def saturation_slope_k_per_pa(*, pressure_pa: Figure) -> Figure:
    """How fast the steam temperature rises with absolute pressure [K/Pa], by central difference over 0.2 %.

    Valid inside 611.212 Pa to 22.064 MPa with 0.1 % to spare at either end. Source: iapws-r7-97, eq. 31.

    >>> round(saturation_slope_k_per_pa(pressure_pa=200_000.0) * 100_000, 1)
    15.8
    """
    p = np.asarray(pressure_pa, dtype=np.float64)
    step = p / 1000
    above = np.asarray(saturation_temperature_k(pressure_pa=p + step))
    below = np.asarray(saturation_temperature_k(pressure_pa=p - step))
    return plain((above - below) / (2 * step))


def barometer_pa(*, altitude_m: Figure) -> Figure:
    """Pressure of the standard atmosphere at an altitude [Pa]; real weather differs by about a percent.

    Symbols: z altitude above sea level [m]. Valid here for -400 m to 5000 m. Source: iso-2533, troposphere.

    >>> round(barometer_pa(altitude_m=1000.0))
    89875
    """
    z = within("altitude_m", altitude_m, low=LOW_M, high=HIGH_M, source="iso-2533")
    share = 1 - constant("atmosphere_per_m") * z
    return plain(constant("atmosphere_pa") * share ** constant("atmosphere_power"))
