"""A workshop as one folder, opened with a clock: what every verb works on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import UUID

from brasswright.errors import NotFound
from brasswright.journal.entries import Learnt
from brasswright.journal.job import Job, Noted
from brasswright.sheets import load
from brasswright.sheets.model import Sheet
from brasswright.store import Store, create, open_store

__all__ = ["OpenJob", "Workshop", "found", "open_workshop"]


@dataclass(frozen=True, slots=True)
class Workshop:
    """An open workshop: its folder, its store and the clock that dates entries."""

    folder: Path
    store: Store
    clock: Callable[[], datetime]

    def job_id(self, number: int) -> UUID:
        """Return the id of the job with this human number.

        Raises:
            NotFound: no such number; names those that exist.
        """
        rows = self.store.jobs()
        for row in rows:
            if row.number == number:
                return row.uuid
        known = ", ".join(str(row.number) for row in rows) or "none yet"
        raise NotFound(f"There is no job {number} in this workshop.", where=str(self.folder), allowed=known)

    def open_job(self, number: int) -> OpenJob:
        """Read a job and the sheet it is pinned to."""
        job_id = self.job_id(number)
        job = self.store.job(job_id)
        if job.arrived is None:
            raise NotFound(f"Job {number} has no arrival.", where=str(self.folder), remedy="Enter `arrived` first.")
        learnt = self.workshop_journal().learnt.get(job.sheet)
        return OpenJob(job_id, number, job, load.from_bytes(self.store.sheet(job.sheet_sha256)).sheet, learnt)

    def owner_of(self, job: Job) -> str:
        """Return the owner's name from the contacts outside the journals; empty where there is none."""
        key = job.arrived.body.owner if job.arrived is not None else ""
        contact = self.store.contact(key) if key else None
        return contact.get("name", "") if contact is not None else ""

    def workshop_journal(self) -> Job:
        """Replay the workshop's own journal: people, prices, settings."""
        return self.store.job(self.store.journal_of_workshop)


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job as it stands: its id, human number, state and pinned sheet, and what the workshop learned for that."""

    id: UUID
    number: int
    job: Job
    sheet: Sheet
    learnt: Noted[Learnt] | None = None

    @property
    def taught_by(self) -> str:
        """Id of the entry that the workshop learned by; empty where the sheet's own numbers hold."""
        return str(self.learnt.id) if self.learnt is not None else ""


def found(folder: Path, clock: Callable[[], datetime]) -> Workshop:
    """Make a new, empty workshop in `folder`.

    Raises:
        AlreadyExists: there is one already.
        StoreRefused: the folder cannot be written.
    """
    return Workshop(folder, create(folder, clock=clock), clock)


def open_workshop(folder: Path, clock: Callable[[], datetime]) -> Workshop:
    """Open the workshop in `folder`.

    Raises:
        StoreRefused: no workshop there, not readable, or made by a newer version.
    """
    return Workshop(folder, open_store(folder, clock=clock), clock)
