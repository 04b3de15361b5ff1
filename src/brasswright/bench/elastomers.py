"""Which rubbers suit what a seal meets: steam, hot water, heat, grease, drink."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from brasswright.bench.validity import within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["GREASES", "MEDIA", "Suiting", "suiting"]

MEDIA: Final = ("steam", "water", "air")
GREASES: Final = ("none", "silicone grease", "mineral grease")
_COLUMN: Final = {"steam": "steam_high_c", "water": "water_high_c", "air": "dry_high_c"}
_ORDER: Final = {"suits": 0, "limited": 1, "no": 2}

Suits = Literal["suits", "limited", "no"]


@dataclass(frozen=True, slots=True)
class Suiting:
    """One rubber, whether it suits, and why."""

    name: str
    suits: Suits
    why: str


def suiting(*, medium: str, temperature_k: float, grease: str = "none", motion: str = "static") -> tuple[Suiting, ...]:
    """Return every rubber of the table with whether it suits, those that do first.

    A kind suits where its limit in the medium lies at least 10 K above the temperature and the grease does not swell
    it; closer than that it is limited. Compounds of one kind differ. Valid for 0 to 260 °C.
    Source: elastomer-properties-chart.

    >>> [one.name for one in suiting(medium="steam", temperature_k=393.15) if one.suits == "suits"]
    ['EPDM, sulphur-cured', 'EPDM, peroxide-cured', 'FEPM', 'PTFE']
    """
    if medium not in MEDIA:
        raise NotFound(f"'{medium}' is no medium of the table.", allowed=", ".join(MEDIA))
    if grease not in GREASES:
        raise NotFound(f"'{grease}' is no grease of the table.", allowed=", ".join(GREASES))
    source = "elastomer-properties-chart"
    t = float(within("temperature_k", temperature_k, low=kelvin(celsius=0), high=kelvin(celsius=260), source=source))
    found = [_judged(row, medium, t, grease, motion) for row in rows("elastomers")]
    return tuple(sorted(found, key=lambda one: _ORDER[one.suits]))


def _judged(row: Mapping[str, str], medium: str, temperature_k: float, grease: str, motion: str) -> Suiting:
    """Return one rubber judged."""
    name, limit, note = row["name"], row[_COLUMN[medium]], row["note"]
    greased = "good" if grease == "none" else row[grease.replace(" ", "_")]
    if not limit:
        return Suiting(name, "no", f"not for {medium}: {note}")
    to_spare = kelvin(celsius=float(limit)) - temperature_k
    if to_spare < 0:
        return Suiting(name, "no", f"in {medium} to {limit} °C only")
    if greased == "never":
        return Suiting(name, "no", f"swells in {grease}")
    doubts = [
        said
        for said, holds in (
            (f"close to its limit of {limit} °C in {medium}", to_spare < constant("seal_heat_margin_k")),
            (f"limited in {grease}", greased == "limited"),
            ("weak where it moves", motion == "dynamic" and row["moving"] == "poor"),
        )
        if holds
    ]
    return Suiting(name, "limited" if doubts else "suits", "; ".join((*doubts, f"in {medium} to {limit} °C; {note}")))
