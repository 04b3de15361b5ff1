"""Finished jobs made ready for learning: evidence before strip-down, the truth after it; nothing dropped silently."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import ABSENT, UNKNOWN_KIND, node_of
from brasswright.judgement.counts import Case
from brasswright.judgement.evidence import gather, settle
from brasswright.judgement.families import Families
from brasswright.judgement.gains import odds_in
from brasswright.judgement.opinion import machine_facts, presence_of, swept_only
from brasswright.judgement.scores import Called
from brasswright.judgement.strengths import strengths_of
from brasswright.judgement.tree import TreeEngine

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.job import Job
    from brasswright.judgement.strengths import Strengths
    from brasswright.judgement.truth import Finished
    from brasswright.sheets.model import Sheet

__all__ = ["Lesson", "Reader", "read_jobs"]


@dataclass(frozen=True, eq=False)
class Lesson:
    """One finished job: `truth` with all that was found, `before` without; the state found by component.

    Components whose condition a person had set before strip-down are in `truth` but not in `found`: their odds were
    that person's, not ours.
    """

    number: int
    truth: Case
    before: Case
    found: Mapping[str, int]
    warnings: tuple[str, ...] = ()


class Reader:
    """Makes lessons by one sheet; compiles it once for each set of components that are there."""

    def __init__(self, sheet: Sheet) -> None:
        """Read the sheet's strengths."""
        self.sheet = sheet
        self.strengths: Strengths = strengths_of(sheet)
        self._families: dict[frozenset[tuple[str, str]], Families] = {}

    def families(self, job: Job) -> Families:
        """Return the families of the components that this machine has."""
        odd = {key: said for key, said in presence_of(job).items() if said in ABSENT or said == UNKNOWN_KIND}
        mark = frozenset((key, UNKNOWN_KIND if said == UNKNOWN_KIND else "absent") for key, said in odd.items())
        if mark not in self._families:
            self._families[mark] = Families(self.sheet, self.strengths, odd)
        return self._families[mark]

    def case(self, job: Job) -> tuple[Case, tuple[str, ...]]:
        """Return a job's evidence as a case, and warnings for all that is no evidence by this sheet."""
        families = self.families(job)
        gathered = gather(self.sheet, job, families.known_by(machine_facts(self.sheet, job)))
        swept = frozenset(node_of("finding", key) for key in swept_only(job) if key in self.sheet.finding)
        case = Case(families, gathered.rows, swept)
        own = case.tree(self.strengths.chances)
        if np.isfinite(own.log_evidence):
            return replace(case, own=own), gathered.warnings
        settled = settle(TreeEngine(), case.network(self.strengths.chances, whole=True), gathered)
        return Case(families, settled.rows, swept), settled.warnings

    def lesson(self, job: Finished) -> Lesson | str:
        """Return what a job teaches, or in words why it teaches nothing."""
        if job.sheet != self.sheet.sheet.key:
            return f"It is of another kind, '{job.sheet}'."
        found = self.found(job)
        if not found:
            return "Nothing that was found in it is in this sheet with numbers."
        before, _ = self.case(job.before)
        truth, warnings = self.case(job.truth)
        return Lesson(job.number, truth, before, found, warnings)

    def found(self, job: Finished) -> dict[str, int]:
        """Return the state of each component that was found and had odds of ours just before."""
        before, truth = self.families(job.before).network.nodes, self.families(job.truth).network.nodes
        found: dict[str, int] = {}
        for key, noted in job.truth.found.items():
            part, node = self.sheet.component.get(key), node_of("component", key)
            there = part is not None and node in before and node in truth and key not in job.before.fixed
            if part is not None and there and noted.body.condition in part.states:
                found[key] = part.states.index(noted.body.condition)
        return found

    def called(self, job: Finished) -> tuple[Called, ...]:
        """Return the odds just before strip-down of each component that was found."""
        found = self.found(job)
        rows = odds_in(self.case(job.before)[0], self.strengths.chances, tuple(found)) if found else None
        names = self.sheet.component
        return tuple(
            Called(job.number, key, names[key].name, tuple(map(float, row)), state)
            for (key, state), row in zip(found.items(), rows or (), strict=bool(rows))
        )


def read_jobs(
    reader: Reader, jobs: Iterable[Finished]
) -> tuple[tuple[Lesson, ...], tuple[tuple[int, str], ...], tuple[tuple[int, str], ...]]:
    """Return lessons in the order of their jobs' numbers, jobs that teach nothing with why, and what did not fit."""
    lessons: list[Lesson] = []
    left_out: list[tuple[int, str]] = []
    unfit: list[tuple[int, str]] = []
    for job in sorted(jobs, key=lambda one: one.number):
        lesson = reader.lesson(job)
        if isinstance(lesson, str):
            left_out.append((job.number, lesson))
        else:
            lessons.append(lesson)
            unfit += [(job.number, warning) for warning in lesson.warnings]
    return tuple(lessons), tuple(left_out), tuple(unfit)
