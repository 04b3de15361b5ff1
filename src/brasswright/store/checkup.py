"""The check of a whole workshop: database, journals, photographs, papers and sheets. It changes nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID

from sqlalchemy import select

from brasswright.errors import BrasswrightError, EntryRefused, NewerWorkshop, Problem, StoreRefused
from brasswright.journal.chain import verify
from brasswright.journal.codec import load
from brasswright.store.clock import Clock, system_clock
from brasswright.store.engine import reading
from brasswright.store.folder import DATABASE
from brasswright.store.opened import files_of
from brasswright.store.rows import JobRow, job_rows, rows_of
from brasswright.store.schema import TRIGGERS, entries
from brasswright.store.store import open_store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.journal.chain import Row
    from brasswright.store.store import Store

__all__ = ["check"]

FROM_BACKUP = "Restore the latest backup into an empty folder and compare."


def check(folder: Path, *, clock: Clock = system_clock) -> tuple[Problem, ...]:
    """Return everything that is wrong in a workshop; nothing if it is as it was written.

    Raises:
        StoreRefused: there is no workshop here, or one made by a newer version of this program.
    """
    try:
        store = open_store(folder, clock=clock)
    except NewerWorkshop:
        raise
    except StoreRefused as error:
        if not (folder / DATABASE).is_file():
            raise
        return (Problem(error.where, error.what, error.remedy),)
    with store:
        return tuple(_problems(store))


def _problems(store: Store) -> Iterator[Problem]:
    try:
        yield from _database(store)
        yield from _journals(store)
    except StoreRefused as error:
        yield Problem(str(store.folder / DATABASE), error.what, error.remedy)
    for shelf in (store.photographs, store.papers, store.pinned):
        yield from shelf.problems()


def _database(store: Store) -> Iterator[Problem]:
    where = str(store.folder / DATABASE)
    with reading(store.engine) as connection:
        for row in connection.exec_driver_sql("PRAGMA integrity_check"):
            if row[0] != "ok":
                yield Problem(where, f"the database is damaged: {row[0]}", FROM_BACKUP)
        triggers = set(connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'").scalars())
    for name in sorted(TRIGGERS - triggers):
        yield Problem(where, f"what protects the entries was taken away ({name})", FROM_BACKUP)


def _journals(store: Store) -> Iterator[Problem]:
    with reading(store.engine) as connection:
        listed = {str(row.uuid): row for row in job_rows(connection)}
        jobs = set(connection.execute(select(entries.c.job).distinct()).scalars())
        for job in sorted(jobs | set(listed)):
            rows = tuple(rows_of(connection, UUID(job)))
            yield from _journal(store, job, rows, listed.get(job))


def _journal(store: Store, job: str, rows: tuple[Row, ...], listed: JobRow | None) -> Iterator[Problem]:
    name = f"job {listed.number} ({job})" if listed and listed.number else f"job {job}"
    if listed is None:
        yield Problem(name, "the job has entries but is not in the list of jobs", FROM_BACKUP)
    for problem in verify(rows, head=listed.head if listed else None):
        yield Problem(f"{name}, {problem.where}", problem.what, problem.remedy)
    for row in rows:
        yield from _files(store, f"{name}, entry {row.seq} ({row.id})", row.text)


def _files(store: Store, where: str, text: str) -> Iterator[Problem]:
    try:
        named = files_of([load(text)])
    except EntryRefused:
        return  # the chain has said so
    shelves = {"sheets": store.pinned, "photographs": store.photographs, "papers": store.papers}
    for each in named:
        try:
            there = shelves[each.folder].has(each.sha256)
        except BrasswrightError:
            there = False
        if each.needed and not there:
            noun = shelves[each.folder].noun
            yield Problem(where, f"the {noun} it names is not there: {each.sha256}", "Take the file from a backup.")
