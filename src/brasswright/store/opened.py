"""A bundle that is being read: everything in it is checked before anything of it is stored."""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID

from brasswright.errors import EntryRefused, StoreRefused
from brasswright.journal.chain import Row, verify
from brasswright.journal.codec import digest_of, load
from brasswright.journal.entries import Arrived, Entry, Issued, Photographed, Resheeted
from brasswright.store.appending import WORKSHOP_JOURNAL
from brasswright.store.photograph import clean
from brasswright.store.zipping import member, opened_zip

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

__all__ = ["Named", "Opened", "files_of", "open_bundle"]

NOUN = "bundle"
NAMES = re.compile(r"bundle\.json|entries\.jsonl|(sheets|photographs|papers)/[0-9a-f]{64}", re.ASCII)
AGAIN = "Nothing was stored. Get the bundle again from where it was made."


@dataclass(frozen=True, slots=True, order=True)
class Named:
    """A file that a journal names: the folder it has in a bundle, its digest, whether the job cannot do without."""

    folder: str
    sha256: str
    needed: bool = True

    @property
    def member(self) -> str:
        """Its name in a bundle."""
        return f"{self.folder}/{self.sha256}"


def files_of(entries: Iterable[Entry]) -> tuple[Named, ...]:
    """Return the files these entries name, in order and each once; papers can be set again, so they may be missing."""
    named: set[Named] = set()
    for entry in entries:
        match entry.body:
            case Photographed(sha256=sha256):
                named.add(Named("photographs", sha256))
            case Arrived(sheet_sha256=sha256) | Resheeted(sheet_sha256=sha256):
                named.add(Named("sheets", sha256))
            case Issued(sha256=sha256):
                named.add(Named("papers", sha256, needed=False))
            case _:
                pass
    return tuple(sorted(named))


@dataclass(frozen=True, slots=True)
class Opened:
    """An open bundle: its job, rows and entries as read, and the files in it."""

    path: Path
    packed: zipfile.ZipFile
    head: str
    job: UUID
    rows: tuple[Row, ...]
    entries: tuple[Entry, ...]
    files: tuple[Named, ...]

    def raw(self, named: Named) -> bytes:
        """Return a file's bytes.

        Raises:
            StoreRefused: they are not those that the journal names.
        """
        raw = member(self.packed, named.member, NOUN)
        if hashlib.sha256(raw).hexdigest() != named.sha256:
            what = f"A {named.folder.removesuffix('s')} in this bundle was changed."
            raise StoreRefused(what, where=f"{self.path}, {named.member}", remedy=AGAIN)
        return raw

    def check(self) -> None:
        """Refuse the bundle if its chain does not hold, or a file is changed, missing or nothing to do with the job."""
        problems = verify(self.rows, head=self.head)
        if problems:
            where = f"{self.path}, {problems[0].where}"
            raise StoreRefused(
                "The journal in this bundle was changed.", where=where, got=problems[0].what, remedy=AGAIN
            )
        named = files_of(self.entries)
        inside = {each.member for each in self.files}
        missing = [each.member for each in named if each.needed and each.member not in inside]
        extra = inside - {each.member for each in named}
        for what, members in (("lacks a file that its journal names", missing), ("has a file nobody names", extra)):
            if members:
                raise StoreRefused(f"This bundle {what}.", where=str(self.path), got=min(members), remedy=AGAIN)
        for each in self.files:
            raw = self.raw(each)
            if each.folder == "photographs":
                clean(raw)


@contextlib.contextmanager
def open_bundle(path: Path, *, newest: int) -> Iterator[Opened]:
    """Open a bundle of a format up to `newest`.

    Raises:
        StoreRefused: it is no bundle, or cut off, or of a newer format.
    """
    with opened_zip(path, NAMES, NOUN) as packed:
        told = _told(packed, path, newest)
        lines = _lines(packed, path)
        try:
            entries = tuple(load(line) for line in lines)
        except EntryRefused as error:
            raise StoreRefused(
                "An entry in this bundle cannot be read.", where=str(path), got=error, remedy=AGAIN
            ) from None
        job = UUID(str(told["job"]))
        rows = tuple(
            Row(str(job), number, str(entry.id), line, digest_of(line))
            for number, (entry, line) in enumerate(zip(entries, lines, strict=True), 1)
        )
        if not rows or len(rows) != told["entries"] or job == WORKSHOP_JOURNAL:
            got = f"{len(rows)} entries for job {job}, {told['entries']} announced"
            raise StoreRefused("This bundle does not hold one whole job.", where=str(path), got=got, remedy=AGAIN)
        if not isinstance(entries[0].body, Arrived):
            what = "The journal in this bundle does not begin with the machine's arrival."
            raise StoreRefused(what, where=str(path), remedy=AGAIN)
        inside = (each.filename.partition("/") for each in packed.infolist() if "/" in each.filename)
        files = tuple(sorted(Named(folder, sha256) for folder, _, sha256 in inside))
        yield Opened(path, packed, str(told["head"]), job, rows, entries, files)


def _told(packed: zipfile.ZipFile, path: Path, newest: int) -> dict[str, Any]:
    try:
        told = json.loads(member(packed, "bundle.json", NOUN))
        made_by = int(told["format"])
        UUID(str(told["job"])), str(told["head"]), int(told["entries"])
    except (ValueError, KeyError, TypeError):
        what = "This bundle does not say what it holds."
        raise StoreRefused(what, where=f"{path}, bundle.json", remedy=AGAIN) from None
    if made_by > newest:
        raise StoreRefused(
            "This bundle was made by a newer version of Brasswright.",
            where=str(path),
            got=f"format {made_by}",
            allowed=f"up to format {newest}",
            remedy="Install the newer version; nothing was stored.",
        )
    return dict(told)


def _lines(packed: zipfile.ZipFile, path: Path) -> list[str]:
    raw = member(packed, "entries.jsonl", NOUN)
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        raise StoreRefused("The journal in this bundle is no text.", where=str(path), remedy=AGAIN) from None
    if not text.endswith("\n"):
        raise StoreRefused("The journal in this bundle is cut off.", where=str(path), remedy=AGAIN)
    return text[:-1].split("\n")
