"""Taking a photograph in: what it is, that it is whole and of bearable size, and that it tells no place.

The pixels are never encoded again. What a camera writes around them (place, maker's notes, comments, thumbnails, a
second picture or a film behind the first) is cut away before the digest is taken; which way is up, the colour profile
and the time of taking stay.
"""

from __future__ import annotations

import io
import struct
from typing import NamedTuple

from PIL import Image

from brasswright.errors import StoreRefused
from brasswright.store.strip_jpeg import strip_jpeg
from brasswright.store.strip_png import SIGNATURE, strip_png

__all__ = ["MOST_BYTES", "MOST_PIXELS", "Photograph", "clean"]

MOST_BYTES = 50 * 1024 * 1024
"""The largest photograph that is taken in [bytes]."""
MOST_PIXELS = 80_000_000
"""The most pixels a photograph may unfold to; more is taken for a decompression bomb."""

JPEG, PNG = "image/jpeg", "image/png"
ALLOWED = "JPEG and PNG, at most 50 MB"
HEIC = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftyphevc", b"ftypmsf1")
BOMB = (Image.DecompressionBombError, Image.DecompressionBombWarning)
UNREADABLE = (OSError, ValueError, SyntaxError, IndexError, TypeError, KeyError, struct.error, EOFError, Warning)
"""What the picture library raises on damaged files."""


class Photograph(NamedTuple):
    """A photograph as it is kept: digest, media type, size [bytes]."""

    sha256: str
    media_type: str
    size: int


def clean(raw: bytes) -> tuple[bytes, str]:
    """Return the photograph without what tells places, and its media type.

    Raises:
        StoreRefused: too large, no photograph, of a kind that cannot be read here, broken, or a decompression bomb.
    """
    if len(raw) > MOST_BYTES:
        size = f"{len(raw) / 1024**2:.0f} MB"
        raise StoreRefused("The photograph is too large.", got=size, allowed=ALLOWED, remedy="Send a smaller one.")
    try:
        if raw.startswith(b"\xff\xd8\xff"):
            cleaned, media_type = strip_jpeg(raw), JPEG
        elif raw.startswith(SIGNATURE):
            cleaned, media_type = strip_png(raw), PNG
        else:
            raise _another_kind(raw)
    except ValueError:
        raise _broken() from None
    _look_whole(cleaned)
    return cleaned, media_type


def _another_kind(raw: bytes) -> StoreRefused:
    if raw[4:12] in HEIC:
        return StoreRefused(
            "Photographs of kind HEIC cannot be read here.",
            allowed=ALLOWED,
            remedy="Set the camera to its most compatible format, or turn the photograph into a JPEG.",
        )
    try:
        with Image.open(io.BytesIO(raw)) as image:
            kind = image.format
    except (*BOMB, *UNREADABLE):
        got = f"{len(raw)} bytes beginning {raw[:12]!r}" if raw else "an empty file"
        return StoreRefused("This is no photograph.", got=got, allowed=ALLOWED, remedy="Choose another file.")
    return StoreRefused("Pictures of this kind are not kept.", got=kind, allowed=ALLOWED, remedy="Save it as JPEG.")


def _look_whole(cleaned: bytes) -> None:
    """Refuse a photograph that unfolds to too much, ends too early or whose packing is damaged."""
    try:
        with Image.open(io.BytesIO(cleaned)) as image:
            pixels = image.width * image.height
            if pixels > MOST_PIXELS:
                raise _too_many_pixels(f"{pixels // 1_000_000} million")
            image.draft("L", (image.width // 8 or 1, image.height // 8 or 1))
            image.load()
    except BOMB:
        raise _too_many_pixels("more than is counted here") from None
    except UNREADABLE:
        raise _broken() from None


def _too_many_pixels(got: str) -> StoreRefused:
    what, allowed = "The photograph unfolds to too many pixels.", f"{MOST_PIXELS // 1_000_000} million pixels"
    return StoreRefused(what, got=got, allowed=allowed, remedy="Send a smaller one.")


def _broken() -> StoreRefused:
    return StoreRefused("The photograph is broken or not whole.", allowed=ALLOWED, remedy="Send it again.")
