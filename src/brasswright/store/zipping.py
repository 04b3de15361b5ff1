"""Zip files that are the same for the same content, and that cannot surprise whoever opens them.

Nothing is compressed: photographs and papers are already, and without compression a member is never larger than the
file it lies in.
"""

from __future__ import annotations

import contextlib
import hashlib
import struct
import zipfile
from typing import IO, TYPE_CHECKING

from brasswright.errors import StoreRefused
from brasswright.store.folder import refused

if TYPE_CHECKING:
    import re
    from collections.abc import Iterator
    from pathlib import Path

__all__ = ["MOST_MEMBERS", "add_file", "add_member", "member", "opened_zip", "take_out"]

MOST_MEMBERS = 1_000_000
"""The most files that are looked at in a zip."""
FIRST_DAY = (1980, 1, 1, 0, 0, 0)
READABLE = 0o644 << 16
PIECE = 1 << 20
BROKEN = (zipfile.BadZipFile, EOFError, ValueError, RuntimeError, struct.error)


def add_member(packed: zipfile.ZipFile, name: str, raw: bytes) -> None:
    """Add a member without compression, date or owner."""
    told = zipfile.ZipInfo(name, FIRST_DAY)
    told.create_system = 3
    told.external_attr = READABLE
    packed.writestr(told, raw, zipfile.ZIP_STORED)


def add_file(packed: zipfile.ZipFile, name: str, path: Path) -> str:
    """Add a file of any size without reading it whole, and return its digest."""
    digest = hashlib.sha256()
    with path.open("rb") as source, packed.open(zipfile.ZipInfo(name, FIRST_DAY), "w", force_zip64=True) as target:
        while piece := source.read(PIECE):
            digest.update(piece)
            target.write(piece)
    return digest.hexdigest()


def take_out(packed: zipfile.ZipFile, name: str, target: IO[bytes], noun: str) -> str:
    """Write a member of any size to an open file, and return its digest."""
    digest = hashlib.sha256()
    for piece in _pieces(packed, name, noun):
        digest.update(piece)
        target.write(piece)
    return digest.hexdigest()


def _pieces(packed: zipfile.ZipFile, name: str, noun: str) -> Iterator[bytes]:
    """Yield a member piece by piece; only what goes wrong inside the zip is turned into a refusal of it."""
    try:
        source = packed.open(name)
    except KeyError:
        raise _refusal(noun, str(packed.filename), f"{name} is missing in it") from None
    except (*BROKEN, OSError) as error:
        raise _refusal(noun, str(packed.filename), f"{name} in it: {error}") from None
    with source:
        while True:
            try:
                piece = source.read(PIECE)
            except (*BROKEN, OSError) as error:
                raise _refusal(noun, str(packed.filename), f"{name} in it: {error}") from None
            if not piece:
                return
            yield piece


@contextlib.contextmanager
def opened_zip(path: Path, names: re.Pattern[str], noun: str) -> Iterator[zipfile.ZipFile]:
    """Open a zip that we made, and refuse one that holds anything else.

    Raises:
        StoreRefused: not there, cut off, compressed, a name that does not fit `names` or comes twice, or larger inside
            than outside.
    """
    try:
        size = path.stat().st_size
        packed = zipfile.ZipFile(path)
    except BROKEN as error:
        raise _refusal(noun, path, str(error) or "it is cut off") from None
    except OSError as error:
        raise refused(error, where=path, doing=f"Reading the {noun}") from None
    with packed:
        strange = _strange(packed, names, size)
        if strange:
            raise _refusal(noun, path, strange)
        yield packed


def _strange(packed: zipfile.ZipFile, names: re.Pattern[str], size: int) -> str:
    members = packed.infolist()
    if len(members) > MOST_MEMBERS:
        return f"{len(members)} files in it"
    seen: set[str] = set()
    for each in members:
        if not names.fullmatch(each.filename) or each.filename in seen:
            return f"a file named {each.filename!r} in it"
        if each.compress_type != zipfile.ZIP_STORED or each.flag_bits & 0x1:
            return f"{each.filename} in it is compressed or encrypted"
        seen.add(each.filename)
    if sum(each.file_size for each in members) > size:
        return "it claims to be larger inside than outside"
    return ""


def member(packed: zipfile.ZipFile, name: str, noun: str) -> bytes:
    """Return a member's bytes, its checksum compared."""
    return b"".join(_pieces(packed, name, noun))


def _refusal(noun: str, path: Path | str, got: str) -> StoreRefused:
    remedy = f"Nothing was stored. Get the {noun} again from where it was made."
    return StoreRefused(f"This is no whole {noun}.", where=str(path), got=got, remedy=remedy)
