"""Stress in a thin round vessel under inside pressure: shell, ends, what copper may carry hot, least walls."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin, to_si

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "ENDS",
    "MATERIALS",
    "allowable_source",
    "allowable_stress_pa",
    "bore_stress_pa",
    "code_stress_pa",
    "end_stress_pa",
    "end_wall_m",
    "hoop_stress_pa",
    "lengthwise_wall_m",
    "longitudinal_stress_pa",
    "shell_wall_m",
]

MATERIALS: Final = ("copper annealed", "copper drawn", "copper R220", "brass", "other")
"""Brass and anything else have no figure here: none was found that can be cited for the temperatures of a boiler."""

ENDS: Final = ("flat clamped", "flat resting", "ellipsoidal 2:1", "torispherical 6 %", "hemispherical")

_THIN: Final = "roark"
_CODE: Final = "asme-viii-1"
_PASCALS: Final = (0.0, to_si(100.0, unit="bar"))
_METRES: Final = (0.005, 5.0)
_STRESS: Final = (1e3, 1e9)


def hoop_stress_pa(*, pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure) -> Figure:
    """Mean stress round a thin shell [Pa].

    Symbols: p pressure above the air outside, r_m mean radius, t wall; p r_m / t.
    Valid for walls up to a tenth of the inside radius. Source: roark, thin vessels.

    >>> round(hoop_stress_pa(pressure_pa=250_000.0, inside_diameter_m=0.120, wall_m=0.0015))
    10125000
    """
    p, r, t = _shell(pressure_pa, inside_diameter_m, wall_m)
    return plain(p * (r + t / 2) / t)


def longitudinal_stress_pa(*, pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure) -> Figure:
    """Mean stress along a thin closed shell [Pa].

    Symbols: as for the hoop stress; p r_m / (2 t). Valid for walls up to a tenth of the inside radius.
    Source: roark, thin vessels.

    >>> round(longitudinal_stress_pa(pressure_pa=250_000.0, inside_diameter_m=0.120, wall_m=0.0015))
    5062500
    """
    p, r, t = _shell(pressure_pa, inside_diameter_m, wall_m)
    return plain(p * (r + t / 2) / (2 * t))


def bore_stress_pa(*, pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure) -> Figure:
    """Greatest stress round the shell, at its bore [Pa].

    Symbols: r inside, R outside radius; p (R^2 + r^2) / (R^2 - r^2). Valid for walls up to a tenth of the inside radius
    (the formula itself for any). Source: roark, thick cylinders (Lame).

    >>> round(bore_stress_pa(pressure_pa=250_000.0, inside_diameter_m=0.120, wall_m=0.0015) / 1e6, 3)
    10.127
    """
    p, r, t = _shell(pressure_pa, inside_diameter_m, wall_m)
    return plain(p * ((r + t) ** 2 + r**2) / ((r + t) ** 2 - r**2))


def code_stress_pa(*, pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure, seam: Figure = 1.0) -> Figure:
    """Stress that the shell's material must be allowed to carry [Pa].

    Symbols: R inside radius, E seam efficiency; S = P (R + 0.6 t) / (t E). Valid for walls up to a tenth of the inside
    radius, seams of 0.3 to 1. Source: asme-viii-1, UG-27(c)(1), solved for S.

    >>> round(code_stress_pa(pressure_pa=250_000.0, inside_diameter_m=0.120, wall_m=0.0015))
    10150000
    """
    p, r, t = _shell(pressure_pa, inside_diameter_m, wall_m)
    return plain(p * (r + 0.6 * t) / (t * _seam(seam)))


def shell_wall_m(*, pressure_pa: Figure, inside_diameter_m: Figure, allowable_pa: Figure, seam: Figure = 1.0) -> Figure:
    """Least wall of a shell [m], nothing added for wear.

    Symbols: t = P R / (S E - 0.6 P). Valid up to 100 bar while P is at most 0.385 S E.
    Source: asme-viii-1, UG-27(c)(1).

    >>> round(shell_wall_m(pressure_pa=250_000.0, inside_diameter_m=0.120, allowable_pa=30e6) * 1000, 3)
    0.503
    """
    p, r, s = _sized(pressure_pa, inside_diameter_m, allowable_pa, seam)
    return plain(p * r / (s - 0.6 * p))


def lengthwise_wall_m(
    *, pressure_pa: Figure, inside_diameter_m: Figure, allowable_pa: Figure, seam: Figure = 1.0
) -> Figure:
    """Least wall of a shell for the stress along it, as round seams carry it [m].

    Symbols: t = P R / (2 S E + 0.4 P). Valid up to 100 bar while P is at most 0.385 S E.
    Source: asme-viii-1, UG-27(c)(2).

    >>> round(lengthwise_wall_m(pressure_pa=250_000.0, inside_diameter_m=0.120, allowable_pa=30e6) * 1000, 3)
    0.25
    """
    p, r, s = _sized(pressure_pa, inside_diameter_m, allowable_pa, seam)
    return plain(p * r / (2 * s + 0.4 * p))


def end_wall_m(
    *, end: str, pressure_pa: Figure, inside_diameter_m: Figure, allowable_pa: Figure, seam: Figure = 1.0
) -> Figure:
    """Least wall of a dished end [m], nothing added for wear; the crown radius of a torispherical one is the diameter.

    Symbols: ellipsoidal P D / (2 S E - 0.2 P); torispherical 0.885 P L / (S E - 0.1 P); hemispherical
    P R / (2 S E - 0.2 P). Valid for dished ends up to 100 bar. Source: asme-viii-1, UG-32 and UG-27(d).

    >>> round(end_wall_m(end="hemispherical", pressure_pa=250e3, inside_diameter_m=0.120, allowable_pa=30e6) * 1000, 3)
    0.25
    """
    p, r, s = _sized(pressure_pa, inside_diameter_m, allowable_pa, seam)
    if end == "ellipsoidal 2:1":
        return plain(p * 2 * r / (2 * s - 0.2 * p))
    if end == "torispherical 6 %":
        return plain(constant("crown_factor") * p * 2 * r / (s - 0.1 * p))
    if end == "hemispherical":
        return plain(p * r / (2 * s - 0.2 * p))
    raise NotFound("No least wall is known for that end.", got=f"'{end}'", allowed=", ".join(ENDS[2:]))


def end_stress_pa(*, end: str, pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure) -> Figure:
    """Greatest stress in an end [Pa]: bending of a flat one, the code's figure for a dished one.

    Symbols: q pressure, a radius, t thickness, v Poisson ratio 0.34; flat, held all round 3 q a^2 / (4 t^2) at the
    edge; flat, resting 3 (3 + v) q a^2 / (8 t^2) in the middle; dished as `end_wall_m`, solved for S with E = 1.
    Valid for ends up to a quarter of the radius thick (dished: a tenth). Source: roark, flat circular plates;
    asme-viii-1, UG-32 and UG-27(d).

    >>> round(end_stress_pa(end="flat clamped", pressure_pa=250e3, inside_diameter_m=0.120, wall_m=0.003) / 1e6, 1)
    75.0
    """
    if end not in ENDS:
        raise NotFound("There is no such end.", got=f"'{end}'", allowed=", ".join(ENDS))
    p, a = _pressed(pressure_pa, inside_diameter_m)
    flat = end.startswith("flat")
    most = constant("plate_thick" if flat else "thin_wall")
    t = _thickness("end_thickness_m", wall_m, a, most)
    if end == "flat clamped":
        return plain(0.75 * p * (a / t) ** 2)
    if end == "flat resting":
        return plain(3 * (3 + constant("plate_poisson")) / 8 * p * (a / t) ** 2)
    if end == "torispherical 6 %":
        return plain(p * (constant("crown_factor") * 2 * a + 0.1 * t) / t)
    return plain(p * ((a if end == "hemispherical" else 2 * a) + 0.2 * t) / (2 * t))


@cache
def _allowable() -> Mapping[str, tuple[Array, Array, str]]:
    """Return temperatures [K], stresses [Pa] and source by material."""
    found: dict[str, tuple[list[float], list[float], str]] = {}
    for row in rows("allowable_stress"):
        t, s, _ = found.setdefault(row["material"], ([], [], row["source"]))
        t.append(to_si(float(row["temperature"]), unit=row["temperature_unit"], dimension="temperature"))
        s.append(to_si(float(row["stress"]), unit=row["stress_unit"]))
    return {name: (np.array(t), np.array(s), key) for name, (t, s, key) in found.items()}


def allowable_source(material: str) -> str | None:
    """Return the source of the stress a material may carry, None where nobody's figure is at hand."""
    if material not in MATERIALS:
        raise NotFound("No such material.", got=f"'{material}'", allowed=", ".join(MATERIALS))
    return _allowable()[material][2] if material in _allowable() else None


def allowable_stress_pa(*, material: str, temperature_k: Figure) -> Figure:
    """Stress that copper may carry at a temperature [Pa].

    Symbols: S straight between the rows of the table; below its first row the first row, as it is printed for colder
    metal too. Valid for 0 °C to the last row (200 to 204 °C) of the copper grades.
    Source: copper-tube-handbook, table 3; copper-association-uk.

    >>> round(allowable_stress_pa(material="copper R220", temperature_k=273.15 + 150.0))
    34000000
    """
    key = allowable_source(material)
    if key is None:
        raise NotFound(f"No stress that can be cited is at hand for {material}.", allowed=", ".join(_allowable()))
    temperatures, stresses, _ = _allowable()[material]
    last = float(temperatures[-1])
    t = within("temperature_k", temperature_k, low=kelvin(celsius=0.0), high=last, source=key)
    return plain(np.interp(t, temperatures, stresses))


def _pressed(pressure_pa: Figure, inside_diameter_m: Figure) -> tuple[Array, Array]:
    """Return pressure and inside radius, checked."""
    p = within("pressure_gauge_pa", pressure_pa, low=_PASCALS[0], high=_PASCALS[1], source=_CODE)
    d = within("inside_diameter_m", inside_diameter_m, low=_METRES[0], high=_METRES[1], source=_CODE)
    return p, np.asarray(d / 2)


def _thickness(name: str, wall_m: Figure, radius: Array, most: float) -> Array:
    """Return a wall that is there and thin enough."""
    wall = within(name, wall_m, low=1e-5, high=_METRES[1], source=_THIN)
    within(f"{name} over inside radius", np.asarray(wall / radius), low=0.0, high=most, source=_THIN)
    return wall


def _shell(pressure_pa: Figure, inside_diameter_m: Figure, wall_m: Figure) -> tuple[Array, Array, Array]:
    """Return pressure, inside radius and wall of a thin shell."""
    p, r = _pressed(pressure_pa, inside_diameter_m)
    return p, r, _thickness("wall_m", wall_m, r, constant("thin_wall"))


def _seam(seam: Figure) -> Array:
    """Return a seam efficiency, checked."""
    return within("seam", seam, low=0.3, high=1.0, source=_CODE)


def _sized(
    pressure_pa: Figure, inside_diameter_m: Figure, allowable_pa: Figure, seam: Figure
) -> tuple[Array, Array, Array]:
    """Return pressure, inside radius, and allowable stress times seam efficiency, where the code's formula holds."""
    p, r = _pressed(pressure_pa, inside_diameter_m)
    s = within("allowable_pa", allowable_pa, low=_STRESS[0], high=_STRESS[1], source=_CODE) * _seam(seam)
    within("pressure over allowable stress", np.asarray(p / s), low=0.0, high=0.385, source=_CODE)
    return p, r, np.asarray(s)
