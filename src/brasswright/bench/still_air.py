"""Heat that air takes from a warm surface: properties of air, and one correlation for each shape.

Nusselt numbers take Rayleigh (Grashof times Prandtl) or Reynolds number and Prandtl number of the air at film
temperature, half-way between surface and room.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.tables import constant, rows

__all__ = [
    "Air",
    "air_at",
    "nusselt_cross_draught",
    "nusselt_facing_up",
    "nusselt_lying_cylinder",
    "nusselt_plate_draught",
    "nusselt_standing_cylinder",
    "nusselt_standing_plate",
    "rayleigh_number",
]

_CHURCHILL: Final = "churchill-chu-1975"
_MOST_RAYLEIGH: Final = 1e12
_LEAST_UP: Final = 1e4
_PRANDTL: Final = (0.5, 20.0)


@dataclass(frozen=True, slots=True)
class Air:
    """Dry air at 101325 Pa: conductivity [W/(m K)], kinematic viscosity and thermal diffusivity [m2/s]."""

    conductivity: Array
    viscosity: Array
    diffusivity: Array

    @property
    def prandtl(self) -> Array:
        """Return the Prandtl number [1]."""
        return np.asarray(self.viscosity / self.diffusivity)


@cache
def _table() -> tuple[Array, ...]:
    """Return the columns of the table."""
    names = ("temperature_k", "conductivity_w_per_m_k", "viscosity_m2_per_s", "diffusivity_m2_per_s")
    return tuple(np.array([float(row[name]) for row in rows("air")]) for name in names)


def air_at(*, temperature_k: Figure) -> Air:
    """Return the properties of dry air at a film temperature, straight between the rows of the table.

    Valid for 250 K to 500 K at 101325 Pa. Source: lemmon-air, recomputed with CoolProp.

    >>> round(float(air_at(temperature_k=300.0).prandtl), 3)
    0.707
    """
    t, k, nu, alpha = _table()
    film = within("film temperature", temperature_k, low=float(t[0]), high=float(t[-1]), source="lemmon-air")
    return Air(
        np.asarray(np.interp(film, t, k)), np.asarray(np.interp(film, t, nu)), np.asarray(np.interp(film, t, alpha))
    )


def rayleigh_number(*, surface_k: Figure, air_k: Figure, size_m: Figure) -> Figure:
    """How strongly warm air rises along a surface [1].

    Symbols: g gravity, T_f film temperature, b = 1 / T_f, L size, n viscosity, a diffusivity;
    Ra = g b (T - T_air) L^3 / (n a). Valid for film temperatures of 250 K to 500 K. Source: incropera.

    >>> round(rayleigh_number(surface_k=353.15, air_k=293.15, size_m=0.1) / 1e6, 1)
    3.9
    """
    film = (np.asarray(surface_k, dtype=np.float64) + air_k) / 2
    air = air_at(temperature_k=film)
    lift = constant("gravity_m_per_s2") / film * np.abs(np.asarray(surface_k) - air_k)
    return plain(lift * np.asarray(size_m) ** 3 / (air.viscosity * air.diffusivity))


def nusselt_lying_cylinder(*, rayleigh: Figure, prandtl: Figure) -> Figure:
    """Nusselt number of a lying cylinder on its diameter [1].

    Symbols: {0.60 + 0.387 Ra^(1/6) / [1 + (0.559 / Pr)^(9/16)]^(8/27)}^2. Valid for Ra up to 1e12, Pr of gases and
    water. Source: churchill-chu-1975.

    >>> round(nusselt_lying_cylinder(rayleigh=0.69 * 2.63e9, prandtl=0.69), 1)
    139.1
    """
    ra, pr = _free(rayleigh, prandtl)
    return plain((0.60 + 0.387 * ra ** (1 / 6) / (1 + (0.559 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def nusselt_standing_plate(*, rayleigh: Figure, prandtl: Figure) -> Figure:
    """Nusselt number of a standing plate on its height [1].

    Symbols: {0.825 + 0.387 Ra^(1/6) / [1 + (0.492 / Pr)^(9/16)]^(8/27)}^2. Valid for Ra up to 1e12, Pr of gases and
    water. Source: churchill-chu-1975.

    >>> round(nusselt_standing_plate(rayleigh=0.69 * 2.63e9, prandtl=0.69), 1)
    147.2
    """
    ra, pr = _free(rayleigh, prandtl)
    return plain((0.825 + 0.387 * ra ** (1 / 6) / (1 + (0.492 / pr) ** (9 / 16)) ** (8 / 27)) ** 2)


def nusselt_standing_cylinder(*, rayleigh: Figure, prandtl: Figure, height_m: Figure, diameter_m: Figure) -> Figure:
    """Nusselt number of a standing cylinder on its height [1]: the plate's, raised where the cylinder is slender.

    Symbols: Nu_p {1 + B [32^(1/2) Gr^(-1/4) L / D]^C}, B = 0.0571322 + 0.20305 Pr^(-0.43),
    C = 0.9165 - 0.0043 Pr^(1/2) + 0.01333 ln Pr + 0.0004809 / Pr. Valid for Ra of 1 to 1e12. Source: popiel-2008.

    >>> round(nusselt_standing_cylinder(rayleigh=0.7e10, prandtl=0.7, height_m=2.5, diameter_m=1.0), 1)
    228.9
    """
    ra, pr = _free(rayleigh, prandtl)
    raised = np.maximum(ra, 1.0)  # cooler than this nothing rises, and the correction loses its meaning
    b = 0.0571322 + 0.20305 * pr**-0.43
    c = 0.9165 - 0.0043 * np.sqrt(pr) + 0.01333 * np.log(pr) + 0.0004809 / pr
    slender = np.sqrt(32.0) * (raised / pr) ** -0.25 * np.asarray(height_m) / np.asarray(diameter_m)
    return plain(np.asarray(nusselt_standing_plate(rayleigh=ra, prandtl=pr)) * (1 + b * slender**c))


def nusselt_facing_up(*, rayleigh: Figure) -> Figure:
    """Nusselt number of a hot plate that faces up, on its area over its edge [1].

    Symbols: 0.54 Ra^(1/4) in smooth, 0.15 Ra^(1/3) in rough flow; the greater of the two, so that nothing jumps where
    one ends. Valid for Ra of 1e4 to 1e11. Source: mcadams-1954.

    >>> round(nusselt_facing_up(rayleigh=1e6), 1)
    17.1
    """
    ra = within("rayleigh", rayleigh, low=_LEAST_UP, high=1e11, source="mcadams-1954")
    return plain(np.maximum(0.54 * ra**0.25, 0.15 * np.cbrt(ra)))


def nusselt_cross_draught(*, reynolds: Figure, prandtl: Figure) -> Figure:
    """Nusselt number of a cylinder in a draught across it, on its diameter [1].

    Symbols: 0.3 + 0.62 Re^(1/2) Pr^(1/3) / [1 + (0.4 / Pr)^(2/3)]^(1/4) [1 + (Re / 282000)^(5/8)]^(4/5).
    Valid for Re Pr above 0.2, Re up to 1e7. Source: churchill-bernstein-1977.

    >>> round(nusselt_cross_draught(reynolds=5000.0, prandtl=0.7), 1)
    36.6
    """
    re = within("reynolds", reynolds, low=0.0, high=1e7, source="churchill-bernstein-1977")
    pr = within("prandtl", prandtl, low=_PRANDTL[0], high=_PRANDTL[1], source="churchill-bernstein-1977")
    first = 0.62 * np.sqrt(re) * np.cbrt(pr) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25
    return plain(0.3 + first * (1 + (re / 282_000.0) ** 0.625) ** 0.8)


def nusselt_plate_draught(*, reynolds: Figure, prandtl: Figure) -> Figure:
    """Nusselt number of a plate in a draught along it, on its length [1].

    Symbols: 0.664 Re^(1/2) Pr^(1/3). Valid for smooth flow, Re up to 5e5, Pr from 0.6. Source: incropera.

    >>> round(nusselt_plate_draught(reynolds=10_000.0, prandtl=0.7), 1)
    59.0
    """
    re = within("reynolds", reynolds, low=0.0, high=5e5, source="incropera")
    pr = within("prandtl", prandtl, low=_PRANDTL[0], high=_PRANDTL[1], source="incropera")
    return plain(0.664 * np.sqrt(re) * np.cbrt(pr))


def _free(rayleigh: Figure, prandtl: Figure) -> tuple[Array, Array]:
    """Return Rayleigh and Prandtl number, checked."""
    ra = within("rayleigh", rayleigh, low=0.0, high=_MOST_RAYLEIGH, source=_CHURCHILL)
    return ra, within("prandtl", prandtl, low=_PRANDTL[0], high=_PRANDTL[1], source=_CHURCHILL)
