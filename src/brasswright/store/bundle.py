"""One job in one file: its journal as JSON Lines, sheets, photographs and papers; equal jobs give equal bytes.

A bundle is a zip without compression: `bundle.json` (format, job, number of entries, head), `entries.jsonl` (the stored
texts as they are), then `sheets/SHA`, `photographs/SHA` and `papers/SHA` by name. What is outside the chain (contacts,
what was adopted here) stays at home.
"""

from __future__ import annotations

import json
import zipfile
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from uuid import UUID

from sqlalchemy import insert

from brasswright.errors import AlreadyExists, ForkRefused, StoreRefused
from brasswright.journal.entries import Released
from brasswright.store.appending import WORKSHOP_JOURNAL
from brasswright.store.engine import reading, writing
from brasswright.store.folder import refused, write_whole
from brasswright.store.opened import Opened, files_of, open_bundle
from brasswright.store.rows import add, head_of, known_ids, rows_of
from brasswright.store.schema import brought
from brasswright.store.zipping import add_member

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from sqlalchemy import Connection

    from brasswright.journal.chain import Row
    from brasswright.store.shelf import Shelf
    from brasswright.store.store import Store

__all__ = ["FORMAT", "Imported", "export", "import_"]

FORMAT = 1
"""The format of bundle that this program writes."""


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: which job, how many entries and files are new, and what among them is in quarantine."""

    job: UUID
    entries: int = 0
    files: int = 0
    people: tuple[str, ...] = ()
    releases: tuple[UUID, ...] = field(default=())


def shelves(store: Store) -> dict[str, Shelf]:
    """Return the shelves of a workshop by the folder they have in a bundle."""
    return {"sheets": store.pinned, "photographs": store.photographs, "papers": store.papers}


def export(store: Store, job: UUID, path: Path) -> None:
    """Write one job to a bundle; equal jobs give equal bytes.

    Raises:
        NotFound: no such job, or a photograph or sheet it names is not kept here.
        AlreadyExists: there is a file of that name.
        StoreRefused: it cannot be written.
    """
    entries = store.read(job)
    if job == WORKSHOP_JOURNAL:
        remedy = "Make a backup of the workshop instead."
        raise StoreRefused("The workshop's own journal does not travel in a bundle.", remedy=remedy)
    if path.exists():
        raise AlreadyExists("There is a file of that name.", where=str(path), remedy="Choose another name.")
    with reading(store.engine) as connection:
        rows = tuple(rows_of(connection, job))[: len(entries)]
    told = {"format": FORMAT, "job": str(job), "entries": len(rows), "head": rows[-1].digest}
    keeping = shelves(store)
    try:
        with write_whole(path) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as packed:
            add_member(packed, "bundle.json", (json.dumps(told, sort_keys=True) + "\n").encode())
            add_member(packed, "entries.jsonl", "".join(row.text + "\n" for row in rows).encode())
            for named in files_of(entries):
                if named.needed or keeping[named.folder].has(named.sha256):
                    add_member(packed, named.member, keeping[named.folder].get(named.sha256))
    except OSError as error:
        raise refused(error, where=path, doing="Writing the bundle") from None


def import_(store: Store, path: Path) -> Imported:
    """Take a bundle in: a new job, or more entries of one that is here; one that is here already changes nothing.

    Entries that are new here are foreign: their releases do not count until `foreign.adopt`.

    Raises:
        ForkRefused: the bundle's journal and the one here parted; names the first entry that differs.
        StoreRefused: no bundle, of a newer format, cut off, changed, or it cannot be written; nothing was stored.
    """
    with open_bundle(path, newest=FORMAT) as opened:
        opened.check()
        stored: list[tuple[Shelf, str]] = []
        try:
            with writing(store.engine) as connection:
                fresh = _new_rows(connection, opened)
                if not fresh:
                    return Imported(opened.job)
                for named in opened.files:
                    shelf = shelves(store)[named.folder]
                    if not shelf.has(named.sha256):
                        stored.append((shelf, named.sha256))
                        shelf.put(opened.raw(named))
                _add(connection, opened, fresh, store.clock().isoformat())
        except BaseException:
            for shelf, sha256 in stored:
                shelf.remove(sha256)
            raise
    new = [entry for entry in opened.entries if entry.seq >= fresh[0].seq]
    return Imported(
        opened.job,
        len(new),
        len(stored),
        tuple(sorted({entry.by for entry in new})),
        tuple(entry.id for entry in new if isinstance(entry.body, Released)),
    )


def _new_rows(connection: Connection, opened: Opened) -> Sequence[Row]:
    """Return the bundle's rows that are not here; none if everything is, or if we have gone on from there."""
    here = tuple(rows_of(connection, opened.job))
    for mine, theirs in zip(here, opened.rows, strict=False):
        if mine.text != theirs.text:
            raise ForkRefused(
                "This bundle's journal parted from the one kept here.",
                where=f"entry {theirs.seq} ({theirs.id})",
                got=f"entry {mine.id} here",
                remedy="Nothing was stored. Take one of the two as it is, and enter by hand what the other one adds.",
            )
    fresh = opened.rows[len(here) :]
    taken = known_ids(connection, (UUID(row.id) for row in fresh))
    if taken:
        row = next(iter(taken.values()))
        what = "An id of this bundle is used by an entry of another job here."
        raise StoreRefused(what, where=f"job {row.job}, entry {row.seq}", got=row.id, remedy="Nothing was stored.")
    return fresh


def _add(connection: Connection, opened: Opened, fresh: Sequence[Row], at: str) -> None:
    lines = [(opened.entries[row.seq - 1], row.text) for row in fresh]
    add(connection, lines, known=head_of(connection, opened.job).known)
    span = {"job": str(opened.job), "first": fresh[0].seq, "last": fresh[-1].seq, "at": at}
    connection.execute(insert(brought).values(span))
