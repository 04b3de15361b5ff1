"""Resistance alloys: how much higher the resistance of a hot wire is than that of the same wire cold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Alloy", "alloys", "resistance_factor", "usual_wire_temperature_k"]


@dataclass(frozen=True, slots=True)
class Alloy:
    """One alloy: factors against 20 °C at rising temperatures, and the source of the table."""

    name: str
    temperatures_k: Array
    factors: Array
    source: str


@cache
def alloys() -> Mapping[str, Alloy]:
    """Return all alloys by name."""
    found: dict[str, list[tuple[float, float, str]]] = {}
    for row in rows("alloys"):
        pair = kelvin(celsius=float(row["temperature_c"])), float(row["factor"]), row["source"]
        found.setdefault(row["alloy"], []).append(pair)
    return MappingProxyType(
        {
            name: Alloy(name, np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs]), pairs[0][2])
            for name, pairs in found.items()
        }
    )


def usual_wire_temperature_k() -> float:
    """Return the wire temperature taken when none is given: a sheathed element under water (common practice)."""
    return kelvin(celsius=constant("wire_temperature_c"))


def resistance_factor(*, alloy: str, temperature_k: Figure | None = None) -> Figure:
    """Resistance of the wire at a temperature over its resistance at 20 °C.

    Linear between the rows of the table. Valid from 20 °C to the last row of the alloy (1100 to 1400 °C).
    Source: alloy-table-gbt-1234, alloy-fecral-datasheet.

    >>> resistance_factor(alloy="Cr20Ni80", temperature_k=673.15)
    1.025
    """
    if alloy not in alloys():
        raise NotFound(f"There is no alloy '{alloy}'.", allowed=", ".join(alloys()))
    one = alloys()[alloy]
    asked = usual_wire_temperature_k() if temperature_k is None else temperature_k
    low, high = float(one.temperatures_k[0]), float(one.temperatures_k[-1])
    t = within("wire_temperature_k", asked, low=low, high=high, source=one.source)
    return plain(np.interp(t, one.temperatures_k, one.factors))
