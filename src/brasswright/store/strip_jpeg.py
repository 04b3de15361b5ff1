"""A JPEG file without the segments that tell places: cut at segment level, the pixels stay as they were written.

Segments are laid out as in ITU-T T.81 (1992), annex B. Kept: everything that the picture needs, the JFIF header, the
colour profile and the colour transform. Left out: all other application segments, comments, and whatever follows the
end of the picture.
"""

from __future__ import annotations

import re
import struct
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["strip_jpeg"]

START_OF_IMAGE, END_OF_IMAGE, START_OF_SCAN = 0xD8, 0xD9, 0xDA
COMMENT = 0xFE
APPLICATION = range(0xE0, 0xF0)
KEPT = {0xE0: b"JFIF\x00", 0xE2: b"ICC_PROFILE\x00", 0xEE: b"Adobe"}
"""Application segments that stay, by the name they begin with."""
MARKER_IN_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.DOTALL)
"""What ends a stretch of coded pixels: a marker that is no stuffing, no restart and no filling."""


def strip_jpeg(raw: bytes, notes: bytes) -> bytes:
    """Return the JPEG without what tells places; `notes` is a TIFF block put in as its only camera notes.

    Raises:
        ValueError: this is no whole JPEG.
    """
    header: list[bytes] = []
    rest: list[bytes] = []
    for marker, segment in _segments(raw):
        if marker in APPLICATION and not segment[4:].startswith(KEPT.get(marker, b"\xff")):
            continue
        if marker != COMMENT:
            (header if marker == 0xE0 else rest).append(segment)
    if notes:
        block = b"Exif\x00\x00" + notes
        header.append(struct.pack(">BBH", 0xFF, 0xE1, len(block) + 2) + block)
    return b"".join([b"\xff\xd8", *header, *rest, b"\xff\xd9"])


def _segments(raw: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield marker and bytes of each segment between the beginning and the first end of image."""
    if raw[:2] != b"\xff\xd8":
        raise ValueError("no start of image")
    at = 2
    while True:
        if raw[at] != 0xFF:
            raise ValueError("a marker was due")
        marker = raw[at + 1]
        if marker == 0xFF:  # filling
            at += 1
            continue
        if marker == END_OF_IMAGE:
            return
        (length,) = struct.unpack_from(">H", raw, at + 2)
        end = at + 2 + length
        if length < 2 or end > len(raw):
            raise ValueError("a segment is cut off")
        if marker == START_OF_SCAN:
            found = MARKER_IN_SCAN.search(raw, end)
            if found is None:
                raise ValueError("no end of image")
            end = found.start()
        yield marker, raw[at:end]
        at = end
