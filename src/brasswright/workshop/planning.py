"""Plan a job: choose treatments, put them in order with hold points and tests, and let the checker have its say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brasswright.errors import NotFound, PlanRefused
from brasswright.holds.points import released_holds
from brasswright.holds.proofs import proved_tests
from brasswright.judgement.opinion import Judgement
from brasswright.planning.check import problems
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.planning.model import Plan, Problem
from brasswright.reckoning.problem import build
from brasswright.workshop.judging import judge
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Planned", "operation_fields", "plan"]


@dataclass(frozen=True, slots=True)
class Planned:
    """A checked plan with the problem it answers and the judgement that problem came from."""

    plan: Plan
    problem: Problem
    judgement: Judgement


def plan(workshop: Workshop, opened: OpenJob, *, judgement: Judgement | None = None) -> Planned:
    """Return the plan of a job as its journal stands, after the independent checker.

    Raises:
        PlanRefused: no plan does what must be done, or the checker found something wrong.
    """
    opinion = judgement or judge(opened)
    prices = read_settings(workshop).prices
    problem = build(opened.sheet, opened.job, opinion.odds, prices)
    made = expand(problem, choose(problem), opened.job, opened.sheet)
    released, proved = released_holds(opened.job, opened.sheet), proved_tests(opened.job, opened.sheet)
    found = problems(made, problem, opened.sheet, released=released, proved=proved)
    if found:
        raise PlanRefused("The checker refused this plan; it is not shown.", found)
    return Planned(made, problem, opinion)


def operation_fields(workshop: Workshop, opened: OpenJob) -> Callable[[str], Mapping[str, Any]]:
    """Return how to look up title, acts and components of an operation of the job's present plan."""

    def fields(operation: str) -> Mapping[str, Any]:
        for found in plan(workshop, opened).plan.operations:
            if found.id == operation:
                return {
                    "title": found.title,
                    "acts": list(found.acts),
                    "components": [key for key in found.components if key in opened.sheet.component],
                }
        raise NotFound(f"There is no operation '{operation}' in the plan of job {opened.number}.")

    return fields
