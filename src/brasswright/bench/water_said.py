"""What the figures of a feed water come to: meaning, what was taken for granted, what must not be missed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.bench.validity import Array, Figure

__all__ = ["meaning", "taken_for_granted", "warnings"]

_KNOWN: Final = 2
"""Figures of a sentence: equilibrium and readings of a kit know no more."""

_USUAL_ATM: Final = (1e-4, 0.3)
"""Carbon dioxide in balance with tap water lies between these; else pH and alkalinity do not belong together."""


def meaning(
    fallen: tuple[Array, Array], care: tuple[Figure | None, Figure | None], times: tuple[Figure | None, Figure | None]
) -> str:
    """Return what to make of it, in sentences."""
    kept, lost = (words(float(np.mean(one)), unit="mg/l", figures=_KNOWN) for one in fallen)
    said = (
        f"About {kept} of limescale drop out at most with the carbon dioxide kept in the water, {lost} with it steamed "
        "or vented off. That is equilibrium: in passing, less drops. Magnesium scale is not counted."
    )
    if care[0] is None:
        return f"{said} That gives no interval for descaling: go by what the next service finds."
    until = f" Descale at 2.5 to 5 g: after about {_between(care, 'l', 'litres')}"
    if times[0] is not None:
        until += f", {_between(times, 'week', 'weeks')}"
    return f"{said}{until}; put it right by what the next service finds."


def _between(ends: Sequence[Figure | None], unit: str, name: str) -> str:
    """Return a span in words; without an upper end, "or more"."""
    shown = [
        None if end is None else words(float(np.mean(end)), unit=unit, figures=_KNOWN).removesuffix(f" {unit}")
        for end in ends
    ]
    return f"{shown[0]} {name} or more" if shown[1] is None else f"{shown[0]} to {shown[1]} {name}"


def taken_for_granted(means: Mapping[str, float], co2_atm: Array) -> Sequence[str]:
    """Return what else was not asked or taken for granted."""
    left_pa = float(np.mean(co2_atm)) * constant("atmosphere_pa")
    gas = words(left_pa, unit="Pa", dimension="pressure_absolute", figures=_KNOWN)
    found = [f"Lost carbon dioxide was taken to end at {gas} over the water."]
    if "chloride" not in means:
        found.append("Chloride was not read: nothing is said about pitting.")
    if "sulfate" not in means:
        found.append("Sulfate was not read: nothing is said about gypsum.")
    return found


def warnings(means: Mapping[str, float], *, cold_co2_atm: Figure, sulfate: Figure | None) -> Sequence[str]:
    """Return what must not be missed."""
    found = []
    gas = float(np.mean(cold_co2_atm))
    if not _USUAL_ATM[0] < gas < _USUAL_ATM[1]:
        found.append(
            "pH and alkalinity hardly belong together (strips read pH badly in weakly buffered water): read again."
        )
    if means.get("chloride", 0.0) > constant("water_chloride_most"):
        shown = words(constant("water_chloride_most"), unit="mg/l")
        found.append(
            f"Chloride above {shown}: it pits stainless steel and hot brass and copper; softeners and limescale "
            "filters leave it in."
        )
    soft = means["alkalinity"] < constant("water_soft_alkalinity"), means["hardness"] < constant("water_soft_hardness")
    if any(soft):
        found.append(
            "Soft or weakly buffered water takes up more lead and copper from brass, bronze and solder, most of all "
            "when descaling has just bared them: flush before drinking, and blend or choose a harder water."
        )
    if sulfate is not None and float(np.mean(sulfate)) > 0:
        found.append("Calcium sulfate can drop out too: hard scale that acids for limescale do not dissolve.")
    return found
