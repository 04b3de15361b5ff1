"""How far a touch-up is from the paint beside it: CIEDE2000 from two Lab readings, and which way to correct it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import verdict
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.tables import constant
from brasswright.units import Measured

if TYPE_CHECKING:
    from brasswright.bench.limits import Verdict

__all__ = ["INSTRUMENT", "READERS", "ColourResult", "colour", "colour_difference"]

READERS: Final = ("spectrophotometer", "colorimeter", "camera", "other")
_SOURCE: Final = "sharma-2005"
_LIGHTNESS: Final = (0.0, 100.0)
_AXIS: Final = (-128.0, 128.0)
_TOLERANCE: Final = (0.05, 50.0)
_TURN: Final = 2 * math.pi
_SEVENTH: Final = 25.0**7


@dataclass(frozen=True, slots=True)
class ColourResult:
    """How far a touch-up is from its paint.

    `difference` is CIEDE2000, `difference_1976` the straight distance in Lab. `lighter`, `more_vivid` and `hue_apart`
    are the weighted parts of the first (touch-up over paint); their squares and a term of vividness by hue add up to
    its square.
    `other_branch` is what the formula says on the other side of its jump, where the two hues are exactly opposite.
    """

    difference: Figure
    difference_1976: Figure
    lighter: Figure
    more_vivid: Figure
    hue_apart: Figure
    other_branch: Figure | None
    seen: str
    correction: str
    outcome: str
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Parts:
    """The weighted parts of the difference, and its two readings where hues are opposite."""

    lightness: Array
    chroma: Array
    hue: Array
    total: Array
    other: Array
    opposite: Array


def colour_difference(*, paint: tuple[Figure, Figure, Figure], touch_up: tuple[Figure, Figure, Figure]) -> Figure:
    """CIEDE2000 difference of two Lab colours [1], all three weights 1.

    Symbols: L lightness, a redness, b yellowness of each; a stretched near grey, then parts of lightness, chroma and
    hue, each over its own scale, and a rotation in the blue. Valid for L of 0 to 100, a and b of -128 to 128; made for
    differences up to about 5. Source: sharma-2005.

    >>> round(colour_difference(paint=(50.0, 2.6772, -79.7751), touch_up=(50.0, 0.0, -82.7485)), 4)
    2.0425
    """
    return plain(_parts(_checked(paint), _checked(touch_up)).total)


def colour(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    paint_lightness: Figure,
    paint_redness: Figure,
    paint_yellowness: Figure,
    touch_up_lightness: Figure,
    touch_up_redness: Figure,
    touch_up_yellowness: Figure,
    tolerance: float | None = None,
    reading_sigma: float | None = None,
    paint_lightness_sigma: float | None = None,
    paint_redness_sigma: float | None = None,
    paint_yellowness_sigma: float | None = None,
    touch_up_lightness_sigma: float | None = None,
    touch_up_redness_sigma: float | None = None,
    touch_up_yellowness_sigma: float | None = None,
    reader: str = "",
) -> ColourResult:
    """How far a touch-up is from the paint beside it.

    Symbols: L, a, b of paint and touch-up under one light; difference as `colour_difference`; its uncertainty,
    those of paint and touch-up in squares, along L, a or b, whichever is greatest; a reading without its own takes
    `reading_sigma`, or 0.2 where that is not stated either.
    Valid for L of 0 to 100, a and b of -128 to 128, both read with one instrument in one geometry.
    Source: sharma-2005; cie-15; common-practice for what is seen.

    >>> result = colour(paint_lightness=50.0, paint_redness=2.5, paint_yellowness=0.0,
    ...                 touch_up_lightness=50.0, touch_up_redness=3.2972, touch_up_yellowness=0.0)
    >>> round(result.difference, 4), result.correction
    (1.0, 'less red')
    """
    paint = _checked((paint_lightness, paint_redness, paint_yellowness))
    touched = _checked((touch_up_lightness, touch_up_redness, touch_up_yellowness))
    parts = _parts(paint, touched)
    old = (paint_lightness_sigma, paint_redness_sigma, paint_yellowness_sigma)
    new = (touch_up_lightness_sigma, touch_up_redness_sigma, touch_up_yellowness_sigma)
    judged = _judged(parts.total, tolerance, _sigma(old, new, reading_sigma), reader)
    notes = () if judged is None or parts.total.ndim else _assumed(old + new, reading_sigma)
    mean = float(parts.total.mean())
    seen, correction = _seen(mean), _correction(paint, touched)
    return ColourResult(
        difference=plain(parts.total),
        difference_1976=plain(np.sqrt(sum((two - one) ** 2 for one, two in zip(paint, touched, strict=True)))),
        lighter=plain(parts.lightness),
        more_vivid=plain(parts.chroma),
        hue_apart=plain(parts.hue),
        other_branch=plain(parts.other) if np.any(parts.opposite) else None,
        seen=seen,
        correction=correction,
        outcome="not asked" if judged is None else judged.outcome,
        meaning=f"{seen}; to meet the paint: {correction}." if judged is None else judged.words,
        warnings=notes + _warnings(mean, reader, opposite=bool(np.any(parts.opposite))),
    )


def _checked(lab: tuple[Figure, Figure, Figure]) -> tuple[Array, Array, Array]:
    """Return a Lab colour, checked."""
    lightness, red, yellow = lab
    return (
        within("lightness", lightness, low=_LIGHTNESS[0], high=_LIGHTNESS[1], source=_SOURCE),
        within("redness", red, low=_AXIS[0], high=_AXIS[1], source=_SOURCE),
        within("yellowness", yellow, low=_AXIS[0], high=_AXIS[1], source=_SOURCE),
    )


def _parts(paint: tuple[Array, Array, Array], touched: tuple[Array, Array, Array]) -> _Parts:
    """Return the parts of the difference."""
    (l_1, a_1, b_1), (l_2, a_2, b_2) = paint, touched
    stretch = 1.5 - 0.5 * _near_grey((np.hypot(a_1, b_1) + np.hypot(a_2, b_2)) / 2)
    c_1, c_2 = np.hypot(stretch * a_1, b_1), np.hypot(stretch * a_2, b_2)
    h_1, h_2 = np.arctan2(b_1, stretch * a_1) % _TURN, np.arctan2(b_2, stretch * a_2) % _TURN
    turn, mean_hue = _hues(h_1, h_2, c_1 * c_2 == 0)
    opposite = (np.abs(np.abs(turn) - math.pi) < constant("colour_jump_rad")) & (c_1 * c_2 > 0)
    l_mean, c_mean = (l_1 + l_2) / 2, (c_1 + c_2) / 2
    dark = (l_mean - 50) ** 2
    lightness = (l_2 - l_1) / (1 + 0.015 * dark / np.sqrt(20 + dark))
    chroma = (c_2 - c_1) / (1 + 0.045 * c_mean)
    arc = 2 * np.sqrt(c_1 * c_2) * np.sin(turn / 2)
    total, hue = _summed(lightness, chroma, arc, c_mean, mean_hue)
    other, _ = _summed(lightness, chroma, -arc, c_mean, mean_hue + math.pi)
    return _Parts(np.asarray(lightness), np.asarray(chroma), hue, total, other, np.asarray(opposite))


def _near_grey(chroma: Array) -> Array:
    """Return the root that is 0 at grey and nears 1 with chroma (twice over: stretch of a, rotation in the blue)."""
    return np.asarray(np.sqrt(chroma**7 / (chroma**7 + _SEVENTH)))


def _hues(h_1: Array, h_2: Array, grey: Array) -> tuple[Array, Array]:
    """Return the turn from the first hue to the second, and the hue between them [rad]; a grey takes the other's."""
    plain_turn, total = h_2 - h_1, h_1 + h_2
    far = np.abs(plain_turn) > math.pi + constant("colour_jump_rad") / 2
    turn = np.where(grey, 0.0, np.where(far, plain_turn - np.sign(plain_turn) * _TURN, plain_turn))
    between = np.where(far, np.where(total < _TURN, total + _TURN, total - _TURN), total) / 2
    return turn, np.where(grey, total, between)


def _summed(lightness: Array, chroma: Array, arc: Array, c_mean: Array, hue: Array) -> tuple[Array, Array]:
    """Return the difference and its weighted part of hue."""
    degrees = np.degrees(hue) % 360
    tone = (
        1
        - 0.17 * np.cos(hue - math.radians(30))
        + 0.24 * np.cos(2 * hue)
        + 0.32 * np.cos(3 * hue + math.radians(6))
        - 0.20 * np.cos(4 * hue - math.radians(63))
    )
    part = arc / (1 + 0.015 * c_mean * tone)
    swing = math.radians(30) * np.exp(-(((degrees - 275) / 25) ** 2))
    rotation = -2 * _near_grey(c_mean) * np.sin(2 * swing)
    squares = lightness**2 + chroma**2 + part**2 + rotation * chroma * part
    return np.asarray(np.sqrt(np.maximum(squares, 0.0))), np.asarray(part)


def _sigma(old: tuple[float | None, ...], new: tuple[float | None, ...], each: float | None) -> float:
    """Return the standard uncertainty of the difference: that along L, a or b, whichever is greatest."""
    usual = constant("colour_reading_sigma") if each is None else each
    within("reading_sigma", usual, low=0.0, high=10.0, source="common-practice")
    return max(math.hypot(*(usual if one is None else one for one in pair)) for pair in zip(old, new, strict=True))


def _assumed(sigmas: tuple[float | None, ...], each: float | None) -> tuple[str, ...]:
    """Return what was assumed for readings that came without an uncertainty, if any was."""
    bare = sum(one is None for one in sigmas)
    if each is not None or not bare:
        return ()
    usual = constant("colour_reading_sigma")
    return (f"{bare} of the 6 readings came without an uncertainty: ± {usual:g} is assumed for each of them.",)


def _judged(total: Array, tolerance: float | None, sigma: float, reader: str) -> Verdict | None:
    """Return the verdict against a tolerance, None where none was given."""
    if tolerance is None:
        return None
    within("tolerance", tolerance, low=_TOLERANCE[0], high=_TOLERANCE[1], source="common-practice")
    return verdict(
        value=Measured(float(total.mean()), float(total.std()) if total.ndim else sigma),
        limit=tolerance,
        at="most",
        standard="tolerance agreed for this touch-up, CIEDE2000",
        instrument=reader,
        circuit="",
        unit="1",
    )


def _seen(difference: float) -> str:
    """Return what an eye makes of the difference."""
    if difference < constant("colour_unseen"):
        return "hardly told apart side by side"
    if difference < constant("colour_close"):
        return "seen by who looks for it"
    return "seen side by side" if difference < constant("colour_clear") else "seen by everybody"


def _correction(paint: tuple[Array, Array, Array], touched: tuple[Array, Array, Array]) -> str:
    """Return which way the touch-up has to go, the largest step first; steps of no account are left out."""
    words = (("lighter", "darker"), ("more red", "less red"), ("more yellow", "less yellow"))
    steps = [float((one - two).mean()) for one, two in zip(paint, touched, strict=True)]
    least = constant("colour_unseen") / 4
    found = [
        (abs(step), names[0] if step > 0 else names[1])
        for step, names in zip(steps, words, strict=True)
        if abs(step) >= least
    ]
    return ", ".join(name for _, name in sorted(found, reverse=True)) or "nothing"


def _warnings(difference: float, reader: str, *, opposite: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if opposite:
        found.append("The two hues are exactly opposite: the formula jumps there and has two answers; both are given.")
    if difference > constant("colour_clear"):
        found.append("The formula is made for small differences: this one says 'another colour' and little more.")
    if reader == "camera":
        found.append("Lab from a camera needs a colour card in the same picture; without it only large steps count.")
    return tuple(found)


def _axis(key: str, argument: str, asks: str) -> Input:
    """Return one Lab value as an input."""
    low, high = _LIGHTNESS if argument.endswith("lightness") else _AXIS
    return Input(
        key, argument, asks, dimension="colour_value", unit="1", required=True, low=low, high=high,
        sigma=f"{argument}_sigma",
    )  # fmt: skip


INSTRUMENT: Final = Instrument(
    name="colour",
    summary="how far a touch-up is from the paint beside it, and which way to correct it",
    inputs=(
        _axis("paint_l", "paint_lightness", "L of the old paint, cleaned"),
        _axis("paint_a", "paint_redness", "a of the old paint, minus is green"),
        _axis("paint_b", "paint_yellowness", "b of the old paint, minus is blue"),
        _axis("touch_up_l", "touch_up_lightness", "L of the touch-up, cured"),
        _axis("touch_up_a", "touch_up_redness", "a of the touch-up"),
        _axis("touch_up_b", "touch_up_yellowness", "b of the touch-up"),
        Input(
            "tolerance", "tolerance", "difference agreed as good enough", dimension="ratio", unit="1",
            low=_TOLERANCE[0], high=_TOLERANCE[1], plausible=(0.3, 10.0),
        ),
        Input(
            "scatter", "reading_sigma", "standard uncertainty of each L, a or b typed without one", dimension="ratio",
            unit="1", low=0.0, high=10.0, plausible=(0.0, 3.0),
        ),
        Input("reader", "reader", "what both were read with", kind="choice", choices=READERS),
    ),
    outputs=(
        Output("difference", "1", "difference, CIEDE2000"),
        Output("difference_1976", "1", "straight distance in Lab, 1976"),
        Output("lighter", "1", "touch-up lighter by, as part of it"),
        Output("more_vivid", "1", "touch-up more vivid by, as part of it"),
        Output("hue_apart", "1", "hue apart by, as part of it"),
        Output("other_branch", "1", "difference on the other side of the formula's jump"),
        Output("seen", "", "seen: what an eye makes of it"),
        Output("correction", "", "correction: which way the touch-up has to go"),
        Output("outcome", "", "outcome: passed, failed, investigate, not shown, or not asked"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="L of 0 to 100, a and b of -128 to 128; made for differences up to about 5",
    example={
        "paint_l": "41.2", "paint_a": "38.5", "paint_b": "21.0", "touch_up_l": "42.0", "touch_up_a": "36.9",
        "touch_up_b": "20.4", "tolerance": "2", "reader": "spectrophotometer",
    },
    cautions=(
        "Old paint is presumed to hold lead, plating may hold cadmium or chromates: no dry sanding, no heat.",
        "Same light, same instrument, clean and dry: gloss, dirt and damp move a reading more than the tint does.",
    ),
    sources=("sharma-2005", "cie-15", "common-practice"),
    call=colour,
)  # fmt: skip
