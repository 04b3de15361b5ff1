"""Helical compression springs of round wire: rate, stress, strength of the wire."""

from __future__ import annotations

from typing import Final

import numpy as np

from brasswright.bench.validity import Figure, plain, within
from brasswright.errors import NotFound, OutsideValidity
from brasswright.tables import constant, rows
from brasswright.units import to_si

__all__ = [
    "ENDS",
    "WIRES",
    "active_coils",
    "allowed_stress_pa",
    "shear_modulus_pa",
    "shear_stress_pa",
    "spring_rate_n_per_m",
    "stress_factor",
    "tensile_strength_pa",
]

WIRES: Final = tuple(dict.fromkeys(row["wire"] for row in rows("spring_wires")))
ENDS: Final = {"closed and ground": 2.0, "closed": 2.0, "open and ground": 1.0, "open": 0.0}
"""Kinds of ends with the coils that each takes away from the active ones."""

_WIRE_M: Final = (0.0001, 0.015)
_MEAN_M: Final = (0.001, 0.15)
_INDEX: Final = (2.0, 40.0)
_COILS: Final = (0.5, 60.0)


def active_coils(*, total_coils: Figure, ends: str = "closed and ground") -> Figure:
    """Coils that spring, of all that are counted.

    Symbols: n_t counted, n active; n = n_t - 2 for closed ends, - 1 for open ground ones, n_t for open ones.
    Valid for 0.5 to 60 active coils. Source: shigley, table 10-1 (from memory).

    >>> active_coils(total_coils=12.5)
    10.5
    """
    if ends not in ENDS:
        raise NotFound(f"'{ends}' is no kind of spring end.", allowed=", ".join(ENDS))
    counted = within("total_coils", total_coils, low=_COILS[0], high=_COILS[1] + 2, source="shigley")
    left = np.asarray(counted - ENDS[ends])
    return plain(within("active_coils", left, low=_COILS[0], high=_COILS[1], source="shigley"))


def spring_rate_n_per_m(
    *, wire_m: Figure, mean_diameter_m: Figure, active_coils: Figure, shear_modulus_pa: float
) -> Figure:
    """Force that a spring gains for each metre it is pressed shorter [N/m].

    Symbols: d wire, D mean coil diameter, n active coils, G shear modulus; R = G d^4 / (8 D^3 n).
    Valid for wire of 0.1 to 15 mm, mean diameters to 150 mm. Source: en-13906-1 (from memory); shigley, eq. 10-9.

    >>> rate = spring_rate_n_per_m(wire_m=0.004, mean_diameter_m=0.03, active_coils=6.5, shear_modulus_pa=81.5e9)
    >>> round(rate / 1000, 2)
    14.86
    """
    d, mean = _wire_and_mean(wire_m, mean_diameter_m)
    n = within("active_coils", active_coils, low=_COILS[0], high=_COILS[1], source="en-13906-1")
    return plain(shear_modulus_pa * d**4 / (8 * mean**3 * n))


def stress_factor(*, index: Figure) -> Figure:
    """How much higher the stress is on the inner side of a coil than in a straight bar.

    Symbols: w spring index D / d; k = (w + 0.5) / (w - 0.75). Valid for 2 to 40.
    Source: en-13906-1 (from memory); the same as Bergstraesser's (4 w + 2) / (4 w - 3).

    >>> round(stress_factor(index=7.5), 3)
    1.185
    """
    w = within("index", index, low=_INDEX[0], high=_INDEX[1], source="en-13906-1")
    return plain((w + 0.5) / (w - 0.75))


def shear_stress_pa(*, force_n: Figure, wire_m: Figure, mean_diameter_m: Figure) -> Figure:
    """Shear stress in the wire, as in a straight bar [Pa].

    Symbols: F force, d wire, D mean coil diameter; tau = 8 F D / (pi d^3). Valid as `spring_rate_n_per_m`.
    Source: en-13906-1 (from memory); shigley, eq. 10-2.

    >>> round(shear_stress_pa(force_n=500.0, wire_m=0.004, mean_diameter_m=0.03) / 1e6, 1)
    596.8
    """
    d, mean = _wire_and_mean(wire_m, mean_diameter_m)
    force = within("force_n", force_n, low=0.0, high=50_000.0, source="en-13906-1")
    return plain(8 * force * mean / (np.pi * d**3))


def shear_modulus_pa(*, wire: str) -> float:
    """Shear modulus of a kind of wire [Pa]. Source: en-13906-1 (from memory)."""
    return to_si(float(_row(wire, None)["shear_modulus_mpa"]), unit="MPa")


def tensile_strength_pa(*, wire: str, wire_m: Figure) -> Figure:
    """Least tensile strength to expect of a kind of wire [Pa]; thin wire is stronger.

    Symbols: d wire in mm, A and m of the table; S = A / d^m. Valid for the diameters of the table;
    many samples are held against the row of their mean.
    Source: shigley, table 10-4 (from memory).

    >>> round(tensile_strength_pa(wire="music wire", wire_m=0.00094) / 1e6)
    2231
    """
    d = within("wire_m", wire_m, low=_WIRE_M[0], high=_WIRE_M[1], source="shigley")
    row = _row(wire, float(d.mean()))
    thinner = (d / to_si(1.0, unit="mm")) ** float(row["exponent"])
    return plain(np.asarray(to_si(float(row["strength_mpa"]), unit="MPa") / thinner))


def allowed_stress_pa(*, wire: str, wire_m: Figure) -> Figure:
    """Shear stress that a new wire of the kind usually bears without setting [Pa].

    Static load, stress without the factor of the coil: 0.56 of the tensile strength. Valid as `tensile_strength_pa`.
    Source: en-13906-1 (from memory); strength from shigley.

    >>> round(allowed_stress_pa(wire="music wire", wire_m=0.00094) / 1e6)
    1249
    """
    return constant("spring_static_share") * tensile_strength_pa(wire=wire, wire_m=wire_m)


def _wire_and_mean(wire_m: Figure, mean_diameter_m: Figure) -> tuple[np.ndarray, np.ndarray]:
    """Return wire and mean diameter, checked."""
    d = within("wire_m", wire_m, low=_WIRE_M[0], high=_WIRE_M[1], source="en-13906-1")
    mean = within("mean_diameter_m", mean_diameter_m, low=_MEAN_M[0], high=_MEAN_M[1], source="en-13906-1")
    return d, mean


def _row(wire: str, wire_m: float | None) -> dict[str, str]:
    """Return the row of a kind of wire at a diameter; refuses a kind or a diameter that is not in the table."""
    found = [dict(row) for row in rows("spring_wires") if row["wire"] == wire]
    if not found:
        raise NotFound(f"'{wire}' is no wire of the table.", allowed=", ".join(WIRES))
    if wire_m is None:
        return found[0]
    for row in found:
        if to_si(float(row["from_mm"]), unit="mm") <= wire_m <= to_si(float(row["to_mm"]), unit="mm"):
            return row
    low, high = (to_si(float(text), unit="mm") for text in (found[0]["from_mm"], found[-1]["to_mm"]))
    raise OutsideValidity("wire_m", got=wire_m, low=low, high=high, source="shigley")
