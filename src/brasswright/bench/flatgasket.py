"""A flat gasket for measured faces: thickness to buy, load to seat and hold it, how to cut it from a sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.gaskets import (
    MATERIALS,
    compression_band,
    holding_load_n,
    pieces_per_sheet,
    seating_load_n,
)
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import words

__all__ = ["INSTRUMENT", "FlatGasketResult", "flatgasket"]

_SOURCE: Final = "asme-viii-gaskets"
_DIAMETER: Final = (0.002, 0.5)
_INSIDE: Final = (0.001, 0.5)
_THICK: Final = (0.0002, 0.015)
_PRESSURE: Final = (0.0, 2e6)
_SCREWS: Final = (1.0, 24.0)
_PIECES: Final = (1.0, 500.0)
_SHEET: Final = (0.02, 3.0)
_MARGIN: Final = (0.0, 0.05)


@dataclass(frozen=True, slots=True)
class FlatGasketResult:
    """A gasket's area, the load it wants, its thickness and compression, and the cut list."""

    area_m2: Figure
    seating_load_n: Figure
    holding_load_n: Figure
    load_needed_n: Figure
    load_per_screw_n: Figure | None
    thickness_least_m: Figure | None
    thickness_most_m: Figure | None
    compression: Figure | None
    compression_least: float
    compression_most: float
    outcome: str
    meaning: str
    per_sheet: int | None
    sheets: int | None
    cut_list: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What is cut from which sheet."""

    pieces: int
    width_m: float | None
    length_m: float | None
    margin_m: float


@dataclass(frozen=True, slots=True)
class _Load:
    """Load to seat and to hold a gasket."""

    seat: Array
    hold: Array

    @property
    def needed(self) -> Array:
        """The larger of the two."""
        return np.asarray(np.maximum(self.seat, self.hold))


@dataclass(frozen=True, slots=True)
class _Fit:
    """Thinnest and thickest sheet for a gap, compression of the one at hand, and what that means."""

    least: Figure | None
    most: Figure | None
    squeezed: Figure | None
    band: tuple[float, float]
    outcome: str
    meaning: str


def flatgasket(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    outside_m: Figure,
    inside_m: Figure,
    material: str = "fibre",
    pressure_pa: Figure = 0.0,
    gap_m: Figure | None = None,
    thickness_m: Figure | None = None,
    screws: float | None = None,
    pieces: float = 1.0,
    sheet_width_m: float | None = None,
    sheet_length_m: float | None = None,
    margin_m: float | None = None,
) -> FlatGasketResult:
    """What flat gasket measured faces want, and how to cut it.

    Symbols: D_o, D_i diameters of the ring, b and G its effective width and diameter, y and m of its stuff; load to
    seat pi b G y, to hold (pi / 4) G^2 p + 2 b pi G m p, the larger is needed; gap t left between the faces, thickness
    t / (1 - c) for a compression c in the band of the stuff.
    Valid for rings of 2 to 500 mm without screw holes in the ring, 0 to 20 bar. Source: asme-viii-gaskets;
    flat-ring-geometry; common-practice for compression.

    >>> result = flatgasket(outside_m=0.07, inside_m=0.06, pressure_pa=150_000.0, gap_m=0.0018)
    >>> round(result.load_needed_n), round(result.thickness_least_m * 1000, 2)
    (3872, 1.89)
    """
    outer = within("outside_m", outside_m, low=_DIAMETER[0], high=_DIAMETER[1], source=_SOURCE)
    inner = within("inside_m", inside_m, low=_INSIDE[0], high=_INSIDE[1], source=_SOURCE)
    load = _load(outer, inner, material, pressure_pa)
    count = _maybe("screws", screws, _SCREWS)
    fit = _fit(_maybe("gap_m", gap_m, _THICK), _maybe("thickness_m", thickness_m, _THICK), material)
    sheet = _sheet(pieces, sheet_width_m, sheet_length_m, margin_m)
    per_sheet = _per_sheet(float(outer.mean()), sheet)
    return FlatGasketResult(
        area_m2=plain(np.asarray(math.pi / 4 * (outer**2 - inner**2))),
        seating_load_n=plain(load.seat),
        holding_load_n=plain(load.hold),
        load_needed_n=plain(load.needed),
        load_per_screw_n=None if count is None else plain(load.needed / count),
        thickness_least_m=fit.least,
        thickness_most_m=fit.most,
        compression=fit.squeezed,
        compression_least=fit.band[0],
        compression_most=fit.band[1],
        outcome=fit.outcome,
        meaning=fit.meaning,
        per_sheet=per_sheet,
        sheets=None if per_sheet is None else math.ceil(sheet.pieces / per_sheet),
        cut_list=_cut_list(float(outer.mean()), float(inner.mean()), material, sheet),
        warnings=_warnings(material),
    )


def _maybe(name: str, value: Figure | None, edges: tuple[float, float]) -> Array | None:
    """Return a figure checked, or None where it was not given."""
    return None if value is None else within(name, value, low=edges[0], high=edges[1], source="common-practice")


def _load(outer: Array, inner: Array, material: str, pressure_pa: Figure) -> _Load:
    """Return the loads that a gasket wants."""
    seat = seating_load_n(inside_m=inner, outside_m=outer, material=material)
    hold = holding_load_n(inside_m=inner, outside_m=outer, material=material, pressure_pa=pressure_pa)
    return _Load(np.asarray(seat), np.asarray(hold))


def _fit(gap: Array | None, thick: Array | None, material: str) -> _Fit:
    """Return thickness for a gap, and how the sheet at hand is pressed."""
    band = compression_band(material=material)
    squeezed = None if gap is None or thick is None else np.asarray(1 - gap / thick)
    least, most = (None if gap is None else plain(np.asarray(gap / (1 - edge))) for edge in band)
    return _Fit(least, most, None if squeezed is None else plain(squeezed), band, *_outcome(squeezed, band))


def _sheet(pieces: float, width: float | None, length: float | None, margin: float | None) -> _Sheet:
    """Return the sheet, checked; its two sides belong together."""
    count = float(within("pieces", pieces, low=_PIECES[0], high=_PIECES[1], source="common-practice"))
    sides = [_maybe(name, value, _SHEET) for name, value in (("sheet_width_m", width), ("sheet_length_m", length))]
    left = _maybe("margin_m", constant("gasket_margin_m") if margin is None else margin, _MARGIN)
    if (sides[0] is None) != (sides[1] is None):
        raise ImpossibleValue("Width and length of the sheet belong together.", allowed="both, or neither")
    if count != int(count):
        raise ImpossibleValue("Pieces are whole.", got=count)
    wide, long = (None if side is None else float(side) for side in sides)
    return _Sheet(int(count), wide, long, 0.0 if left is None else float(left))


def _per_sheet(outside: float, sheet: _Sheet) -> int | None:
    """Return how many pieces a sheet gives; refuses a sheet too small for one."""
    if sheet.width_m is None or sheet.length_m is None:
        return None
    found = pieces_per_sheet(outside_m=outside, margin_m=sheet.margin_m, width_m=sheet.width_m, length_m=sheet.length_m)
    if not found:
        raise ImpossibleValue("The sheet is too small for one piece with its margin.", remedy="Take a larger sheet.")
    return found


def _outcome(squeezed: Array | None, band: tuple[float, float]) -> tuple[str, str]:
    """Return whether the compression lies in its band, and the sentence."""
    if squeezed is None:
        return "not shown", "Compression wants the gap between the tightened faces and the thickness of the sheet."
    part, (low, high) = float(squeezed.mean()), band
    if part <= 0:
        return "does not fit", "The gasket is thinner than the gap: it touches nothing."
    said = f"pressed {part:.0%} thinner, {low:.0%} to {high:.0%} is usual for this stuff"
    if part < low:
        return "does not fit", f"Too thin: {said}."
    return ("does not fit", f"Too thick: {said}.") if part > high else ("fits", f"It is {said}.")


def _cut_list(outside: float, inside: float, material: str, sheet: _Sheet) -> tuple[str, ...]:
    """Return the cut list in words."""
    noun = "piece" if sheet.pieces == 1 else "pieces"
    return (
        f"{sheet.pieces} {noun} of {material}: outside {words(outside, unit='mm')}, inside {words(inside, unit='mm')}",
        f"blank {words(outside + sheet.margin_m, unit='mm')} square each; the inside first, then the outside",
    )


def _warnings(material: str) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = ["Compression bands are common practice: the maker's sheet of the material decides."]
    if material == "PTFE":
        found.append("PTFE creeps: only where the seat holds it on all sides.")
    if material in {"soft copper", "soft aluminium"}:
        found.append("Faces flat and without a scratch across them: this stuff fills little.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="flatgasket",
    summary="a flat gasket for measured faces: thickness, compression, load of the screws, cut list",
    inputs=(
        Input(
            "outside", "outside_m", "outside diameter of the seat", dimension="length", unit="mm", required=True,
            low=_DIAMETER[0], high=_DIAMETER[1], plausible=(0.005, 0.3),
        ),
        Input(
            "inside", "inside_m", "inside diameter of the seat", dimension="length", unit="mm", required=True,
            low=_INSIDE[0], high=_INSIDE[1], plausible=(0.003, 0.28),
        ),
        Input("material", "material", "what it is cut from", kind="choice", choices=MATERIALS),
        Input(
            "pressure", "pressure_pa", "highest gauge pressure", dimension="pressure_gauge", unit="bar",
            low=_PRESSURE[0], high=_PRESSURE[1], plausible=(2e3, 1.2e6),
        ),
        Input(
            "gap", "gap_m", "gap left between the tightened faces", dimension="length", unit="mm",
            low=_THICK[0], high=_THICK[1],
        ),
        Input(
            "thickness", "thickness_m", "thickness of the new sheet", dimension="length", unit="mm",
            low=_THICK[0], high=_THICK[1],
        ),
        Input("screws", "screws", "screws that press it", dimension="count", unit="1", low=_SCREWS[0], high=_SCREWS[1]),
        Input("pieces", "pieces", "pieces to cut", dimension="count", unit="1", low=_PIECES[0], high=_PIECES[1]),
        Input(
            "sheet_width", "sheet_width_m", "width of the sheet", dimension="length", unit="mm",
            low=_SHEET[0], high=_SHEET[1],
        ),
        Input(
            "sheet_length", "sheet_length_m", "and its length", dimension="length", unit="mm",
            low=_SHEET[0], high=_SHEET[1],
        ),
        Input(
            "margin", "margin_m", "sheet left between pieces", dimension="length", unit="mm",
            low=_MARGIN[0], high=_MARGIN[1],
        ),
    ),
    outputs=(
        Output("area_m2", "m2", "area of the ring", "mm²"),
        Output("seating_load_n", "N", "load to seat it"),
        Output("holding_load_n", "N", "load to hold it under pressure"),
        Output("load_needed_n", "N", "load needed, the larger of the two"),
        Output("load_per_screw_n", "N", "of it each screw carries"),
        Output("thickness_least_m", "m", "thinnest sheet for the gap", "mm"),
        Output("thickness_most_m", "m", "thickest sheet for the gap", "mm"),
        Output("compression", "1", "compression of the sheet at hand", "%"),
        Output("compression_least", "1", "least compression usual", "%"),
        Output("compression_most", "1", "most compression usual", "%"),
        Output("outcome", "", "outcome: fits, does not fit or not shown"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("per_sheet", "", "pieces a sheet gives"),
        Output("sheets", "", "sheets wanted"),
        Output("cut_list", "", "cut list: what to cut"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="flat rings of 2 to 500 mm without screw holes through the ring, 0 to 20 bar",
    example={
        "outside": "70 mm", "inside": "60 mm", "material": "fibre", "pressure": "1.5 bar", "gap": "1.8 mm",
        "thickness": "2 mm", "screws": "4",
    },
    cautions=(
        "Cold and vented before a flange is opened.",
        "An old gasket of any age or colour is presumed to hold asbestos until a laboratory or papers say otherwise.",
        "What drink or steam touches wants its supplier's food-contact declaration.",
    ),
    sources=("asme-viii-gaskets", "flat-ring-geometry", "common-practice"),
    call=flatgasket,
)  # fmt: skip
