"""The tables, and the steps by which a database gets from each version to the next.

The steps are frozen once shipped; the tables below them are what the newest version has. Entries are only ever added:
triggers refuse every change and removal, also the hidden removal inside a REPLACE.
"""

from __future__ import annotations

from sqlalchemy import Column, Integer, MetaData, Table, Text

__all__ = ["MIGRATIONS", "TRIGGERS", "VERSION", "brought", "contacts", "entries", "jobs", "tables"]

MIGRATIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE entries (
            job TEXT NOT NULL,
            seq INTEGER NOT NULL CHECK (seq >= 1),
            id TEXT NOT NULL UNIQUE,
            text TEXT NOT NULL,
            digest TEXT NOT NULL,
            PRIMARY KEY (job, seq)
        )""",
        """CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
            BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END""",
        """CREATE TRIGGER entries_are_never_removed BEFORE DELETE ON entries
            BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END""",
        """CREATE TRIGGER entries_are_only_added BEFORE INSERT ON entries
            WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM entries WHERE job = NEW.job)
                OR EXISTS (SELECT 1 FROM entries WHERE id = NEW.id)
            BEGIN SELECT RAISE(ABORT, 'entries are only added, one number after the other'); END""",
        """CREATE TABLE jobs (
            job TEXT NOT NULL PRIMARY KEY,
            number INTEGER NOT NULL,
            title TEXT NOT NULL,
            seq INTEGER NOT NULL,
            head TEXT NOT NULL
        )""",
        """CREATE TABLE brought (
            job TEXT NOT NULL,
            first INTEGER NOT NULL,
            last INTEGER NOT NULL,
            at TEXT NOT NULL,
            PRIMARY KEY (job, first)
        )""",
        """CREATE TABLE contacts (
            key TEXT NOT NULL PRIMARY KEY,
            fields TEXT NOT NULL
        )""",
    ),
)
"""Statements that lead from version 0 (an empty file) to 1, from 1 to 2, and so on."""

VERSION = len(MIGRATIONS)
"""The version of database that this program writes."""

TRIGGERS = frozenset({"entries_are_never_changed", "entries_are_never_removed", "entries_are_only_added"})
"""Without these the journals are not protected; the check of a workshop looks for them."""

tables = MetaData()

entries = Table(
    "entries",
    tables,
    Column("job", Text, primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("id", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("digest", Text, nullable=False),
)
jobs = Table(
    "jobs",
    tables,
    Column("job", Text, primary_key=True),
    Column("number", Integer, nullable=False),
    Column("title", Text, nullable=False),
    Column("seq", Integer, nullable=False),
    Column("head", Text, nullable=False),
)
brought = Table(
    "brought",
    tables,
    Column("job", Text, primary_key=True),
    Column("first", Integer, primary_key=True),
    Column("last", Integer, nullable=False),
    Column("at", Text, nullable=False),
)
contacts = Table(
    "contacts",
    tables,
    Column("key", Text, primary_key=True),
    Column("fields", Text, nullable=False),
)
