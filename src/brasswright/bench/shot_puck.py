"""The puck of coffee as a bed of changing resistance: what pressure over time pushes how much water into it.

Topics: `Puck` (resistance against the water that has gone in, and its sum over it), `bed_resistance_pa_s_per_m3`,
`water_viscosity_pa_s`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.tables import constant
from brasswright.units import kelvin

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Puck", "bed_resistance_pa_s_per_m3", "solved", "water_viscosity_pa_s"]

_HALVINGS: Final = 60
_TERMS: Final = 4
_LEAST_WET_M3: Final = 1e-12
_KELVINS: Final = (kelvin(celsius=-20.0), kelvin(celsius=110.0))


def water_viscosity_pa_s(*, temperature_k: Figure) -> Figure:
    """Viscosity of liquid water at 0.1 MPa [Pa s]; ten bar more change it by less than 0.2 %.

    Symbols: mu = sum of a_i (T / 300 K)^b_i over four terms. Valid for -20 to 110 °C. Source: iapws-sr6-08.

    >>> round(water_viscosity_pa_s(temperature_k=298.15), 6)
    0.00089
    """
    t = within("temperature_k", temperature_k, low=_KELVINS[0], high=_KELVINS[1], source="iapws-sr6-08")
    reduced = t / constant("viscosity_reduce_k")
    terms = [constant(f"viscosity_a{n}") * reduced ** constant(f"viscosity_b{n}") for n in range(1, _TERMS + 1)]
    return plain(np.asarray(constant("viscosity_reduce_pa_s") * sum(terms)))


def bed_resistance_pa_s_per_m3(
    *, permeability_m2: Figure, bed_depth_m: Figure, basket_diameter_m: Figure, temperature_k: Figure
) -> Figure:
    """Resistance of a soaked bed to flow, pressure over flow [Pa s/m3].

    Symbols: kappa permeability, L depth, d diameter, mu viscosity; R = mu L / (kappa pi d^2 / 4).
    Valid for slow flow, in which pressure and flow go together. Source: darcy-1856.

    >>> one = bed_resistance_pa_s_per_m3(
    ...     permeability_m2=2e-15, bed_depth_m=0.012, basket_diameter_m=0.058, temperature_k=363.15
    ... )
    >>> round(9e5 / one * 1e6, 2)
    1.26
    """
    kappa = within("permeability_m2", permeability_m2, low=1e-17, high=1e-11, source="darcy-1856")
    depth = within("bed_depth_m", bed_depth_m, low=0.002, high=0.06, source="darcy-1856")
    across = within("basket_diameter_m", basket_diameter_m, low=0.02, high=0.08, source="darcy-1856")
    viscosity = np.asarray(water_viscosity_pa_s(temperature_k=temperature_k))
    return plain(np.asarray(viscosity * depth / (kappa * np.pi * across**2 / 4)))


@dataclass(frozen=True, slots=True)
class Puck:
    """A bed that drinks `wet_m3` before the first drop, then goes from `first` to `last` resistance [Pa s/m3].

    While the front of the water runs through it, its resistance grows with the part that is wet; from the first drop on
    R = last + (first - last) exp(-v / softening_m3) with v the water that went through since.
    """

    wet_m3: Array
    first: Array
    last: Array
    softening_m3: Array

    def resistance(self, volume_m3: Array) -> Array:
        """Return pressure over flow when so much water has gone in [Pa s/m3]."""
        wet = np.maximum(self.wet_m3, _LEAST_WET_M3)
        through = np.maximum(volume_m3 - wet, 0.0)
        soaked = self.last + (self.first - self.last) * np.exp(-through / self.softening_m3)
        return np.asarray(np.where(volume_m3 < wet, self.first * volume_m3 / wet, soaked))

    def impulse(self, volume_m3: Array) -> Array:
        """Return the integral of pressure over time that has pushed so much water in [Pa s]: closed form."""
        wet = np.maximum(self.wet_m3, _LEAST_WET_M3)
        through = np.maximum(volume_m3 - wet, 0.0)
        filling = self.first * np.minimum(volume_m3, wet) ** 2 / (2 * wet)
        fading = (self.first - self.last) * self.softening_m3 * -np.expm1(-through / self.softening_m3)
        return np.asarray(filling + self.last * through + fading)

    def volume_for(self, impulse_pa_s: Array) -> Array:
        """Return the water that an impulse pushes in: the way back from `impulse` [m3]."""
        most = self.wet_m3 + _LEAST_WET_M3 + impulse_pa_s / np.minimum(self.first, self.last)
        return solved(self.impulse, impulse_pa_s, most)


def solved(rising: Callable[[Array], Array], target: Array, most: Array) -> Array:
    """Return where a rising function meets its target, between nothing and `most`, by halving."""
    low, high = np.zeros_like(most), np.array(most, dtype=np.float64)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        under = rising(middle) < target
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return np.asarray((low + high) / 2)
