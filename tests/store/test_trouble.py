"""Full disks, folders that cannot be written, workshops that are newer or none: clear words, nothing changed."""

from __future__ import annotations

import contextlib
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import AlreadyExists, BrasswrightError, NewerWorkshop, StoreRefused
from brasswright.journal.entries import Remarked
from brasswright.store import Draft, Store, check, create, open_store
from brasswright.store.backup import backup, restore
from brasswright.store.bundle import export, import_
from brasswright.store.engine import engine_for, outside_transaction, upgrade, version_of
from brasswright.store.folder import DATABASE, held
from brasswright.store.schema import MIGRATIONS, VERSION
from tests.builders import JOB, NOON, draft, photographed, picture
from tests.store.conftest import next_day

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ROOT = Path(__file__).resolve().parent.parent.parent
LONG = "a long remark about the lever " * 100


def remarks(count: int) -> list[Draft]:
    return [draft(Remarked(words=LONG), number) for number in range(100, 100 + count)]


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a workshop but the database's own."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file() and not path.name.startswith(DATABASE))
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


@contextlib.contextmanager
def files_up_to(size: int) -> Iterator[None]:
    """No file may grow beyond this size: to a program it looks like a disk that is full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_a_full_database_refuses_the_whole_batch_and_goes_on_when_there_is_room(busy: Store) -> None:
    outside_transaction(busy.engine, "PRAGMA max_page_count = 40")
    with pytest.raises(StoreRefused, match=r"The disk is full.*Make room.*nothing was changed"):
        busy.append(JOB, remarks(200))
    assert len(busy.read(JOB)) == 2
    outside_transaction(busy.engine, "PRAGMA max_page_count = 100000")
    busy.append(JOB, remarks(200))
    assert len(busy.read(JOB)) == 202
    assert check(busy.folder) == ()


def test_a_full_disk_under_the_database_loses_nothing_acknowledged(busy: Store) -> None:
    acknowledged: list[Draft] = []

    def append_all() -> None:
        for each in remarks(200):
            busy.append(JOB, [each])
            acknowledged.append(each)

    with files_up_to(900_000), pytest.raises(StoreRefused, match=r"disk|refuses"):
        append_all()
    assert 10 < len(acknowledged) < 190
    assert len(busy.read(JOB)) == 2 + len(acknowledged)
    assert check(busy.folder) == ()
    busy.append(JOB, [draft(Remarked(words="room again"), 400)])


def test_a_full_disk_under_photographs_bundles_and_backups_leaves_nothing_behind(busy: Store, tmp_path: Path) -> None:
    kept = busy.put_photograph(picture(size=(1500, 1500), kind="JPEG", quality=95))
    busy.append(JOB, [draft(photographed(kept.sha256), 3)])
    export(busy, JOB, tmp_path / "job.zip")
    backup(busy.folder, tmp_path / "saved.zip", clock=next_day)
    abroad = create(tmp_path / "abroad", clock=next_day)
    bytes_of_another = picture("teal", size=(1500, 1500), kind="JPEG", quality=95)
    tries: dict[str, Callable[[], object]] = {
        "Keeping the photograph failed": lambda: busy.put_photograph(bytes_of_another),
        "Keeping the paper failed": lambda: busy.put_paper(bytes(50_000)),
        "Writing the bundle failed": lambda: export(busy, JOB, tmp_path / "second.zip"),
        "Writing the backup failed": lambda: backup(busy.folder, tmp_path / "third.zip", clock=next_day),
        "Restoring failed": lambda: restore(tmp_path / "saved.zip", tmp_path / "new", clock=next_day),
        "Keeping the photograph  failed": lambda: import_(abroad, tmp_path / "job.zip"),
    }
    before = contents(busy.folder), contents(abroad.folder)
    for words, trying in tries.items():
        with files_up_to(20_000), pytest.raises(StoreRefused) as refusal:
            trying()
        assert words.replace("  ", " ") in str(refusal.value) or "disk" in str(refusal.value)
        assert refusal.value.remedy
    assert (contents(busy.folder), contents(abroad.folder)) == before
    assert abroad.jobs() == ()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["abroad", "bench", "job.zip", "saved.zip"]
    assert import_(abroad, tmp_path / "job.zip").files == 2


def test_a_folder_that_cannot_be_written_is_named(busy: Store) -> None:
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room) / "quay"
        folder.mkdir()
        backup(busy.folder, folder / "kept.zip", clock=next_day)
        restore(folder / "kept.zip", folder / "bench", clock=next_day)
        before = contents(folder), (folder / "bench" / DATABASE).read_bytes()
        for path in (*folder.rglob("*"), folder, Path(room)):
            path.chmod(0o555 if path.is_dir() else 0o444)
        command = [sys.executable, "-m", "tests.store.read_only", str(folder)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        for path in (Path(room), folder, *folder.rglob("*")):
            path.chmod(0o755)
        assert done.returncode == 0, done.stderr
        opening, making, saving = done.stdout.splitlines()
        for line in (opening, saving):
            assert "cannot be" in line
            assert "this account" in line
            assert str(folder / "bench" / DATABASE) in line
        assert "Making the workshop failed: Permission denied" in making
        assert (contents(folder), (folder / "bench" / DATABASE).read_bytes()) == before


def test_a_newer_workshop_is_refused_and_left_alone(busy: Store) -> None:
    outside_transaction(busy.engine, f"PRAGMA user_version = {VERSION + 1}")
    with pytest.raises(NewerWorkshop, match=r"newer version of Brasswright.*version 2.*Install the newer version"):
        open_store(busy.folder)
    assert version_of(busy.engine) == VERSION + 1


def test_no_workshop_is_said_so(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "not there"):
        with pytest.raises(StoreRefused, match="There is no workshop in this folder"):
            open_store(folder)
    (tmp_path / DATABASE).write_bytes(b"")
    with pytest.raises(StoreRefused, match="its making was broken off"):
        open_store(tmp_path)
    (tmp_path / DATABASE).write_bytes(b"words " * 1000)
    with pytest.raises(StoreRefused, match="no workshop database"):
        open_store(tmp_path)


def test_a_workshop_is_made_in_an_empty_folder_only(busy: Store, tmp_path: Path) -> None:
    with pytest.raises(AlreadyExists, match="not empty"):
        create(busy.folder)
    (tmp_path / "empty").mkdir()
    create(tmp_path / "empty").close()
    (tmp_path / "file").write_text("x")
    with pytest.raises(StoreRefused, match="Making the workshop failed"):
        create(tmp_path / "file")


LATER = (*MIGRATIONS, ("ALTER TABLE contacts ADD COLUMN since TEXT",))


def test_an_older_workshop_is_brought_forward_under_the_lock(busy: Store) -> None:
    engine = engine_for(busy.folder / DATABASE)
    try:
        with held(busy.folder, "a backup", since=NOON), pytest.raises(StoreRefused, match="in use for a backup"):
            upgrade(engine, busy.folder, next_day, migrations=LATER)
        assert version_of(engine) == VERSION
        upgrade(engine, busy.folder, next_day, migrations=LATER)
        assert version_of(engine) == VERSION + 1
        with engine.connect() as connection:
            connection.exec_driver_sql("SELECT since FROM contacts")
    finally:
        engine.dispose()
    assert len(busy.read(JOB)) == 2


def test_an_upgrade_that_fails_changes_nothing(busy: Store) -> None:
    engine = engine_for(busy.folder / DATABASE)
    broken = (*MIGRATIONS, ("ALTER TABLE contacts ADD COLUMN since TEXT", "ALTER TABLE nothing ADD COLUMN x TEXT"))
    try:
        with pytest.raises(StoreRefused):
            upgrade(engine, busy.folder, next_day, migrations=broken)
        assert version_of(engine) == VERSION
        upgrade(engine, busy.folder, next_day, migrations=LATER)
    finally:
        engine.dispose()


HOLD_AND_DIE = """
import sys, time
from datetime import UTC, datetime
from pathlib import Path
from brasswright.store.folder import held
with held(Path(sys.argv[1]), "an upgrade", since=datetime.now(UTC)):
    print("held", flush=True)
    time.sleep(600)
"""


def test_the_lock_of_a_killed_program_falls(busy: Store) -> None:
    command = [sys.executable, "-c", HOLD_AND_DIE, str(busy.folder)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        holder = rf"an upgrade by program {other.pid}\b"
        with pytest.raises(StoreRefused, match=holder), held(busy.folder, "a backup", since=NOON):
            pass
        other.kill()
    with held(busy.folder, "a backup", since=NOON):
        pass


def test_a_refusal_has_all_its_parts(busy: Store) -> None:
    with pytest.raises(BrasswrightError) as refusal:
        open_store(busy.folder / "photographs")
    assert refusal.value.where.endswith("photographs")
    assert "brasswright init" in refusal.value.remedy
