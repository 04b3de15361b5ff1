"""Estimate a job: the checked plan's money over joint samples of the odds; page, JSON and paper get the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.reckoning.estimate import COUNT, Estimate, estimate
from brasswright.reckoning.seed import seed_of
from brasswright.workshop.planning import Planned, plan
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Estimated", "estimate_job"]


@dataclass(frozen=True, slots=True)
class Estimated:
    """An estimate with the plan it prices."""

    estimate: Estimate
    planned: Planned


def estimate_job(workshop: Workshop, opened: OpenJob, *, planned: Planned | None = None) -> Estimated:
    """Return the estimate of a job as its journal stands; seed from the journal's head, the problem and the prices.

    Raises:
        PlanRefused: there is no valid plan to price.
    """
    prices = read_settings(workshop).prices
    priced = planned or plan(workshop, opened)
    seed = seed_of(opened.job.head, priced.problem, prices)
    samples = priced.judgement.samples(COUNT, seed)
    return Estimated(estimate(priced.problem, priced.plan, samples, seed=seed, prices=prices), priced)
