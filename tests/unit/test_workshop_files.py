"""Photographs and whole files: all of it is entered, or nothing, and the place of what is wrong is named."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING, Any
from uuid import UUID

import pytest
from PIL import Image

from brasswright.errors import BrasswrightError, EntryRefused, NeedsConfirmation, NotFound
from brasswright.journal.entries import Photographed
from brasswright.workshop.record import Line, note, note_lines, read_lines
from tests.builders import NOON, picture
from tests.unit.workshop_bench import EVENING, file_lines, kept, made, measured, say, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = made(tmp_path / "quay")
    yield workshop
    workshop.store.close()


def with_place(path: Path) -> Path:
    """A photograph that says where it was taken."""
    image = Image.new("RGB", (40, 30), "peru")
    notes = Image.Exif()
    notes.get_ifd(0x8825)[1] = "N"
    notes.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    notes[0x010F] = "a telephone"
    image.save(path, "JPEG", exif=notes)
    return path


def test_a_photograph_is_kept_without_its_place(bench: Workshop, tmp_path: Path) -> None:
    path = with_place(tmp_path / "plate.jpg")
    with Image.open(path) as taken:
        assert taken.getexif().get_ifd(0x8825)
    line = Line({"kind": "photographed", "file": "plate.jpg", "title": "plate"}, by="ic")
    body = note_lines(bench, told(bench), [line], beside=tmp_path)[0].body
    assert isinstance(body, Photographed)
    raw = bench.store.photograph(body.sha256)
    assert len(raw) == body.bytes
    (tmp_path / "kept.jpg").write_bytes(raw)
    with Image.open(tmp_path / "kept.jpg") as image:
        assert not image.getexif().get_ifd(0x8825)
        assert image.size == (40, 30)


@pytest.mark.parametrize("words", [b"no picture at all", b"\xff\xd8\xff broken off"])
def test_a_file_that_is_no_photograph_is_refused(bench: Workshop, tmp_path: Path, words: bytes) -> None:
    (tmp_path / "plate.jpg").write_bytes(words)
    before = kept(bench)
    line = Line({"kind": "photographed", "file": "plate.jpg", "title": "plate"}, by="ic")
    with pytest.raises(BrasswrightError, match="photograph"):
        note_lines(bench, told(bench), [line], beside=tmp_path)
    assert kept(bench) == before


def test_a_missing_file_is_named(bench: Workshop, tmp_path: Path) -> None:
    line = Line({"kind": "photographed", "file": "nowhere.jpg", "title": "plate"}, by="ic")
    with pytest.raises(NotFound, match=r"nowhere\.jpg"):
        note_lines(bench, told(bench), [line], beside=tmp_path)


def test_a_photograph_nobody_kept_is_refused(bench: Workshop) -> None:
    before = kept(bench)
    with pytest.raises(EntryRefused, match="not kept here"):
        say(bench, "photographed", sha256="0" * 64, media_type="image/png", bytes=10, title="plate")
    assert kept(bench) == before


# ---------------------------------------------------------------------------------------------- JSON Lines files

GOOD = json.dumps({"kind": "answered", "question": "flex_look", "answer": "two cores", "by": "ic"})
BAD_LINES = {
    "another job": json.dumps({"kind": "remarked", "words": "a word", "by": "ic", "job": str(UUID(int=5))}),
    "no unit": json.dumps({"kind": "measured", "reading": "earth", "text": "0.1", "by": "ic"}),
    "far off": json.dumps({"kind": "measured", "reading": "element_ohms", "text": "48.4 kohm", "by": "ic"}),
    "held": json.dumps({"kind": "started", "operation": "open:case_lifted", "title": "Case", "by": "ic"}),
    "nobody": json.dumps({"kind": "remarked", "words": "a word", "by": "xx"}),
    "future": json.dumps({"kind": "remarked", "words": "a word", "by": "ic", "at": "2031-01-01T00:00:00+00:00"}),
    "no offset": json.dumps({"kind": "remarked", "words": "a word", "by": "ic", "at": "2026-03-02T10:00:00"}),
    "no moment": json.dumps({"kind": "remarked", "words": "a word", "by": "ic", "at": "yesterday"}),
    "no id": json.dumps({"kind": "remarked", "words": "a word", "by": "ic", "id": "seven"}),
    "list": "[1, 2]",
    "cut off": GOOD[:-9],
    "missing picture": json.dumps({"kind": "photographed", "file": "nowhere.png", "title": "x", "by": "ic"}),
}


@pytest.mark.parametrize("bad", list(BAD_LINES.values()), ids=list(BAD_LINES))
def test_one_bad_line_keeps_the_whole_file_out_and_is_named(bench: Workshop, tmp_path: Path, bad: str) -> None:
    (tmp_path / "plate.png").write_bytes(picture())
    photo = json.dumps({"kind": "photographed", "file": "plate.png", "title": "plate", "by": "ic"})
    path = file_lines(tmp_path / "day.jsonl", GOOD, "", photo, bad, GOOD)
    before = kept(bench)
    with pytest.raises(BrasswrightError, match=r"day\.jsonl, line 4: "):
        note_lines(bench, told(bench), read_lines(path), beside=tmp_path)
    assert kept(bench) == before


def test_a_doubtful_reading_in_a_file_still_asks(bench: Workshop, tmp_path: Path) -> None:
    path = file_lines(tmp_path / "day.jsonl", BAD_LINES["far off"])
    with pytest.raises(NeedsConfirmation, match=r"line 1: .*Was 48\.4 ohm meant"):
        note_lines(bench, told(bench), read_lines(path))


def test_a_file_cut_off_inside_a_letter_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "day.jsonl"
    path.write_bytes((GOOD + "\n").encode() * 2 + '{"kind": "remarked", "words": "café'.encode()[:-1])
    with pytest.raises(EntryRefused, match=r"day\.jsonl, line 3: .*UTF-8"):
        read_lines(path)


def test_an_empty_or_missing_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "empty.jsonl").write_text("\n\n")
    with pytest.raises(EntryRefused, match="holds no line"):
        read_lines(tmp_path / "empty.jsonl")
    with pytest.raises(EntryRefused, match=r"none\.jsonl"):
        read_lines(tmp_path / "none.jsonl")


@pytest.mark.parametrize("odd", ["\u2028", "\u0085"])
def test_odd_line_breaks_inside_words_do_not_break_a_line(bench: Workshop, tmp_path: Path, odd: str) -> None:
    text = f'{{"kind": "remarked", "by": "ic", "words": "one{odd}two"}}'
    path = file_lines(tmp_path / "day.jsonl", "\ufeff" + text, text)
    assert len(note_lines(bench, told(bench), read_lines(path))) == 2


def test_a_file_is_entered_in_its_order_with_its_own_times_and_people(bench: Workshop, tmp_path: Path) -> None:
    at = NOON + timedelta(minutes=7)
    later = json.dumps({"kind": "remarked", "words": "b", "by": "tw", "at": at.isoformat(), "id": str(UUID(int=77))})
    path = file_lines(tmp_path / "day.jsonl", GOOD, later)
    first, second = note_lines(bench, told(bench), read_lines(path))
    assert (first.seq, first.by, first.at) == (2, "ic", EVENING)
    assert (second.seq, second.by, second.at, second.id) == (3, "tw", at, UUID(int=77))
    assert note_lines(bench, told(bench), read_lines(path))[1] == second


def test_a_line_is_checked_against_the_lines_before_it(bench: Workshop) -> None:
    fields: list[dict[str, Any]] = [
        {"kind": "measured", "reading": "earth", "text": "0.1 ± 0.01 ohm"},
        {"kind": "released", "hold": "isolated", "statements": "all"},
        {"kind": "started", "operation": "open:case_lifted", "title": "Case off"},
        {"kind": "stopped", "operation": "open:case_lifted", "finished": True, "minutes": 11.0},
    ]
    note(bench, told(bench), [Line(each, by="ic") for each in fields])
    assert told(bench).job.work["open:case_lifted"].finished
    measured(bench, "earth", "0.12 ± 0.01 ohm")
