"""How much scale a boiler holds: by the water it no longer takes, by the water that went through, or weighed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = [
    "CUBIC_METRES",
    "HARDNESS",
    "KILOGRAMS",
    "KINDS",
    "WATER_M3",
    "ScaleMass",
    "mass_by_fill",
    "mass_by_routes",
    "mass_by_water",
    "weighed",
]

KINDS: Final = tuple(row["kind"] for row in rows("scale_kinds"))
KILOGRAMS: Final = (0.0001, 10.0)
CUBIC_METRES: Final = (0.00001, 0.3)
HARDNESS: Final = (0.0, 2.0)
WATER_M3: Final = (0.001, 1000.0)
_COVERAGE: Final = 1.96
_SOURCE: Final = "common-practice"


@dataclass(frozen=True, slots=True)
class ScaleMass:
    """Mass of scale, its low and high end, by which route, and what that route says."""

    mass_kg: Array
    low_kg: Array
    high_kg: Array
    route: str
    meaning: str
    warnings: tuple[str, ...] = field(default=())
    missing_m3: Array | None = None
    upper_kg: Array | None = None


def _porosity(kind: str, given: Figure | None) -> tuple[Array, Array, Array]:
    """Return porosity, its low and its high end: as given, or of that kind of scale."""
    if given is not None:
        one = within("porosity", given, low=0.0, high=0.9, source=_SOURCE)
        return one, one, one
    row = _kind(kind)
    likely, low, high = (np.asarray(float(row[name])) for name in ("porosity", "porosity_low", "porosity_high"))
    return likely, low, high


def _gap(full_m3: float, left_m3: float) -> float:
    """Return the volume that is missing; no less than when clean shows no scale."""
    if left_m3 >= full_m3:
        raise ImpossibleValue(
            "The boiler takes no less than when clean: this shows no scale.",
            got=f"{words(left_m3, unit='l')} of {words(full_m3, unit='l')}",
            remedy="Is the clean fill that of this boiler, to the same mark, with all air out?",
        )
    return full_m3 - left_m3


def mass_by_fill(
    *,
    clean: tuple[Figure, float | None],
    measured: tuple[Figure, float | None],
    kind: str,
    porosity: Figure | None = None,
) -> ScaleMass:
    """Scale by the water that a boiler no longer takes [kg]; each fill in m³ with its standard uncertainty.

    Symbols: m = (V_clean - V) rho (1 - phi), rho calcite, phi porosity. The ends take everything at its worst at once:
    missing volume 1.96 standard uncertainties off, porosity at the other end. Valid for fills of 10 ml to 300 l.
    Source: common-practice (porosity); crc-handbook (density).

    >>> round(float(mass_by_fill(clean=(2e-3, 1e-5), measured=(1.9e-3, 1e-5), kind="layered").mass_kg), 2)
    0.19
    """
    full, left = (
        within(name, pair[0], low=CUBIC_METRES[0], high=CUBIC_METRES[1], source=_SOURCE)
        for name, pair in (("clean_fill_m3", clean), ("measured_fill_m3", measured))
    )
    usual = np.asarray(constant("scale_fill_share") * full)
    u = np.hypot(*(usual if sigma is None else np.full_like(full, sigma) for _, sigma in (clean, measured)))
    gap = _gap(float(full.mean()), float(left.mean()))
    missing = np.maximum(full - left, 0.0)
    phi, phi_low, phi_high = _porosity(kind, porosity)
    rho = constant("calcite_density_kg_per_m3")
    warnings = []
    if clean[1] is None or measured[1] is None:
        warnings.append("A fill came without uncertainty: one part in a hundred of the clean fill is taken.")
    spread = float(u.mean())
    shown = gap > _COVERAGE * spread
    said = words(gap, spread or None, unit="ml")
    meaning = (
        f"{said} of water no longer go in: scale, or sludge, or trapped air"
        if shown
        else f"not shown: {said} missing lies within its uncertainty; weigh both fills"
    )
    return ScaleMass(
        mass_kg=np.asarray(missing * rho * (1 - phi)),
        low_kg=np.asarray(np.maximum(missing - _COVERAGE * u, 0.0) * rho * (1 - phi_high)),
        high_kg=np.asarray((missing + _COVERAGE * u) * rho * (1 - phi_low)),
        route="missing fill",
        meaning=meaning,
        warnings=tuple(warnings),
        missing_m3=missing,
    )


def mass_by_water(*, hardness_kg_per_m3: Figure, water_m3: Figure, share: Figure | None = None) -> ScaleMass:
    """Scale by the water that went through [kg]: an upper bound, and what a likely share of it leaves.

    Symbols: H temporary (carbonate) hardness as CaCO3, V water; bound H V, mass s H V with s the share left behind.
    Valid for 0 to 2 kg/m³, 1 l to 1000 m³. Source: common-practice (share); arithmetic.

    >>> found = mass_by_water(hardness_kg_per_m3=0.25, water_m3=2.0)
    >>> float(found.upper_kg), float(found.mass_kg)
    (0.5, 0.2)
    """
    hardness = within("hardness_kg_per_m3", hardness_kg_per_m3, low=HARDNESS[0], high=HARDNESS[1], source=_SOURCE)
    water = within("water_m3", water_m3, low=WATER_M3[0], high=WATER_M3[1], source=_SOURCE)
    upper = np.asarray(hardness * water)
    if not np.all(upper > 0):
        raise ImpossibleValue("Water without temporary hardness leaves no carbonate scale.", got=hardness_kg_per_m3)
    if share is None:
        likely, low, high = (np.asarray(constant(f"scale_share_{end}")) for end in ("likely", "low", "high"))
    else:
        likely = low = high = within("share", share, low=0.001, high=1.0, source=_SOURCE)
    bound = words(float(upper.mean()), unit="g")
    return ScaleMass(
        mass_kg=upper * likely,
        low_kg=upper * low,
        high_kg=upper * high,
        route="hardness and water",
        meaning=f"at most {bound} if every drop left all it could; a share of that stays, the rest left with the water",
        upper_kg=upper,
    )


def weighed(*, mass_kg: Figure, sigma_kg: float | None = None) -> ScaleMass:
    """Scale that was weighed, or is known otherwise [kg]. Valid for 0.1 g to 10 kg. Source: arithmetic."""
    mass = within("scale_mass_kg", mass_kg, low=KILOGRAMS[0], high=KILOGRAMS[1], source="arithmetic")
    u = _COVERAGE * (sigma_kg or 0.0)
    return ScaleMass(mass, np.maximum(mass - u, 0.0), mass + u, "weighed", "as given")


def mass_by_routes(
    *,
    clean: tuple[Figure | None, float | None],
    measured: tuple[Figure | None, float | None],
    kind: tuple[str, Figure | None],
    weight: tuple[Figure | None, float | None],
    water: tuple[Figure | None, Figure | None, Figure | None],
) -> ScaleMass:
    """Scale by the best route that was given: weighed, missing fill, hardness and water; crossed with the others.

    Symbols: each pair is a value with its standard uncertainty, or kind and porosity; water is hardness, litres and
    share. Valid as the routes. Source: common-practice.
    """
    routes: list[Callable[[], ScaleMass]] = []
    mass = weight[0]
    if mass is not None:
        routes.append(lambda: weighed(mass_kg=mass, sigma_kg=weight[1]))
    full, left = clean[0], measured[0]
    if (full is None) != (left is None):
        raise ImpossibleValue("Clean fill and measured fill count only together.", allowed="both of them, or neither")
    if full is not None and left is not None:
        routes.append(
            lambda: mass_by_fill(clean=(full, clean[1]), measured=(left, measured[1]), kind=kind[0], porosity=kind[1])
        )
    hardness, litres, share = water
    if (hardness is None) != (litres is None):
        raise ImpossibleValue("Hardness and water used count only together.", allowed="both of them, or neither")
    if hardness is not None and litres is not None:
        routes.append(lambda: mass_by_water(hardness_kg_per_m3=hardness, water_m3=litres, share=share))
    if not routes:
        raise ImpossibleValue(
            "How much scale is not said.",
            allowed="scale_mass, or clean_fill and measured_fill, or hardness and water_used",
        )
    return _crossed([route() for route in routes], (kind[1], share))


def _crossed(found: list[ScaleMass], spare: tuple[Figure | None, Figure | None]) -> ScaleMass:
    """Return the first route, with the upper bound and the missing volume of the others, and where they disagree."""
    for name, value, high in (("porosity", spare[0], 0.9), ("share", spare[1], 1.0)):
        if value is not None:
            within(name, value, low=0.0, high=high, source="common-practice")
    first = found[0]
    warnings = [line for one in found for line in one.warnings]
    for other in found[1:]:
        low, high = (
            float(other.low_kg.mean()),
            float((other.high_kg if other.upper_kg is None else other.upper_kg).mean()),
        )
        apart = float(first.low_kg.mean()) > high or float(first.high_kg.mean()) < low
        if apart:
            warnings.append(
                f"By {other.route} it would be {words(low, unit='g')} to {words(high, unit='g')}, by {first.route} "
                f"{words(float(first.mass_kg.mean()), unit='g')}: they part. Other water, sludge, a wrong fill?"
            )
    return ScaleMass(
        mass_kg=_positive(first.mass_kg),
        low_kg=first.low_kg,
        high_kg=first.high_kg,
        route=first.route,
        meaning=first.meaning,
        warnings=tuple(warnings),
        missing_m3=next((one.missing_m3 for one in found if one.missing_m3 is not None), None),
        upper_kg=next((one.upper_kg for one in found if one.upper_kg is not None), None),
    )


def _positive(mass_kg: Array) -> Array:
    """Return the mass, with at least a trace where draws of the fills cross."""
    return np.asarray(np.maximum(mass_kg, 0.0))


def _kind(kind: str) -> Mapping[str, str]:
    """Return the row of a kind of scale."""
    for row in rows("scale_kinds"):
        if row["kind"] == kind:
            return row
    raise NotFound(f"'{kind}' is no kind of scale of the table.", allowed=", ".join(KINDS))
