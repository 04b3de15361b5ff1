"""The check of a whole workshop names whatever is not as it was written."""

from __future__ import annotations

import contextlib
import sqlite3
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import NewerWorkshop, StoreRefused
from brasswright.store import check
from brasswright.store.engine import outside_transaction
from brasswright.store.folder import DATABASE
from tests.builders import JOB, SHEET_SHA256, draft, numbered, photographed, picture

if TYPE_CHECKING:
    from brasswright.store import Store


def behind_its_back(store: Store, *statements: str) -> None:
    """Do what the triggers forbid, as somebody with a database tool could."""
    with contextlib.closing(sqlite3.connect(store.folder / DATABASE, isolation_level=None)) as other:
        triggers = other.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            other.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            other.execute(statement)
        for _, sql in triggers:
            other.execute(sql)


def test_a_good_workshop_has_no_problems(busy: Store) -> None:
    kept = busy.put_photograph(picture())
    busy.append(JOB, [draft(photographed(kept.sha256), 3)])
    assert check(busy.folder) == ()


@pytest.mark.parametrize(
    ("statement", "where", "what"),
    [
        ("UPDATE entries SET text = replace(text, 'sound', 'wound')", "entry 2", "was changed"),
        ("DELETE FROM entries WHERE seq = 2", "after entry 1", "its head was recorded as"),
        ("DELETE FROM entries WHERE seq = 1", "entry 2", "number 1 was due here"),
        ("UPDATE jobs SET head = 'x'", "after entry 2", "its head was recorded as x"),
        ("DELETE FROM jobs", "job", "not in the list of jobs"),
        ("UPDATE entries SET id = 'x' WHERE seq = 2", "entry 2 (x)", "the text says id"),
    ],
)
def test_changes_behind_its_back_are_found(busy: Store, statement: str, where: str, what: str) -> None:
    behind_its_back(busy, statement)
    problems = check(busy.folder)
    assert any(where in problem.where and what in problem.what for problem in problems), problems
    assert all(problem.remedy for problem in problems)


def test_missing_protection_is_found(busy: Store) -> None:
    with contextlib.closing(sqlite3.connect(busy.folder / DATABASE, isolation_level=None)) as other:
        other.execute("DROP TRIGGER entries_are_never_removed")
    (problem,) = check(busy.folder)
    assert "entries_are_never_removed" in problem.what


def test_lost_and_changed_files_are_found(busy: Store) -> None:
    first, second = busy.put_photograph(picture()), busy.put_photograph(picture("teal"))
    busy.append(JOB, [draft(photographed(first.sha256), 3), draft(photographed(second.sha256), 4)])
    busy.photographs.remove(first.sha256)
    busy.photographs.path(second.sha256).write_bytes(b"another")
    busy.pinned.remove(SHEET_SHA256)
    found = {problem.where: problem.what for problem in check(busy.folder)}
    assert len(found) == 3
    assert first.sha256 in found[f"job 1 ({JOB}), entry 3 ({numbered(3)})"]
    assert "changed on the disk" in found[str(busy.photographs.path(second.sha256))]
    assert SHEET_SHA256 in found[f"job 1 ({JOB}), entry 1 ({numbered(1)})"]


def test_a_damaged_database_is_a_problem_and_no_crash(busy: Store) -> None:
    busy.close()
    database = busy.folder / DATABASE
    whole = database.read_bytes()
    page = whole.index(b'"answer":"sound"') // 4096
    database.write_bytes(whole[: page * 4096] + bytes(4096) + whole[(page + 1) * 4096 :])
    assert any("damaged" in problem.what for problem in check(busy.folder))
    database.write_bytes(b"not a database at all" * 500)
    (problem,) = check(busy.folder)
    assert "no workshop database" in problem.what


def test_no_workshop_or_a_newer_one_is_refused(busy: Store) -> None:
    with pytest.raises(StoreRefused, match="no workshop"):
        check(busy.folder / "photographs")
    outside_transaction(busy.engine, "PRAGMA user_version = 99")
    with pytest.raises(NewerWorkshop):
        check(busy.folder)
