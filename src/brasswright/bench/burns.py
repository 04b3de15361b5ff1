"""How hot a surface may be before touching it burns, by what it is made of and how long it is touched.

Thresholds are bands: between two times of a table lies what it says for the longer and for the shorter one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from brasswright.bench.validity import within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["BURN_RULES", "TOUCHED", "BurnBand", "burn_band"]

BURN_RULES: Final = ("ISO 13732-1", "burn institute")
TOUCHED: Final = ("bare metal", "coated metal", "glass or ceramic", "plastic", "wood")


@dataclass(frozen=True, slots=True)
class BurnBand:
    """Below `low_k` the table sees no burn, above `high_k` it does; `high_k` None where it has no shorter time."""

    low_k: float
    high_k: float | None
    source: str


def burn_band(*, touched: str, time_s: float, rule: str = BURN_RULES[0]) -> BurnBand:
    """Return the band of surface temperatures in which touching begins to burn.

    `ISO 13732-1`: the onset of a burn; `burn institute`: a serious burn. The lower edge is that of the next longer time
    of the table, the upper edge that of the next shorter one. Valid from 0.5 s to the longest time of the table.
    Source: iso-13732-1; burn-institute.

    >>> burn_band(touched="bare metal", time_s=60.0).low_k - 273.15
    51.0
    """
    steps = _steps().get((rule, touched))
    if steps is None:
        known = sorted({surface for name, surface in _steps() if name == rule})
        raise NotFound(
            f"'{rule}' has no figures for {touched}.", allowed=", ".join(known) or ", ".join(BURN_RULES),
        )  # fmt: skip
    source = steps[0][3]
    within("contact_time_s", time_s, low=constant("contact_least_s"), high=steps[-1][0], source=source)
    low = next(low_c for seconds, low_c, _, _ in steps if seconds >= time_s)
    above = [high_c for seconds, _, high_c, _ in steps if seconds <= time_s]
    return BurnBand(kelvin(celsius=low), kelvin(celsius=above[-1]) if above else None, source)


@cache
def _steps() -> Mapping[tuple[str, str], tuple[tuple[float, float, float, str], ...]]:
    """Return time, lower and upper threshold and source by rule and surface, the shortest time first."""
    found: dict[tuple[str, str], list[tuple[float, float, float, str]]] = {}
    for row in rows("burn_thresholds"):
        step = (float(row["time_s"]), float(row["low_c"]), float(row["high_c"]), row["source"])
        found.setdefault((row["rule"], row["surface"]), []).append(step)
    return {key: tuple(sorted(steps)) for key, steps in found.items()}
