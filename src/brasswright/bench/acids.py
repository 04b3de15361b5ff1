"""Acids that dissolve scale: molar masses, what a mole of scale takes, the salt it leaves, and pH."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import to_si

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["ACIDS", "CARBONATE", "Acid", "Salt", "acid_for", "acid_per_scale", "molar_mass_kg_per_mol", "ph"]

ACIDS: Final = tuple(row["acid"] for row in rows("acids"))
CARBONATE: Final = "CaCO3"
_PIECE: Final = re.compile(r"([A-Z][a-z]?)(\d*)|\(([A-Za-z0-9]+)\)(\d*)")
_FORMULA: Final = re.compile(rf"(?:{_PIECE.pattern})+")
_HALVINGS: Final = 26


@dataclass(frozen=True, slots=True)
class Salt:
    """The calcium salt an acid leaves: moles of it for a mole of calcium, and what a cubic metre of water holds."""

    name: str
    molar_mass_kg_per_mol: float
    per_calcium: float
    solubility_low_kg_per_m3: float
    solubility_high_kg_per_m3: float
    provenance: str


@dataclass(frozen=True, slots=True)
class Acid:
    """An acid: protons that scale takes from it, all its pKa, usual and highest concentration, its salt."""

    name: str
    molar_mass_kg_per_mol: float
    protons: int
    pka: tuple[float, ...]
    usual_kg_per_m3: float
    high_kg_per_m3: float
    for_the_bench: bool
    salt: Salt
    note: str


@cache
def molar_mass_kg_per_mol(*, formula: str) -> float:
    """Molar mass of a formula such as Ca3C12H10O14(H2O)4 [kg/mol].

    Symbols: sum of standard atomic weights. Valid for the elements of the table. Source: iupac-weights.

    >>> round(1000 * molar_mass_kg_per_mol(formula="CaCO3"), 3)
    100.086
    """
    if not _FORMULA.fullmatch(formula):
        raise ImpossibleValue("That is no formula.", got=f"'{formula}'", allowed="such as CaCO3 or C6H8O7(H2O)")
    weights = {row["element"]: float(row["weight_g_per_mol"]) for row in rows("atomic_weights")}
    total = 0.0
    for element, count, group, times in _PIECE.findall(formula):
        if group:
            total += molar_mass_kg_per_mol(formula=group) * int(times or 1)
        elif element in weights:
            total += to_si(weights[element], unit="g") * int(count or 1)
        else:
            raise NotFound(f"'{element}' is no element of the table.", got=formula, allowed=", ".join(weights))
    return total


def acid_for(name: str) -> Acid:
    """Return an acid of the table by its name."""
    for row in rows("acids"):
        if row["acid"] == name:
            return _read(row)
    raise NotFound(f"'{name}' is no acid of the table.", allowed=", ".join(ACIDS))


def acid_per_scale(*, acid: str) -> float:
    """Mass of acid that neutralises a unit mass of calcium carbonate.

    Symbols: CaCO3 takes two protons; 2 M_acid / (protons M_CaCO3). Valid for the acids of the table, pure.
    Source: iupac-weights.

    >>> round(acid_per_scale(acid="citric"), 3)
    1.28
    """
    found = acid_for(acid)
    return 2.0 * found.molar_mass_kg_per_mol / (found.protons * molar_mass_kg_per_mol(formula=CARBONATE))


def ph(*, acid: str, concentration_kg_per_m3: Figure, neutralised: Figure = 0.0) -> Figure:
    """Acidity of a bath, roughly [pH].

    Symbols: c molar concentration, h = 10^-pH, n mean charge of the acid from its pKa; the charges balance:
    h + protons c x = K_w / h + c n, with x the share of the protons for scale that calcium has taken. Ion pairs,
    activities and dissolved gas are left out: with calcium in it a real bath reads lower.
    Valid for 0.001 to 200 kg/m³, 25 °C. Source: mass-action; acid-constants.

    >>> round(ph(acid="acetic", concentration_kg_per_m3=6.0), 1)
    2.9
    """
    found = acid_for(acid)
    c = within("concentration_kg_per_m3", concentration_kg_per_m3, low=0.001, high=200.0, source="mass-action")
    share = within("neutralised", neutralised, low=0.0, high=1.0, source="mass-action")
    molar = np.asarray(c / found.molar_mass_kg_per_mol * to_si(1.0, unit="l"))
    taken = np.asarray(found.protons * molar * share)
    low, high = np.zeros(np.broadcast(molar, taken).shape) - 1.0, np.full(np.broadcast(molar, taken).shape, 14.0)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        h = 10.0**-middle
        over = h + taken - 10.0 ** (middle - constant("water_pk")) - molar * _charge(found.pka, h)
        low, high = np.where(over > 0, middle, low), np.where(over > 0, high, middle)
    return plain(np.asarray((low + high) / 2))


def _charge(pka: tuple[float, ...], h: Array) -> Array:
    """Return the mean negative charge of an acid at this concentration of hydrogen ions."""
    weight, total, charge = np.ones_like(h), np.ones_like(h), np.zeros_like(h)
    for step, one in enumerate(pka, 1):
        weight = weight * 10.0**-one / h
        total, charge = total + weight, charge + step * weight
    return np.asarray(charge / total)


def _read(row: Mapping[str, str]) -> Acid:
    """Return one row of the table."""
    litre = to_si(1.0, unit="g/l")
    salt = Salt(
        name=row["salt"],
        molar_mass_kg_per_mol=molar_mass_kg_per_mol(formula=row["salt_formula"]),
        per_calcium=1.0 / int(row["calcium_per_salt"]),
        solubility_low_kg_per_m3=float(row["solubility_low_g_per_l"]) * litre,
        solubility_high_kg_per_m3=float(row["solubility_high_g_per_l"]) * litre,
        provenance=row["provenance"],
    )
    return Acid(
        name=row["acid"],
        molar_mass_kg_per_mol=molar_mass_kg_per_mol(formula=row["formula"]),
        protons=int(row["protons"]),
        pka=tuple(float(one) for one in row["pka"].split()),
        usual_kg_per_m3=float(row["usual_g_per_l"]) * litre,
        high_kg_per_m3=float(row["high_g_per_l"]) * litre,
        for_the_bench=row["bench"] == "yes",
        salt=salt,
        note=row["note"],
    )
