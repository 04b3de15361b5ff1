"""An element's reading drawn: ohm, volt and watt on three logarithmic scales, joined by one straight line.

Power is voltage squared over resistance, so with equal decades on three scales side by side, the middle one half way,
any reading, its voltage and its power lie on a straight line. What is uncertain about the reading becomes a wedge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from brasswright.units import words

__all__ = ["Mark", "Scale", "Scales", "element_scales"]

OHM_X, VOLT_X, WATT_X = 60.0, 190.0, 320.0
MIDDLE, HALF = 150.0, 128.0
LEAST_SPAN = 0.2
"""Decades to each side of the plate that are always drawn."""
ROOM = 1.25
TICKS = (1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0)
LEAST_GAP = 22.0
COVERAGE = 2.0


@dataclass(frozen=True, slots=True)
class Mark:
    """One graduation: where, and its figure."""

    y: float
    says: str


@dataclass(frozen=True, slots=True)
class Scale:
    """One scale: where it stands, its unit, its graduations, and where the line meets it."""

    x: float
    unit: str
    marks: tuple[Mark, ...]
    here: float

    @property
    def axis(self) -> str:
        """The upright of the scale, as a path."""
        return f"M{self.x} {self.marks[0].y}V{self.marks[-1].y}" if self.marks else ""


@dataclass(frozen=True, slots=True)
class Scales:
    """The three scales with line, wedge and band as paths; `head` is the power in words, `says` all of it."""

    ohm: Scale
    volt: Scale
    watt: Scale
    line: str
    wedge: str
    band_top: float | None
    band_height: float
    head: str
    fit: str
    says: str


@dataclass(frozen=True, slots=True)
class _Frame:
    """What is level with the middle of the picture, and how many drawing units a decade takes."""

    ohm: float
    volt: float
    watt: float
    decade: float

    def y(self, value: float, centre: float) -> float:
        """Return where a value stands."""
        return round(MIDDLE - self.decade * math.log10(value / centre), 1)


def element_scales(said: Mapping[str, Any]) -> Scales | None:
    """Return the picture of an element's answer; None where it gives no power."""
    ohm, watt, factor = (said.get(key) for key in ("net_resistance_ohm", "power_hot_w", "hot_factor"))
    if not (isinstance(ohm, float) and isinstance(watt, float) and isinstance(factor, float)):
        return None
    volt = math.sqrt(watt * ohm * factor)
    frame = _frame(said, ohm, watt, volt)
    ends = (frame.y(ohm, frame.ohm), frame.y(volt, frame.volt), frame.y(watt, frame.watt))
    top, height, fit = _band(said, frame)
    head = words(watt, unit="W")
    return Scales(
        ohm=Scale(OHM_X, "ohm", _marks(frame, frame.ohm), ends[0]),
        volt=Scale(VOLT_X, "volt", _marks(frame, frame.volt, share=0.5), ends[1]),
        watt=Scale(WATT_X, "watt", _marks(frame, frame.watt), ends[2]),
        line=f"M{OHM_X} {ends[0]}L{WATT_X} {ends[2]}",
        wedge=_wedge(said, frame, ohm, volt**2 / factor),
        band_top=top,
        band_height=height,
        head=f"{head} hot",
        fit=fit,
        says=f"Three scales: {words(ohm, unit='ohm')} and {words(volt, unit='V')} meet at {head}. {fit}".strip(),
    )


def _frame(said: Mapping[str, Any], ohm: float, watt: float, volt: float) -> _Frame:
    """Put what the plate says in the middle; without a plate, the reading itself."""
    rated = said.get("inputs", {}).get("rated_power", {}).get("value")
    centre = float(rated) if isinstance(rated, float) else watt
    away = abs(math.log10(watt / centre))
    return _Frame(ohm * watt / centre, volt, centre, HALF / max(LEAST_SPAN, away * ROOM))


def _band(said: Mapping[str, Any], frame: _Frame) -> tuple[float | None, float, str]:
    band = said.get("rated_band")
    if not isinstance(band, Mapping):
        return None, 0.0, ""
    low, high = float(band["low_w"]), float(band["high_w"])
    top = frame.y(high, frame.watt)
    place = {"within": "inside", "below": "below", "above": "above"}[str(said["rating"])]
    return top, round(frame.y(low, frame.watt) - top, 1), f"{place} the band {low:.0f} to {high:.0f} W"


def _wedge(said: Mapping[str, Any], frame: _Frame, ohm: float, square: float) -> str:
    """Return the path of the uncertainty, two standard ones to each side; empty where none was stated."""
    sigma = said.get("inputs", {}).get("resistance", {}).get("sigma")
    if not isinstance(sigma, float) or not 0 < COVERAGE * sigma < ohm:
        return ""
    low, high = ohm - COVERAGE * sigma, ohm + COVERAGE * sigma
    left = [frame.y(one, frame.ohm) for one in (low, high)]
    right = [frame.y(square / one, frame.watt) for one in (low, high)]
    return f"M{OHM_X} {left[0]}L{WATT_X} {right[0]}V{right[1]}L{OHM_X} {left[1]}Z"


def _marks(frame: _Frame, centre: float, share: float = 1.0) -> tuple[Mark, ...]:
    """Return the graduations of a scale within the picture, none nearer to the next than can be read."""
    found: list[Mark] = []
    first = math.floor(math.log10(centre)) - 1
    for power in range(first, first + 3):
        for tick in TICKS:
            y = frame.y(tick * 10.0**power, centre)
            near = found and abs(found[-1].y - y) < LEAST_GAP
            if abs(y - MIDDLE) <= HALF * share and not near:
                found.append(Mark(y, f"{tick * 10.0**power:g}"))
    return tuple(found)
