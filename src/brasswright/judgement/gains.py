"""Two sets of strengths held against what strip-down found: the log score of each found condition, job by job.

The log score of one found condition is minus the natural logarithm of the chance it had been given: 0 is certainty,
lower is better, and honest odds score best on average. Two sets are compared on the same parts; the standard error of
their difference takes the parts of one job as one, because they hang together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import Table, node_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from brasswright.judgement.cases import Lesson
    from brasswright.judgement.counts import Case
    from brasswright.sheets.model import Sheet

__all__ = ["CLEARLY", "FEWEST", "LEAST", "Gain", "chances_of", "compared", "found_places", "log_scores", "odds_in"]

LEAST = 1e-6
"""No chance counts as smaller than this in a log score, so that one surprise does not outweigh a winter's work."""
CLEARLY = 1.0
"""Clearly better: by more than this many standard errors. Source: common practice, no source.

One is enough: numbers learned from jobs that the sheet describes well judge other jobs a little worse, not alike.
"""
FEWEST = 5
"""With parts found in fewer jobs than this, no difference counts as clear. Source: common practice, no source."""
Places = tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Gain:
    """Mean log scores of `parts` found conditions in `jobs` jobs [nat], by the sheet's own strengths and learned ones.

    `gain` is how much lower the learned score is, `sigma` its standard error (infinite with a single job).
    """

    group: str
    name: str
    parts: int
    jobs: int
    had: float
    learnt: float
    gain: float
    sigma: float
    adopted: bool = False

    @property
    def better(self) -> bool:
        """Whether the learned strengths judge better at all."""
        return self.jobs >= FEWEST and self.gain > 0.0

    @property
    def clear(self) -> bool:
        """Whether they judge better by more than chance would easily do."""
        return self.jobs >= FEWEST and self.gain > CLEARLY * self.sigma

    def named(self, name: str, *, adopted: bool) -> Gain:
        """Return the same with a name in words, and whether its rows are adopted."""
        return replace(self, name=name, adopted=adopted)

    def about(self, group: str, name: str, *, adopted: bool) -> Gain:
        """Return the same comparison as that of another group, which has no parts of its own."""
        return replace(self, group=group, name=name, adopted=adopted)


def odds_in(case: Case, chances: Table, components: Sequence[str]) -> list[Table] | None:
    """Return the odds of these components by these strengths, or None where the evidence cannot happen."""
    tree = case.tree(chances)
    if not np.isfinite(tree.log_evidence):
        return None
    return [tree.marginal(node_of("component", key)) for key in components]


def chances_of(lessons: Sequence[Lesson], strengths: Callable[[int], Table]) -> list[list[Table] | None]:
    """Return each job's odds before strip-down of all that was found in it, by the strengths for that job."""
    return [odds_in(lesson.before, strengths(job), tuple(lesson.found)) for job, lesson in enumerate(lessons)]


def log_scores(lessons: Sequence[Lesson], odds: Sequence[list[Table] | None]) -> Table:
    """Return the log score of every found condition, job after job."""
    scores: list[float] = []
    for lesson, rows in zip(lessons, odds, strict=True):
        for place, state in enumerate(lesson.found.values()):
            chance = float(rows[place][state]) if rows is not None else 0.0
            scores.append(-float(np.log(max(chance, LEAST))))
    return np.array(scores)


def found_places(sheet: Sheet, lessons: Sequence[Lesson]) -> Places:
    """Return the job and the zone of every found condition, in the order of `log_scores`."""
    return tuple((job, sheet.component[key].zone) for job, lesson in enumerate(lessons) for key in lesson.found)


def compared(places: Places, had: Table, learnt: Table) -> Mapping[str, Gain]:
    """Return the comparison by zone, and over all parts under the empty name."""
    jobs, zones = np.array([job for job, _ in places]), np.array([zone for _, zone in places])
    groups = {"": np.ones(len(places), dtype=bool)} | {str(zone): zones == zone for zone in np.unique(zones)}
    return {group: _gain(group, jobs[inside], had[inside], learnt[inside]) for group, inside in groups.items()}


def _gain(group: str, jobs: Table, had: Table, learnt: Table) -> Gain:
    better = had - learnt
    mean = float(better.mean())
    _, which = np.unique(jobs, return_inverse=True)
    off = np.bincount(which, weights=better - mean)
    many = len(off)
    sigma = float(np.sqrt((off**2).sum() * many / (many - 1)) / len(better)) if many > 1 else float("inf")
    return Gain(group, "", len(better), many, float(had.mean()), float(learnt.mean()), mean, sigma)
