"""What there is: all jobs, or one with its holds, what is known and its entries, as plain lists and dictionaries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brasswright.holds.points import stand
from brasswright.journal.entries import Unknown

if TYPE_CHECKING:
    from brasswright.holds.points import HoldState
    from brasswright.journal.entries import Entry
    from brasswright.judgement.opinion import Judgement
    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Known", "entry_shape", "hold_shape", "job_shape", "jobs_shape", "known_of", "stands_at"]


@dataclass(frozen=True, slots=True)
class Known:
    """How much of a machine is known: components inked (seen, set, missing), pencilled (odds only), and of how many."""

    inked: int
    pencilled: int
    of: int


def known_of(judgement: Judgement) -> Known:
    """Count how much of the machine is inked in and pencilled in."""
    stages = [odds.stage for odds in judgement.odds.values()]
    inked = sum(stage in {"ink", "gone"} for stage in stages)
    return Known(inked, sum(stage == "pencil" for stage in stages), len(stages))


def stands_at(opened: OpenJob) -> str:
    """Say in a few words where the job stands: the first hold that stands, or what was sent."""
    if opened.job.sent:
        return f"Sent: {opened.job.sent[-1].body.what}"
    waiting = [note for note in opened.job.issued if not _answered(opened, note.body.sha256)]
    if waiting:
        return f"{waiting[-1].body.paper.capitalize()} issued, waiting for an answer"
    for state in stand(opened.job, opened.sheet).values():
        if not state.released:
            return f"Hold {state.number} stands, {state.name[0].lower()}{state.name[1:]}"
    return "Every hold is released"


def _answered(opened: OpenJob, sha256: str) -> bool:
    return any(note.body.paper_sha256 == sha256 for note in opened.job.approvals)


def hold_shape(state: HoldState) -> dict[str, Any]:
    """Return one hold point as JSON can hold it."""
    return {
        "hold": state.key,
        "number": state.number,
        "name": state.name,
        "status": state.status,
        "wants": list(state.wants),
        "by": state.by or None,
        "at": state.at.isoformat() if state.at else None,
        "broken_by": state.broken_by.words if state.broken_by else None,
        "done_while": list(state.done_while),
    }


def entry_shape(entry: Entry, struck: frozenset[object]) -> dict[str, Any]:
    """Return one entry as JSON can hold it, struck or not."""
    body = entry.body.raw if isinstance(entry.body, Unknown) else entry.body.model_dump(mode="json")
    return {
        "seq": entry.seq,
        "id": str(entry.id),
        "at": entry.at.isoformat(),
        "by": entry.by,
        "kind": entry.body.kind,
        "struck": entry.id in struck,
        "body": body,
    }


def job_shape(opened: OpenJob) -> dict[str, Any]:
    """Return one job as JSON can hold it: machine, sheet, holds, counts and every entry."""
    job = opened.job
    arrived = job.arrived.body if job.arrived else None
    return {
        "shape": "job/1",
        "job": str(opened.id),
        "number": opened.number,
        "machine": arrived.machine.model_dump(mode="json") if arrived else None,
        "owner": arrived.owner if arrived else None,
        "use": arrived.use if arrived else None,
        "sheet": job.sheet,
        "sheet_sha256": job.sheet_sha256,
        "head": job.head,
        "stands": stands_at(opened),
        "holds": [hold_shape(state) for state in stand(job, opened.sheet).values()],
        "answers": len(job.answers),
        "swept": len(job.sweeps),
        "readings": len(job.readings),
        "photographs": len(job.photographs),
        "entries": [entry_shape(entry, frozenset(job.struck)) for entry in job.entries],
    }


def jobs_shape(workshop: Workshop) -> dict[str, Any]:
    """Return all jobs as JSON can hold them, one line each."""
    return {
        "shape": "jobs/1",
        "jobs": [
            {"number": row.number, "job": str(row.uuid), "title": row.title, "entries": row.seq, "head": row.head}
            for row in workshop.store.jobs()
        ],
    }
