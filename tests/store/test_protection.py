"""Nothing that speaks SQL can change, remove or replace an entry."""

from __future__ import annotations

import contextlib
import sqlite3
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete, insert, inspect, update

from brasswright.errors import StoreRefused
from brasswright.store.engine import reading, writing
from brasswright.store.folder import DATABASE
from brasswright.store.schema import entries, tables
from tests.builders import JOB

if TYPE_CHECKING:
    from brasswright.store import Store

STATEMENTS = (
    "UPDATE entries SET text = 'x'",
    "UPDATE entries SET seq = seq + 10",
    "UPDATE OR REPLACE entries SET id = 'x' WHERE seq = 1",
    "DELETE FROM entries WHERE seq = 2",
    "DELETE FROM entries",
    "REPLACE INTO entries SELECT * FROM entries WHERE seq = 2",
    "INSERT OR REPLACE INTO entries SELECT job, 3, id, 'x', 'x' FROM entries WHERE seq = 2",
    "INSERT OR REPLACE INTO entries SELECT job, 2, 'new', 'x', 'x' FROM entries WHERE seq = 2",
    "INSERT INTO entries SELECT job, 2, 'new', 'x', 'x' FROM entries WHERE seq = 2",
    "INSERT INTO entries SELECT job, 9, 'new', 'x', 'x' FROM entries WHERE seq = 2",
    "INSERT INTO entries SELECT * FROM entries WHERE true ON CONFLICT DO UPDATE SET text = 'x'",
)


@pytest.mark.parametrize("triggers_recursive", ["ON", "OFF"])
@pytest.mark.parametrize("statement", STATEMENTS)
def test_a_foreign_program_cannot_change_entries(busy: Store, statement: str, triggers_recursive: str) -> None:
    before = busy.read(JOB)
    with contextlib.closing(sqlite3.connect(busy.folder / DATABASE, isolation_level=None)) as other:
        other.execute(f"PRAGMA recursive_triggers = {triggers_recursive}")
        with pytest.raises(sqlite3.IntegrityError, match="entries are"):
            other.execute(statement)
    assert busy.read(JOB) == before


def test_neither_can_this_program(busy: Store) -> None:
    for statement in (update(entries).values(text="x"), delete(entries), insert(entries).prefix_with("OR REPLACE")):
        row = {"job": str(JOB), "seq": 2, "id": "new", "text": "x", "digest": "x"} if statement.is_insert else None
        with pytest.raises(StoreRefused, match="entries are"), writing(busy.engine) as connection:
            connection.execute(statement, row)
    assert len(busy.read(JOB)) == 2


def test_each_connection_is_set_as_promised(busy: Store) -> None:
    wanted = {"journal_mode": "wal", "synchronous": 2, "recursive_triggers": 1, "foreign_keys": 1, "secure_delete": 1}
    with reading(busy.engine) as connection:
        got = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in wanted}
    assert got == wanted


def test_texts_are_texts(busy: Store) -> None:
    with reading(busy.engine) as connection:
        types = set(connection.exec_driver_sql("SELECT typeof(text), typeof(job), typeof(seq) FROM entries").all())
    assert types == {("text", "text", "integer")}


def test_the_steps_lead_to_the_tables_that_are_used(busy: Store) -> None:
    inspector = inspect(busy.engine)
    assert set(inspector.get_table_names()) == set(tables.tables)
    for name, table in tables.tables.items():
        assert [column["name"] for column in inspector.get_columns(name)] == [column.name for column in table.columns]
