"""Treatments to options: which faults each puts right at which price, and which decisions stand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from brasswright.planning.model import Decision, Mend, Option, Step
from brasswright.planning.standing import numbered, rounds
from brasswright.reckoning.money import expected, labour_minor, rounded

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from brasswright.journal.job import Job
    from brasswright.planning.model import Bought, Fault
    from brasswright.reckoning.problem import Tariff
    from brasswright.sheets.model import Sheet, Treatment
    from brasswright.sheets.model import Step as SheetStep

__all__ = ["decisions_of", "options_of"]

_UNPACK = (2.0, 5.0, 10.0)
"""Minutes to compare and clean a bought part before it is fitted. Common practice, no source."""


def options_of(tariff: Tariff, faults: Sequence[Fault]) -> tuple[Option, ...]:
    """Every treatment of the sheet as an option, and for a missing component that none replaces, buying its part."""
    options = [_option(key, treatment, tariff, faults) for key, treatment in tariff.sheet.treatment.items()]
    brought = {component for option in options for component in option.brings}
    for fault in faults:
        supply = tariff.sheet.component[fault.component].supply
        if fault.missing and fault.component not in brought and supply is not None:
            options.append(_bought_in(fault, tariff))
    return tuple(options)


def _option(key: str, treatment: Treatment, tariff: Tariff, faults: Sequence[Fault]) -> Option:
    mends = tuple(_mends(treatment, tariff, faults))
    lost = {fault.component for fault in faults if fault.missing}
    brings = tuple(fix.of for fix in treatment.fixes if fix.of in lost and treatment.way == "replace")
    whole = tariff.whole(key, treatment.name)
    parts = tuple(tariff.part(part) for part in treatment.parts) if whole is None else (whole,)
    fixed = tariff.sheet.component[treatment.fixes[0].of]
    steps = tuple(_step(step) for step in treatment.steps)
    reach = tuple(clause for of in brings for clause in tariff.sheet.component[of].access)
    return Option(
        id=key,
        name=treatment.name,
        way=treatment.way,
        zone=fixed.zone,
        mends=mends,
        off=treatment.off,
        access=tuple(
            dict.fromkeys((*treatment.access, *(clause for clause in reach if not set(clause) & set(brings))))
        ),
        steps=steps,
        parts=parts,
        money_minor=_money(steps, parts, brings, tariff),
        brings=brings,
        touches_asbestos=any(
            tariff.sheet.component[of].presumed_asbestos
            for of in (*(f.of for f in treatment.fixes), *treatment.off)
            if of in tariff.sheet.component
        ),
    )


def _step(step: SheetStep) -> Step:
    return Step(
        do=step.do,
        minutes=step.minutes,
        wait_minutes=step.wait_minutes,
        wait_max=step.wait_max,
        station=step.station,
        skill=step.skill,
        acts=step.does,
        caution=step.caution,
    )


def _money(steps: Iterable[Step], parts: Iterable[Bought], brings: Iterable[str], tariff: Tariff) -> int:
    """Expected labour and parts, and refitting of what is brought, which is not taken off before."""
    minutes = math.fsum(expected(step.minutes) for step in steps)
    bought = math.fsum(expected(part.cost) for part in parts)
    for key in brings:
        component = tariff.sheet.component[key]
        minutes += expected(component.refit_minutes)
        bought += math.fsum(expected(tariff.used(item).cost) for item in component.consumes)
    return rounded(labour_minor(minutes, tariff.prices) + bought)


def _mends(treatment: Treatment, tariff: Tariff, faults: Sequence[Fault]) -> Iterable[Mend]:
    cost = {(fault.component, fault.condition): fault.leaving_minor for fault in faults}
    for fault in faults:
        for fix in treatment.fixes:
            component = tariff.sheet.component[fix.of]
            if fix.of != fault.component:
                continue
            if fault.missing and treatment.way == "replace":
                yield Mend(fault.id, fix.leaves, rounded(fix.residual * fault.leaving_minor), 0)
            elif fault.condition in fix.from_:
                after = cost.get((fix.of, fix.leaves), tariff.money(component.leaving.get(fix.leaves, 0.0)))
                sure = fix.residual * fault.leaving_minor + (1.0 - fix.residual) * after
                yield Mend(
                    fault=fault.id,
                    leaves=fix.leaves,
                    risk_minor=rounded(fault.probability * sure),
                    sure_minor=rounded(sure),
                    holds=fix.leaves not in component.must,
                )


def _bought_in(fault: Fault, tariff: Tariff) -> Option:
    component = tariff.sheet.component[fault.component]
    if component.supply is None:
        raise KeyError(fault.component)
    part = tariff.part(component.supply)
    steps = (Step(do=f"Get, compare and clean: {part.name}", minutes=_UNPACK),)
    return Option(
        id=f"supply_{fault.component}",
        name=f"Fit a new one: {component.name}",
        way="replace",
        zone=component.zone,
        mends=(Mend(fault.id, component.states[0], 0, 0),),
        off=(),
        access=tuple(clause for clause in component.access if fault.component not in clause),
        steps=steps,
        parts=(part,),
        money_minor=_money(steps, (part,), (fault.component,), tariff),
        brings=(fault.component,),
    )


def decisions_of(sheet: Sheet, job: Job) -> tuple[Decision, ...]:
    """The decisions that stand: work that has begun is done; otherwise what was decided by hand, until it was done."""
    found: dict[str, Decision] = {}
    for key, noted in job.choices.items():
        if noted.body.decision != "open":
            found[key] = Decision(key, noted.body.decision, noted.body.reason)
    for key, treatment in sheet.treatment.items():
        steps = [f"treat:{key}:{index + 1}" for index in range(len(treatment.steps))]
        done = min(rounds(job, step) for step in steps)
        if any(numbered(step, done) in job.work for step in steps):
            found[key] = Decision(key, "do", "its work has begun", started=True)
        elif done and key in found and found[key].decision == "do" and _older(job, key, steps, done):
            del found[key]
    return tuple(found.values())


def _older(job: Job, key: str, steps: Sequence[str], done: int) -> bool:
    """Whether the decision came before the treatment's last round ended, so that it is carried out already."""
    stopped = [job.work[numbered(step, done - 1)].stopped for step in steps]
    return job.choices[key].seq < max(noted.seq for noted in stopped if noted is not None)
