"""Reading and adding rows inside a transaction: the only place that touches the tables of entries and jobs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID

from sqlalchemy import bindparam, func, insert, select, update

from brasswright.journal.chain import START, Row
from brasswright.journal.entries import Arrived
from brasswright.store.schema import entries, jobs

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from sqlalchemy import Connection

    from brasswright.journal.entries import Entry

__all__ = ["Head", "JobRow", "add", "head_of", "job_rows", "known_ids", "number_taken", "rows_of", "texts_after"]

AT_ONCE = 500
"""Ids asked for in one statement."""

# Statements are built once: building them takes longer than running them.
HEAD = select(jobs.c.seq, jobs.c.head).where(jobs.c.job == bindparam("of"))
BY_IDS = select(entries).where(entries.c.id.in_(bindparam("ids", expanding=True)))
TEXTS = (
    select(entries.c.text)
    .where(entries.c.job == bindparam("of"), entries.c.seq > bindparam("after"))
    .order_by(entries.c.seq)
)
ADD = insert(entries)
MOVE_HEAD = update(jobs).where(jobs.c.job == bindparam("of")).values(seq=bindparam("to"), head=bindparam("digest"))
RENAME = update(jobs).where(jobs.c.job == bindparam("of")).values(number=bindparam("called"), title=bindparam("words"))


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job in the list of all: id, human number, the machine in words, number of entries, the journal's head."""

    uuid: UUID
    number: int
    title: str
    seq: int
    head: str


@dataclass(frozen=True, slots=True)
class Head:
    """Where a journal ends."""

    seq: int = 0
    digest: str = START
    known: bool = False


def head_of(connection: Connection, job: UUID) -> Head:
    """Return where the job's journal ends; number 0 and not known if there is none."""
    row = connection.execute(HEAD, {"of": str(job)}).first()
    return Head() if row is None else Head(row.seq, row.head, known=True)


def job_rows(connection: Connection) -> tuple[JobRow, ...]:
    """Return all journals by number; the workshop's own has number 0."""
    found = connection.execute(select(jobs).order_by(jobs.c.number, jobs.c.job))
    return tuple(JobRow(UUID(row.job), row.number, row.title, row.seq, row.head) for row in found)


def number_taken(connection: Connection, number: int, job: UUID) -> bool:
    """Say whether another job has this human number."""
    count = select(func.count()).where(jobs.c.number == number, jobs.c.job != str(job))
    return connection.execute(count).scalar_one() > 0


def rows_of(connection: Connection, job: UUID) -> Iterator[Row]:
    """Yield a job's rows in order."""
    found = connection.execute(select(entries).where(entries.c.job == str(job)).order_by(entries.c.seq))
    for row in found:
        yield Row(row.job, row.seq, row.id, row.text, row.digest)


def texts_after(connection: Connection, job: UUID, seq: int) -> tuple[str, ...]:
    """Return the stored texts of a job after that number, in order."""
    return tuple(connection.execute(TEXTS, {"of": str(job), "after": seq}).scalars())


def known_ids(connection: Connection, ids: Iterable[UUID]) -> dict[UUID, Row]:
    """Return the rows, of whatever job, that have one of these ids."""
    wanted = [str(each) for each in ids]
    known: dict[UUID, Row] = {}
    for start in range(0, len(wanted), AT_ONCE):
        for row in connection.execute(BY_IDS, {"ids": wanted[start : start + AT_ONCE]}):
            known[UUID(row.id)] = Row(row.job, row.seq, row.id, row.text, row.digest)
    return known


def add(connection: Connection, lines: Sequence[tuple[Entry, str]], *, known: bool) -> None:
    """Add entries with their texts to one job and bring the list of jobs up to date; `known` says that it is there."""
    last = lines[-1][0]
    job = str(last.job)
    fields = [
        {"job": job, "seq": entry.seq, "id": str(entry.id), "text": text, "digest": entry.digest}
        for entry, text in lines
    ]
    connection.execute(ADD, fields)
    arrivals = [entry.body for entry, _ in lines if isinstance(entry.body, Arrived)]
    if not known:
        row = {"job": job, "number": 0, "title": "", "seq": last.seq, "head": last.digest}
        connection.execute(insert(jobs), row)
    else:
        connection.execute(MOVE_HEAD, {"of": job, "to": last.seq, "digest": last.digest})
    for body in arrivals[-1:]:
        named = {"of": job, "called": body.number, "words": body.machine.description}
        connection.execute(RENAME, named)
