"""What of a camera's notes is worth keeping: which way is up and when the photograph was taken. Nothing else is read.

The notes are a TIFF block (TIFF 6.0, 1992, section 2, tags as in Exif). A block that is broken anywhere gives
what could be read up to there; it is never an error.
"""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Notes", "read_notes", "write_notes"]

ORIENTATION, INNER, TAKEN, OFFSET = 0x0112, 0x8769, 0x9003, 0x9011
SHORT, LONG, ASCII = 3, 4, 2
WIDTH = 12
"""Length of one entry of a directory [bytes]."""
TURNED = range(2, 9)
TIME = re.compile(rb"\d{4}:\d\d:\d\d \d\d:\d\d:\d\d", re.ASCII)
ZONE = re.compile(rb"[+-]\d\d:\d\d", re.ASCII)


@dataclass(frozen=True, slots=True)
class Notes:
    """Which way is up (2 to 8, as in Exif; 0 if nothing is turned), when it was taken, and the offset of that time."""

    orientation: int = 0
    taken: bytes = b""
    offset: bytes = b""


def read_notes(block: bytes) -> Notes:
    """Read a TIFF block."""
    order = {b"II": "<", b"MM": ">"}.get(block[:2])
    if order is None or len(block) < 8:
        return Notes()
    outer = dict(_directory(block, order, struct.unpack_from(f"{order}I", block, 4)[0]))
    orientation = _number(outer.get(ORIENTATION), order)
    inner = dict(_directory(block, order, _number(outer.get(INNER), order)))
    return Notes(
        orientation if orientation in TURNED else 0,
        _words(inner.get(TAKEN), TIME, block, order),
        _words(inner.get(OFFSET), ZONE, block, order),
    )


def _directory(block: bytes, order: str, at: int) -> Iterator[tuple[int, bytes]]:
    if not 8 <= at <= len(block) - 2:
        return
    (count,) = struct.unpack_from(f"{order}H", block, at)
    for number in range(count):
        entry = block[at + 2 + number * WIDTH :][:WIDTH]
        if len(entry) < WIDTH:
            return
        yield struct.unpack_from(f"{order}H", entry)[0], entry


def _number(entry: bytes | None, order: str) -> int:
    if entry is None:
        return 0
    (kind,) = struct.unpack_from(f"{order}H", entry, 2)
    if kind not in {SHORT, LONG}:
        return 0
    return int(struct.unpack_from(f"{order}{'H' if kind == SHORT else 'I'}", entry, 8)[0])


def _words(entry: bytes | None, shape: re.Pattern[bytes], block: bytes, order: str) -> bytes:
    if entry is None:
        return b""
    kind, count, at = struct.unpack_from(f"{order}HII", entry, 2)
    told = block[at : at + count].rstrip(b"\0") if kind == ASCII and count > 4 else b""
    return told if shape.fullmatch(told) else b""


def write_notes(notes: Notes) -> bytes:
    """Return the smallest TIFF block that says this; nothing for notes that say nothing."""
    if notes == Notes():
        return b""
    texts = [(tag, told + b"\0") for tag, told in ((TAKEN, notes.taken), (OFFSET, notes.offset)) if told]
    turned = [(ORIENTATION, SHORT, notes.orientation)] if notes.orientation else []
    inner_at = 8 + 2 + (len(turned) + bool(texts)) * WIDTH + 4
    text_at = inner_at + 2 + len(texts) * WIDTH + 4
    outer = [*turned, *([(INNER, LONG, inner_at)] if texts else [])]
    block = b"MM\0*" + struct.pack(">I", 8) + struct.pack(">H", len(outer))
    for tag, kind, value in outer:
        block += struct.pack(">HHI", tag, kind, 1) + struct.pack(
            ">HH" if kind == SHORT else ">I", *_filled(kind, value)
        )
    block += struct.pack(">I", 0)
    if texts:
        block += struct.pack(">H", len(texts))
        for tag, told in texts:
            block += struct.pack(">HHII", tag, ASCII, len(told), text_at)
            text_at += len(told)
        block += struct.pack(">I", 0) + b"".join(told for _, told in texts)
    return block


def _filled(kind: int, value: int) -> tuple[int, ...]:
    return (value, 0) if kind == SHORT else (value,)
