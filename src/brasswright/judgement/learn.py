"""Learning from finished jobs: strengths brought nearer to what strip-down found, adopted only where they judge better.

Each row of strengths is a Dirichlet distribution worth as many virtual jobs as its source's `trust`; finished jobs add
what each cause is expected to have brought about (`brasswright.judgement.counts`). A row becomes

    (trust * the sheet's own + expected count) / (trust + sum of the expected counts).

Source: D. J. Spiegelhalter and S. L. Lauritzen, "Sequential updating of conditional probabilities on directed graphical
structures", Networks 20 (1990), for counts with a prior sample (from memory).

Whether the learned rows are any better is seen by leaving out one job at a time: the odds of what was found in it, from
what was known before its strip-down, by the sheet's own rows and by rows learned from all other jobs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from brasswright.journal.learnt import Learnt, Strength
from brasswright.judgement.adoption import Trial, choose, revised
from brasswright.judgement.cases import Reader, read_jobs
from brasswright.judgement.counts import count
from brasswright.judgement.gains import Gain

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.judgement.compile import Table
    from brasswright.judgement.strengths import Strengths
    from brasswright.judgement.truth import Finished
    from brasswright.sheets.model import Sheet

__all__ = ["NOTES", "Learning", "learn"]

SELDOM = 0.05
"""A row of which finished jobs say less than this share of one job is left as the sheet has it."""
NOTES = (
    "Parts are opened because they look bad: the numbers stay right only if what led there is an answer in that job.",
    "Not looked at is not counted as fine: an open question teaches nothing, one in a sweep less than one by itself.",
)
"""What must be known of the jobs before the numbers are believed."""
Lines: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Learning:
    """What finished jobs of one kind of machine teach.

    `learned` are all rows that jobs speak of, `rows` those adopted: of groups that judge better. `whole` compares the
    sheet's own numbers with the adopted ones over all parts; where nothing is adopted it compares with all learned
    ones. `left_out` names jobs that teach nothing, `unfit` what in the others does not fit this sheet, each with why.
    """

    sheet: str
    jobs: tuple[int, ...]
    learned: tuple[Strength, ...]
    rows: tuple[Strength, ...]
    groups: tuple[Gain, ...]
    whole: Gain | None
    left_out: tuple[tuple[int, str], ...] = ()
    unfit: tuple[tuple[int, str], ...] = ()

    def entry(self, sheet_sha256: str, words: str = "") -> Learnt:
        """Return the adopted rows as an entry of the workshop's own journal."""
        whole = self.whole
        return Learnt(
            sheet=self.sheet,
            sheet_sha256=sheet_sha256,
            jobs=self.jobs,
            rows=self.rows,
            groups=tuple(gain.group for gain in self.groups if gain.adopted),
            had_score=None if whole is None else whole.had,
            learnt_score=None if whole is None else whole.learnt,
            gain_sigma=None if whole is None else whole.sigma,
            words=words,
        )


def learn(sheet: Sheet, jobs: Iterable[Finished], *, steps: int = 1) -> Learning:
    """Return what these finished jobs teach by this sheet; the order of the jobs does not matter.

    Args:
        sheet: the sheet of this kind of machine, with its own numbers.
        jobs: finished jobs; those of another kind are named in `left_out`.
        steps: how often expected counts are taken anew with the rows just learned; one is enough where most parts were
            found, and only then is leaving out one job exact.
    """
    reader = Reader(sheet)
    lessons, left_out, unfit = read_jobs(reader, jobs)
    if not lessons:
        return Learning(sheet.sheet.key, (), (), (), (), None, left_out, unfit)
    strengths = reader.strengths
    cases = [lesson.truth for lesson in lessons]
    counts = count(cases, strengths.chances)
    for _ in range(1, steps):
        counts = count(cases, revised(strengths, counts.by_job.sum(axis=0)))
    chances = revised(strengths, counts.by_job.sum(axis=0))
    many = counts.by_job.sum(axis=(0, 2))
    said = many >= SELDOM
    chosen = choose(sheet, lessons, Trial(strengths, counts.by_job, said))
    rows = _strengths(strengths, chances, many, said)
    return Learning(
        sheet=sheet.sheet.key,
        jobs=tuple(lesson.number for lesson in lessons),
        learned=tuple(row for _, row in rows),
        rows=tuple(row for line, row in rows if strengths.rows[line].group in chosen.groups),
        groups=chosen.gains,
        whole=chosen.whole,
        left_out=left_out,
        unfit=unfit,
    )


def _strengths(strengths: Strengths, chances: Table, many: Table, said: Lines) -> list[tuple[int, Strength]]:
    """Return the learned rows with their numbers, rounded so that each still adds to 1; `many` jobs speak of each."""
    rows: list[tuple[int, Strength]] = []
    for line in np.flatnonzero(said):
        learned = strengths.named(int(line), chances)
        worse = {state: round(chance, 6) for state, chance in list(learned.items())[1:]}
        best = next(iter(learned))
        row = Strength(
            place=strengths.rows[line].place,
            had=strengths.named(int(line), strengths.chances),
            learnt={best: round(max(1.0 - sum(worse.values()), 0.0), 6), **worse},
            jobs=round(float(many[line]), 3),
            trust=float(strengths.trust[line]),
        )
        rows.append((int(line), row))
    return rows
