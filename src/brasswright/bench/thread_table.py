"""Standard threads from the tables: sizes, where a real crest lies between its limits, drills."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import from_si, to_si

__all__ = [
    "Drills",
    "Side",
    "Thread",
    "crest_band_m",
    "drills",
    "limits_over_crest_m",
    "minor_diameter_m",
    "nominal_minor_diameter_m",
    "standard_thread",
    "threads",
]

Side = Literal["male", "female"]


@dataclass(frozen=True, slots=True)
class Thread:
    """One standard thread: nominal size, the tolerances its standard prints (None: by formula), how often it is met."""

    name: str
    family: str
    major_m: float
    pitch_m: float
    flank_angle_deg: float
    male_tolerance_m: float | None
    female_tolerance_m: float | None
    weight: float
    source: str


@dataclass(frozen=True, slots=True)
class Drills:
    """Drills for tapping and for clearance, and whether a table or a rule gave them."""

    tap_m: float
    clearance_m: float
    origin: str


def nominal_minor_diameter_m(*, name: str) -> float:
    """Basic minor diameter of a thread by its name [m]; as `minor_diameter_m`."""
    return minor_diameter_m(standard_thread(name=name))


def limits_over_crest_m(*, name: str, side: Side) -> tuple[float, float]:
    """Smallest and largest diameter over the crest of a thread by its name [m]; as `crest_band_m`."""
    return crest_band_m(standard_thread(name=name), side)


@cache
def threads() -> tuple[Thread, ...]:
    """Return all threads of the table."""
    return tuple(
        Thread(
            row["name"],
            row["family"],
            to_si(float(row["major_mm"]), unit="mm"),
            to_si(float(row["pitch_mm"]), unit="mm"),
            float(row["flank_angle_deg"]),
            _millimetres(row["male_tolerance_mm"]),
            _millimetres(row["female_tolerance_mm"]),
            float(row["weight"]),
            row["source"],
        )
        for row in rows("threads")
    )


def standard_thread(*, name: str) -> Thread:
    """Return the thread of that name; refuses one that is in no table."""
    for one in threads():
        if one.name.lower() == name.strip().lower():
            return one
    raise NotFound(
        f"There is no thread '{name}' in the tables.", allowed="such as M10x1, G1/8, 2BA, 1/4 BSW, #8-32 UNC"
    )


def minor_diameter_m(one: Thread) -> float:
    """Basic minor diameter, the crest of a female thread [m].

    Symbols: d major diameter, p pitch, h depth by flank angle; D1 = d - 2 h p. Valid for the basic profiles of 60, 55
    and 47.5 degrees. Source: thread-forms.

    >>> round(minor_diameter_m(standard_thread(name="G1/8")) * 1000, 3)
    8.566
    """
    depth = constant(f"thread_depth_{int(one.flank_angle_deg)}")
    return one.major_m - 2 * depth * one.pitch_m


def crest_band_m(one: Thread, side: Side) -> tuple[float, float]:
    """Smallest and largest diameter over the crest of a thread made to its limits [m].

    Male: from d - allowance - tolerance to d; female: from D1 to D1 + tolerance. Where the standard's own limits are in
    the table they hold; elsewhere those of ISO metric threads, 6g and 6H, stand in. Valid for pitches of 0.2 to 6 mm.
    Source: iso-965-1 (from memory); iso-228-1; iso-1478 (from memory).

    >>> low, high = crest_band_m(standard_thread(name="M10"), "male")
    >>> round(low * 1000, 2), round(high * 1000, 2)
    (9.74, 10.0)
    """
    pitch_mm = from_si(one.pitch_m, unit="mm")
    if side == "male":
        width = one.male_tolerance_m
        if width is None:
            allowance = constant("thread_allowance_base_um") + constant("thread_allowance_per_mm_um") * pitch_mm
            grade = constant("thread_major_tolerance_um") * pitch_mm ** (2 / 3)
            grade -= constant("thread_major_tolerance_less_um") / pitch_mm**0.5
            width = to_si(allowance + grade, unit="um")
        return one.major_m - width, one.major_m
    minor = minor_diameter_m(one)
    return minor, minor + _female_width_m(one, pitch_mm)


def drills(one: Thread) -> Drills | None:
    """Return tap and clearance drill [m]; None for screws that cut their own thread.

    Where no table has them: minor diameter plus half its tolerance, and the major diameter by a tenth more, rounded to
    the steps of a workshop's drills. Source: drills-cad-library; bs-84; common-practice.

    >>> drills(standard_thread(name="M6")).tap_m
    0.005
    """
    if one.source == "iso-1478":
        return None
    row = next((row for row in rows("thread_drills") if row["name"] == one.name), None)
    tap = _millimetres(row["tap_mm"]) if row else None
    clear = _millimetres(row["clearance_mm"]) if row else None
    origin = "from the table" if tap and clear else "partly reckoned" if tap or clear else "reckoned"
    if tap is None:
        low, high = crest_band_m(one, "female")
        tap = _stepped((low + high) / 2, constant("thread_drill_step_m"))
    if clear is None:
        clear = _stepped(one.major_m * constant("thread_clearance_share"), constant("thread_clearance_step_m"))
    return Drills(tap, clear, origin)


def _millimetres(text: str) -> float | None:
    """Return a length of a table in metres, or None where the cell is empty."""
    return to_si(float(text), unit="mm") if text else None


def _stepped(length_m: float, step_m: float) -> float:
    """Return a length rounded to whole steps."""
    return round(length_m / step_m) * step_m


def _female_width_m(one: Thread, pitch_mm: float) -> float:
    """Return the tolerance of the minor diameter of a female thread."""
    if one.female_tolerance_m is not None:
        return one.female_tolerance_m
    if pitch_mm >= 1:
        return to_si(constant("thread_minor_coarse_um") * pitch_mm**0.7, unit="um")
    fine = constant("thread_minor_fine_um") * pitch_mm - constant("thread_minor_fine_less_um") * pitch_mm**1.22
    return to_si(fine, unit="um")
