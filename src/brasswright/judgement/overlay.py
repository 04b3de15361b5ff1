"""A sheet with what a workshop learned laid over it, for judging one job; taken away, the sheet is as it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.journal.entries import Learnt
from brasswright.journal.job import Noted
from brasswright.judgement.strengths import with_rows

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

__all__ = ["Overlay", "overlaid"]


@dataclass(frozen=True, slots=True)
class Overlay:
    """The learning that odds rest on: its entry, and places of learned rows that this job's sheet has otherwise."""

    noted: Noted[Learnt]
    unfit: tuple[str, ...] = ()

    @property
    def rows(self) -> int:
        """How many learned rows took the place of the sheet's own."""
        return len(self.noted.body.rows) - len(self.unfit)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What was left alone, in words."""
        if not self.unfit:
            return ()
        places = ", ".join(self.unfit)
        return (f"Learned against other numbers than this job's sheet has, so left alone: {places}.",)


def overlaid(sheet: Sheet, learnt: Noted[Learnt] | None) -> tuple[Sheet, Overlay | None]:
    """Return the sheet with learned rows in place of its own, and what was laid over it; without learning, itself."""
    if learnt is None or learnt.body.sheet != sheet.sheet.key or not learnt.body.rows:
        return sheet, None
    taught, unfit = with_rows(sheet, learnt.body.rows)
    return taught, Overlay(learnt, unfit)
