"""Judge a job: the odds of every component and the next checks, hold points respected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.holds.points import released_holds
from brasswright.judgement import opinion

if TYPE_CHECKING:
    from brasswright.workshop.folder import OpenJob

__all__ = ["judge"]


def judge(opened: OpenJob, *, with_checks: bool = True) -> opinion.Judgement:
    """Return the odds and next checks of a job as its journal stands; a pure function of journal, sheet and learning.

    Without the checks, which take most of the time, the odds are the same.
    """
    released = released_holds(opened.job, opened.sheet)
    return opinion.judge(opened.sheet, opened.job, released=released, with_checks=with_checks, learnt=opened.learnt)
