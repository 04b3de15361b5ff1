"""Files kept under the SHA-256 of their bytes: `photographs/ab/cdef...`, the same for papers and pinned sheets."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.errors import NotFound, Problem, StoreRefused
from brasswright.store.folder import refused, sync_folder, write_whole

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Shelf"]

SHA = re.compile(r"[0-9a-f]{64}", re.ASCII)
FROM_BACKUP = "Take the file from a backup."


@dataclass(frozen=True, slots=True)
class Shelf:
    """One such folder; `noun` says what lies in it."""

    root: Path
    noun: str

    def path(self, sha256: str) -> Path:
        """Return where the file with this digest lies, or would lie."""
        if not SHA.fullmatch(sha256):
            raise NotFound(f"This is no digest of a {self.noun}.", got=repr(sha256), allowed="64 hexadecimal digits")
        return self.root / sha256[:2] / sha256[2:]

    def has(self, sha256: str) -> bool:
        """Say whether the file is here."""
        return self.path(sha256).is_file()

    def put(self, raw: bytes) -> str:
        """Keep these bytes for good and return their digest; bytes that are here already are left alone.

        Raises:
            StoreRefused: they cannot be written; nothing is left behind.
        """
        sha256 = hashlib.sha256(raw).hexdigest()
        path = self.path(sha256)
        if path.is_file():
            return sha256
        try:
            if not path.parent.is_dir():
                path.parent.mkdir(parents=True, exist_ok=True)
                sync_folder(self.root)
                sync_folder(self.root.parent)
            with write_whole(path) as file:
                file.write(raw)
        except OSError as error:
            raise refused(error, where=path, doing=f"Keeping the {self.noun}") from None
        return sha256

    def get(self, sha256: str) -> bytes:
        """Return the bytes with this digest.

        Raises:
            NotFound: they are not here.
            StoreRefused: the file was changed on the disk, or cannot be read.
        """
        path = self.path(sha256)
        try:
            raw = path.read_bytes()
        except FileNotFoundError:
            what = f"There is no such {self.noun} here."
            raise NotFound(what, where=str(path), got=sha256, remedy=FROM_BACKUP) from None
        except OSError as error:
            raise refused(error, where=path, doing=f"Reading the {self.noun}") from None
        if hashlib.sha256(raw).hexdigest() != sha256:
            raise StoreRefused(f"The {self.noun} was changed on the disk.", where=str(path), remedy=FROM_BACKUP)
        return raw

    def remove(self, sha256: str) -> None:
        """Take a file away again that no entry names: only for undoing a `put`."""
        self.path(sha256).unlink(missing_ok=True)

    def all(self) -> Iterator[str]:
        """Return the digests that the files' names claim, in order."""
        for path in sorted(self.root.glob("??/*")):
            sha256 = path.parent.name + path.name
            if SHA.fullmatch(sha256):
                yield sha256

    def problems(self) -> Iterator[Problem]:
        """Return each file whose bytes are not what its name says."""
        for sha256 in self.all():
            try:
                self.get(sha256)
            except (StoreRefused, NotFound) as error:
                yield Problem(str(self.path(sha256)), error.what, error.remedy)
