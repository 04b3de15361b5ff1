"""An open workshop: its journals, photographs, papers, pinned sheets and contacts."""

from __future__ import annotations

import json
import weakref
from functools import lru_cache
from typing import TYPE_CHECKING, ClassVar, Self

from sqlalchemy import delete, select
from sqlalchemy.dialects.sqlite import insert

from brasswright.errors import AlreadyExists, EntryRefused, NotFound, StoreRefused
from brasswright.journal.codec import load
from brasswright.journal.replay import replay
from brasswright.store.appending import WORKSHOP_JOURNAL, Batch, append, files_are_here, look_over
from brasswright.store.clock import Clock, system_clock
from brasswright.store.engine import engine_for, lay_out, outside_transaction, reading, upgrade, writing
from brasswright.store.folder import DATABASE, PAPERS, PHOTOGRAPHS, PINNED, refused
from brasswright.store.foreign import set_aside
from brasswright.store.photograph import Photograph, clean
from brasswright.store.rows import JobRow, head_of, job_rows, texts_after
from brasswright.store.schema import contacts
from brasswright.store.shelf import Shelf

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path
    from types import TracebackType
    from uuid import UUID

    from sqlalchemy import Engine

    from brasswright.journal.draft import Draft
    from brasswright.journal.entries import Entry
    from brasswright.journal.job import Job

__all__ = ["Store", "create", "open_store"]


LONG = 20_000
"""Entries of more letters than this are kept once read: what was learned is read again with every page."""


@lru_cache(maxsize=32)
def _long(text: str) -> Entry:
    return load(text)


class Store:
    """One workshop's folder, open. Every method is one whole transaction; several programs may be at it at once."""

    journal_of_workshop: ClassVar[UUID] = WORKSHOP_JOURNAL

    def __init__(self, folder: Path, engine: Engine, clock: Clock) -> None:
        """Open by `open_store` or `create`, not by hand."""
        self.folder = folder
        self.clock = clock
        self.engine = engine
        self.photographs = Shelf(folder / PHOTOGRAPHS, "photograph")
        self.papers = Shelf(folder / PAPERS, "paper")
        self.pinned = Shelf(folder / PINNED, "sheet")
        self._closing = weakref.finalize(self, engine.dispose)

    def close(self) -> None:
        """Let the database go; the store cannot be used afterwards."""
        self._closing()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def append(self, job: UUID, drafts: Sequence[Draft], *, expect_seq: int | None = None) -> tuple[Entry, ...]:
        """Append drafts to a journal, all or none, and return their entries in order; kept for good when it returns.

        With `expect_seq` (the last number seen) drafts are placed after whatever came in between, unless that is about
        the same subject. A draft sent before gives the entry it became.

        Raises:
            Clash: somebody else entered something on the same subject in between.
            EntryRefused: for another job, in the future, an id used twice, a file or entry it names is not there.
            NotFound: no such job; a new one begins with the machine's arrival.
            StoreRefused: the disk is full, read-only or failing; nothing was changed.
        """
        batch = Batch(job, tuple(drafts), expect_seq, self.clock())
        look_over(batch)
        with writing(self.engine) as connection:
            files_are_here(batch, self.photographs, self.pinned)
            return append(connection, batch)

    def read(self, job: UUID) -> tuple[Entry, ...]:
        """Return a job's entries in order; the workshop's own journal may be empty.

        Raises:
            NotFound: there is no such job here.
        """
        with reading(self.engine) as connection:
            texts = texts_after(connection, job, 0)
        if not texts and job != self.journal_of_workshop:
            raise NotFound("There is no such job here.", where=str(self.folder), got=job)
        return tuple(_long(text) if len(text) > LONG else load(text) for text in texts)

    def jobs(self) -> tuple[JobRow, ...]:
        """Return all jobs by their human numbers."""
        with reading(self.engine) as connection:
            return tuple(row for row in job_rows(connection) if row.uuid != self.journal_of_workshop)

    def next_number(self) -> int:
        """Return the next free human number for a job."""
        return max((row.number for row in self.jobs()), default=0) + 1

    def job(self, job: UUID) -> Job:
        """Return a job's state; releases that came with a bundle and that nobody here adopted do not count in it."""
        return replay(self.read(job), set_aside=set_aside(self, job))

    def put_photograph(self, raw: bytes) -> Photograph:
        """Keep a photograph without what tells places; return digest, media type and size [bytes] of what is kept.

        Raises:
            StoreRefused: too large, no JPEG or PNG, broken, or it cannot be written.
        """
        cleaned, media_type = clean(raw)
        return Photograph(self.photographs.put(cleaned), media_type, len(cleaned))

    def photograph(self, sha256: str) -> bytes:
        """Return a photograph's bytes; refuses what is not here (`NotFound`) or was changed (`StoreRefused`)."""
        return self.photographs.get(sha256)

    def put_sheet(self, raw: bytes) -> str:
        """Keep the bytes of a sheet and return their digest."""
        return self.pinned.put(raw)

    def sheet(self, sha256: str) -> bytes:
        """Return a pinned sheet's bytes; refuses what is not here (`NotFound`) or was changed (`StoreRefused`)."""
        return self.pinned.get(sha256)

    def put_paper(self, raw: bytes) -> str:
        """Keep the bytes of a paper and return their digest."""
        return self.papers.put(raw)

    def paper(self, sha256: str) -> bytes:
        """Return a paper's bytes; refuses what is not here (`NotFound`) or was changed (`StoreRefused`)."""
        return self.papers.get(sha256)

    def contact(self, key: str) -> dict[str, str] | None:
        """Return what is known of a person outside the workshop, such as an owner; None if nothing (any more)."""
        with reading(self.engine) as connection:
            found = connection.execute(select(contacts.c.fields).where(contacts.c.key == key)).scalar()
        return None if found is None else {str(name): str(value) for name, value in json.loads(found).items()}

    def contacts(self) -> tuple[str, ...]:
        """Return the keys of all contacts."""
        with reading(self.engine) as connection:
            return tuple(connection.execute(select(contacts.c.key).order_by(contacts.c.key)).scalars())

    def put_contact(self, key: str, fields: Mapping[str, str]) -> None:
        """Keep names, addresses and the like under a key; entries cite the key only. Replaces what was there."""
        if not key:
            raise EntryRefused("A contact needs a key.", remedy="Give one, such as owner-1.")
        told = json.dumps(dict(fields), sort_keys=True, ensure_ascii=False)
        written = insert(contacts).values(key=key, fields=told)
        with writing(self.engine) as connection:
            connection.execute(written.on_conflict_do_update(index_elements=["key"], set_={"fields": told}))

    def erase_contact(self, key: str) -> bool:
        """Erase a contact for good and say whether it was there; backups made before still have it."""
        with writing(self.engine) as connection:
            there = connection.execute(delete(contacts).where(contacts.c.key == key)).rowcount > 0
        outside_transaction(self.engine, "PRAGMA wal_checkpoint(TRUNCATE)")
        return there


def create(folder: Path, *, clock: Clock = system_clock) -> Store:
    """Make an empty workshop in a folder that is empty or not there yet.

    Raises:
        AlreadyExists: something lies in the folder.
        StoreRefused: it cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            remedy = "Choose an empty folder."
            raise AlreadyExists("This folder is not empty.", where=str(folder), remedy=remedy)
        for name in (PHOTOGRAPHS, PAPERS, PINNED):
            (folder / name).mkdir()
    except OSError as error:
        raise refused(error, where=folder, doing="Making the workshop") from None
    engine = engine_for(folder / DATABASE, new=True)
    try:
        lay_out(engine)
    except StoreRefused:
        engine.dispose()
        raise
    return Store(folder, engine, clock)


def open_store(folder: Path, *, clock: Clock = system_clock) -> Store:
    """Open the workshop in a folder, upgrading an older one.

    Raises:
        StoreRefused: no workshop there, damaged, not to be read or written, or in use for an upgrade.
        NewerWorkshop: made by a newer version of this program.
    """
    database = folder / DATABASE
    if not database.is_file():
        remedy = "Name the folder of a workshop, or make one with `brasswright init`."
        raise StoreRefused("There is no workshop in this folder.", where=str(folder), remedy=remedy)
    engine = engine_for(database)
    try:
        upgrade(engine, folder, clock)
        outside_transaction(engine, "PRAGMA journal_mode = WAL")
        _can_be_written(engine)
    except StoreRefused:
        engine.dispose()
        raise
    return Store(folder, engine, clock)


def _can_be_written(engine: Engine) -> None:
    """Begin and end a writing transaction, so that a read-only folder is named at once."""
    with writing(engine) as connection:
        head_of(connection, WORKSHOP_JOURNAL)
