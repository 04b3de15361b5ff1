"""The kind of entry that keeps what finished jobs taught: strengths of one kind of machine, beside the sheet's own."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from brasswright.journal.stored import Key, Sha, Stored, Words

__all__ = ["Learnt", "Strength"]

Chance = Annotated[float, Field(ge=0.0, le=1.0)]


class Strength(Stored):
    """One row of a sheet with the chances it had and those learned, by state; each row adds to 1.

    `place` names the row, such as `component.shell.causes.frost.yes`. `jobs` is how many finished jobs speak of it, a
    part of a job where nobody saw; `trust` is how many finished jobs the sheet's own row is worth.
    """

    place: Words
    had: dict[str, Chance]
    learnt: dict[str, Chance]
    jobs: float = Field(ge=0)
    trust: float = Field(gt=0)


class Learnt(Stored):
    """Strengths learned from finished jobs are adopted for a sheet; without rows, the sheet's own numbers hold again.

    `jobs` are the numbers of the jobs that taught. `had_score` and `learnt_score` are mean log scores of one found
    condition [nat], each job judged without itself, lower is better; `gain_sigma` is the standard error of their
    difference. `groups` are the groups of rows that were adopted.
    """

    kind: Literal["learnt/1"] = "learnt/1"
    sheet: Key
    sheet_sha256: Sha
    jobs: tuple[int, ...] = ()
    rows: tuple[Strength, ...] = ()
    groups: tuple[str, ...] = ()
    had_score: float | None = None
    learnt_score: float | None = None
    gain_sigma: float | None = Field(default=None, ge=0)
    words: str = ""
