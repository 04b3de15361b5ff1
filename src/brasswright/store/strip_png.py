"""A PNG file without the chunks that tell places: cut at chunk level, the pixels stay as they were written.

Chunks are laid out as in the W3C recommendation "Portable Network Graphics" (third edition). Kept: what the picture and
its colours need. Left out: text, times, camera notes, chunks of unknown kind, and whatever follows the end.
"""

from __future__ import annotations

import struct
import zlib

__all__ = ["strip_png"]

SIGNATURE = b"\x89PNG\r\n\x1a\n"
PICTURE = ("IHDR", "PLTE", "IDAT", "IEND", "tRNS", "acTL", "fcTL", "fdAT")
COLOUR = ("cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "mDCV", "cLLI", "bKGD", "hIST", "pHYs", "sPLT")
KEPT = frozenset((*PICTURE, *COLOUR))


def strip_png(raw: bytes, notes: bytes) -> bytes:
    """Return the PNG without what tells places; `notes` is a TIFF block put in as its only camera notes.

    Raises:
        ValueError: this is no whole PNG.
    """
    if not raw.startswith(SIGNATURE):
        raise ValueError("no PNG signature")
    kept = [SIGNATURE]
    at, kind = len(SIGNATURE), ""
    while kind != "IEND":
        length, name = struct.unpack_from(">I4s", raw, at)
        end = at + 12 + length
        if end > len(raw):
            raise ValueError("a chunk is cut off")
        kind = name.decode("latin-1")
        if kind in KEPT:
            kept.append(raw[at:end])
        if kind == "IHDR" and notes:
            kept.append(_chunk(b"eXIf", notes))
        at = end
    return b"".join(kept)


def _chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
