"""Photographs: known by their content, without places, pixels untouched, refused in plain words."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageOps, PngImagePlugin

from brasswright.errors import NotFound, StoreRefused
from brasswright.store import photograph
from brasswright.store.photograph import clean
from tests.builders import picture

if TYPE_CHECKING:
    from brasswright.store import Store

PLACE = b"Tern Quay 57.1N 11.9E"
ICC = b"\0" * 128 + b"colour profile"


def notes() -> Image.Exif:
    """Camera notes with a place, a serial number, which way is up and when."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    exif[ExifTags.Base.Artist] = PLACE.decode()
    exif[ExifTags.IFD.Exif] = {
        ExifTags.Base.DateTimeOriginal: "2026:03:02 11:30:00",
        ExifTags.Base.UserComment: PLACE,
        ExifTags.Base.BodySerialNumber: "0417",
    }
    exif[ExifTags.IFD.GPSInfo] = {
        ExifTags.GPS.GPSLatitudeRef: "N",
        ExifTags.GPS.GPSLatitude: (57.0, 6.0, 0.0),
        ExifTags.GPS.GPSMapDatum: PLACE.decode(),
    }
    return exif


def segment(marker: int, content: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(content) + 2) + content


def telling_jpeg(**options: Any) -> bytes:
    """A JPEG that tells its place in every way it can."""
    plain = picture(kind="JPEG", size=(160, 120), exif=notes(), icc_profile=ICC, comment=PLACE, **options)
    xmp = segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:place>" + PLACE)
    iptc = segment(0xED, b"Photoshop 3.0\x008BIM\x04\x04" + PLACE)
    strange = segment(0xE2, b"FPXR\0" + PLACE)
    return plain[:2] + xmp + iptc + strange + plain[2:] + b"a film behind it " + PLACE + picture(kind="JPEG")


def telling_png() -> bytes:
    told = PngImagePlugin.PngInfo()
    told.add_text("Comment", PLACE.decode())
    told.add_itxt("XML:com.adobe.xmp", f"<x>{PLACE.decode()}</x>", zip=True)
    return picture(exif=notes(), pnginfo=told, icc_profile=ICC) + PLACE


def pixels(raw: bytes) -> bytes:
    with Image.open(io.BytesIO(raw)) as image:
        return image.tobytes()


def upright(raw: bytes) -> tuple[int, int]:
    with Image.open(io.BytesIO(raw)) as image:
        return ImageOps.exif_transpose(image).size


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_rows": 1}])
def test_a_jpeg_loses_its_places_and_keeps_its_pixels(options: dict[str, Any]) -> None:
    raw = telling_jpeg(**options)
    assert raw.count(PLACE) >= 6
    cleaned, media_type = clean(raw)
    assert media_type == "image/jpeg"
    assert PLACE not in cleaned
    assert pixels(cleaned) == pixels(raw)
    with Image.open(io.BytesIO(cleaned)) as image:
        exif = image.getexif()
        assert image.info["icc_profile"] == ICC
        assert dict(exif.get_ifd(ExifTags.IFD.GPSInfo)) == {}
        assert dict(exif.get_ifd(ExifTags.IFD.Exif)) == {ExifTags.Base.DateTimeOriginal: "2026:03:02 11:30:00"}
        assert set(exif) == {ExifTags.Base.Orientation, ExifTags.IFD.Exif}


def test_a_png_loses_its_places_and_keeps_its_pixels() -> None:
    raw = telling_png()
    cleaned, media_type = clean(raw)
    assert media_type == "image/png"
    assert pixels(cleaned) == pixels(raw)
    names = chunk_names(cleaned)
    assert not set(names) & {b"tEXt", b"iTXt", b"zTXt", b"tIME"}
    assert names[-1] == b"IEND"
    with Image.open(io.BytesIO(cleaned)) as image:
        image.load()
        assert image.info["icc_profile"] == ICC
        assert dict(image.getexif().get_ifd(ExifTags.IFD.GPSInfo)) == {}
        assert PLACE.decode() not in str(image.info)


def chunk_names(raw: bytes) -> list[bytes]:
    names, at = [], 8
    while at < len(raw):
        length, name = struct.unpack_from(">I4s", raw, at)
        (crc,) = struct.unpack_from(">I", raw, at + 8 + length)
        assert crc == zlib.crc32(raw[at + 4 : at + 8 + length])
        names.append(name)
        at += 12 + length
    return names


@pytest.mark.parametrize("raw", [telling_jpeg(), telling_png()], ids=["jpeg", "png"])
def test_which_way_is_up_stays(raw: bytes) -> None:
    width, height = Image.open(io.BytesIO(raw)).size
    assert upright(raw) == (height, width)
    assert upright(clean(raw)[0]) == (height, width)


@pytest.mark.parametrize("raw", [telling_jpeg(), telling_png(), picture(), picture(kind="JPEG")])
def test_cleaning_twice_changes_nothing_more(raw: bytes) -> None:
    once = clean(raw)
    assert clean(once[0]) == once


def test_broken_camera_notes_are_left_out_and_the_picture_is_kept() -> None:
    plain = picture(kind="JPEG")
    raw = plain[:2] + segment(0xE1, b"Exif\0\0MM\0*\xff\xff\xff\xff" + PLACE) + plain[2:]
    cleaned, _ = clean(raw)
    assert PLACE not in cleaned
    assert pixels(cleaned) == pixels(plain)


def test_two_photographs_in_one_file_give_the_first() -> None:
    out = io.BytesIO()
    first, second = Image.new("RGB", (64, 48), "peru"), Image.new("RGB", (64, 48), "teal")
    first.save(out, "MPO", save_all=True, append_images=[second])
    cleaned, media_type = clean(out.getvalue())
    assert media_type == "image/jpeg"
    with Image.open(io.BytesIO(cleaned)) as image:
        assert (image.format, getattr(image, "n_frames", 1)) == ("JPEG", 1)
    assert pixels(cleaned) == pixels(out.getvalue())


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "an empty file"),
        (b"the nameplate says 220 V", "This is no photograph"),
        (b"%PDF-1.7\n" + bytes(100), "This is no photograph"),
        (b"\0\0\0\x18ftypheic" + bytes(100), "HEIC cannot be read here.*JPEG"),
        (picture(kind="GIF"), "of this kind are not kept. Got GIF"),
        (picture(kind="BMP"), "of this kind are not kept. Got BMP"),
        (picture(kind="JPEG", size=(300, 300), quality=95)[:-900], "broken or not whole"),
        (picture(size=(300, 300))[:-30], "broken or not whole"),
        (b"\xff\xd8\xff\xe0\0\x10JFIF\0", "no photograph|broken"),
        (bytes(51 * 1024 * 1024), "too large. Got 51 MB"),
    ],
)
def test_what_is_no_bearable_photograph_is_refused(raw: bytes, words: str) -> None:
    with pytest.raises(StoreRefused, match=words):
        clean(raw)


def bomb(width: int, height: int) -> bytes:
    """A PNG of a few hundred bytes that claims to unfold to width times height pixels."""
    small = picture(size=(1, 1))
    header = b"IHDR" + struct.pack(">II", width, height) + small[24:29]
    return small[:12] + header + struct.pack(">I", zlib.crc32(header)) + small[33:]


@pytest.mark.parametrize(("width", "height"), [(10_000, 8_001), (60_000, 60_000), (2**31 - 1, 2**31 - 1)])
def test_a_decompression_bomb_is_refused_without_unfolding_it(width: int, height: int) -> None:
    assert len(bomb(width, height)) < 300
    with pytest.raises(StoreRefused, match="too many pixels"):
        clean(bomb(width, height))


def test_the_limit_is_what_is_said() -> None:
    assert photograph.MOST_BYTES == 50 * 1024**2
    assert (Image.MAX_IMAGE_PIXELS or 0) > photograph.MOST_PIXELS


@given(st.sampled_from([telling_jpeg(), telling_png()]), st.data())
def test_a_damaged_file_is_cleaned_or_refused_and_never_a_crash(raw: bytes, drawn: st.DataObject) -> None:
    damaged = bytearray(raw)
    for place in drawn.draw(st.lists(st.integers(0, len(raw) - 1), min_size=1, max_size=4)):
        damaged[place] = drawn.draw(st.integers(0, 255))
    cut = drawn.draw(st.integers(0, len(raw)))
    for each in (bytes(damaged), raw[:cut]):
        try:
            cleaned, _ = clean(each)
        except StoreRefused:
            continue
        assert clean(cleaned)[0] == cleaned


def test_a_photograph_lies_under_the_digest_of_what_is_kept(store: Store) -> None:
    raw = telling_jpeg()
    kept = store.put_photograph(raw)
    cleaned, _ = clean(raw)
    assert kept == (hashlib.sha256(cleaned).hexdigest(), "image/jpeg", len(cleaned))
    path = store.folder / "photographs" / kept.sha256[:2] / kept.sha256[2:]
    assert path.read_bytes() == store.photograph(kept.sha256) == cleaned
    assert store.put_photograph(raw) == kept
    assert [each.name for each in path.parent.iterdir()] == [path.name]


def test_papers_and_sheets_lie_under_their_digests(store: Store) -> None:
    for put, get in ((store.put_paper, store.paper), (store.put_sheet, store.sheet)):
        sha256 = put(b"one page")
        assert sha256 == hashlib.sha256(b"one page").hexdigest()
        assert get(sha256) == b"one page"


def test_a_file_that_is_missing_or_changed_is_not_handed_out(store: Store) -> None:
    with pytest.raises(NotFound, match="no such photograph"):
        store.photograph("a" * 64)
    with pytest.raises(NotFound, match="no digest"):
        store.photograph("../../workshop.sqlite")
    kept = store.put_photograph(picture())
    store.photographs.path(kept.sha256).write_bytes(b"something else")
    with pytest.raises(StoreRefused, match="changed on the disk"):
        store.photograph(kept.sha256)
