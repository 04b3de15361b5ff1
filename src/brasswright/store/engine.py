"""One SQLite database: how it is opened, how transactions begin, and its errors in plain words."""

from __future__ import annotations

import contextlib
import sqlite3
from typing import TYPE_CHECKING

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from brasswright.errors import NewerWorkshop, StoreRefused
from brasswright.store.folder import DATABASE, held
from brasswright.store.schema import MIGRATIONS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from brasswright.store.clock import Clock

__all__ = ["engine_for", "lay_out", "outside_transaction", "plainly", "reading", "upgrade", "version_of", "writing"]

PATIENCE_S = 30
"""How long a writer waits for another one [s]."""

PRAGMAS = (
    "PRAGMA synchronous = FULL",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA foreign_keys = ON",
    "PRAGMA secure_delete = ON",
)

WORDS: dict[str, tuple[str, str]] = {
    "SQLITE_FULL": ("The disk is full", "Make room and do it again; nothing was changed."),
    "SQLITE_READONLY": ("The workshop cannot be written", "Give this account the right to write in the folder."),
    "SQLITE_CANTOPEN": ("The database cannot be opened", "Check that this account may read and write the folder."),
    "SQLITE_PERM": ("The database cannot be opened", "Check that this account may read and write the folder."),
    "SQLITE_BUSY": ("Another program is writing", "Wait a moment and do it again; nothing was changed."),
    "SQLITE_IOERR": ("The disk does not read or write as it should", "Check the disk, then run the check."),
    "SQLITE_NOTADB": ("This file is no workshop database", "Restore the latest backup into an empty folder."),
    "SQLITE_CORRUPT": ("The database is damaged", "Restore the latest backup into an empty folder."),
    "SQLITE_CONSTRAINT": ("The database refuses this", "Entries are only ever added; nothing was changed."),
}


def engine_for(database: Path, *, new: bool = False) -> Engine:
    """Return an engine on the file; only with `new` is it made if it is not there."""
    mode = "rwc" if new else "rw"
    url = URL.create("sqlite", database=database.absolute().as_uri(), query={"mode": mode, "uri": "true"})
    engine = create_engine(url, connect_args={"timeout": PATIENCE_S})
    event.listen(engine, "connect", _on_connect)
    event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # transactions begin where we say
    for pragma in PRAGMAS:
        connection.execute(pragma)


def _on_begin(connection: Connection) -> None:
    kind = "BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN"
    connection.exec_driver_sql(kind)


@contextlib.contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Open a transaction that writes: alone from its beginning, kept whole or not at all."""
    with plainly(engine), engine.connect().execution_options(writes=True) as connection, connection.begin():
        yield connection


@contextlib.contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Open a transaction that reads one state of the database."""
    with plainly(engine), engine.connect() as connection, connection.begin():
        yield connection


@contextlib.contextmanager
def plainly(engine: Engine) -> Iterator[None]:
    """Turn the driver's errors into refusals in plain words."""
    try:
        yield
    except DBAPIError as error:
        cause = error.orig if error.orig is not None else error
        raise _refusal(cause, where=_file(engine)) from None
    except sqlite3.Error as error:
        raise _refusal(error, where=_file(engine)) from None


def _file(engine: Engine) -> str:
    return str(engine.url.database or "").removeprefix("file://")


def _refusal(error: BaseException, *, where: str) -> StoreRefused:
    code = str(getattr(error, "sqlite_errorname", ""))
    for beginning, (words, remedy) in WORDS.items():
        if code.startswith(beginning):
            return StoreRefused(f"{words} ({error}).", where=where, remedy=remedy)
    return StoreRefused(f"The database refuses this ({error}).", where=where, remedy="Nothing was changed.")


def version_of(engine: Engine) -> int:
    """Return the version the database carries; 0 for an empty one."""
    with reading(engine) as connection:
        return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())


def lay_out(engine: Engine) -> None:
    """Make the tables of a new database and set it to write-ahead logging."""
    outside_transaction(engine, "PRAGMA journal_mode = WAL")
    _migrate(engine, 0, MIGRATIONS)


def outside_transaction(engine: Engine, statement: str) -> None:
    """Run one statement that SQLite does not take inside a transaction."""
    with plainly(engine):
        raw = engine.raw_connection()
        try:
            raw.cursor().execute(statement)
        finally:
            raw.close()


def upgrade(engine: Engine, folder: Path, clock: Clock, *, migrations: Sequence[Sequence[str]] = MIGRATIONS) -> None:
    """Bring an older database to the newest version, under the folder's lock.

    Raises:
        NewerWorkshop: it was made by a newer version of this program.
        StoreRefused: the file is no workshop, or somebody holds the lock.
    """
    version, newest = version_of(engine), len(migrations)
    if version > newest:
        raise NewerWorkshop(
            "This workshop was made by a newer version of Brasswright.",
            where=str(folder / DATABASE),
            got=f"version {version}",
            allowed=f"up to version {newest}",
            remedy="Install the newer version; nothing was changed.",
        )
    if version == 0:
        raise StoreRefused(
            "This is no workshop, or its making was broken off.",
            where=str(folder / DATABASE),
            remedy="Make a new workshop in an empty folder.",
        )
    if version < newest:
        with held(folder, "an upgrade", since=clock()):
            _migrate(engine, version_of(engine), migrations)


def _migrate(engine: Engine, version: int, migrations: Sequence[Sequence[str]]) -> None:
    with writing(engine) as connection:
        for statements in migrations[version:]:
            for statement in statements:
                connection.exec_driver_sql(statement)
        connection.exec_driver_sql(f"PRAGMA user_version = {len(migrations)}")
