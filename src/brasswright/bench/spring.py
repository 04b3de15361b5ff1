"""A helical spring from its sizes: rate, force, brew pressure at both ends of the pull, stress in the wire."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.coil import (
    ENDS,
    WIRES,
    active_coils,
    allowed_stress_pa,
    shear_modulus_pa,
    shear_stress_pa,
    spring_rate_n_per_m,
    stress_factor,
)
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, OutsideValidity
from brasswright.tables import constant

__all__ = ["INSTRUMENT", "SpringResult", "spring"]

_SOURCE: Final = "en-13906-1"
_WIRE: Final = (0.0001, 0.015)
_OUTSIDE: Final = (0.002, 0.16)
_COILS: Final = (1.5, 60.0)
_LENGTH: Final = (0.005, 0.5)
_PISTON: Final = (0.01, 0.1)
_MODULUS: Final = (2.5e10, 9.0e10)
_INDEX: Final = (2.0, 40.0)


@dataclass(frozen=True, slots=True)
class SpringResult:
    """What a spring does; figures are None where the lengths or the piston they need were not given.

    `stress_share` is the stress at the shortest length over what a new wire of the kind usually bears.
    """

    mean_diameter_m: Figure
    index: Figure
    active_coils: Figure
    rate_n_per_m: Figure
    solid_length_m: Figure
    force_fitted_n: Figure | None
    force_cocked_n: Figure | None
    pressure_start_pa: Figure | None
    pressure_end_pa: Figure | None
    stress_pa: Figure | None
    stress_corrected_pa: Figure | None
    stress_allowed_pa: Figure | None
    stress_share: Figure | None
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Coil:
    """A spring's sizes, checked."""

    wire: Array
    mean: Array
    index: Array
    coils: Array
    rate: Array
    solid: Array


@dataclass(frozen=True, slots=True)
class _Strain:
    """Stress at the shortest length, plain and on the inner side, what the wire bears, and the share of it."""

    stress: Array | None = None
    corrected: Array | None = None
    allowed: Array | None = None
    share: Array | None = None


def spring(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    wire_m: Figure,
    outside_diameter_m: Figure,
    total_coils: Figure,
    ends: str = "closed and ground",
    wire: str = "hard-drawn",
    free_length_m: Figure | None = None,
    fitted_length_m: Figure | None = None,
    cocked_length_m: Figure | None = None,
    piston_diameter_m: Figure | None = None,
    shear_modulus_pa: Figure | None = None,
) -> SpringResult:
    """What a helical compression spring does in a lever group, from its sizes.

    Symbols: d wire, D_o outside and D = D_o - d mean coil diameter, w = D / d, n active coils, G shear modulus; rate
    R = G d^4 / (8 D^3 n); force F = R (L_0 - L) at free length L_0 and length L; brew pressure F / (pi d_p^2 / 4) on a
    piston of d_p, friction neglected: at the cocked length as the pull begins, at the fitted length as it ends; stress
    tau = 8 F D / (pi d^3), on the inner side k tau with k = (w + 0.5) / (w - 0.75). tau is held against 0.56 of the
    tensile strength of the kind of wire (static load).
    Valid for cold-wound round wire of 0.1 to 15 mm, index 2 to 40, 1.5 to 60 coils. Source: en-13906-1 (from memory);
    shigley; force-over-area.

    >>> result = spring(wire_m=0.007, outside_diameter_m=0.046, total_coils=12.5)
    >>> round(result.rate_n_per_m / 1000, 1)
    39.3
    """
    modulus = _modulus(wire, shear_modulus_pa)
    coil = _coil(wire_m, outside_diameter_m, total_coils, ends, modulus)
    fitted, cocked = (
        _force(coil, free_length_m, length, name)
        for name, length in (("fitted_length_m", fitted_length_m), ("cocked_length_m", cocked_length_m))
    )
    area = _area(piston_diameter_m)
    strain = _strain(coil, wire, fitted, cocked)
    return SpringResult(
        mean_diameter_m=plain(coil.mean),
        index=plain(coil.index),
        active_coils=plain(coil.coils),
        rate_n_per_m=plain(coil.rate),
        solid_length_m=plain(coil.solid),
        force_fitted_n=_maybe(fitted),
        force_cocked_n=_maybe(cocked),
        pressure_start_pa=_maybe(None if area is None or cocked is None else cocked / area),
        pressure_end_pa=_maybe(None if area is None or fitted is None else fitted / area),
        stress_pa=_maybe(strain.stress),
        stress_corrected_pa=_maybe(strain.corrected),
        stress_allowed_pa=_maybe(strain.allowed),
        stress_share=_maybe(strain.share),
        meaning=_meaning(strain),
        warnings=_warnings(coil, free_length_m, wire, strain),
    )


def _modulus(wire: str, stated: Figure | None) -> Figure:
    """Return the shear modulus of the kind of wire, or the one stated."""
    usual = shear_modulus_pa(wire=wire)
    if stated is None:
        return usual
    return within("shear_modulus_pa", stated, low=_MODULUS[0], high=_MODULUS[1], source=_SOURCE)


def _coil(wire_m: Figure, outside_m: Figure, total: Figure, ends: str, modulus: Figure) -> _Coil:
    """Return the spring's sizes, checked, with rate and solid length."""
    d = within("wire_m", wire_m, low=_WIRE[0], high=_WIRE[1], source=_SOURCE)
    outside = within("outside_diameter_m", outside_m, low=_OUTSIDE[0], high=_OUTSIDE[1], source=_SOURCE)
    if np.any(outside <= 2 * d):
        raise ImpossibleValue("The coil is not wider than two wires.", allowed="outside diameter, over the coil")
    mean = np.asarray(outside - d)
    index = within("index", np.asarray(mean / d), low=_INDEX[0], high=_INDEX[1], source=_SOURCE)
    counted = within("total_coils", total, low=_COILS[0], high=_COILS[1], source="shigley")
    n = np.asarray(active_coils(total_coils=counted, ends=ends))
    rate = np.asarray(modulus) * np.asarray(
        spring_rate_n_per_m(wire_m=d, mean_diameter_m=mean, active_coils=n, shear_modulus_pa=1.0)
    )
    solid = d * (counted if "ground" in ends else counted + 1)
    return _Coil(d, mean, index, n, np.asarray(rate), np.asarray(solid))


def _force(coil: _Coil, free_m: Figure | None, length_m: Figure | None, name: str) -> Array | None:
    """Return the force at a length, or None where it was not given; refuses a length that cannot be."""
    free = None
    if free_m is not None:
        free = within("free_length_m", free_m, low=_LENGTH[0], high=_LENGTH[1], source=_SOURCE)
        if np.any(free < coil.solid):
            raise ImpossibleValue("The free spring is shorter than its coils laid solid.", remedy="Count them again.")
    if length_m is None:
        return None
    length = within(name, length_m, low=_LENGTH[0], high=_LENGTH[1], source=_SOURCE)
    if free is None:
        raise ImpossibleValue("Force wants the free length too.", allowed="free_length with any other length")
    if np.any(length > free):
        raise ImpossibleValue("A compression spring in place is not longer than free.", got=name, allowed="shorter")
    if np.any(length < coil.solid):
        raise ImpossibleValue(
            "That is shorter than the coils laid solid: it cannot be pressed so far.",
            got=f"{float(np.min(length)) * 1000:.1f} mm",
            allowed=f"{float(np.max(coil.solid)) * 1000:.1f} mm or more",
        )
    return np.asarray(coil.rate * (free - length))


def _area(piston_m: Figure | None) -> Array | None:
    """Return the piston's area, or None where it was not given."""
    if piston_m is None:
        return None
    bore = within("piston_diameter_m", piston_m, low=_PISTON[0], high=_PISTON[1], source="force-over-area")
    return np.asarray(math.pi / 4 * bore**2)


def _strain(coil: _Coil, wire: str, fitted: Array | None, cocked: Array | None) -> _Strain:
    """Return the stress at the shortest length; what the wire bears is None where the table does not reach."""
    if fitted is not None and cocked is not None and np.any(cocked < fitted):
        raise ImpossibleValue("A cocked spring is shorter than the fitted one.", remedy="Are the two mixed up?")
    force = fitted if cocked is None else cocked
    if force is None:
        return _Strain()
    stress = np.asarray(shear_stress_pa(force_n=force, wire_m=coil.wire, mean_diameter_m=coil.mean))
    corrected = stress * np.asarray(stress_factor(index=coil.index))
    try:
        allowed = np.asarray(allowed_stress_pa(wire=wire, wire_m=coil.wire))
    except OutsideValidity:
        return _Strain(stress, corrected)
    return _Strain(stress, corrected, allowed, np.asarray(stress / allowed))


def _maybe(value: Array | None) -> Figure | None:
    """Return a figure, or None where there is none."""
    return None if value is None else plain(value)


def _meaning(strain: _Strain) -> str:
    """Return what the stress says."""
    if strain.stress is None:
        return "Rate only: with free, fitted and cocked length and the piston, force, pressure and stress follow."
    if strain.share is None:
        return "Stress as given; the strength of such a wire is in no table here."
    part = float(strain.share.mean())
    if part > 1:
        return (
            f"Beyond what a new wire of this kind usually bears ({part:.0%} of it): it will set shorter. Check wire, "
            "coils and lengths; do not cock it so far."
        )
    if part > constant("spring_stress_near"):
        return f"Near what a new wire usually bears ({part:.0%} of it): rust pits or nicks make it break."
    return f"{part:.0%} of what a new wire of this kind usually bears; the kind of wire is assumed, rust is not seen."


def _warnings(coil: _Coil, free_m: Figure | None, wire: str, strain: _Strain) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    index = float(coil.index.mean())
    if not constant("spring_index_low") <= index <= constant("spring_index_high"):
        found.append(f"Index {index:.1f} is outside 4 to 20: rate and stress are less sure.")
    if free_m is not None and float(np.mean(free_m / coil.mean)) > constant("spring_buckling"):
        found.append("Slender: it buckles unless a rod or a bore guides it. Never press it between flat plates.")
    if strain.stress is not None and strain.allowed is None:
        found.append(f"No strength is known for {wire} of this diameter: stress is given, not judged.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="spring",
    summary="a helical spring from its sizes: rate, force, brew pressure, stress in the wire",
    inputs=(
        Input(
            "wire", "wire_m", "diameter of the wire, paint and rust off", dimension="length", unit="mm",
            required=True, low=_WIRE[0], high=_WIRE[1], plausible=(0.0005, 0.012),
        ),
        Input(
            "outside", "outside_diameter_m", "outside diameter of the coil", dimension="length", unit="mm",
            required=True, low=_OUTSIDE[0], high=_OUTSIDE[1], plausible=(0.004, 0.1),
        ),
        Input(
            "coils", "total_coils", "all coils, counted from wire end to wire end", dimension="count", unit="1",
            required=True, low=_COILS[0], high=_COILS[1],
        ),
        Input("ends", "ends", "ends of the spring", kind="choice", choices=tuple(ENDS)),
        Input("kind_of_wire", "wire", "kind of wire, if known; hard-drawn unless given", kind="choice", choices=WIRES),
        Input(
            "free_length", "free_length_m", "length when nothing presses it", dimension="length", unit="mm",
            low=_LENGTH[0], high=_LENGTH[1],
        ),
        Input(
            "fitted_length", "fitted_length_m", "length in place, lever at rest", dimension="length", unit="mm",
            low=_LENGTH[0], high=_LENGTH[1],
        ),
        Input(
            "cocked_length", "cocked_length_m", "length with the lever cocked", dimension="length", unit="mm",
            low=_LENGTH[0], high=_LENGTH[1],
        ),
        Input(
            "piston", "piston_diameter_m", "bore the piston runs in", dimension="length", unit="mm",
            low=_PISTON[0], high=_PISTON[1], plausible=(0.03, 0.075),
        ),
        Input(
            "shear_modulus", "shear_modulus_pa", "shear modulus, if known better", dimension="pressure_gauge",
            unit="MPa", low=_MODULUS[0], high=_MODULUS[1],
        ),
    ),
    outputs=(
        Output("mean_diameter_m", "m", "mean diameter of the coil", "mm"),
        Output("index", "1", "spring index, mean diameter over wire"),
        Output("active_coils", "1", "coils that spring"),
        Output("rate_n_per_m", "N/m", "spring rate", "N/mm"),
        Output("solid_length_m", "m", "length with the coils solid", "mm"),
        Output("force_fitted_n", "N", "force in place, lever at rest"),
        Output("force_cocked_n", "N", "force with the lever cocked"),
        Output("pressure_start_pa", "Pa", "brew pressure as the pull begins, friction neglected", "bar"),
        Output("pressure_end_pa", "Pa", "brew pressure as it ends, friction neglected", "bar"),
        Output("stress_pa", "Pa", "shear stress at the shortest length", "MPa"),
        Output("stress_corrected_pa", "Pa", "the same on the inner side of the coil", "MPa"),
        Output("stress_allowed_pa", "Pa", "what a new wire of the kind usually bears", "MPa"),
        Output("stress_share", "1", "stress over what it bears", "%"),
        Output("meaning", "", "meaning: what the stress says"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="cold-wound round wire of 0.1 to 15 mm, index 2 to 40, 1.5 to 60 coils; static load, room temperature",
    example={
        "wire": "7 mm", "outside": "46 mm", "coils": "12.5", "free_length": "167 mm", "fitted_length": "145 mm",
        "cocked_length": "115 mm", "piston": "54 mm",
    },
    cautions=(
        "A loaded spring throws what holds it: press it only in a rig that restrains both ends, with nobody in line.",
        "Never hang a hook or a weight on a cocked lever to measure its force.",
        "Spring relieved or restrained before group, pivot or pin is touched; never pull an empty portafilter.",
        "No heat, no acid and no plating on a spring: it breaks later, without warning.",
    ),
    sources=("en-13906-1", "shigley", "force-over-area", "common-practice"),
    call=spring,
)  # fmt: skip
