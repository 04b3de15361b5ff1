"""Estimate a job: the checked plan's money over joint samples of the odds; page, JSON and paper get the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.journal.entries import Approved, Declined, Issued, Sent
from brasswright.reckoning.estimate import COUNT, Estimate, estimate
from brasswright.reckoning.seed import seed_of
from brasswright.workshop.planning import Planned, plan
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from brasswright.journal.job import Job
    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Estimated", "estimate_job", "head_without_papers"]

_ABOUT_PAPERS = (Approved, Declined, Issued, Sent)


@dataclass(frozen=True, slots=True)
class Estimated:
    """An estimate with the plan it prices."""

    estimate: Estimate
    planned: Planned


def estimate_job(workshop: Workshop, opened: OpenJob, *, planned: Planned | None = None) -> Estimated:
    """Return the estimate of a job as its journal stands; its seed follows from journal, problem and prices.

    Entries about papers alone (issued, approved, declined, sent) leave the seed as it is, so that the figures shown
    after a paper went out are those on the paper.

    Raises:
        PlanRefused: there is no valid plan to price.
    """
    prices = read_settings(workshop).prices
    priced = planned or plan(workshop, opened)
    seed = seed_of(head_without_papers(opened.job), priced.problem, prices)
    samples = priced.judgement.samples(COUNT, seed)
    return Estimated(estimate(priced.problem, priced.plan, samples, seed=seed, prices=prices), priced)


def head_without_papers(job: Job) -> str:
    """Return the digest of the last entry that is about more than papers."""
    about = (entry.digest for entry in reversed(job.entries) if not isinstance(entry.body, _ABOUT_PAPERS))
    return next(about, job.head)
