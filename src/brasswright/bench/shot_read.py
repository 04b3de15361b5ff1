"""A logged pull read and cut: time and pressure, water by volume, mass or flow where a column holds it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.shot_given import warmth_k
from brasswright.bench.steam import water_volume_m3_per_kg
from brasswright.bench.traces import read_trace
from brasswright.bench.validity import Array
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import words

__all__ = ["PullLog", "read_pull"]

_METERS: Final = {"volume": "volume", "mass": "mass", "flow": "flow"}
_LEAST: Final = 12


@dataclass(frozen=True, slots=True)
class PullLog:
    """The part of a log from its highest pressure on: times, pressures, water in the cup (None without a meter)."""

    times_s: Array
    pressures_pa: Array
    cup_m3: Array | None
    peak_pa: float
    notes: tuple[str, ...]


def read_pull(text: str) -> PullLog:
    r"""Return the falling part of a logged pull, in SI; refuses a log without pressure or with two meters.

    A mass becomes a volume at 90 °C. The part begins at the highest pressure and ends where less than a third of it is
    left. What is wrong with the log is refused with its line. Source: iapws-r7-97; common-practice.

    >>> rows = "".join(f"{s},{9 - 0.2 * s:.2f}\n" for s in range(15))
    >>> read_pull("time [s],pressure [bar]\n" + rows).peak_pa
    900000.0
    """
    head = next((line for line in text.removeprefix("\ufeff").splitlines() if line.strip() and line[0] != "#"), "")
    meters = [name for name in _METERS if re.search(rf"\b{name}\b", head, re.IGNORECASE)]
    if len(meters) > 1:
        raise ImpossibleValue(
            "The log counts the water twice.", where="log, first line", got=" and ".join(meters), allowed="one of them"
        )
    columns = {"time": "time", "pressure": "pressure_gauge"} | {name: _METERS[name] for name in meters}
    trace = read_trace(text, columns=columns, source="log")
    t, p = trace["time"], trace["pressure"]
    cup = _cup(trace[meters[0]], meters[0], t) if meters else None
    top = int(np.argmax(p))
    low = np.flatnonzero(p[top:] < constant("shot_log_end_share") * p[top])
    end = top + int(low[0]) if low.size else p.size
    if p[top] < constant("shot_spent_pa") or end - top < _LEAST:
        raise ImpossibleValue(
            "Too little of a pull is logged.", where="log",
            got=f"{end - top} readings from {words(float(p[top]), unit='bar')} on",
            allowed=f"{_LEAST} or more from the highest pressure until it is spent",
            remedy="Log from before the lever is let go, several readings a second.",
        )  # fmt: skip
    notes = [] if end == p.size else [f"The last {p.size - end} readings, pressure spent, were left out."]
    return PullLog(t[top:end], p[top:end], None if cup is None else cup[top:end], float(p[top]), tuple(notes))


def _cup(column: Array, meter: str, t: Array) -> Array:
    """Return the water in the cup by time."""
    if meter == "volume":
        return column
    if meter == "mass":
        a_kilogram = water_volume_m3_per_kg(
            pressure_pa=constant("shot_reference_pa"), temperature_k=float(warmth_k(None))
        )
        return np.asarray(column * a_kilogram)
    return np.concatenate([[0.0], np.cumsum(np.diff(t) * (column[1:] + column[:-1]) / 2)])
