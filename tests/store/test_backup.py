"""A backup has everything, and a restored workshop is the same workshop."""

from __future__ import annotations

import json
import threading
import zipfile
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import AlreadyExists, NewerWorkshop, StoreRefused
from brasswright.journal.entries import Remarked
from brasswright.store import check, open_store
from brasswright.store.backup import backup, restore
from brasswright.store.engine import outside_transaction, reading
from brasswright.store.folder import held
from tests.builders import JOB, NOON, draft, photographed, picture, setting
from tests.store.conftest import next_day

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from brasswright.store import Store


@pytest.fixture
def full(busy: Store) -> Store:
    kept = busy.put_photograph(picture())
    busy.append(JOB, [draft(photographed(kept.sha256), 3)])
    busy.append(busy.journal_of_workshop, [draft(setting(), 4)])
    busy.put_paper(b"%PDF an estimate")
    busy.put_contact("owner-1", {"name": "Ebbe"})
    (busy.folder / "sheets").mkdir()
    (busy.folder / "sheets" / "own.toml").write_text("[sheet]\n")
    (busy.folder / "backups").mkdir()
    (busy.folder / "backups" / "older.zip").write_bytes(b"left out")
    return busy


@pytest.fixture
def saved(full: Store, tmp_path: Path) -> Path:
    backup(full.folder, tmp_path / "saved.zip", clock=next_day)
    return tmp_path / "saved.zip"


def test_a_restored_workshop_is_the_same(full: Store, saved: Path, tmp_path: Path) -> None:
    restore(saved, tmp_path / "new", clock=next_day)
    with open_store(tmp_path / "new", clock=next_day) as again:
        assert again.jobs() == full.jobs()
        for job in (JOB, full.journal_of_workshop):
            assert again.read(job) == full.read(job)
        assert again.contact("owner-1") == {"name": "Ebbe"}
        for mine, theirs in ((full.photographs, again.photographs), (full.papers, again.papers)):
            assert [mine.get(each) for each in mine.all()] == [theirs.get(each) for each in theirs.all()]
            assert list(mine.all())
        again.append(JOB, [draft(Remarked(words="work goes on"), 9)])
        with reading(again.engine) as connection:
            assert connection.exec_driver_sql("PRAGMA journal_mode").scalar_one() == "wal"
    assert (tmp_path / "new" / "sheets" / "own.toml").read_text() == "[sheet]\n"
    assert not (tmp_path / "new" / "backups").exists()
    assert check(tmp_path / "new", clock=next_day) == ()


def test_into_an_empty_folder_only(saved: Path, tmp_path: Path, full: Store) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "diary.txt").write_text("do not touch")
    for folder in (tmp_path / "taken", full.folder):
        before = sorted(path.name for path in folder.iterdir())
        with pytest.raises(AlreadyExists, match="empty folder only"):
            restore(saved, folder)
        assert sorted(path.name for path in folder.iterdir()) == before
    (tmp_path / "empty").mkdir()
    restore(saved, tmp_path / "empty", clock=next_day)


def test_a_backup_never_overwrites(full: Store, saved: Path) -> None:
    before = saved.read_bytes()
    with pytest.raises(AlreadyExists, match="a file of that name"):
        backup(full.folder, saved)
    assert saved.read_bytes() == before


def test_no_workshop_no_backup(tmp_path: Path) -> None:
    with pytest.raises(StoreRefused, match="no workshop in this folder"):
        backup(tmp_path, tmp_path / "saved.zip")
    assert list(tmp_path.iterdir()) == []


Members = dict[str, bytes]


def change_database(members: Members) -> None:
    members["workshop.sqlite"] = members["workshop.sqlite"].replace(b"sound", b"wound")


def lose_photograph(members: Members) -> None:
    del members[next(name for name in members if name.startswith("photographs"))]


def add_something(members: Members) -> None:
    members["more.txt"] = b"x"


def upwards(members: Members) -> None:
    members["photographs/../../away"] = b"x"


def no_list(members: Members) -> None:
    members["backup.json"] = b"{}"


def newer_format(members: Members) -> None:
    members["backup.json"] = members["backup.json"].replace(b'"format": 1', b'"format": 2')


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (change_database, "was changed"),
        (lose_photograph, "is not whole"),
        (add_something, "is not whole"),
        (upwards, "no whole backup"),
        (no_list, "does not say what it holds"),
        (newer_format, "newer version"),
    ],
)
@pytest.mark.parametrize("there", [True, False])
def test_a_spoilt_backup_leaves_nothing_behind(
    saved: Path, tmp_path: Path, spoil: Callable[[Members], None], words: str, *, there: bool
) -> None:
    with zipfile.ZipFile(saved) as opened:
        members = {each.filename: opened.read(each) for each in opened.infolist()}
    spoil(members)
    with zipfile.ZipFile(saved, "w") as target:
        for name, raw in members.items():
            target.writestr(name, raw)
    folder = tmp_path / "new"
    if there:
        folder.mkdir()
    with pytest.raises(StoreRefused, match=words):
        restore(saved, folder)
    assert list(folder.iterdir() if there else ()) == []
    assert folder.exists() == there


def test_a_backup_whose_journal_was_forged_is_refused(full: Store, tmp_path: Path) -> None:
    photograph = next(iter(full.photographs.all()))
    full.photographs.path(photograph).write_bytes(b"another picture")
    backup(full.folder, tmp_path / "forged.zip", clock=next_day)
    with pytest.raises(StoreRefused, match=r"does not pass its check.*photograph was changed"):
        restore(tmp_path / "forged.zip", tmp_path / "new", clock=next_day)
    assert not (tmp_path / "new").exists()


def test_a_backup_from_a_newer_version_is_refused(full: Store, tmp_path: Path) -> None:
    backup(full.folder, tmp_path / "saved.zip", clock=next_day)
    outside_transaction(full.engine, "PRAGMA user_version = 99")
    with pytest.raises(NewerWorkshop):
        backup(full.folder, tmp_path / "newer.zip", clock=next_day)
    assert not (tmp_path / "newer.zip").exists()


def test_the_lock_names_its_holder_and_work_goes_on_meanwhile(full: Store, tmp_path: Path) -> None:
    with held(full.folder, "a backup", since=NOON):
        with pytest.raises(StoreRefused, match=r"in use for a backup by program \d+ on .* since 2026-03-02T12:00"):
            backup(full.folder, tmp_path / "second.zip", clock=next_day)
        full.append(JOB, [draft(Remarked(words="meanwhile"), 70)])
    backup(full.folder, tmp_path / "second.zip", clock=next_day)


def test_a_backup_made_while_others_write_passes_its_check(full: Store, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        number = 100
        while not stop.is_set():
            kept = full.put_photograph(picture(size=(40, number)))
            full.append(JOB, [draft(photographed(kept.sha256), number)])
            number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(3):
            backup(full.folder, tmp_path / f"{number}.zip", clock=next_day)
    finally:
        stop.set()
        writer.join()
    for number in range(3):
        restore(tmp_path / f"{number}.zip", tmp_path / f"restored {number}", clock=next_day)


def test_the_list_inside_names_every_file(saved: Path) -> None:
    with zipfile.ZipFile(saved) as opened:
        told = json.loads(opened.read("backup.json"))
        assert set(told["files"]) | {"backup.json"} == set(opened.namelist())
