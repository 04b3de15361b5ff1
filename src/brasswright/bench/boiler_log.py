"""Logs of a boiler: time with gauge pressure, temperature, or both; an absolute pressure where gauge is meant asks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.traces import read_trace
from brasswright.bench.validity import Array, Figure, within
from brasswright.errors import ImpossibleValue, NeedsConfirmation
from brasswright.tables import constant
from brasswright.units import words

__all__ = ["BoilerLog", "ask_if_absolute", "read_boiler_log", "single"]

_NAMES: Final = ("temperature", "pressure", "heater")
_ABSOLUTE: Final = re.compile(r"\bpressure\s*[\[(][^\])]*\babs|\bpressure\s*[\[(]\s*(?:atm|mmHg)", re.IGNORECASE)
_WATTS: Final = re.compile(r"\bheater\s*[\[(]\s*k?W\s*[\])]")


@dataclass(frozen=True, slots=True)
class BoilerLog:
    """A log in SI: time, and what else it holds; `heater_on` is true where the element was logged as on."""

    time_s: Array
    temperature_k: Array | None
    pressure_gauge_pa: Array | None
    heater_on: Array | None


def read_boiler_log(text: str, *, barometer_pa: float, gap_times: float | None = 10.0) -> BoilerLog:
    r"""Return a log of `time` with `temperature`, `pressure`, or both, and `heater` if it has such a column.

    `pressure` is above the air outside, unless its unit says "abs": then the barometer is taken off. `heater` is in %
    or W; half of its largest value or more counts as on. What is wrong with the log is refused with its line.

    >>> log = read_boiler_log("time [s],pressure [bar abs]\n0,1.9\n1,2.0\n2,2.1\n", barometer_pa=100e3)
    >>> log.pressure_gauge_pa.round().tolist()
    [90000.0, 100000.0, 110000.0]
    """
    lines = (line for line in text.removeprefix("\ufeff").splitlines() if line.strip())
    head = next((line for line in lines if not line.lstrip().startswith("#")), "")
    held = [name for name in _NAMES if re.search(rf"\b{name}\b", head, re.IGNORECASE)]
    if head and "temperature" not in held and "pressure" not in held:
        raise ImpossibleValue(
            "The log holds neither temperature nor pressure.", where="log, first line", got=f"'{head.strip()}'",
            allowed="'time [s],pressure [bar]', 'time [s],temperature [°C]', or all three columns",
        )  # fmt: skip
    absolute = _ABSOLUTE.search(head) is not None
    dimensions = {
        "temperature": "temperature",
        "pressure": "pressure_absolute" if absolute else "pressure_gauge",
        "heater": "power" if _WATTS.search(head) else "ratio",
    }
    columns = {"time": "time"} | {name: dimensions[name] for name in held}
    trace = read_trace(text, columns=columns, source="log", gap_times=gap_times)
    pressure = trace["pressure"] - (barometer_pa if absolute else 0.0) if "pressure" in held else None
    heater = trace["heater"] if "heater" in held else None
    return BoilerLog(
        time_s=np.asarray(trace["time"] - trace["time"][0]),
        temperature_k=trace["temperature"] if "temperature" in held else None,
        pressure_gauge_pa=pressure,
        heater_on=None if heater is None else np.asarray(heater >= max(float(heater.max()), 1e-9) / 2, dtype=float),
    )


def ask_if_absolute(pressure_gauge_pa: Figure, *, barometer_pa: Figure, confirmed: bool, where: str) -> None:
    """Ask back where a gauge pressure is just what an absolute gauge shows on an open vessel."""
    near = np.abs(np.asarray(pressure_gauge_pa) - np.asarray(barometer_pa)) < constant("open_vessel_pa")
    if confirmed or not np.any(near):
        return
    shown = words(float(np.atleast_1d(pressure_gauge_pa)[0]), unit="bar")
    raise NeedsConfirmation(
        "This is the pressure of the air itself: an absolute gauge shows it on an open, cold vessel.",
        where=where, got=f"{shown} taken as above the air outside",
        remedy="Write it as 'bar abs', or say pressure_is_gauge=yes if the gauge does show zero when open.",
    )  # fmt: skip


def single(name: str, value: Figure, *, low: float, high: float, source: str) -> float:
    """Return one checked figure; a log is read against one figure, never against many samples."""
    got = within(name, value, low=low, high=high, source=source)
    if got.ndim:
        raise ImpossibleValue("A log is read against one figure, not many.", where=name, got=f"{got.size} figures")
    return float(got)
