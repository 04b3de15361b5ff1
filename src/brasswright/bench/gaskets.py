"""Flat gaskets: load to seat and to hold, pieces from a sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import to_si

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "MATERIALS",
    "Width",
    "compression_band",
    "holding_load_n",
    "pieces_per_sheet",
    "seating_load_n",
    "seating_width",
]

MATERIALS: Final = tuple(row["material"] for row in rows("gasket_materials"))
_SOURCE: Final = "asme-viii-gaskets"
_DIAMETER: Final = (0.002, 0.5)


@dataclass(frozen=True, slots=True)
class Width:
    """Effective seating width, and the diameter at which the gasket's force is taken."""

    effective_m: Figure
    reaction_m: Figure


def seating_width(*, inside_m: Figure, outside_m: Figure) -> Width:
    """Effective width of a flat ring, and the diameter of its reaction [m].

    Symbols: N width of the ring, b0 = N / 2; b = b0 to 6.35 mm, then 2.52 sqrt(b0) in mm; the reaction acts at the mean
    diameter, or at outside - 2 b for wide rings. Valid for rings of 2 to 500 mm.
    Source: asme-viii-gaskets (from memory).

    >>> round(seating_width(inside_m=0.06, outside_m=0.07).effective_m * 1000, 2)
    2.5
    """
    inner, outer = _ring(inside_m, outside_m)
    basic = (outer - inner) / 4
    narrow = basic <= constant("gasket_narrow_m")
    millimetre = to_si(1.0, unit="mm")
    wide = millimetre * constant("gasket_wide") * np.sqrt(basic / millimetre)
    effective = np.where(narrow, basic, wide)
    return Width(plain(effective), plain(np.where(narrow, (inner + outer) / 2, outer - 2 * effective)))


def seating_load_n(*, inside_m: Figure, outside_m: Figure, material: str) -> Figure:
    """Load that presses a gasket into the faces, before any pressure [N].

    Symbols: b, G of `seating_width`, y seating stress of the table; W = pi b G y. Valid as `seating_width`.
    Source: asme-viii-gaskets.

    >>> round(seating_load_n(inside_m=0.06, outside_m=0.07, material="fibre"))
    3872
    """
    width = seating_width(inside_m=inside_m, outside_m=outside_m)
    stress = to_si(float(_row(material)["seating_psi"]), unit="psi")
    return plain(np.asarray(np.pi * np.asarray(width.effective_m) * width.reaction_m * stress))


def holding_load_n(*, inside_m: Figure, outside_m: Figure, material: str, pressure_pa: Figure) -> Figure:
    """Load that holds a gasket tight under pressure [N].

    Symbols: b, G of `seating_width`, m factor of the table, p gauge pressure; W = (pi / 4) G^2 p + 2 b pi G m p.
    Valid to 20 bar. Source: asme-viii-gaskets.

    >>> round(holding_load_n(inside_m=0.06, outside_m=0.07, material="fibre", pressure_pa=150_000.0))
    766
    """
    p = within("pressure_pa", pressure_pa, low=0.0, high=2e6, source=_SOURCE)
    width = seating_width(inside_m=inside_m, outside_m=outside_m)
    b, g = np.asarray(width.effective_m), np.asarray(width.reaction_m)
    factor = float(_row(material)["factor_m"])
    return plain(np.asarray(np.pi / 4 * g**2 * p + 2 * b * np.pi * g * factor * p))


def compression_band(*, material: str) -> tuple[float, float]:
    """Least and most compression of a material in use, as share of its thickness. Source: common-practice.

    >>> compression_band(material="soft rubber")
    (0.15, 0.3)
    """
    row = _row(material)
    return float(row["compression_low_percent"]) / 100, float(row["compression_high_percent"]) / 100


def pieces_per_sheet(*, outside_m: float, margin_m: float, width_m: float, length_m: float) -> int:
    """Round pieces that fit a sheet, in rows or staggered, whichever gives more.

    Symbols: D outside, s margin; pitch a = D + s; a sheet of w x l holds pieces whose margins stay inside.
    Valid for 2 to 500 mm pieces. Source: flat-ring-geometry.

    >>> pieces_per_sheet(outside_m=0.095, margin_m=0.005, width_m=0.3, length_m=0.5)
    15
    """
    pitch = outside_m + margin_m
    return max(
        _square(pitch, width_m, length_m), _staggered(pitch, width_m, length_m), _staggered(pitch, length_m, width_m)
    )


def _fitting(pitch: float, length: float) -> int:
    """Return how many pitches fit, forgiving the last digit."""
    return math.floor(length / pitch + 1e-9)


def _square(pitch: float, width: float, length: float) -> int:
    """Return pieces in a square grid."""
    return _fitting(pitch, width) * _fitting(pitch, length)


def _staggered(pitch: float, width: float, length: float) -> int:
    """Return pieces in rows set into each other's gaps."""
    if min(width, length) < pitch:
        return 0
    lines = 1 + _fitting(pitch * math.sqrt(3) / 2, length - pitch)
    full, shifted = _fitting(pitch, width), _fitting(pitch, width - pitch / 2)
    return (lines + 1) // 2 * full + lines // 2 * shifted


def _ring(inside_m: Figure, outside_m: Figure) -> tuple[Array, Array]:
    """Return inside and outside, checked."""
    outer = within("outside_m", outside_m, low=_DIAMETER[0], high=_DIAMETER[1], source=_SOURCE)
    inner = within("inside_m", inside_m, low=0.001, high=_DIAMETER[1], source=_SOURCE)
    if np.any(inner >= outer):
        raise ImpossibleValue("The hole of a gasket is smaller than the gasket.", remedy="Are the two mixed up?")
    return inner, outer


def _row(material: str) -> Mapping[str, str]:
    """Return the row of a material."""
    for row in rows("gasket_materials"):
        if row["material"] == material:
            return row
    raise NotFound(f"'{material}' is no gasket material of the table.", allowed=", ".join(MATERIALS))
