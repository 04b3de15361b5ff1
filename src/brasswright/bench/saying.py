"""What an instrument says, as lines for people: each value with its uncertainty and interval, records as phrases."""

from __future__ import annotations

import dataclasses
import re
from typing import TYPE_CHECKING, Any, Final

from brasswright.units import dimension_of, words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.bench.instrument import Instrument, Output

__all__ = ["NO_SPREAD", "label", "lines", "own_sigmas", "reach", "unit_shown"]

NO_SPREAD: Final = (
    "uncertainty: not worked out, as readings that far apart leave the range in which this instrument holds; "
    "the figures stand for the readings as typed"
)
"""What is said where an input came with an uncertainty and none can be given for what comes of it."""

_ROW: Final = 12
"""Figures of a curve that words give; the curve itself has all of them."""
_TOLD: Final = re.compile(r"(?P<value>-?[\d.]+)(?: ± [\d.]+)?(?P<unit>.*)$")
_RECORD_UNITS: Final = {"_v": "V", "_w": "W", "_m": "mm", "_n": "N"}


def lines(instrument: Instrument, given: Mapping[str, Any], spread: Mapping[str, Mapping[str, float]]) -> list[str]:
    """Return the outputs as lines for people, those without a value left out.

    `given` holds the outputs in SI by their fields, `spread` what the uncertainty of the inputs makes of them. An
    output that is the standard uncertainty of another stands in that one's line.
    """
    sigmas = own_sigmas(instrument)
    told = []
    for output in instrument.outputs:
        value = given[output.field]
        if value is None or value == "not asked" or (isinstance(value, tuple) and not value):
            continue
        if output.field in sigmas.values():
            continue
        told.append(f"{label(output)}: {_shown(output, value, spread.get(output.field))}")
    return told


def own_sigmas(instrument: Instrument) -> dict[str, str]:
    """Return the outputs that hold the standard uncertainty of another one, by that other one."""
    fields = {output.field for output in instrument.outputs}
    found: dict[str, str] = {}
    for field in fields:
        bare = field.replace("_sigma", "")
        found |= {name: field for name in (bare, f"{bare}_share") if bare != field and name in fields}
    return found


def label(output: Output) -> str:
    """Return the short name of an output."""
    return output.says.partition(":")[0]


def unit_shown(output: Output) -> tuple[str, str]:
    """Return the unit on show and its dimension."""
    unit = output.shown or output.unit
    if unit == "K":
        return unit, "temperature_difference"
    return unit, "ratio" if unit == "1" else dimension_of(unit)


def reach(low: float, high: float, *, unit: str, dimension: str, sigma: float | None = None) -> str:
    """Return a range in words, the unit said once; with `sigma` (SI) both ends stop where that uncertainty does.

    >>> reach(47.96, 48.83, unit="ohm", dimension="resistance", sigma=0.2)
    '48.0 to 48.8 ohm'
    """
    first, last = (_TOLD.match(words(edge, sigma, unit=unit, dimension=dimension)) for edge in (low, high))
    return f"{first['value']} to {last['value']}{last['unit']}" if first and last else ""


def _shown(output: Output, value: Any, spread: Mapping[str, float] | None) -> str:  # noqa: ANN401 - any field of a result
    """Return one output in words."""
    if output.unit and isinstance(value, float):
        unit, dimension = unit_shown(output)
        if not spread:
            return words(value, unit=unit, dimension=dimension)
        said = words(value, spread["sigma"], unit=unit, dimension=dimension)
        ends = reach(spread["low"], spread["high"], unit=unit, dimension=dimension, sigma=spread["sigma"])
        return f"{said} (95 %: {ends})"
    if output.unit and isinstance(value, tuple) and all(isinstance(one, float) for one in value):
        step = -(-len(value) // _ROW)
        return "; ".join(_shown(output, one, None) for one in value[::step])
    if isinstance(value, tuple):
        return "; ".join(_record(one) for one in value)
    return _record(value)


def _record(value: object) -> str:
    """Return a nested record on one line, in its own words where it has them; anything else as it stands."""
    if not dataclasses.is_dataclass(value) or isinstance(value, type):
        return str(value)
    if hasattr(value, "in_words"):
        return str(value.in_words)
    parts = []
    for entry in dataclasses.fields(value):
        one = getattr(value, entry.name)
        unit = _RECORD_UNITS.get(entry.name[-2:])
        if one == "":
            continue
        if entry.name == "probability":
            parts.append(f"{one:.0%}")
        else:
            parts.append(words(one, unit=unit) if unit else str(one))
    return ", ".join(parts)
