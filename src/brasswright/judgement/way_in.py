"""What is open on the bench now, what would have to be opened to get at something, and which hold points guard that."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.sheets.reach import opening_minutes, opening_path

if TYPE_CHECKING:
    from brasswright.journal.job import Job
    from brasswright.sheets.model import Clauses, Sheet

__all__ = ["WayIn", "open_now", "way_in"]

OPENS = frozenset({"open", "remove"})
CLOSES = frozenset({"close", "refit"})
ON_THE_MACHINE = ("machine", "on the machine", "back on the machine", "fitted")


@dataclass(frozen=True, slots=True)
class WayIn:
    """Units to open and components to take off, in order; likely minutes; hold points that must be released first."""

    opens: tuple[str, ...] = ()
    minutes: float = 0.0
    holds: frozenset[str] = frozenset()


def open_now(job: Job, sheet: Sheet) -> frozenset[str]:
    """Return the units that stand open and the components that are off, absent or missing.

    From operations that were finished ("open:case", "remove:piston", "refit:piston", "close:case") and from where
    components were said to lie; of two, the later one counts.
    """
    last: dict[str, tuple[int, bool]] = {}
    for work in job.work.values():
        act, _, rest = work.operation.partition(":")
        key = rest.split(":")[0]
        if work.finished and work.stopped is not None and act in OPENS | CLOSES:
            last[key] = max(last.get(key, (0, False)), (work.stopped.seq, act in OPENS))
    for key, moved in job.moved.items():
        off = moved.body.to.strip().lower() not in ON_THE_MACHINE
        last[key] = max(last.get(key, (0, False)), (moved.seq, off))
    never = {key for key, said in job.presence.items() if said.body.presence in {"absent", "missing"}}
    return (
        frozenset(key for key, (_, off) in last.items() if off and (key in sheet.unit or key in sheet.component))
        | never
    )


def way_in(sheet: Sheet, access: Clauses, open_: frozenset[str]) -> WayIn | None:
    """Return the quickest way to satisfy all clauses from what is open now; None if there is none."""
    path = opening_path(access, sheet, open_)
    if path is None:
        return None
    holds: set[str] = set()
    for key in path:
        acts = set((sheet.unit.get(key) or sheet.component[key]).does)
        if key in sheet.component and sheet.component[key].presumed_asbestos:
            acts.add("lagging")
        holds.update(hold for hold, point in sheet.hold.items() if acts.intersection(point.guards))
        if key in sheet.unit:
            holds.update(sheet.unit[key].needs)
    return WayIn(path, math.fsum(opening_minutes(sheet, key) for key in path), frozenset(holds))
