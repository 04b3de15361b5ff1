"""How far an appliance's power may lie from its plate."""

from __future__ import annotations

from dataclasses import dataclass

from brasswright.bench.validity import within
from brasswright.tables import rows

__all__ = ["Band", "rated_power_band"]


@dataclass(frozen=True, slots=True)
class Band:
    """Lowest and highest power allowed, and whose rule it is."""

    low_w: float
    high_w: float
    standard: str


def rated_power_band(*, rated_power_w: float) -> Band:
    """Return the band in which the power of a heating appliance may lie at rated voltage and working temperature [W].

    Up to 25 W: +20 %; to 200 W: +10 / -10 %; above: +5 % or 20 W, whichever is more, and -10 %.
    Valid for 1 W to 20 kW. Source: iec-60335-1, clause 10.1, table 1 (from memory).

    >>> band = rated_power_band(rated_power_w=1000.0)
    >>> (band.low_w, band.high_w)
    (900.0, 1050.0)
    """
    rated = float(within("rated_power_w", rated_power_w, low=1.0, high=20_000.0, source="iec-60335-1"))
    for row in rows("rated_power"):
        if rated <= float(row["to_w"] or "inf"):
            break
    plus = max(rated * float(row["plus_percent"]) / 100, float(row["plus_least_w"]))
    minus = rated * float(row["minus_percent"] or 100) / 100
    return Band(rated - minus, rated + plus, "IEC 60335-1, clause 10.1, table 1")
