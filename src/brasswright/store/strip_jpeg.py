"""A JPEG file without the segments that tell places: cut at segment level, the pixels stay as they were written.

Segments are laid out as in ITU-T T.81 (1992), annex B. Kept: everything that the picture needs, the JFIF header, the
colour profile, the colour transform, which way is up and when it was taken. Left out: all other application segments,
comments, and whatever follows the end of the picture.
"""

from __future__ import annotations

import re
import struct
from typing import TYPE_CHECKING

from brasswright.store.camera_notes import Notes, read_notes, write_notes

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["strip_jpeg"]

END_OF_IMAGE, START_OF_SCAN, COMMENT = 0xD9, 0xDA, 0xFE
APPLICATION = range(0xE0, 0xF0)
JFIF, CAMERA = 0xE0, 0xE1
KEPT = {JFIF: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
"""Application segments that stay, by the name they begin with."""
EXIF = b"Exif\0\0"
MARKER_IN_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.DOTALL)
"""What ends a stretch of coded pixels: a marker that is no stuffing, no restart and no filling."""


def strip_jpeg(raw: bytes) -> bytes:
    """Return the JPEG without what tells places.

    Raises:
        ValueError: this is no whole JPEG.
    """
    header: list[bytes] = []
    rest: list[bytes] = []
    notes = Notes()
    for marker, segment in _segments(raw):
        if marker == CAMERA and segment[4:].startswith(EXIF) and notes == Notes():
            notes = read_notes(segment[4 + len(EXIF) :])
        if marker in APPLICATION and not segment[4:].startswith(KEPT.get(marker, b"\xff")):
            continue
        if marker != COMMENT:
            (header if marker == JFIF else rest).append(segment)
    block = write_notes(notes)
    if block:
        header.append(struct.pack(">BBH", 0xFF, CAMERA, len(EXIF) + len(block) + 2) + EXIF + block)
    return b"".join([b"\xff\xd8", *header, *rest, b"\xff\xd9"])


def _segments(raw: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield marker and bytes of each segment between the beginning and the first end of image."""
    at = 2
    while True:
        if raw[at : at + 1] != b"\xff" or at + 1 >= len(raw):
            raise ValueError("a marker was due")
        marker = raw[at + 1]
        if marker == 0xFF:  # filling
            at += 1
            continue
        if marker == END_OF_IMAGE:
            return
        length = int.from_bytes(raw[at + 2 : at + 4])
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
