"""Screws being tightened: stress area, friction, preload at yield with torsion, torque; strengths of their stuff."""

from __future__ import annotations

from typing import Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound, OutsideValidity
from brasswright.tables import constant, rows
from brasswright.units import to_si

__all__ = [
    "MATERIALS",
    "assembly_preload_n",
    "friction",
    "nut_factors",
    "preload_n",
    "stress_area_m2",
    "tightening_torque_n_m",
    "yield_and_strength_pa",
]

MATERIALS: Final = tuple(dict.fromkeys(row["material"] for row in rows("screw_materials")))
_SCREW: Final = (0.0015, 0.039)
_PITCH: Final = (0.0002, 0.005)


def stress_area_m2(*, diameter_m: Figure, pitch_m: Figure) -> Figure:
    """Area of a threaded shank that carries tension [m2].

    Symbols: d thread diameter, p pitch; A = (pi / 4) (d - 0.9382 p)^2. Valid for 1.5 to 39 mm, pitch 0.2 to 5 mm,
    60 degree threads. Source: iso-898-1; iso-724.

    >>> round(stress_area_m2(diameter_m=0.01, pitch_m=0.0015) * 1e6, 1)
    58.0
    """
    pitch_diameter, core = _diameters(diameter_m, pitch_m)
    return plain(np.asarray(np.pi / 4 * ((pitch_diameter + core) / 2) ** 2))


def preload_n(*, torque_n_m: Figure, nut_factor: Figure, diameter_m: Figure) -> Figure:
    """Tension that a torque leaves in a screw [N].

    Symbols: T torque, K nut factor, d thread diameter; F = T / (K d). Valid for K of 0.05 to 0.8.
    Source: torque-calculator-page.

    >>> round(preload_n(torque_n_m=50.0, nut_factor=0.20, diameter_m=0.010))
    25000
    """
    factor = within("nut_factor", nut_factor, low=0.05, high=0.8, source="torque-calculator-page")
    torque = within("torque_n_m", torque_n_m, low=0.0, high=2000.0, source="torque-calculator-page")
    d = within("diameter_m", diameter_m, low=_SCREW[0], high=_SCREW[1], source="iso-724")
    return plain(np.asarray(torque / (factor * d)))


def friction(*, nut_factor: Figure, diameter_m: Figure, pitch_m: Figure) -> Figure:
    """Friction on flank and under head that a nut factor stands for.

    Symbols: T = F (0.16 p + 0.58 d2 mu + D mu / 2) with the mean bearing diameter D = 1.28 d; K = T / (F d).
    Valid where K exceeds what the slope of the thread takes. Source: vdi-2230 (from memory).

    >>> round(friction(nut_factor=0.16, diameter_m=0.01, pitch_m=0.0015), 2)
    0.12
    """
    d, p = _checked(diameter_m, pitch_m)
    arm = constant("screw_flank_arm") * _diameters(d, p)[0] + constant("screw_bearing_share") * d / 2
    mu = (np.asarray(nut_factor) * d - constant("screw_pitch_arm") * p) / arm
    return plain(within("friction", np.asarray(mu), low=0.01, high=0.8, source="vdi-2230"))


def assembly_preload_n(
    *, diameter_m: Figure, pitch_m: Figure, yield_pa: Figure, friction: Figure, share: float
) -> Figure:
    """Tension at which a screw being turned reaches a share of its yield, torsion counted in [N].

    Symbols: d2 pitch and d3 core diameter, d0 = (d2 + d3) / 2, A0 its area, R yield, nu share, mu friction;
    F = nu R A0 / sqrt(1 + 3 (1.5 d2 / d0 (p / (pi d2) + 1.155 mu))^2). Valid for 1.5 to 39 mm, mu 0.01 to 0.8.
    Source: vdi-2230 (from memory).

    >>> f = assembly_preload_n(diameter_m=0.01, pitch_m=0.0015, yield_pa=640e6, friction=0.12, share=0.9)
    >>> round(f / 1000, 1)
    29.6
    """
    pitch_diameter, core = _diameters(diameter_m, pitch_m)
    mu = within("friction", friction, low=0.01, high=0.8, source="vdi-2230")
    mean = (pitch_diameter + core) / 2
    slope = np.asarray(pitch_m) / (np.pi * pitch_diameter) + constant("screw_flank_friction") * mu
    twist = 1.5 * pitch_diameter / mean * slope
    return plain(np.asarray(share * np.asarray(yield_pa) * np.pi / 4 * mean**2 / np.sqrt(1 + 3 * twist**2)))


def tightening_torque_n_m(*, preload_n: Figure, diameter_m: Figure, pitch_m: Figure, friction: Figure) -> Figure:
    """Torque that brings a screw to a tension [N m].

    Symbols: F tension, p pitch, d2 pitch diameter, D mean bearing diameter 1.28 d, mu friction;
    T = F (0.16 p + 0.58 d2 mu + D mu / 2). Valid for 1.5 to 39 mm, mu 0.01 to 0.8. Source: vdi-2230 (from memory).

    >>> t = tightening_torque_n_m(preload_n=29_600.0, diameter_m=0.01, pitch_m=0.0015, friction=0.12)
    >>> round(t)
    48
    """
    d, p = _checked(diameter_m, pitch_m)
    mu = within("friction", friction, low=0.01, high=0.8, source="vdi-2230")
    arm = constant("screw_flank_arm") * _diameters(d, p)[0] + constant("screw_bearing_share") * d / 2
    return plain(np.asarray(np.asarray(preload_n) * (constant("screw_pitch_arm") * p + arm * mu)))


def yield_and_strength_pa(*, material: str, diameter_m: float) -> tuple[float, float]:
    """Yield and tensile strength of a screw [Pa]. Valid to 39 mm. Source: iso-8839; iso-898-1; iso-3506-1.

    >>> yield_and_strength_pa(material="brass", diameter_m=0.005)[0] / 1e6
    340.0
    """
    found = [row for row in rows("screw_materials") if row["material"] == material]
    if not found:
        raise NotFound(f"'{material}' is no material of the table.", allowed=", ".join(MATERIALS))
    for row in found:
        if diameter_m <= to_si(float(row["to_mm"]), unit="mm"):
            return to_si(float(row["yield_mpa"]), unit="MPa"), to_si(float(row["strength_mpa"]), unit="MPa")
    raise OutsideValidity("diameter_m", got=diameter_m, low=_SCREW[0], high=_SCREW[1], source=found[0]["source"])


def nut_factors(*, screw: str, mating: str, state: str) -> tuple[float, float]:
    """Lowest and highest nut factor to expect of a couple, dry or lubricated.

    Valid for clean threads. Source: nut-factor-page; common-practice.

    >>> nut_factors(screw="steel 8.8", mating="steel, unmarked", state="dry")
    (0.18, 0.27)
    """
    couple = [material.split(",")[0].split()[0] for material in (screw, mating)]
    for wanted in (couple, couple[::-1], ["any", "any"]):
        for row in rows("nut_factors"):
            if [row["screw"], row["mating"]] == wanted and row["state"] == state:
                return float(row["factor_low"]), float(row["factor_high"])
    raise NotFound(f"'{state}' is no state of a thread.", allowed="dry, lubricated")


def _checked(diameter_m: Figure, pitch_m: Figure) -> tuple[Array, Array]:
    """Return diameter and pitch, checked."""
    d = within("diameter_m", diameter_m, low=_SCREW[0], high=_SCREW[1], source="iso-724")
    p = within("pitch_m", pitch_m, low=_PITCH[0], high=_PITCH[1], source="iso-724")
    within("pitch over diameter", np.asarray(p / d), low=0.01, high=0.35, source="iso-724")
    return d, p


def _diameters(diameter_m: Figure, pitch_m: Figure) -> tuple[Array, Array]:
    """Return pitch and core diameter."""
    d, p = _checked(diameter_m, pitch_m)
    return np.asarray(d - constant("screw_pitch_depth") * p), np.asarray(d - constant("screw_core_depth") * p)
