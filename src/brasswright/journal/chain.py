"""The chain: each stored text carries the digest of the one before, so that no line can be changed, lost or moved.

What can be claimed is small: rows that `verify` passes, up to a head that was printed on a paper, are the rows that
were there when the paper was printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

from brasswright.errors import EntryRefused, Problem
from brasswright.journal.codec import digest_of, dump, load
from brasswright.journal.entries import Entry

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.draft import Draft

__all__ = ["START", "Place", "Row", "Sealed", "seal", "verify"]

START = ""
"""What stands for the digest before the first entry."""

REMEDY = "Restore the latest backup that passes this check, or compare with the head printed on a paper."


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry comes to stand: its job, number, the digest before it and when it is recorded."""

    job: UUID
    seq: int
    prev: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class Row:
    """One row as stored: the text with what is kept beside it."""

    job: str
    seq: int
    id: str
    text: str
    digest: str


@dataclass(frozen=True, slots=True)
class Sealed:
    """An entry with the text that is stored for it."""

    entry: Entry
    text: str

    @property
    def row(self) -> Row:
        """The row to store."""
        entry = self.entry
        return Row(str(entry.job), entry.seq, str(entry.id), self.text, entry.digest)


def seal(draft: Draft, place: Place) -> Sealed:
    """Give a draft its place, its text and its digest."""
    entry = Entry(
        id=draft.id,
        job=place.job,
        seq=place.seq,
        at=_whole_minutes(draft.at),
        recorded_at=_whole_minutes(place.recorded_at),
        by=draft.by,
        body=draft.body,
        prev=place.prev,
        digest="",
    )
    text = dump(entry)
    return Sealed(entry.model_copy(update={"digest": digest_of(text)}), text)


def _whole_minutes(moment: datetime) -> datetime:
    """Return the same moment with an offset that text can carry: whole minutes, else UTC."""
    offset = moment.utcoffset()
    return moment if offset is not None and offset.total_seconds() % 60 == 0 else moment.astimezone(UTC)


def verify(rows: Iterable[Row], *, head: str | None = None) -> tuple[Problem, ...]:
    """Return what is wrong in one job's rows, each named by its number and id; nothing if the chain holds.

    `rows` come in the order of their numbers. With `head` (kept apart, or read from a paper) a cut-off end is found
    too.
    """
    problems: list[Problem] = []
    before = START
    count = 0
    for count, row in enumerate(rows, 1):
        problems += [Problem(f"entry {row.seq} ({row.id})", what, REMEDY) for what in _faults(row, count, before)]
        before = row.digest
    if head is not None and head != before:
        what = f"the journal ends here, but its head was recorded as {head or 'nothing'}"
        problems.append(Problem(f"after entry {count}", what, REMEDY))
    return tuple(problems)


def _faults(row: Row, expected: int, before: str) -> list[str]:
    found = []
    if row.seq != expected:
        found.append(f"number {expected} was due here: entries are missing, doubled or moved")
    if digest_of(row.text) != row.digest:
        found.append("the text does not give the digest stored beside it: one of them was changed")
    try:
        entry = load(row.text)
    except EntryRefused as error:
        return [*found, f"the text cannot be read: {error.what}"]
    if entry.prev != before:
        found.append("it does not follow on the entry before it")
    if entry.seq != row.seq:
        found.append(f"the text says number {entry.seq}")
    if str(entry.id) != row.id:
        found.append(f"the text says id {entry.id}")
    if str(entry.job) != row.job:
        found.append(f"the text belongs to job {entry.job}")
    return found
