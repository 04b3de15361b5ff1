"""Move a job to another sheet, or a newer version of its sheet: what no longer fits is listed, nothing is dropped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import uuid4

from brasswright.errors import EntryRefused
from brasswright.store import Draft
from brasswright.workshop.drafting import body_from
from brasswright.workshop.receive import sheet_named
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.journal.job import Job
    from brasswright.sheets.model import Sheet
    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Misfit", "misfits", "resheet"]


@dataclass(frozen=True, slots=True)
class Misfit:
    """Something entered that the other sheet does not know: what, its key, why, and the number of its entry."""

    what: str
    key: str
    why: str
    seq: int

    @property
    def said(self) -> str:
        """The misfit as a sentence."""
        return f"Entry {self.seq}, {self.what} '{self.key}': {self.why}. It is kept; the odds take no notice of it."


def misfits(job: Job, sheet: Sheet) -> tuple[Misfit, ...]:
    """Return everything entered for a job that a sheet does not know, in the order of the journal."""
    return tuple(sorted(_all(job, sheet), key=lambda misfit: (misfit.seq, misfit.what, misfit.key)))


def _all(job: Job, sheet: Sheet) -> Iterator[Misfit]:
    yield from _answers(job, sheet)
    for key, condition, seq in _conditions(job):
        part = sheet.component.get(key)
        if part is None:
            yield Misfit("condition", key, "there is no such component", seq)
        elif condition not in part.states:
            yield Misfit("condition", key, f"'{condition}' is none of its conditions", seq)
    for what, table, seqs in (
        ("reading", sheet.reading, {key: noted.seq for key, noted in job.readings.items()}),
        ("presence", sheet.component, {key: noted.seq for key, noted in job.presence.items()}),
        ("whereabouts", sheet.component, {key: noted.seq for key, noted in job.moved.items()}),
        ("choice", sheet.treatment, {key: noted.seq for key, noted in job.choices.items()}),
        ("proof", sheet.proving, {key: noted.seq for key, noted in job.proved.items()}),
    ):
        for key, seq in seqs.items():
            if key not in table:
                yield Misfit(what, key, "the sheet has none of that name", seq)


def _answers(job: Job, sheet: Sheet) -> Iterator[Misfit]:
    for key, noted in job.answers.items():
        states = _states(sheet, key)
        said = [noted.body.answer] if noted.body.answer is not None else [*(noted.body.likelihood or {})]
        strange = [answer for answer in said if states is not None and answer not in states]
        if states is None:
            yield Misfit("answer", key, "that is not asked there", noted.seq)
        elif strange:
            yield Misfit("answer", key, f"'{', '.join(strange)}' is no answer there", noted.seq)
    for key, sweep in job.sweeps.items():
        if _states(sheet, key) is None:
            yield Misfit("sweep", key, "that is not asked there", sweep.seq)


def _states(sheet: Sheet, key: str) -> tuple[str, ...] | None:
    if key in sheet.finding:
        return sheet.finding[key].answers
    return sheet.history[key].states if key in sheet.history else None


def _conditions(job: Job) -> Iterator[tuple[str, str, int]]:
    """Go over conditions found and set; an overruling that was taken back is none."""
    for key, found in job.found.items():
        yield key, found.body.condition, found.seq
    for key, fixed in job.fixed.items():
        if fixed.body.condition is not None:
            yield key, fixed.body.condition, fixed.seq


def resheet(workshop: Workshop, opened: OpenJob, name: str = "", *, by: str, reason: str) -> tuple[Misfit, ...]:
    """Pin a job to the sheet of this name, or to the present version of its own, and return what no longer fits.

    Raises:
        EntryRefused: nobody of this workshop, no reason, or nothing would change.
        NotFound, SheetRefused: there is no such sheet, or it has mistakes.
    """
    people = read_settings(workshop).people
    if by not in people:
        raise EntryRefused("Who moves it is nobody of this workshop.", got=by or "no name", allowed=", ".join(people))
    loaded = sheet_named(workshop, name or opened.job.sheet)
    if loaded.sha256 == opened.job.sheet_sha256:
        raise EntryRefused("The job is pinned to this very sheet.", got=loaded.sheet.sheet.key)
    pin = {"sheet": loaded.sheet.sheet.key, "sheet_sha256": loaded.sha256}
    body = body_from({"kind": "resheeted/1", "reason": reason, **pin})
    workshop.store.put_sheet(loaded.raw)
    draft = Draft(id=uuid4(), at=workshop.clock(), by=by, body=body)
    workshop.store.append(opened.id, [draft], expect_seq=opened.job.seq)
    return misfits(opened.job, loaded.sheet)
