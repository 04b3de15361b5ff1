"""O-rings in grooves: standard sizes, loss of section by stretch, bands of squeeze, hardness to stiffness."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from brasswright.bench.validity import Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import from_si, to_si

__all__ = ["Ring", "modulus_pa", "ring", "rings", "section_loss", "squeeze_band"]


@dataclass(frozen=True, slots=True)
class Ring:
    """One standard O-ring: inside diameter, section, and their tolerances."""

    name: str
    series: str
    inside_m: float
    section_m: float
    inside_tolerance_m: float
    section_tolerance_m: float
    source: str


@cache
def rings() -> tuple[Ring, ...]:
    """Return all O-rings of the table."""
    return tuple(
        Ring(
            row["name"],
            row["series"],
            to_si(float(row["inside_mm"]), unit="mm"),
            to_si(float(row["section_mm"]), unit="mm"),
            to_si(float(row["inside_tolerance_mm"]), unit="mm"),
            to_si(float(row["section_tolerance_mm"]), unit="mm"),
            row["source"],
        )
        for row in rows("o_rings")
    )


def ring(*, name: str) -> Ring:
    """Return the O-ring of that name; refuses one that is not in the table."""
    for one in rings():
        if one.name == name.strip():
            return one
    raise NotFound(f"There is no O-ring '{name}' in the table.", allowed="such as 214 or 30x3")


def section_loss(*, stretch: Figure) -> Figure:
    """Share of its section that a ring loses when it is stretched.

    Symbols: X stretch in percent; 0.01 + 1.06 X - 0.1 X^2 up to 3 %, then 0.56 + 0.59 X - 0.0046 X^2; none without
    stretch. Valid up to 25 % stretch, and for rings pressed smaller by up to 25 %. Source: as4716, A.2.1 (from memory).

    >>> round(section_loss(stretch=0.02441), 4)
    0.02
    """
    x = 100 * within("stretch", stretch, low=-0.25, high=0.25, source="as4716")
    lines = [
        constant(f"seal_thin_{part}_a") + constant(f"seal_thin_{part}_b") * x + constant(f"seal_thin_{part}_c") * x**2
        for part in ("low", "high")
    ]
    lost = np.where(x <= constant("seal_thin_from"), lines[0], lines[1])
    return plain(np.where(x > 0, lost, 0.0) / 100)


def squeeze_band(*, section_m: float, motion: str, place: str) -> tuple[float, float]:
    """Least and most squeeze of a ring's section, as share of it.

    Linear between the sections of the table. Valid for sections of 1 to 7.1 mm; static radial, static face and dynamic
    radial grooves. Source: gland-cad-library.

    >>> squeeze_band(section_m=0.00353, motion="dynamic", place="radial")
    (0.09, 0.17)
    """
    section = float(within("section_m", section_m, low=0.001, high=0.0071, source="gland-cad-library"))
    found = [row for row in rows("o_ring_glands") if (row["motion"], row["place"]) == (motion, place)]
    if not found:
        raise NotFound(
            f"No groove is known for a {motion} {place} seal.", allowed="static radial, static face, dynamic radial"
        )
    sections = [float(row["section_mm"]) for row in found]
    low, high = (
        float(np.interp(from_si(section, unit="mm"), sections, [float(row[key]) for row in found]))
        for key in ("squeeze_low_percent", "squeeze_high_percent")
    )
    return low / 100, high / 100


def modulus_pa(*, hardness_shore_a: Figure) -> Figure:
    """Stiffness (Young's modulus at small strain) of a rubber from its hardness [Pa].

    Symbols: S hardness, Shore A; E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)) MPa.
    Valid for 20 to 90 Shore A. Source: gent-1958.

    >>> round(modulus_pa(hardness_shore_a=70.0) / 1e6, 2)
    5.52
    """
    s = within("hardness_shore_a", hardness_shore_a, low=20.0, high=90.0, source="gent-1958")
    above = constant("gent_scale_mpa") * (constant("gent_a") + constant("gent_b") * s)
    below = constant("gent_c") * (constant("gent_d") - constant("gent_e") * s)
    return plain(above / below * to_si(1.0, unit="MPa", dimension="pressure_gauge"))
