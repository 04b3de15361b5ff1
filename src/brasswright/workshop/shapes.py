"""Plans and estimates as plain dictionaries: one shape for `--json`, the API and the contract tests."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from brasswright.planning.model import Operation
    from brasswright.workshop.estimating import Estimated
    from brasswright.workshop.planning import Planned

__all__ = ["estimate_shape", "plan_shape"]


def plan_shape(planned: Planned) -> dict[str, Any]:
    """Return a checked plan as JSON can hold it."""
    choice = planned.plan.choice
    return {
        "shape": "plan/1",
        "sheet": planned.judgement.sheet.sheet.key,
        "head": planned.judgement.job.head,
        "currency": planned.problem.currency,
        "proven": choice.proven,
        "money_minor": choice.money_minor,
        "risk_left_minor": choice.risk_minor,
        "shown": asdict(choice.shown),
        "treatments": list(choice.treatments),
        "left": list(choice.left),
        "unmended": list(choice.unmended),
        "why_off": [{"piece": piece, "why": why} for piece, why in choice.why_off],
        "marginals": [asdict(marginal) for marginal in choice.marginals],
        "operations": [_operation(op) for op in planned.plan.operations],
        "parts": [asdict(part) for part in planned.plan.parts],
        "warnings": list(planned.plan.warnings),
        "notes": list(planned.problem.notes),
    }


def _operation(op: Operation) -> dict[str, Any]:
    return {
        "id": op.id,
        "title": op.title,
        "kind": op.kind,
        "state": op.state,
        "minutes": list(op.minutes),
        "wait_minutes": op.wait_minutes,
        "wait_max": op.wait_max,
        "after": list(op.after),
        "holds": list(op.holds),
        "acts": list(op.acts),
        "components": list(op.components),
        "prompts": list(op.prompts),
        "caution": op.caution or None,
        "do_not_force": op.do_not_force or None,
        "why": op.why,
        "treatment": op.treatment or None,
        "skill": op.skill,
        "station": op.station,
        "zone": op.zone,
    }


def estimate_shape(estimated: Estimated) -> dict[str, Any]:
    """Return an estimate as JSON can hold it; every sum in minor units, tax included unless named otherwise."""
    figures = asdict(estimated.estimate)
    return {
        "shape": "estimate/1",
        "head": estimated.planned.judgement.job.head,
        "quantiles": {"low_minor": 0.1, "likely_minor": 0.5, "high_minor": 0.9},
        **figures,
    }
