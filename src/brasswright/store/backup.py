"""A whole workshop in one file, and back: the database by SQLite's own copying, then every other file of the folder.

The database is copied first. Photographs, papers and sheets are kept before an entry names them and are never changed,
so whatever the copied journals name is there when its turn comes, although others may go on working meanwhile.
"""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import sqlite3
import tempfile
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.errors import AlreadyExists, StoreRefused
from brasswright.store.checkup import check
from brasswright.store.clock import Clock, system_clock
from brasswright.store.engine import PATIENCE_S
from brasswright.store.folder import BACKUPS, DATABASE, LOCK, PART, held, refused, sync_folder, write_whole
from brasswright.store.store import open_store
from brasswright.store.zipping import add_file, add_member, member, opened_zip, take_out

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["backup", "restore"]

FORMAT = 1
LIST = "backup.json"
NOUN = "backup"
NAMES = re.compile(r"(?!/|.*(?:^|/)\.{1,2}(?:/|$))[^\\:\x00-\x1f]+(?<!/)")
"""Names inside a backup: relative, without drive letters and without steps upwards."""


def backup(folder: Path, path: Path, *, clock: Clock = system_clock) -> None:
    """Write the whole workshop to one file, under the folder's lock; entries can be made meanwhile.

    Raises:
        AlreadyExists: there is a file of that name.
        StoreRefused: no workshop there, somebody else holds the lock, or the file cannot be written.
    """
    if path.exists():
        raise AlreadyExists("There is a file of that name.", where=str(path), remedy="Choose another name.")
    open_store(folder, clock=clock).close()
    with held(folder, "a backup", since=clock()):
        try:
            with write_whole(path) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as packed:
                with _copied(folder / DATABASE) as copy:
                    told = {DATABASE: add_file(packed, DATABASE, copy)}
                told |= {name: add_file(packed, name, folder / name) for name in _other_files(folder)}
                listed = {"format": FORMAT, "files": told}
                add_member(packed, LIST, (json.dumps(listed, sort_keys=True, indent=1) + "\n").encode())
        except OSError as error:
            raise refused(error, where=path, doing="Writing the backup") from None


@contextlib.contextmanager
def _copied(database: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="brasswright-") as room:
        copy = Path(room) / DATABASE
        try:
            with (
                contextlib.closing(sqlite3.connect(database, timeout=PATIENCE_S)) as source,
                contextlib.closing(sqlite3.connect(copy)) as target,
            ):
                source.backup(target)
                target.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.Error as error:
            what = f"The database cannot be copied ({error})."
            raise StoreRefused(what, where=str(database), remedy="Run the check of the workshop.") from None
        yield copy


def _other_files(folder: Path) -> Iterator[str]:
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        own = name.startswith(DATABASE) or name == LOCK or path.name.startswith(PART)
        if path.is_file() and not path.is_symlink() and not own and not name.startswith(f"{BACKUPS}/"):
            yield name


def restore(path: Path, folder: Path, *, clock: Clock = system_clock) -> None:
    """Unpack a backup into an empty folder and check the workshop that comes out.

    Raises:
        AlreadyExists: something lies in the folder.
        StoreRefused: no backup, cut off, changed, made by a newer version, or it cannot be written; the folder is then
            left empty.
    """
    if folder.exists() and any(folder.iterdir()):
        raise AlreadyExists("A backup is restored into an empty folder only.", where=str(folder))
    made = not folder.exists()
    try:
        with opened_zip(path, NAMES, NOUN) as packed:
            _unpack(packed, path, folder)
        _passes(folder, path, clock)
    except BaseException:
        _empty(folder)
        if made:
            shutil.rmtree(folder, ignore_errors=True)
        raise


def _passes(folder: Path, path: Path, clock: Clock) -> None:
    problems = check(folder, clock=clock)
    if problems:
        what = "The restored workshop does not pass its check."
        raise StoreRefused(what, where=str(path), got=problems[0], remedy="Use another backup.")


def _unpack(packed: zipfile.ZipFile, path: Path, folder: Path) -> None:
    told = _listed(packed, path)
    inside = {each.filename for each in packed.infolist()} - {LIST}
    if inside != set(told) or DATABASE not in told:
        odd = sorted(inside ^ set(told)) or [DATABASE]
        raise StoreRefused("This backup is not whole.", where=str(path), got=odd[0], remedy="Use another backup.")
    try:
        for name, sha256 in told.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            with write_whole(folder / name) as file:
                unchanged = take_out(packed, name, file, NOUN) == sha256
            if not unchanged:
                what = "A file in this backup was changed."
                raise StoreRefused(what, where=f"{path}, {name}", remedy="Use another backup.")
        sync_folder(folder)
    except OSError as error:
        raise refused(error, where=folder, doing="Restoring") from None


def _listed(packed: zipfile.ZipFile, path: Path) -> dict[str, str]:
    try:
        listed = json.loads(member(packed, LIST, NOUN))
        made_by = int(listed["format"])
        told = {str(name): str(sha256) for name, sha256 in listed["files"].items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        what = "This backup does not say what it holds."
        raise StoreRefused(what, where=str(path), remedy="Use another backup.") from None
    if made_by > FORMAT:
        what = "This backup was made by a newer version of Brasswright."
        raise StoreRefused(what, where=str(path), got=f"format {made_by}", remedy="Install the newer version.")
    return told


def _empty(folder: Path) -> None:
    for each in folder.iterdir() if folder.is_dir() else ():
        if each.is_dir() and not each.is_symlink():
            shutil.rmtree(each, ignore_errors=True)
        else:
            each.unlink(missing_ok=True)
