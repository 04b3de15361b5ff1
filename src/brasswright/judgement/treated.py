"""What was put right since the machine came: finished treatments, beside the odds, which tell how it came.

Purely from the journal. Later evidence is never hidden: what a person found or set later takes the treatment's place,
and a later test, reading or answer that is not as it should be is told beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from brasswright.journal.rounds import ended
from brasswright.judgement.compile import node_of
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from brasswright.journal.job import Job
    from brasswright.judgement.compile import Network
    from brasswright.judgement.evidence import Item
    from brasswright.sheets.losses import Loss
    from brasswright.sheets.model import Fix, Sheet

__all__ = ["Treated", "put_right", "spared", "treated"]


@dataclass(frozen=True, slots=True)
class Treated:
    """A finished treatment of one component.

    `takes` are the conditions it takes away, `leaves` what it leaves, `residual` the sheet's chance that it does not
    hold (of several fixes the least sure). `against` says in words what was seen later that speaks against it.
    """

    component: str
    treatment: str
    name: str
    at: datetime
    by: str
    seq: int
    takes: tuple[str, ...]
    leaves: str
    residual: float
    against: tuple[str, ...] = ()

    def words(self, came: str, *, by: str = "") -> str:
        """Return it in words; `came` is the likeliest condition as it came, empty where nobody can say."""
        name = f"{self.name[:1].lower()}{self.name[1:]}"
        when = f"on {self.at.day} {self.at:%B %Y}"
        who = by or self.by
        chance = f"about {self.residual * 100:.2g} in 100 that it does not hold"
        if self.residual <= 0:
            chance = "the sheet names no chance that it does not hold"
        if came in self.takes:
            said = (
                f"{spoken(came)} as it came; put right by '{name}' {when}, {who}; left {spoken(self.leaves)}; {chance}"
            )
        else:
            taken = ", ".join(spoken(state) for state in self.takes)
            said = f"'{name}' done {when}, {who}: it takes away {taken}, leaves {spoken(self.leaves)}; {chance}"
        return f"{said}. Since then, against it: {'; '.join(self.against)}" if self.against else said


def put_right(sheet: Sheet, job: Job) -> dict[str, tuple[Treated, ...]]:
    """Return the finished treatments of each component, in journal order.

    A treatment before which a person found the component, or overruled its odds, later than it ended is left out.
    """
    found: list[Treated] = []
    for key, treatment in sheet.treatment.items():
        stop = ended(job, [f"treat:{key}:{place}" for place, _ in enumerate(treatment.steps, 1)])
        if stop is None:
            continue
        for component in dict.fromkeys(fix.of for fix in treatment.fixes):
            if _told_later(component, stop.seq, job):
                continue
            takes, leaves, residual = _outcome([fix for fix in treatment.fixes if fix.of == component])
            found.append(Treated(component, key, treatment.name, stop.at, stop.by, stop.seq, takes, leaves, residual))
    found.sort(key=lambda one: one.seq)
    return {one.component: tuple(two for two in found if two.component == one.component) for one in found}


def _told_later(component: str, seq: int, job: Job) -> bool:
    found, fixed = job.found.get(component), job.fixed.get(component)
    return (found is not None and found.seq > seq) or (fixed is not None and fixed.seq > seq)


def _outcome(fixes: list[Fix]) -> tuple[tuple[str, ...], str, float]:
    worst = max(fixes, key=lambda fix: fix.residual)
    takes = tuple(dict.fromkeys(state for fix in fixes for state in fix.from_))
    return takes, worst.leaves, worst.residual


def treated(sheet: Sheet, job: Job, network: Network, items: Iterable[Item]) -> dict[str, tuple[Treated, ...]]:
    """Return the finished treatments of each component, each with what was seen later that speaks against it."""
    seen = tuple(items)
    return {
        component: tuple(replace(one, against=_against(one, sheet, job, network, seen)) for one in all_of_it)
        for component, all_of_it in put_right(sheet, job).items()
    }


def _against(one: Treated, sheet: Sheet, job: Job, network: Network, items: tuple[Item, ...]) -> tuple[str, ...]:
    node = node_of("component", one.component)
    said = [
        item.said
        for item in items
        if item.seq > one.seq
        and item.node != node
        and node in network.causes_of(item.node)
        and int(np.argmax(item.row)) != 0  # the first answer of every question is the sound one
    ]
    acts = {act for step in sheet.treatment[one.treatment].steps for act in step.does}
    for key, noted in job.proved.items():
        test = sheet.proving.get(key)
        if test is None or noted.seq < one.seq or noted.body.outcome == "passed":
            continue
        by_work = test.reading is None and acts.intersection(test.broken_by)  # a test by eye of what was worked on
        if by_work or _reads(test.reading, one.component, sheet):
            said.append(f"{test.name}: {noted.body.outcome}")
    return tuple(dict.fromkeys(said))


def _reads(reading: str | None, component: str, sheet: Sheet) -> bool:
    known = sheet.reading.get(reading or "")
    return known is not None and any(effect.of == component for effect in known.shows)


def spared(losses: Mapping[str, Loss], done: Mapping[str, tuple[Treated, ...]]) -> dict[str, Loss]:
    """Return the losses without those of conditions that were put right and against which nothing was seen since."""
    left = dict(losses)
    for component, all_of_it in done.items():
        gone = {state for one in all_of_it if not one.against for state in one.takes}
        if gone and not any(one.against for one in all_of_it):
            left[component] = _without(losses[component], gone)
    return left


def _without(loss: Loss, gone: set[str]) -> Loss:
    def flat(row: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(row[0] if state in gone else cost for state, cost in zip(loss.states, row, strict=True))

    return replace(loss, leave=flat(loss.leave), put_right=None if loss.put_right is None else flat(loss.put_right))
