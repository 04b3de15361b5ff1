"""Odds to faults: what may be wrong, how likely, what leaving it costs, and what binds."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from brasswright.judgement.treated import put_right
from brasswright.planning.model import Fault
from brasswright.reckoning.money import rounded
from brasswright.sheets.losses import losses

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.journal.job import Job
    from brasswright.reckoning.money import Prices
    from brasswright.reckoning.problem import OddsLike
    from brasswright.sheets.model import Sheet

__all__ = ["BINDS", "CERTAIN", "cured", "faults_of"]

CERTAIN = 0.98
"""From this probability on a condition counts as known. Common practice, no source."""
BINDS = 0.5
"""A component more likely than not in conditions that must be put right is put right. Common practice, no source."""


def faults_of(
    sheet: Sheet, job: Job, odds: Mapping[str, OddsLike], prices: Prices
) -> tuple[tuple[Fault, ...], tuple[str, ...]]:
    """Return every bad condition that may be there, and notes on components about which nothing is said.

    What a finished treatment took away is not a fault any more, unless the component was found bad again later.
    """
    table = losses(sheet, labour_rate=prices.labour_minor_per_hour / prices.minor_per_unit)
    faults: list[Fault] = []
    notes: list[str] = []
    gone = cured(sheet, job)
    for key, component in sheet.component.items():
        presence = job.presence[key].body.presence if key in job.presence else "fitted"
        leave = dict(zip(component.states, table[key].leave, strict=True))
        if presence == "missing":
            faults.append(
                _missing(key, rounded(max(leave.values()) * prices.minor_per_unit), bind=bool(component.must))
            )
        elif presence == "foreign":
            notes.append(f"{component.name} is of another kind than the sheet's: no treatment is planned for it.")
        elif presence != "absent" and key in odds:
            p = [0.0 if state in gone.get(key, ()) else share for state, share in _spread(odds[key])]
            faults += _conditions(
                key, component.states, p, [rounded(x * prices.minor_per_unit) for x in leave.values()]
            )
    seen = {key for key, noted in job.found.items()} | {k for k, noted in job.fixed.items() if noted.body.condition}
    return tuple(_marked(fault, sheet, seen, faults) for fault in faults), tuple(notes)


def _spread(odds: OddsLike) -> list[tuple[str, float]]:
    p: Sequence[float] = () if odds.p is None else odds.p
    return list(zip(odds.states, (float(share) for share in p), strict=False))


def _missing(key: str, leaving: int, *, bind: bool) -> Fault:
    return Fault(f"{key}.missing", key, "missing", 1.0, leaving, leaving, certain=True, must=bind, missing=True)


def _conditions(key: str, states: Sequence[str], p: Sequence[float], leaving: Sequence[int]) -> list[Fault]:
    rows = list(zip(states, p, leaving, strict=False))[1:]
    return [
        Fault(f"{key}.{state}", key, state, share, cost, rounded(share * cost))
        for state, share, cost in rows
        if share > 0
    ]


def _marked(fault: Fault, sheet: Sheet, seen: set[str], faults: Sequence[Fault]) -> Fault:
    """Mark what is known, and what binds: the likeliest of the must-conditions, if these are likely together."""
    if fault.missing:
        return fault
    must = sheet.component[fault.component].must
    certain = fault.probability >= CERTAIN or (fault.component in seen and fault.probability >= BINDS)
    rivals = [other for other in faults if other.component == fault.component and other.condition in must]
    binds = bool(rivals) and math.fsum(other.probability for other in rivals) >= BINDS
    binds = binds and fault is max(rivals, key=lambda other: other.probability)
    return Fault(
        id=fault.id,
        component=fault.component,
        condition=fault.condition,
        probability=fault.probability,
        leaving_minor=fault.leaving_minor,
        risk_minor=fault.risk_minor,
        certain=certain,
        must=binds,
        may_must=fault.condition in must,
    )


def cured(sheet: Sheet, job: Job) -> dict[str, frozenset[str]]:
    """The conditions that finished treatments took away, by component; what was found or set later stands instead."""
    return {
        key: frozenset(state for one in all_of_it for state in one.takes)
        for key, all_of_it in put_right(sheet, job).items()
    }
