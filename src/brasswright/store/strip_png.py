"""A PNG file without the chunks that tell places: cut at chunk level, the pixels stay as they were written.

Chunks are laid out as in the W3C recommendation "Portable Network Graphics" (third edition). Kept: what the picture and
its colours need, which way is up and when it was taken. Left out: text, times, all other camera notes, chunks of
unknown kind, and whatever follows the end.
"""

from __future__ import annotations

import struct
import zlib

from brasswright.store.camera_notes import Notes, read_notes, write_notes

__all__ = ["SIGNATURE", "strip_png"]

SIGNATURE = b"\x89PNG\r\n\x1a\n"
PICTURE = (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"acTL", b"fcTL", b"fdAT")
COLOUR = (b"cHRM", b"gAMA", b"iCCP", b"sBIT", b"sRGB", b"cICP", b"mDCV", b"cLLI", b"bKGD", b"hIST", b"pHYs", b"sPLT")
KEPT = frozenset((*PICTURE, *COLOUR))
OVERHEAD = 12
"""Length, name and checksum of a chunk [bytes]."""


def strip_png(raw: bytes) -> bytes:
    """Return the PNG without what tells places.

    Raises:
        ValueError: this is no whole PNG.
    """
    kept: list[bytes] = []
    notes = Notes()
    at, name = len(SIGNATURE), b""
    while name != b"IEND":
        length, name = int.from_bytes(raw[at : at + 4]), raw[at + 4 : at + 8]
        end = at + OVERHEAD + length
        if end > len(raw):
            raise ValueError("a chunk is cut off")
        if name in KEPT:
            kept.append(raw[at:end])
        elif name == b"eXIf" and notes == Notes():
            notes = read_notes(raw[at + 8 : end - 4])
        at = end
    block = write_notes(notes)
    if block:
        kept.insert(1, _chunk(b"eXIf", block))
    return b"".join([SIGNATURE, *kept])


def _chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
