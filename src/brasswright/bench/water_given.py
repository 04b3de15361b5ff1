"""From what a strip, kit or laboratory says of a water to amounts in a kilogram: assumptions said, clashes named."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from brasswright.bench.carbonate import Water
from brasswright.bench.carbonate_constants import water_kg_per_m3
from brasswright.bench.propagate import LEAST_SAMPLES
from brasswright.bench.validity import Array, Figure, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import to_si, words

__all__ = ["EDGES", "Composed", "Readings", "composed", "molar_kg"]

_SOURCE: Final = "phreeqc-dat"
EDGES: Final = {
    "alkalinity": (0.001, 1.0),
    "hardness": (0.0, 1.5),
    "calcium": (0.0, 0.6),
    "magnesium": (0.0, 0.3),
    "sodium": (0.0, 2.0),
    "potassium": (0.0, 0.2),
    "chloride": (0.0, 3.0),
    "sulfate": (0.0, 2.0),
    "tds": (0.0, 5.0),
    "conductivity": (0.0, 0.8),
}
"""Least and most of each reading [kg/m3; conductivity S/m]: from nearly distilled to brackish water."""

_SLACK: Final = 0.05
"""Two readings of one thing may differ by this share before it is said."""
_FIT: Final = (0.6, 1.6)
"""Dissolved solids by meter over those by sum of ions: between these nothing is said."""


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read of a water [kg/m3; conductivity S/m]; hardness and alkalinity as CaCO3, ions as themselves."""

    alkalinity: Figure
    hardness: Figure | None = None
    calcium: Figure | None = None
    magnesium: Figure | None = None
    sodium: Figure | None = None
    potassium: Figure | None = None
    chloride: Figure | None = None
    sulfate: Figure | None = None
    tds: Figure | None = None
    conductivity: Figure | None = None


@dataclass(frozen=True, slots=True)
class Composed:
    """A water made up: amounts for the model, hardness and calcium as CaCO3 [kg/m3], what was assumed, what clashes."""

    water: Water
    alkalinity_mol_per_kg: Array
    calcium: Array
    magnesium: Array
    hardness: Array
    solids: Array
    assumed: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(slots=True)
class _Notes:
    """Sentences gathered on the way."""

    assumed: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)


def molar_kg(name: str) -> float:
    """Return the molar mass of an ion or of CaCO3 [kg/mol].

    >>> round(molar_kg("caco3"), 4)
    0.1001
    """
    return to_si(constant(f"water_{name}_g_per_mol"), unit="g")


def composed(readings: Readings, *, source_temperature_k: Figure) -> Composed:
    """Return the water that the readings describe, in amounts for each kilogram.

    Hardness without calcium is shared out, missing sodium or chloride closes the balance of charges; each such step is
    said in `assumed`, each clash in `warnings`. Impossible readings are refused; draws of an uncertain one that fall
    below its least value stand at that. Source: common-practice.
    """
    notes = _Notes()
    read = {
        name: None
        if (value := getattr(readings, name)) is None
        else within(_argument(name), _not_below(value, low), low=low, high=high, source=_SOURCE)
        for name, (low, high) in EDGES.items()
    }
    calcium, magnesium = _hard_ions(read, notes)
    per_caco3 = molar_kg("caco3")
    charges = np.asarray(2 * read["alkalinity"] / per_caco3) if read["alkalinity"] is not None else np.zeros(())
    ions = _closed(read, {"calcium": calcium, "magnesium": magnesium, "alkalinity": charges}, notes)
    hardness = (calcium + magnesium) * per_caco3
    _compare_alkalinity(charges, calcium + magnesium, notes)
    solids = _solids(read, calcium * molar_kg("ca") + magnesium * molar_kg("mg"), ions, charges, notes)
    liquid = np.asarray(water_kg_per_m3(temperature_k=source_temperature_k))
    inert = ions["potassium"] + ions["chloride"]
    return Composed(
        water=Water(
            calcium / liquid, magnesium / liquid, ions["sodium"] / liquid, ions["sulfate"] / liquid, inert / 2 / liquid
        ),
        alkalinity_mol_per_kg=np.asarray(charges / liquid),
        calcium=np.asarray(calcium * molar_kg("ca")),
        magnesium=np.asarray(magnesium * molar_kg("mg")),
        hardness=np.asarray(hardness),
        solids=solids,
        assumed=tuple(notes.assumed),
        warnings=tuple(notes.warnings),
    )


def _not_below(value: Figure, low: float) -> Figure:
    """Return draws of an uncertain reading cut off at its least value: no strip means less than nothing.

    Single readings, and draws whose middle lies below, stay as they are and are refused.
    """
    drawn = np.asarray(value)
    if drawn.size < LEAST_SAMPLES or not np.all(np.isfinite(drawn)) or float(np.median(drawn)) < low:
        return value
    return np.asarray(np.maximum(drawn, low))


def _argument(name: str) -> str:
    """Return the name under which the instrument takes a reading."""
    return "conductivity_s_per_m" if name == "conductivity" else f"{name}_kg_per_m3"


def _hard_ions(read: dict[str, Array | None], notes: _Notes) -> tuple[Array, Array]:
    """Return calcium and magnesium [mol/m3]."""
    total = None if read["hardness"] is None else read["hardness"] / molar_kg("caco3")
    calcium = None if read["calcium"] is None else read["calcium"] / molar_kg("ca")
    magnesium = None if read["magnesium"] is None else read["magnesium"] / molar_kg("mg")
    if calcium is not None and magnesium is not None:
        _compare_hardness(total, calcium + magnesium, notes)
        return calcium, magnesium
    if total is None:
        if calcium is None:
            raise ImpossibleValue(
                "Hardness is missing.", allowed="the total hardness, or calcium (with magnesium where known)"
            )
        notes.assumed.append("Magnesium was not read: none was taken, so the hardness is that of calcium alone.")
        return calcium, np.zeros_like(calcium)
    if calcium is not None:
        return calcium, _rest(total, calcium, "Calcium")
    if magnesium is not None:
        return _rest(total, magnesium, "Magnesium"), magnesium
    share = constant("water_calcium_share")
    notes.assumed.append(f"Of the hardness {share:.0%} was taken as calcium, the rest as magnesium.")
    return np.asarray(share * total), np.asarray((1 - share) * total)


def _rest(total: Array, part: Array, name: str) -> Array:
    """Return the rest of the hardness; refuses a part that is clearly more than the whole."""
    if float(np.mean(part)) > float(np.mean(total)) * (1 + _SLACK) + to_si(0.02, unit="mmol/l", dimension="hardness"):
        raise ImpossibleValue(
            f"{name} alone is more than the total hardness.",
            got=f"{float(np.mean(part)):.2f} of {float(np.mean(total)):.2f} mmol/l",
            remedy="Look at the units: 'mg/l' of an ion is not 'mg/l CaCO3'.",
        )
    return np.asarray(np.maximum(total - part, 0.0))


def _compare_hardness(total: Array | None, found: Array, notes: _Notes) -> None:
    """Say where the stated hardness is not that of the ions."""
    if total is None:
        return
    stated, made = float(np.mean(total)), float(np.mean(found))
    if abs(stated - made) > 2 * _SLACK * max(stated, made):
        notes.warnings.append(
            f"Hardness of {stated:.2f} mmol/l does not fit calcium and magnesium, which make {made:.2f} mmol/l: "
            "calcium and magnesium were taken."
        )


def _compare_alkalinity(charges: Array, hard: Array, notes: _Notes) -> None:
    """Say where there is more alkalinity than hardness."""
    carbonate, whole = float(np.mean(charges)) / 2, float(np.mean(hard))
    if carbonate > whole * (1 + _SLACK):
        notes.warnings.append(
            f"Carbonate hardness of {carbonate:.2f} mmol/l is more than the total hardness of {whole:.2f} mmol/l. "
            "Softened water and some natural ones are so (sodium bicarbonate); otherwise the two were mixed up, or a "
            "unit is wrong."
        )


def _closed(read: dict[str, Array | None], known: dict[str, Array], notes: _Notes) -> dict[str, Array]:
    """Return the other ions [mol/m3], the balance of charges closed by sodium or chloride where one is not known."""
    masses = {"sodium": "na", "potassium": "k", "chloride": "cl", "sulfate": "so4"}
    ions = {
        name: np.zeros(()) if (value := read[name]) is None else np.asarray(value / molar_kg(mass))
        for name, mass in masses.items()
    }
    plus = 2 * known["calcium"] + 2 * known["magnesium"] + ions["sodium"] + ions["potassium"]
    minus = known["alkalinity"] + ions["chloride"] + 2 * ions["sulfate"]
    short = np.asarray(minus - plus)
    mean = float(np.mean(short))
    closing = "sodium" if mean > 0 else "chloride"
    size = abs(mean) / max(float(np.mean(plus + minus)) / 2, to_si(0.01, unit="mmol/l", dimension="hardness"))
    amount = f"{abs(mean):.2f} meq/l"
    if read[closing] is None:
        ions[closing] = np.abs(short)
        notes.assumed.append(f"The balance of charges was closed with {amount} of {closing}, which was not read.")
    elif size > constant("water_imbalance"):
        other = "sulfate or nitrate" if closing == "chloride" else "potassium"
        notes.warnings.append(
            f"Charges do not balance: {amount} ({size:.0%}) too {'few' if mean > 0 else 'many'} positive ones. A "
            f"reading is wrong, or something such as {other} is missing; it was left so."
        )
    return ions


def _solids(
    read: dict[str, Array | None], hard_kg: Array, ions: dict[str, Array], charges: Array, notes: _Notes
) -> Array:
    """Return the dissolved solids [kg/m3], as read, or as the sum of the ions."""
    masses = {"sodium": "na", "potassium": "k", "chloride": "cl", "sulfate": "so4"}
    made = hard_kg + charges * molar_kg("hco3")
    made = np.asarray(made + sum(ions[name] * molar_kg(mass) for name, mass in masses.items()))
    metered, said = read["tds"], "Dissolved solids as read"
    if metered is None and read["conductivity"] is not None:
        metered = np.asarray(read["conductivity"] * constant("water_tds_per_conductivity"))
        said = "Dissolved solids from the conductivity"
    if metered is None:
        notes.assumed.append("Dissolved solids were not read: the sum of the ions was taken.")
        return made
    times = float(np.mean(metered)) / max(float(np.mean(made)), to_si(1.0, unit="mg/l"))
    if not _FIT[0] < times < _FIT[1]:
        both = [words(float(np.mean(one)), unit="mg/l") for one in (metered, made)]
        notes.warnings.append(f"{said}, {both[0]}, do not fit the ions, which make {both[1]}: a figure is wrong.")
    return np.asarray(metered)
