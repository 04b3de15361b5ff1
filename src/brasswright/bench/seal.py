"""O-rings for a measured groove: nearest standard sizes, squeeze after stretch, fill, and rubbers that suit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.elastomers import GREASES, MEDIA, suiting
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.rings import modulus_pa, rings, section_loss, squeeze_band
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant
from brasswright.units import kelvin

__all__ = ["INSTRUMENT", "KINDS", "RingChoice", "SealResult", "seal"]

KINDS: Final = ("piston", "rod", "face")
_MOTIONS: Final = ("static", "dynamic")
_SOURCE: Final = "gland-cad-library"
_DIAMETER: Final = (0.001, 0.3)
_DEPTH: Final = (0.0004, 0.0065)
_WIDTH: Final = (0.0008, 0.02)
_INSIDE: Final = (0.0005, 0.3)
_SECTION: Final = (0.001, 0.0071)
_REACH: Final = (-0.08, 0.15)
_SHOWN: Final = 5
_COVERAGE: Final = 2.0


@dataclass(frozen=True, slots=True)
class RingChoice:
    """A standard ring for this groove, and what speaks for or against it."""

    name: str
    series: str
    inside_diameter_m: float
    section_m: float
    says: str


@dataclass(frozen=True, slots=True)
class SealResult:
    """How the ring at hand (or the best standard one) sits in the groove, and which rings and rubbers suit.

    `stretch` is negative where the ring is pressed smaller; `squeeze` is of the section left after stretch.
    """

    ring: str
    depth_m: Figure
    stretch: Figure | None
    squeeze: Figure | None
    squeeze_least: float | None
    squeeze_most: float | None
    fill: Figure | None
    outcome: str
    meaning: str
    choices: tuple[RingChoice, ...]
    modulus_pa: Figure | None
    suits: tuple[str, ...]
    not_for: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Groove:
    """A groove: its kind, diameter, the part that runs against it, depth (with uncertainty) and width."""

    kind: str
    motion: str
    diameter: Array
    mating: Array | None
    depth: Array
    depth_sigma_m: float
    width: Array


@dataclass(frozen=True, slots=True)
class _Seat:
    """A ring in a groove: stretch, pressed smaller by, squeeze with its band, fill."""

    stretch: Array
    crush: Array
    squeeze: Array
    band: tuple[float, float]
    fill: Array


def seal(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    groove_diameter_m: Figure,
    groove_width_m: Figure,
    kind: str = "piston",
    mating_diameter_m: Figure | None = None,
    groove_depth_m: Figure | None = None,
    motion: str = "static",
    ring_inside_m: Figure | None = None,
    ring_section_m: Figure | None = None,
    medium: str = "steam",
    temperature_k: float | None = None,
    grease: str = "none",
    hardness_shore_a: Figure | None = None,
    groove_sigma_m: float | None = None,
    mating_sigma_m: float | None = None,
    depth_sigma_m: float | None = None,
) -> SealResult:
    """How an O-ring sits in a groove, and which standard rings would.

    Symbols: g groove diameter (piston: its bottom; rod: its bottom in the housing; face: its outer wall), m bore or
    rod, t depth, w width, d inside diameter and s section of the ring. Depth |m - g| / 2; stretch g / d - 1 on a
    piston, m / d - 1 on a rod, (g - 2 s) / d - 1 in a face; section left s' = s (1 - loss(stretch)); squeeze
    1 - t / s'; fill (pi / 4) s'^2 / (t w). Bands: squeeze by section and motion, stretch to 5 %, pressed smaller by at
    most 3 %, fill to 85 %. A squeeze closer to its band's edge than twice the uncertainty of depth is not shown.
    Valid for grooves of 1 to 300 mm and sections of 1 to 7.1 mm. Source: iso-3601-1; gland-cad-library; as4716;
    o-ring-geometry; gent-1958; elastomer-properties-chart; common-practice.

    >>> result = seal(groove_diameter_m=0.0256, mating_diameter_m=0.0317, groove_width_m=0.0047, motion="dynamic")
    >>> result.ring, round(result.squeeze, 3)
    ('214', 0.118)
    """
    sigmas = (groove_sigma_m, mating_sigma_m, depth_sigma_m)
    groove = _groove(kind, motion, (groove_diameter_m, mating_diameter_m, groove_depth_m, groove_width_m), sigmas)
    choices = _choices(groove)
    name, size = _ring_at_hand(ring_inside_m, ring_section_m, choices)
    seat = None if size is None else _seat(groove, *size)
    outcome, meaning = _outcome(groove, seat)
    suits, not_for = _rubbers(medium, temperature_k, grease, motion)
    return SealResult(
        ring=name,
        depth_m=plain(groove.depth),
        stretch=None if seat is None else plain(seat.stretch),
        squeeze=None if seat is None else plain(seat.squeeze),
        squeeze_least=None if seat is None else seat.band[0],
        squeeze_most=None if seat is None else seat.band[1],
        fill=None if seat is None else plain(seat.fill),
        outcome=outcome,
        meaning=meaning,
        choices=choices,
        modulus_pa=None if hardness_shore_a is None else modulus_pa(hardness_shore_a=hardness_shore_a),
        suits=suits,
        not_for=not_for,
    )


def _rubbers(
    medium: str, temperature_k: float | None, grease: str, motion: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the rubbers that suit, and those that do not, in words."""
    hot = kelvin(celsius=constant("seal_usual_c")) if temperature_k is None else temperature_k
    found = suiting(medium=medium, temperature_k=hot, grease=grease, motion=motion)
    suits = tuple(f"{one.name} ({one.suits}: {one.why})" for one in found if one.suits != "no")
    return suits, tuple(f"{one.name} ({one.why})" for one in found if one.suits == "no")


def _groove(
    kind: str,
    motion: str,
    sizes: tuple[Figure, Figure | None, Figure | None, Figure],
    sigmas: tuple[float | None, float | None, float | None],
) -> _Groove:
    """Return the groove, its depth measured or from the two diameters."""
    if motion not in _MOTIONS:
        raise NotFound(f"'{motion}' is no motion of a seal.", allowed=", ".join(_MOTIONS))
    if kind not in KINDS:
        raise NotFound(f"'{kind}' is no kind of groove.", allowed=", ".join(KINDS))
    if kind == "face" and motion == "dynamic":
        raise ImpossibleValue("A face seal does not move.", got="face, dynamic", allowed="face, static")
    diameter = within("groove_diameter_m", sizes[0], low=_DIAMETER[0], high=_DIAMETER[1], source=_SOURCE)
    mating = _maybe("mating_diameter_m", sizes[1], _DIAMETER)
    depth = _maybe("groove_depth_m", sizes[2], _DEPTH)
    width = within("groove_width_m", sizes[3], low=_WIDTH[0], high=_WIDTH[1], source=_SOURCE)
    usual = constant("seal_caliper_sigma_m")
    u_groove, u_mating, u_depth = (usual if sigma is None else sigma for sigma in sigmas)
    if kind == "face":
        if depth is None or mating is not None:
            raise ImpossibleValue("A face groove wants its depth, and no bore or rod.", remedy="Measure the depth.")
        return _Groove(kind, motion, diameter, None, depth, u_depth, width)
    if mating is None or depth is not None:
        raise ImpossibleValue(
            f"A {kind} groove wants the diameter of the {'bore' if kind == 'piston' else 'rod'}, and no depth.",
            remedy="Measure what the ring runs against.",
        )
    half = (mating - diameter if kind == "piston" else diameter - mating) / 2
    if np.any(half <= 0):
        told = "smaller than the bore" if kind == "piston" else "larger than the rod"
        raise ImpossibleValue(f"The bottom of a {kind} groove is {told}.", remedy="Are the two mixed up?")
    half = within("groove_depth_m", half, low=_DEPTH[0], high=_DEPTH[1], source=_SOURCE)
    return _Groove(kind, motion, diameter, mating, half, math.hypot(u_groove, u_mating) / 2, width)


def _maybe(name: str, value: Figure | None, edges: tuple[float, float]) -> Array | None:
    """Return a figure checked, or None where it was not given."""
    return None if value is None else within(name, value, low=edges[0], high=edges[1], source=_SOURCE)


def _ring_at_hand(
    inside_m: Figure | None, section_m: Figure | None, choices: tuple[RingChoice, ...]
) -> tuple[str, tuple[Array, Array] | None]:
    """Return the ring that was measured, or the best standard one; none where nothing is near."""
    inside, section = _maybe("ring_inside_m", inside_m, _INSIDE), _maybe("ring_section_m", section_m, _SECTION)
    if (inside is None) != (section is None):
        raise ImpossibleValue("Inside diameter and section of a ring belong together.", allowed="both, or neither")
    if inside is not None and section is not None:
        return "the ring at hand", (inside, section)
    if not choices:
        return "none near", None
    return choices[0].name, (np.asarray(choices[0].inside_diameter_m), np.asarray(choices[0].section_m))


def _seat(groove: _Groove, inside: Array, section: Array) -> _Seat:
    """Return how a ring sits in the groove."""
    outside = inside + 2 * section
    if groove.kind == "face":
        stretch = (groove.diameter - 2 * section) / inside - 1
    else:
        carrier = groove.diameter if groove.kind == "piston" or groove.mating is None else groove.mating
        stretch = carrier / inside - 1
    left = section * (1 - np.asarray(section_loss(stretch=stretch)))
    crush = np.zeros_like(outside) if groove.kind == "piston" else 1 - groove.diameter / outside
    place = "face" if groove.kind == "face" else "radial"
    return _Seat(
        stretch=np.asarray(stretch),
        crush=np.asarray(crush),
        squeeze=np.asarray(1 - groove.depth / left),
        band=squeeze_band(section_m=float(section.mean()), motion=groove.motion, place=place),
        fill=np.asarray(math.pi / 4 * left**2 / (groove.depth * groove.width)),
    )


def _faults(groove: _Groove, seat: _Seat) -> dict[str, float]:
    """Return what lies outside its band, each with how far, in shares of the band's width."""
    stretch, crush, squeeze, fill = (float(x.mean()) for x in (seat.stretch, seat.crush, seat.squeeze, seat.fill))
    low, high = seat.band
    most, smaller, full = (constant(f"seal_{key}") for key in ("stretch_most", "crush_most", "fill_most"))
    checks = {
        f"squeeze {squeeze:.1%} under {low:.1%}": (low - squeeze) / (high - low),
        f"squeeze {squeeze:.1%} over {high:.1%}": (squeeze - high) / (high - low),
        f"stretch {stretch:.1%} over {most:.0%}": (stretch - most) / most,
        f"fill {fill:.0%} over {full:.0%}": (fill - full) / full,
    }
    if groove.kind == "face":
        checks[f"lies {-crush:.1%} inside the outer wall"] = (-crush - most) / most
    else:
        checks[f"loose, stretch {stretch:.1%}"] = -stretch / most
    if groove.kind != "piston":
        checks[f"pressed {crush:.1%} smaller, over {smaller:.0%}"] = (crush - smaller) / smaller
    return {said: off for said, off in checks.items() if off > 0}


def _choices(groove: _Groove) -> tuple[RingChoice, ...]:
    """Return the standard rings nearest to this groove, best first."""
    scored = []
    for one in rings():
        carrier = groove.mating if groove.kind == "rod" and groove.mating is not None else groove.diameter
        rests = carrier - (2 * one.section_m if groove.kind == "face" else 0.0)
        if not _REACH[0] <= float(rests.mean()) / one.inside_m - 1 <= _REACH[1]:
            continue
        if float(groove.depth.mean()) >= one.section_m:
            continue
        seat = _seat(groove, np.asarray(one.inside_m), np.asarray(one.section_m))
        faults, (low, high) = _faults(groove, seat), seat.band
        squeeze, stretch = float(seat.squeeze.mean()), float(seat.stretch.mean())
        aim = 0.0 if groove.kind == "face" else constant("seal_stretch_aim")
        off = abs(squeeze - (low + high) / 2) / (high - low) + abs(stretch - aim) / constant("seal_stretch_most")
        verdict = "; ".join(faults) or "within its bands"
        says = f"stretch {stretch:.1%}, squeeze {squeeze:.1%}, fill {float(seat.fill.mean()):.0%}: {verdict}"
        choice = RingChoice(one.name, one.series, one.inside_m, one.section_m, says)
        scored.append((len(faults) > 0, sum(faults.values()) + off / 10, one.name, choice))
    return tuple(choice for *_, choice in sorted(scored, key=lambda row: row[:3])[:_SHOWN])


def _outcome(groove: _Groove, seat: _Seat | None) -> tuple[str, str]:
    """Return whether the ring fits its bands, and the sentence."""
    if seat is None:
        return "none near", "No ring of the table is near: measure again, or have one made to the groove."
    faults = _faults(groove, seat)
    if faults:
        return "does not fit", f"Outside its bands: {'; '.join(faults)}."
    squeeze, (low, high) = float(seat.squeeze.mean()), seat.band
    left = float(np.mean(groove.depth / (1 - seat.squeeze)))
    expanded = _COVERAGE * groove.depth_sigma_m / left
    if min(squeeze - low, high - squeeze) <= expanded:
        return "not shown", (
            f"Squeeze {squeeze:.1%} lies in its band of {low:.1%} to {high:.1%}, but nearer to the edge than the "
            "measurement can tell. Measure groove and mating part again."
        )
    return "fits", f"Squeeze {squeeze:.1%} in {low:.1%} to {high:.1%}, stretch and fill within their bands."


INSTRUMENT: Final = Instrument(
    name="seal",
    summary="an O-ring in a measured groove: standard sizes, squeeze, stretch, fill, rubbers that suit",
    inputs=(
        Input(
            "groove", "groove_diameter_m", "bottom of the groove; in a face, its outer wall", dimension="length",
            unit="mm", required=True, low=_DIAMETER[0], high=_DIAMETER[1], plausible=(0.002, 0.25),
            sigma="groove_sigma_m",
        ),
        Input(
            "width", "groove_width_m", "width of the groove", dimension="length", unit="mm", required=True,
            low=_WIDTH[0], high=_WIDTH[1], plausible=(0.001, 0.015),
        ),
        Input("kind", "kind", "where the groove is: in a piston, round a rod, in a face", kind="choice", choices=KINDS),
        Input(
            "mating", "mating_diameter_m", "the bore round a piston, or the rod", dimension="length", unit="mm",
            low=_DIAMETER[0], high=_DIAMETER[1], plausible=(0.002, 0.25), sigma="mating_sigma_m",
        ),
        Input(
            "depth", "groove_depth_m", "depth, of a face groove only", dimension="length", unit="mm",
            low=_DEPTH[0], high=_DEPTH[1], sigma="depth_sigma_m",
        ),
        Input("motion", "motion", "whether it moves", kind="choice", choices=_MOTIONS),
        Input(
            "ring_inside", "ring_inside_m", "inside diameter of a ring at hand, new", dimension="length", unit="mm",
            low=_INSIDE[0], high=_INSIDE[1],
        ),
        Input(
            "ring_section", "ring_section_m", "and its section", dimension="length", unit="mm",
            low=_SECTION[0], high=_SECTION[1],
        ),
        Input("medium", "medium", "what it seals", kind="choice", choices=MEDIA),
        Input(
            "temperature", "temperature_k", "hottest it gets; 130 °C unless given", dimension="temperature",
            unit="°C", low=kelvin(celsius=0.0), high=kelvin(celsius=260.0),
        ),
        Input("grease", "grease", "grease it meets", kind="choice", choices=GREASES),
        Input(
            "hardness", "hardness_shore_a", "hardness, Shore A", dimension="count", unit="1", low=20.0, high=90.0,
        ),
    ),
    outputs=(
        Output("ring", "", "ring: the one at hand, or the best standard one"),
        Output("depth_m", "m", "depth of the groove to what the ring runs against", "mm"),
        Output("stretch", "1", "stretch of the ring", "%"),
        Output("squeeze", "1", "squeeze of its section after stretch", "%"),
        Output("squeeze_least", "1", "least squeeze for this section and motion", "%"),
        Output("squeeze_most", "1", "most squeeze for this section and motion", "%"),
        Output("fill", "1", "how full the groove is", "%"),
        Output("outcome", "", "outcome: fits, not shown, does not fit or none near"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("choices", "", "standard rings: nearest first, each with how it sits"),
        Output("modulus_pa", "Pa", "stiffness of the rubber from its hardness", "MPa"),
        Output("suits", "", "rubbers: kinds that suit the medium, heat and grease"),
        Output("not_for", "", "not for this: kinds that do not"),
    ),
    validity="grooves of 1 to 300 mm, sections of 1 to 7.1 mm, 0 to 260 °C",
    example={
        "groove": "25.6 mm", "mating": "31.7 mm", "width": "4.7 mm", "motion": "dynamic",
        "ring_inside": "24.99 mm", "ring_section": "3.53 mm",
    },
    cautions=(
        "Cold and vented, spring relieved or restrained, before a seal is taken out.",
        "Measure the groove, not the flattened old ring. An old ring of unknown stuff is not cut, sanded or heated.",
        "What drink or steam touches wants its supplier's food-contact declaration; its kind alone says nothing.",
        "Overheated FKM and PTFE give toxic fumes.",
    ),
    sources=(
        "iso-3601-1", "metric-o-ring-chart", "gland-cad-library", "as4716", "gent-1958", "elastomer-properties-chart",
        "o-ring-geometry", "common-practice",
    ),
    call=seal,
)  # fmt: skip
