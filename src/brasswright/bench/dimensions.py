"""The dimensions that the book keeps, and which input of which instrument each of them fills.

A dimension is a figure (a groove's diameter) or a designation in words ("44 x 4", "M10 x 1 male"). Designations are
compared as people mean them: without their spaces, with one sign for "by".
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from brasswright.bench.rings import ring
from brasswright.bench.thread_table import standard_thread
from brasswright.errors import BrasswrightError
from brasswright.tables import constant, rows
from brasswright.units import parse, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "WORDS",
    "Asked",
    "Dimension",
    "apart_of",
    "asked_by",
    "designation",
    "dimensions",
    "parts_of",
    "usual_sigma",
]

WORDS: Final = "words"
"""The quantity of a dimension that is a designation."""

_NUMBER: Final = r"\d+(?:\.\d+)?"
_BY: Final = re.compile(rf"^({_NUMBER})(?: x ({_NUMBER}))?(?: x ({_NUMBER}))?(?: ?mm)?$")
_METRIC: Final = re.compile(rf"^m({_NUMBER}) x ({_NUMBER})$")
_SIDES: Final = ("male", "female")


@dataclass(frozen=True, slots=True)
class Dimension:
    """One dimension: its name, what sort of quantity, the range taken without asking, the unit it is shown in.

    `usual_sigma` is the standard uncertainty where none was typed, `apart` the step between sizes that are taken for
    one another; both in SI, like `low` and `high`, and all None for a designation.
    """

    key: str
    name: str
    quantity: str
    unit: str
    low: float | None
    high: float | None
    usual_sigma: float | None
    apart: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Asked:
    """One way to fill an input of an instrument: from which dimension, which part of a designation, and when."""

    input: str
    dimension: str
    part: int
    when: tuple[str, str] | None


@cache
def dimensions() -> Mapping[str, Dimension]:
    """Return all dimensions that have a name here, by key."""
    return {row["key"]: _dimension(row) for row in rows("dimensions")}


def _dimension(row: Mapping[str, str]) -> Dimension:
    """Read one row; its texts carry their units."""
    figures = (_si(row[column], row["quantity"]) for column in ("low", "high", "usual_sigma", "apart"))
    low, high, usual, apart = figures
    return Dimension(row["key"], row["name"], row["quantity"], row["unit"], low, high, usual, apart, row["note"])


def _si(text: str, quantity: str) -> float | None:
    return parse(text, dimension=quantity).value if text else None


def usual_sigma(*, key: str, value: float) -> float:
    """Standard uncertainty of a figure that came without one, in the figure's unit.

    From the table of dimensions; half a percent of a dimension that has no name there. Source: common-practice.

    >>> usual_sigma(key="groove_diameter", value=0.0256)
    5e-05
    """
    known = dimensions().get(key)
    if known is not None and known.usual_sigma is not None:
        return known.usual_sigma
    return abs(value) * constant("book_free_sigma_share")


def apart_of(*, key: str, value: float) -> float:
    """Step between sizes that are taken for one another, in the figure's unit; as `usual_sigma`, two percent."""
    known = dimensions().get(key)
    if known is not None and known.apart is not None:
        return known.apart
    return abs(value) * constant("book_free_apart_share")


def asked_by(instrument: str) -> tuple[Asked, ...]:
    """Return what the book can fill of an instrument, better ways first; nothing for one it cannot help."""
    return tuple(
        Asked(row["input"], row["dimension"], int(row["part"] or 0), _when(row["when"]))
        for row in rows("dimension_inputs")
        if row["instrument"] == instrument
    )


def _when(text: str) -> tuple[str, str] | None:
    key, equals, value = text.partition("=")
    return (key, value) if equals else None


def designation(dimension: str, text: str) -> str:
    """Return a designation in the one spelling under which it is counted.

    >>> designation("o_ring", "O-Ring 44×4 mm"), designation("thread", "m10x1  Male")
    ('44 x 4', 'M10x1 male')
    """
    tidy = " ".join(text.replace("×", "x").replace("*", "x").split()).lower()
    tidy = re.sub(r"(?<=\d),(?=\d)", ".", tidy)
    tidy = re.sub(r"(?<=\d) ?x ?(?=\d)", " x ", tidy)
    tidy = re.sub(r"(?<=\d) ?mm\b", "", tidy)
    if dimension == "o_ring":
        return re.sub(r"^o[- ]?ring:? ", "", tidy)
    if dimension == "flat_gasket":
        return re.sub(r"^(?:flat )?gasket:? ", "", tidy)
    return _thread_name(tidy) if dimension == "thread" else tidy


def _thread_name(tidy: str) -> str:
    """Return a thread as its table spells it, its side last; what is in no table stays as typed."""
    said = tidy.split()
    side = next((word for word in said if word in _SIDES), "")
    bare = " ".join(word for word in said if word not in _SIDES)
    for spelt in (bare.replace(" x ", "x"), bare, bare.replace(" ", "")):
        try:
            return f"{standard_thread(name=spelt).name} {side}".strip()
        except BrasswrightError:
            continue
    return f"{bare} {side}".strip()


def parts_of(dimension: str, text: str) -> tuple[str, ...]:
    """Return the figures inside a designation as texts with unit, outermost first; nothing where none can be read.

    An O-ring gives inside diameter and section, a flat gasket outside, inside and thickness, a thread nominal diameter
    and pitch.

    >>> parts_of("o_ring", "44 x 4"), parts_of("thread", "M10x1 male"), parts_of("o_ring", "the old one")
    (('44 mm', '4 mm'), ('10 mm', '1 mm'), ())
    """
    spelt = designation(dimension, text)
    if dimension == "thread":
        return _of_thread(spelt)
    by = _BY.match(spelt)
    wanted = {"o_ring": 2, "flat_gasket": 3}.get(dimension, 0)
    found = tuple(f"{figure} mm" for figure in by.groups() if figure) if by else ()
    if dimension == "o_ring" and len(found) != wanted:
        return _of_ring(spelt)
    return found if 1 < len(found) <= wanted else ()


def _of_ring(name: str) -> tuple[str, ...]:
    try:
        one = ring(name=name)
    except BrasswrightError:
        return ()
    return words(one.inside_m, unit="mm"), words(one.section_m, unit="mm")


def _of_thread(spelt: str) -> tuple[str, ...]:
    bare = " ".join(word for word in spelt.split() if word not in _SIDES)
    try:
        one = standard_thread(name=bare)
    except BrasswrightError:
        metric = _METRIC.match(bare.lower())
        return (f"{metric[1]} mm", f"{metric[2]} mm") if metric else ()
    return words(one.major_m, unit="mm"), words(one.pitch_m, unit="mm")
