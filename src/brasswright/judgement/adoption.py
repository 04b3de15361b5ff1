"""Which learned strengths are adopted: those of groups whose odds of what was found come out better without that job.

A group is a zone: all rows about the components in it. The usual shares of histories, which every zone hangs on, are a
group of their own. Each job's odds are worked out from what was known before its strip-down, with strengths that were
learned from all other jobs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.judgement.compile import Table
from brasswright.judgement.gains import Gain, chances_of, compared, found_places, log_scores
from brasswright.judgement.strengths import HISTORIES, Strengths

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.judgement.cases import Lesson
    from brasswright.sheets.model import Sheet

__all__ = ["Chosen", "Trial", "choose", "revised"]

NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True, eq=False)
class Trial:
    """What stands for adoption: strengths with their expected counts by job, and which rows jobs speak of at all."""

    strengths: Strengths
    by_job: Table
    said: NDArray[np.bool_]

    def scores(self, lessons: Sequence[Lesson], groups: frozenset[str]) -> Table:
        """Return the log scores with these groups' rows learned from all jobs but the one in question."""
        inside = np.array([row.group in groups for row in self.strengths.rows]) & self.said
        total = self.by_job.sum(axis=0)

        def without(job: int) -> Table:
            fresh = revised(self.strengths, total - self.by_job[job])
            return np.where(inside[:, None], fresh, self.strengths.chances)

        return log_scores(lessons, chances_of(lessons, without))


@dataclass(frozen=True, slots=True)
class Chosen:
    """The groups whose rows are adopted, the comparison of each group, and that over all parts."""

    groups: frozenset[str]
    gains: tuple[Gain, ...]
    whole: Gain


def revised(strengths: Strengths, counts: Table) -> Table:
    """Return the rows after expected counts, one line of counts for each row."""
    trust = strengths.trust[:, None]
    return np.asarray((trust * strengths.chances + counts) / (trust + counts.sum(axis=1, keepdims=True)))


def choose(sheet: Sheet, lessons: Sequence[Lesson], trial: Trial) -> Chosen:
    """Return which groups judge better.

    Where all learned rows together judge clearly better, every group that does not judge worse is adopted; where they
    do not, only groups that judge clearly better by themselves. What was chosen is compared once more by itself, and
    groups that judge worse in that company are dropped, until all that are left judge better.
    """
    places = found_places(sheet, lessons)
    had = log_scores(lessons, chances_of(lessons, lambda _: trial.strengths.chances))
    every = frozenset((*sheet.zone, HISTORIES))
    first = compared(places, had, trial.scores(lessons, every))
    clear = first[""].clear
    zones = frozenset(key for key, gain in first.items() if key and (gain.better if clear else gain.clear))
    company = frozenset({HISTORIES}) if clear else NOTHING
    last = first
    while zones:
        last = first if zones | company == every else compared(places, had, trial.scores(lessons, zones | company))
        left = frozenset(key for key in zones if last[key].better) if last[""].clear else NOTHING
        if left == zones:
            break
        zones = left
    groups = zones | company if zones else NOTHING
    return _told(sheet, groups, first, last if zones else first)


def _told(sheet: Sheet, groups: frozenset[str], first: Mapping[str, Gain], last: Mapping[str, Gain]) -> Chosen:
    """Name the comparisons: of adopted groups as they were adopted, of others as they were tried."""
    gains = [
        (last if key in groups else first)[key].named(zone.name, adopted=key in groups)
        for key, zone in sorted(sheet.zone.items(), key=lambda item: item[1].order)
        if key in first
    ]
    if HISTORIES in groups:
        gains.append(last[""].about(HISTORIES, "What usually happens to machines", adopted=True))
    return Chosen(groups, tuple(gains), last[""].named("All parts", adopted=bool(groups)))
