"""A foam cushion from published points: peak by stress and energy, best pad, refusal outside the points."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound, OutsideValidity
from brasswright.tables import constant, rows

__all__ = ["DROP_M", "THICKNESS_M", "Curve", "best_peak_g", "best_stress_pa", "curve", "materials", "peak_g"]

DROP_M = (0.05, 2.0)
THICKNESS_M = (0.025, 0.2)
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Curve:
    """Dynamic stress G s = a exp(b x) over energy density x = s h / t, fitted to points; `worst` residual as share."""

    material: str
    a_pa: float
    b_per_pa: float
    lowest_pa: float
    highest_pa: float
    points: int
    worst: float
    source: str

    @property
    def words(self) -> str:
        """Return how much the fit is worth."""
        if self.points < 3:
            return f"two-point estimate ({self.material}): no residual can be given"
        return f"fit to {self.points} points ({self.material}): residuals up to {self.worst:.0%}"


def materials() -> tuple[str, ...]:
    """Return the cushions with published points."""
    return tuple(dict.fromkeys(row["material"] for row in rows("cushion_points")))


@cache
def curve(material: str) -> Curve:
    """Return the curve of a material, fitted by least squares to the logarithm of its dynamic stress.

    >>> round(curve("polyethylene plank, low density").a_pa / 1000, 1)
    63.7
    """
    known = [row for row in rows("cushion_points") if row["material"] == material]
    if not known:
        raise NotFound(
            f"For '{material}' no cushion points are known.", allowed=", ".join(materials()),
            remedy="Find its maker's curve; nothing is guessed.",
        )  # fmt: skip
    columns = ("static_stress_pa", "drop_height_m", "thickness_m", "peak_g")
    stress, height, thick, peak = (np.array([float(row[name]) for row in known]) for name in columns)
    energy = stress * height / thick
    slope, start = np.polyfit(energy, np.log(peak * stress), 1)
    fitted = np.exp(start + slope * energy) / stress
    return Curve(
        material, math.exp(start), float(slope), float(energy.min()), float(energy.max()), len(known),
        float(np.max(np.abs(fitted / peak - 1.0))), known[0]["source"],
    )  # fmt: skip


def peak_g(*, material: str, static_stress_pa: Figure, drop_height_m: Figure, thickness_m: Figure) -> Figure:
    """Peak deceleration of a flat drop on a foam pad, in g.

    Symbols: s static stress [Pa], h drop height, t thickness [m]; x = s h / t, G = a exp(b x) / s.
    Valid within the energy densities of the published points, from 25 mm of closed-cell foam on, for first drops.
    Source: cushion-theses for the form; foam-converter for the points.

    >>> round(peak_g(material="polyethylene plank, low density", static_stress_pa=5394.0, drop_height_m=0.61,
    ...              thickness_m=0.05), 1)
    35.2
    """
    found = curve(material)
    stress = within("static_stress_pa", static_stress_pa, low=1.0, high=1e6, source=found.source)
    height, thick = _drop(drop_height_m, thickness_m)
    energy = stress * height / thick
    low, high = found.lowest_pa * (1.0 - _ROUNDING), found.highest_pa * (1.0 + _ROUNDING)
    wrong = (energy < low) | (energy > high)
    if np.any(wrong):
        at = int(np.argmax(np.atleast_1d(wrong)))
        pad, scale = (float(np.broadcast_to(one, energy.shape).reshape(-1)[at]) for one in (stress, thick / height))
        raise OutsideValidity(
            "static_stress_pa", got=pad, low=found.lowest_pa * scale, high=found.highest_pa * scale, source=found.source
        )
    return plain(found.a_pa * np.exp(found.b_per_pa * energy) / stress)


def best_stress_pa(*, material: str, drop_height_m: Figure, thickness_m: Figure) -> Figure:
    """Static stress at which a drop gives the least peak [Pa]: s = t / (b h).

    Validity and source as `peak_g`.

    >>> round(best_stress_pa(material="polyethylene plank, low density", drop_height_m=0.61, thickness_m=0.05), -1)
    4940.0
    """
    height, thick = _drop(drop_height_m, thickness_m)
    return plain(thick / (curve(material).b_per_pa * height))


def best_peak_g(*, material: str, drop_height_m: Figure, thickness_m: Figure) -> Figure:
    """Least peak that a thickness can give, in g: e a b h / t.

    Validity and source as `peak_g`.

    >>> round(best_peak_g(material="polyethylene plank, low density", drop_height_m=0.61, thickness_m=0.05), 1)
    35.1
    """
    height, thick = _drop(drop_height_m, thickness_m)
    found = curve(material)
    return plain(math.e * found.a_pa * found.b_per_pa * height / thick)


def _drop(drop_height_m: Figure, thickness_m: Figure) -> tuple[Array, Array]:
    """Return drop height and thickness, checked."""
    return (
        within("drop_height_m", drop_height_m, low=DROP_M[0], high=DROP_M[1], source="cushion-theses"),
        within(
            "thickness_m", thickness_m, low=constant("cushion_least_thickness_m"), high=THICKNESS_M[1],
            source="cushion-theses",
        ),
    )  # fmt: skip
