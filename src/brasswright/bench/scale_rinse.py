"""The rinse after an acid bath: fills of clean water, and bicarbonate for what stays in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.acids import acid_for, molar_mass_kg_per_mol
from brasswright.bench.scale_bath import BATH_M3
from brasswright.bench.scale_gas import gas_volume_m3
from brasswright.bench.validity import Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from brasswright.bench.scale_bath import Recipe
    from brasswright.bench.scale_gas import Room

__all__ = ["BICARBONATE", "DRAG_M3", "LIMIT", "Rinse", "bicarbonate_for_acid_kg", "rinse_after", "rinse_count"]

BICARBONATE: Final = "NaHCO3"
DRAG_M3: Final = (0.000001, 0.05)
LIMIT: Final = (0.0001, 1.0)
_CARBONIC_PKA: Final = 6.41
_WHOLE: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Rinse:
    """Fills of clean water, bicarbonate for the acid that stays in, its gas, and how it is done."""

    fills: Figure | None
    bicarbonate_kg: Figure | None
    gas_m3: Figure | None
    says: str


def rinse_after(
    recipe: Recipe, *, drag_out_m3: Figure | None, fill_m3: Figure | None, limit_kg_per_m3: Figure | None, room: Room
) -> Rinse:
    """Return the rinse after a bath of that recipe, as if all of its acid were still in it.

    Symbols: as `rinse_count`, never fewer than three fills; bicarbonate for the acid left behind before the first.
    Valid as `rinse_count`. Source: dilution; common-practice (three fills).
    """
    usual = constant("rinse_limit_kg_per_m3")
    limit = within(
        "rinse_limit_kg_per_m3", usual if limit_kg_per_m3 is None else limit_kg_per_m3, low=LIMIT[0], high=LIMIT[1],
        source="dilution",
    )  # fmt: skip
    how = "until clear, and until a pH strip reads the same as in tap water"
    if drag_out_m3 is None:
        if fill_m3 is not None:
            within("rinse_volume_m3", fill_m3, low=BATH_M3[0], high=BATH_M3[1], source="dilution")
        return Rinse(None, None, None, f"three fills and more, {how}; with drag_out it is reckoned")
    if fill_m3 is None:
        raise ImpossibleValue(
            "The rinse needs the water of one fill.", where="rinse_volume", remedy="Give rinse_volume or bath_volume."
        )
    c = recipe.concentration_kg_per_m3
    needed = rinse_count(concentration_kg_per_m3=c, drag_out_m3=drag_out_m3, fill_m3=fill_m3, limit_kg_per_m3=limit)
    fills = np.asarray(np.maximum(needed, constant("rinse_least")))
    soda = bicarbonate_for_acid_kg(acid=recipe.acid.name, acid_kg=np.asarray(c * drag_out_m3))
    moles = np.asarray(np.asarray(soda) / molar_mass_kg_per_mol(formula=BICARBONATE))
    gas = gas_volume_m3(amount_mol=moles, temperature_k=room.temperature_k, pressure_pa=room.pressure_pa)
    says = (
        f"{float(np.mean(fills)):.0f} fills ({float(np.mean(needed)):.0f} by arithmetic for all acid unspent), {how}. "
        f"Bicarbonate, where wanted, in the second fill: {words(float(np.mean(soda)), unit='g', figures=2)}, "
        f"likewise only in an open vessel ({words(float(np.mean(gas)), unit='l', figures=2)} of gas); never in the "
        "bath with scale left; then water"
    )
    return Rinse(plain(fills), soda, gas, says)


def rinse_count(
    *, concentration_kg_per_m3: Figure, drag_out_m3: Figure, fill_m3: Figure, limit_kg_per_m3: Figure
) -> Figure:
    """Fills of clean water that bring the acid left behind below a limit.

    Symbols: c_n = c_0 (d / (d + V))^n, with d what stays in when drained and V the water filled in; the least whole n.
    Valid for 1 ml to 50 l left, fills of 0.1 to 300 l. Source: dilution.

    >>> rinse_count(concentration_kg_per_m3=10.0, drag_out_m3=1e-4, fill_m3=9e-4, limit_kg_per_m3=0.01)
    3.0
    """
    c = within("concentration_kg_per_m3", concentration_kg_per_m3, low=0.001, high=200.0, source="dilution")
    drag = within("drag_out_m3", drag_out_m3, low=DRAG_M3[0], high=DRAG_M3[1], source="dilution")
    fill = within("rinse_volume_m3", fill_m3, low=BATH_M3[0], high=BATH_M3[1], source="dilution")
    limit = within("rinse_limit_kg_per_m3", limit_kg_per_m3, low=0.00001, high=10.0, source="dilution")
    needed = np.log(c / limit) / np.log((drag + fill) / drag)
    return plain(np.asarray(np.maximum(np.ceil(needed - _WHOLE), 0.0)))


def bicarbonate_for_acid_kg(*, acid: str, acid_kg: Figure) -> Figure:
    """Sodium bicarbonate that neutralises an acid [kg]; a mole of it gives a mole of carbon dioxide.

    Symbols: m M_NaHCO3 k / M_acid, with k the protons that are stronger than carbonic acid (pKa below 6.41).
    Valid for the acids of the table. Source: iupac-weights; acid-constants.

    >>> round(bicarbonate_for_acid_kg(acid="acetic", acid_kg=0.06005), 4)
    0.084
    """
    found = acid_for(acid)
    strong = sum(one < _CARBONIC_PKA for one in found.pka)
    mass = within("acid_kg", acid_kg, low=0.0, high=100.0, source="arithmetic")
    return plain(np.asarray(mass * strong * molar_mass_kg_per_mol(formula=BICARBONATE) / found.molar_mass_kg_per_mol))
