"""Taking a photograph in: what it is, that it is whole and of bearable size, and that it tells no place.

The pixels are never encoded again. What a camera writes around them (place, maker's notes, comments, thumbnails, a
second picture or a film behind the first) is cut away before the digest is taken; which way is up, the colour profile
and the time of taking stay.
"""

from __future__ import annotations

import io
import struct
from typing import NamedTuple

from PIL import ExifTags, Image, UnidentifiedImageError

from brasswright.errors import StoreRefused
from brasswright.store.strip_jpeg import strip_jpeg
from brasswright.store.strip_png import strip_png

__all__ = ["MOST_BYTES", "MOST_PIXELS", "Photograph", "clean", "media_type_of"]

MOST_BYTES = 50 * 1024 * 1024
"""The largest photograph that is taken in [bytes]."""
MOST_PIXELS = 80_000_000
"""The most pixels a photograph may unfold to; more is taken for a decompression bomb."""

JPEG, PNG = "image/jpeg", "image/png"
FORMATS = {"JPEG": JPEG, "MPO": JPEG, "PNG": PNG}
ALLOWED = "JPEG and PNG, at most 50 MB"
HEIC_BRANDS = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftyphevc", b"ftypmsf1")
TIMES = (ExifTags.Base.DateTimeOriginal, ExifTags.Base.OffsetTimeOriginal)


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
    media_type = media_type_of(raw)
    try:
        notes = _notes_worth_keeping(raw)
        cleaned = strip_jpeg(raw, notes) if media_type == JPEG else strip_png(raw, notes)
    except (ValueError, IndexError, struct.error):
        raise _broken() from None
    _look_whole(cleaned)
    return cleaned, media_type


def media_type_of(raw: bytes) -> str:
    """Return the media type that the bytes themselves show, whatever a file name says."""
    if len(raw) > MOST_BYTES:
        size = f"{len(raw) / 1024**2:.0f} MB"
        raise StoreRefused("The photograph is too large.", got=size, allowed=ALLOWED, remedy="Send a smaller one.")
    if raw[4:12] in HEIC_BRANDS:
        raise StoreRefused(
            "Photographs of kind HEIC cannot be read here.",
            allowed=ALLOWED,
            remedy="Set the camera to its most compatible format, or turn the photograph into a JPEG.",
        )
    try:
        with Image.open(io.BytesIO(raw)) as image:
            kind, pixels = image.format or "", image.width * image.height
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels("more than can be counted here") from None
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, struct.error):
        what = "This is no photograph."
        raise StoreRefused(what, got=_beginning(raw), allowed=ALLOWED, remedy="Choose another file.") from None
    if kind not in FORMATS:
        raise StoreRefused("Pictures of this kind are not kept.", got=kind, allowed=ALLOWED, remedy="Save it as JPEG.")
    if pixels > MOST_PIXELS:
        raise _too_many_pixels(f"{pixels / 1e6:.0f} million pixels")
    return FORMATS[kind]


def _too_many_pixels(got: str) -> StoreRefused:
    allowed = f"{MOST_PIXELS // 1_000_000} million pixels"
    return StoreRefused(
        "The photograph unfolds to too many pixels.", got=got, allowed=allowed, remedy="Send a smaller one."
    )


def _broken() -> StoreRefused:
    return StoreRefused("The photograph is broken or not whole.", allowed=ALLOWED, remedy="Send it again.")


def _beginning(raw: bytes) -> str:
    return f"{len(raw)} bytes beginning {raw[:12]!r}" if raw else "an empty file"


def _notes_worth_keeping(raw: bytes) -> bytes:
    """Return a new, small TIFF block: which way is up and when it was taken; empty if neither is told."""
    kept = Image.Exif()
    try:
        with Image.open(io.BytesIO(raw)) as image:
            told = image.getexif()
            orientation = told.get(ExifTags.Base.Orientation)
            inner = told.get_ifd(ExifTags.IFD.Exif)
    except Exception:  # noqa: BLE001 - a camera's notes may be broken in any way; they are then left out
        return b""
    if isinstance(orientation, int) and 2 <= orientation <= 8:
        kept[ExifTags.Base.Orientation] = orientation
    times = {tag: inner[tag] for tag in TIMES if isinstance(inner.get(tag), str) and len(inner[tag]) <= 32}
    if times:
        kept[ExifTags.IFD.Exif] = times
    return kept.tobytes().removeprefix(b"Exif\x00\x00") if len(kept) else b""


def _look_whole(cleaned: bytes) -> None:
    """Refuse a photograph that ends too early or whose packing is damaged."""
    try:
        with Image.open(io.BytesIO(cleaned)) as image:
            image.draft("L", (image.width // 8 or 1, image.height // 8 or 1))
            image.load()
    except (
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
        OSError,
        ValueError,
        SyntaxError,
        struct.error,
    ):
        raise _broken() from None
