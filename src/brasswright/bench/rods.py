"""Elements of several rods, and what each square of their sheath carries."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.nameplates import power_density
from brasswright.bench.validity import Array, Figure, plain, within

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Rods", "rod_readings", "surface_load_w_per_m2"]

_READINGS: Final = (
    ("the whole element, as its plate says", 1.0, 0.90),
    ("two rods, each of the power on the plate", 2.0, 0.03),
    ("three rods, each of the power on the plate", 3.0, 0.02),
    ("two rods, one of them open", 1.0 / 2.0, 0.03),
    ("three rods, one of them open", 2.0 / 3.0, 0.02),
)
"""Words, power as a multiple of the plate's, and how usual it is before a reading: common practice, no source."""
_LEAST: Final = 0.01
_LENGTH_M: Final = (0.01, 20.0)
_DIAMETER_M: Final = (0.002, 0.05)


@dataclass(frozen=True, slots=True)
class Rods:
    """One way in which rods would explain the reading, with the power it comes to and its probability among these."""

    says: str
    power_w: float
    probability: float


def rod_readings(*, hot_powers_w: Sequence[float], rated_power_w: float, blur: float) -> tuple[Rods, ...]:
    """Return how rods in parallel would explain a hot power at rated voltage, likeliest first.

    Symbols: P rated power; n rods of P each take n P, n rods together of P with one open take P (n - 1) / n. Each is
    weighed by how usual it is and by how well the tolerance band of its power holds the hot power, blurred;
    `hot_powers_w` are those of all alloys. Empty where none explains it.
    Source: arithmetic; iec-60335-1, clause 10.1; common-practice.

    >>> rod_readings(hot_powers_w=(1290.0,), rated_power_w=2600.0, blur=0.03)[0].says
    'two rods, one of them open'
    """
    scored = []
    for says, share, usual in _READINGS:
        power = rated_power_w * share
        fits = math.fsum(power_density(hot, power, blur) for hot in hot_powers_w)
        scored.append((says, power, usual * fits))
    total = math.fsum(score for _, _, score in scored)
    if total < 1e-12:
        return ()
    ranked = sorted(scored, key=lambda one: -one[2])
    return tuple(Rods(says, power, score / total) for says, power, score in ranked if score / total >= _LEAST)


def surface_load_w_per_m2(*, power_w: Array, length_m: Figure | None, diameter_m: Figure | None) -> Figure | None:
    """Power on each square of the sheath [W/m2]; None without length and diameter.

    Symbols: P power, L heated length of all rods together, d diameter of the sheath; P / (pi d L).
    Valid for 10 mm to 20 m of 2 to 50 mm. Source: arithmetic.
    """
    long, wide = (
        None if given is None else within(name, given, low=edges[0], high=edges[1], source="arithmetic")
        for name, given, edges in (
            ("heated_length_m", length_m, _LENGTH_M),
            ("sheath_diameter_m", diameter_m, _DIAMETER_M),
        )
    )
    return None if long is None or wide is None else plain(np.asarray(power_w) / (math.pi * wide * long))
