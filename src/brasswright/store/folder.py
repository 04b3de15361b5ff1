"""The workshop's folder: what lies where, writing a file for good, and the lock that names its holder."""

from __future__ import annotations

import contextlib
import json
import os
import socket
import sys
from typing import IO, TYPE_CHECKING
from uuid import uuid4

from brasswright.errors import StoreRefused

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

__all__ = [
    "BACKUPS",
    "DATABASE",
    "LOCK",
    "PAPERS",
    "PART",
    "PHOTOGRAPHS",
    "PINNED",
    "held",
    "refused",
    "sync_folder",
    "write_whole",
]

DATABASE = "workshop.sqlite"
LOCK = "workshop.lock"
PHOTOGRAPHS = "photographs"
PAPERS = "papers"
PINNED = "pinned"
"""The bytes of every sheet a job is or was pinned to."""
BACKUPS = "backups"
"""Left out of backups."""
PART = ".part-"
"""Beginning of the name of a file that is not whole yet."""


def refused(error: OSError, *, where: Path, doing: str) -> StoreRefused:
    """Return a refusal in plain words for an error of the operating system."""
    remedy = {
        "No space left on device": "Make room on the disk and do it again; nothing was changed.",
        "File too large": "Make room on the disk and do it again; nothing was changed.",
        "Permission denied": "Give this account the right to write there, or choose another folder.",
        "Read-only file system": "The disk is write-protected: take the protection off, or choose another folder.",
    }
    reason = error.strerror or str(error)
    return StoreRefused(
        f"{doing} failed: {reason}.", where=str(where), remedy=remedy.get(reason, "Nothing was changed.")
    )


def sync_folder(folder: Path) -> None:
    """Make sure that names made in a folder survive a power cut; where a folder cannot be synced, do nothing."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextlib.contextmanager
def write_whole(path: Path) -> Iterator[IO[bytes]]:
    """Give a file to write; it gets its name only when it is whole and on the disk.

    Raises:
        OSError: it cannot be written; nothing is left behind.
    """
    part = path.with_name(f"{PART}{uuid4().hex}")
    try:
        with part.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


@contextlib.contextmanager
def held(folder: Path, doing: str, *, since: datetime) -> Iterator[None]:
    """Hold the folder's lock while `doing`; it falls when this program ends, however it ends.

    Raises:
        StoreRefused: somebody else holds it: says who, on which computer, since when, and what for.
    """
    path = folder / LOCK
    try:
        file = path.open("a+b")
    except OSError as error:
        raise refused(error, where=path, doing="Locking the workshop") from None
    with file:
        if not _grab(file):
            raise StoreRefused(
                f"The workshop is in use for {_holder(path)}.",
                where=str(path),
                remedy="Wait until that is done, or end it there.",
            )
        told = {"doing": doing, "computer": socket.gethostname(), "number": os.getpid(), "since": since.isoformat()}
        file.truncate(0)
        file.write(json.dumps(told).encode())
        file.flush()
        try:
            yield
        finally:
            file.truncate(0)
            _let_go(file)


def _holder(path: Path) -> str:
    try:
        told = json.loads(path.read_bytes())
        return f"{told['doing']} by program {told['number']} on {told['computer']} since {told['since']}"
    except (OSError, ValueError, KeyError, TypeError):
        return "a backup or an upgrade by another program"


FAR = 1 << 20
"""The byte that is locked on Windows: beyond the words, which must stay readable."""


def _grab(file: IO[bytes]) -> bool:
    try:
        if sys.platform == "win32":
            file.seek(FAR)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _let_go(file: IO[bytes]) -> None:
    if sys.platform == "win32":
        file.seek(FAR)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_UN)
