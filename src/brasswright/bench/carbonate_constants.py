"""Constants of the carbonate system: equilibrium constants and activity coefficients by temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from brasswright.bench.saturation import saturation_pressure_pa
from brasswright.bench.steam import water_volume_m3_per_kg
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import from_si, kelvin, to_si

__all__ = [
    "COMPONENTS",
    "EDGES_K",
    "Species",
    "activity_coefficients_ln",
    "debye_hueckel",
    "log_solubility",
    "species",
    "species_log_k",
    "water_kg_per_m3",
]

COMPONENTS: Final = ("h", "co3", "ca", "mg", "na", "so4")
"""What every species is made of, in the order of the columns of `Species.made_of`."""

EDGES_K: Final = (kelvin(celsius=1.0), kelvin(celsius=135.0))
_SOURCE: Final = "phreeqc-dat"
_ROOM_K: Final = kelvin(celsius=25.0)
_LN10: Final = math.log(10.0)
_ATMOSPHERE_BAR: Final = from_si(constant("atmosphere_pa"), unit="bar abs", dimension="pressure_absolute")
_THOUSAND_BAR: Final = 1000.0
"""The pressure at which the dielectric constant is anchored."""
_EXPRESSION: Final = ("a1", "a2", "a3", "a4", "a5", "a6")


@dataclass(frozen=True, slots=True)
class Species:
    """All dissolved species: names, charges, what each is made of (a row a species), size in angstrom and slope.

    A species without a published size has NaN there and follows the equation of Davies.
    """

    names: tuple[str, ...]
    charge: Array
    made_of: Array
    size: Array
    slope: Array


@cache
def species() -> Species:
    """Return the table of dissolved species."""
    found = rows("carbonate_species")
    sizes = [float(row["size_angstrom"] or math.nan) for row in found]
    return Species(
        tuple(row["species"] for row in found),
        np.array([float(row["charge"]) for row in found]),
        np.array([[float(row[part]) for part in COMPONENTS] for row in found]),
        np.array(sizes),
        np.array([float(row["slope"] or 0.0) for row in found]),
    )


@cache
def _laws(table: str) -> tuple[tuple[float, float, tuple[float, ...] | None], ...]:
    """Return constant at 25 °C, enthalpy in J/mol and expression (None where there is none) of each row."""
    return tuple(
        (
            float(row["log_k_25"]),
            float(row.get("enthalpy_kj") or 0.0) * to_si(1.0, unit="kJ"),
            tuple(float(row[a] or 0.0) for a in _EXPRESSION) if row["a1"] else None,
        )
        for row in rows(table)
    )


def _log_k(law: tuple[float, float, tuple[float, ...] | None], t: Array) -> Array:
    """Return log10 K of one reaction: by its expression, else from 25 °C with its enthalpy."""
    at_room, enthalpy, terms = law
    if terms is None:
        return np.asarray(at_room - enthalpy / (_LN10 * constant("gas_constant_j_per_mol_k")) * (1 / t - 1 / _ROOM_K))
    a1, a2, a3, a4, a5, a6 = terms
    return np.asarray(a1 + a2 * t + a3 / t + a4 * np.log10(t) + a5 / t**2 + a6 * t**2)


def species_log_k(*, temperature_k: Array) -> Array:
    """Return log10 of the formation constants from H+, CO3--, Ca++, Mg++, Na+ and SO4--, a last axis over species.

    Symbols: log10 K = a1 + a2 T + a3 / T + a4 log10 T + a5 / T^2 + a6 T^2, or by van 't Hoff. Valid for 1 to 135 °C:
    measured to about 90 °C, beyond it carried on. Source: plummer-busenberg-1982, phreeqc-dat.
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source=_SOURCE)
    return np.stack([_log_k(law, t) for law in _laws("carbonate_species")], axis=-1)


def log_solubility(*, name: str, temperature_k: Figure) -> Figure:
    """Log10 of the solubility product of a solid, or of the solubility of carbon dioxide [mol/(kg atm)].

    Symbols: as `species_log_k`; names calcite, gypsum, anhydrite, co2 gas. Valid for 1 to 135 °C; calcite was measured
    to 90 °C. Source: plummer-busenberg-1982, eq. for calcite; blount-dickson-1973; phreeqc-dat.

    >>> round(log_solubility(name="calcite", temperature_k=298.15), 3)
    -8.48
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source=_SOURCE)
    names = [row["name"] for row in rows("carbonate_solids")]
    if name not in names:
        raise NotFound(f"No solubility of '{name}' is at hand.", allowed=", ".join(names))
    return plain(_log_k(_laws("carbonate_solids")[names.index(name)], t))


def water_kg_per_m3(*, temperature_k: Figure) -> Figure:
    """Density of water, at boiling pressure where that is above the air's [kg/m3].

    Symbols: T temperature [K]. Valid for 1 to 135 °C. Source: iapws-r7-97, region 1.

    >>> round(water_kg_per_m3(temperature_k=298.15), 1)
    997.0
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source="iapws-r7-97")
    pressed = np.maximum(constant("atmosphere_pa"), np.asarray(saturation_pressure_pa(temperature_k=t)) * 1.001)
    return plain(1 / np.asarray(water_volume_m3_per_kg(pressure_pa=pressed, temperature_k=t)))


def debye_hueckel(*, temperature_k: Figure) -> tuple[Figure, Figure]:
    """Return A [-] and B [1/angstrom] of the equation of Debye and Hueckel in water.

    Symbols: A = a root(rho) / (eps T)^1.5, B = b root(rho / (eps T)), rho [kg/l], eps of water at the air's pressure.
    Valid for 1 to 135 °C. Source: truesdell-jones-1974; bradley-pitzer-1979.

    >>> a, b = debye_hueckel(temperature_k=298.15)
    >>> round(a, 2), round(b, 2)
    (0.51, 0.33)
    """
    t = within("temperature_k", temperature_k, low=EDGES_K[0], high=EDGES_K[1], source="bradley-pitzer-1979")
    u = [constant(f"water_dielectric_{number}") for number in range(1, 10)]
    far, near = u[3] + u[4] / (u[5] + t), u[6] + u[7] / t + u[8] * t
    dielectric = u[0] * np.exp(u[1] * t + u[2] * t**2) + far * np.log((near + _ATMOSPHERE_BAR) / (near + _THOUSAND_BAR))
    density = np.asarray(water_kg_per_m3(temperature_k=t)) * to_si(1.0, unit="l")
    warm = dielectric * t
    return plain(constant("water_debye_a") * np.sqrt(density) / warm**1.5), plain(
        constant("water_debye_b") * np.sqrt(density / warm)
    )


def activity_coefficients_ln(*, ionic_strength: Array, a: Array, b: Array) -> Array:
    """Return natural logarithms of the activity coefficients, a last axis over species.

    Symbols: I ionic strength [mol/kg], z charge, s size, c slope: log10 g = -A z^2 root(I) / (1 + B s root(I)) + c I;
    by Davies -A z^2 (root(I) / (1 + root(I)) - 0.3 I) without a size; 0.1 I for molecules.
    Valid to about 0.1 mol/kg. Source: truesdell-jones-1974; davies-1962.
    """
    table = species()
    strength, root = ionic_strength[..., None], np.sqrt(ionic_strength)[..., None]
    pull = -a[..., None] * table.charge**2
    sized = pull * root / (1 + b[..., None] * table.size * root) + table.slope * strength
    davies = pull * (root / (1 + root) - constant("water_davies") * strength)
    molecules = constant("water_salting") * strength * np.ones_like(table.charge)
    ions = np.where(np.isnan(table.size), davies, sized)
    return np.asarray(np.where(table.charge == 0, molecules, ions) * _LN10)
