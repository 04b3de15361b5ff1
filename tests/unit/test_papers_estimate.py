"""The estimate paper from its context alone: literal words, own fonts, tags, the same bytes."""

from __future__ import annotations

import io
import os
import pickle
import subprocess
import sys
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import IndirectObject

from brasswright.charts.section import drawing_of, paper_section, swatch, window_of
from brasswright.charts.spread import Spread, spread_svg
from brasswright.errors import PaperRefused
from brasswright.papers.estimate import EstimatePaper, Mark, Money, Row, build
from brasswright.papers.setting import pages

MONEY = Money("560", "620", "740")
MARKUP = "Pay $5 #now *bold* _thin_ <tag> @ref \\back `raw` = head // gone ~ [x] 'q' \"q\""
AT = datetime(2026, 3, 4, 23, 30, 12, 345678, tzinfo=timezone(timedelta(hours=1)))
PAPER = EstimatePaper(
    workshop="Tern Quay Bench",
    address="By the slip",
    title="Your spring lever of 1962",
    number="214-1",
    dated="4 March 2026",
    valid_until="3 April 2026",
    owner="For the owner",
    use="Kitchen use.",
    rests_on=("Nobody has looked inside the boiler yet.",),
    total=MONEY,
    currency="EUR",
    tax="21 % tax included",
    trials="Figures in whole EUR.",
    rows=(Row("1", "Group", "gasket crumbled, seen", MONEY),),
    finds=(Row("2", "Boiler", "if it shows: holed", MONEY),),
    together="not the sums of the columns",
    moves=("A find.",),
    not_included=("Carriage.",),
    not_left_out=("Tests.",),
    cautions=("Leave it unplugged.",),
    answers=("Go ahead.", "Pack it up."),
    head="7c41e09a52d3",
    entries="entry 41",
    at=AT,
    spread=spread_svg(Spread([500, 600, 700], [1, 1], 550, 600, 650, "EUR"), scheme="paper"),
)


def read(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def text(pdf: bytes) -> str:
    """All words of a paper, every run of white space as one space."""
    return " ".join(" ".join(page.extract_text() for page in read(pdf).pages).split())


def drawn() -> EstimatePaper:
    svg = drawing_of("home-spring-lever")
    assert svg is not None
    picture = paper_section(svg, {}, window=window_of("home-spring-lever", svg))
    marks = tuple(Mark(word, swatch(svg, css)) for word, css in (("sound", "ink r0"), ("not known", "unknown")))
    return replace(PAPER, drawing=picture, drawing_words="All 60 parts not known.", marks=marks)


def objects(reader: PdfReader) -> list[Any]:
    return [IndirectObject(number, 0, reader).get_object() for number in range(1, len(reader.xref[0]) + 1)]


def test_it_is_tagged_titled_and_says_its_language() -> None:
    pdf = build(drawn())
    root: Any = read(pdf).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert str(root["/Lang"]).startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    meta = read(pdf).metadata
    assert meta is not None
    assert meta.title == "Estimate 214-1, Your spring lever of 1962"
    xmp = root["/Metadata"].get_data().decode()
    assert "<pdfaid:part>2<" in xmp
    assert "<pdfaid:conformance>A<" in xmp
    assert "<pdfuaid:part>1<" in xmp


def test_tables_have_heads_and_pictures_have_words() -> None:
    root: Any = read(build(drawn())).trailer["/Root"]
    tree = root["/StructTreeRoot"]
    kinds: dict[str, int] = {}
    alternatives: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object() if isinstance(node, IndirectObject) else node
        if isinstance(node, list):
            for each in node:
                walk(each)
        elif isinstance(node, dict):
            kind = str(node.get("/S", ""))
            kinds[kind] = kinds.get(kind, 0) + 1
            if kind == "/Figure":
                alternatives.append(str(node.get("/Alt", "")))
            walk(node.get("/K", []))

    walk(tree["/K"])
    assert kinds["/THead"] >= 1
    assert kinds["/TH"] >= 5
    assert kinds["/H1"] == 1
    assert kinds["/H2"] == 5
    assert any(words.startswith("Section through the machine") for words in alternatives)
    assert any("Most likely 620" in words for words in alternatives)
    assert all(alternatives)


@pytest.mark.parametrize("field", ["workshop", "address", "title", "owner", "use", "tax"])
def test_what_was_typed_is_printed_as_typed(field: str) -> None:
    told: dict[str, Any] = {field: MARKUP}
    assert MARKUP in text(build(replace(PAPER, **told)))


def test_lists_and_rows_are_printed_as_typed_too() -> None:
    row = Row("1", "Title " + MARKUP, "Reason " + MARKUP, MONEY)
    said = text(build(replace(PAPER, rows=(row,), answers=("Answer " + MARKUP,), moves=("Move " + MARKUP,))))
    for word in ("Answer", "Move"):
        assert word + " " + MARKUP[:20] in said
    assert said.count("#now *bold* _thin_") == 4


@pytest.mark.parametrize("name", ["Łukasz Őry-Ševčík", "Zoë d'Ångström", "Mª José Ñúñez & Søn"])
def test_latin_names_are_set_in_our_fonts(name: str) -> None:
    assert name in text(build(replace(PAPER, owner=f"For {name}")))


def test_a_character_without_glyph_is_refused_by_name_and_place() -> None:
    with pytest.raises(PaperRefused) as refusal:
        build(replace(PAPER, owner="For 山 of \ue000", moves=("A \U0001f600 find",)))
    said = str(refusal.value)
    for character in ("山", "U+5C71", "U+E000", "U+1F600"):
        assert character in said
    assert "owner" in said
    assert "moves" in said
    assert "PDF/A" not in said
    assert "font `" not in said


def test_line_ends_and_control_characters_become_spaces() -> None:
    assert "For A B C D." in text(build(replace(PAPER, owner="For A\r\nB\tC\x07D")))


def test_only_our_fonts_and_the_typesetters_are_in_it() -> None:
    names = {
        str(font["/BaseFont"]).partition("+")[2]
        for font in objects(read(build(drawn())))
        if isinstance(font, dict) and "/BaseFont" in font
    }
    assert names
    assert all(name.startswith(("AtkinsonHyperlegibleNext", "Besley", "LibertinusSerif")) for name in names), names


def test_no_picture_brings_notes_of_its_own() -> None:
    pdf = build(drawn())
    reader = read(pdf)
    plain = pdf + b"".join(each.get_data() for each in objects(reader) if hasattr(each, "get_data"))
    for note in (b"Exif", b"photoshop", b"Image::", b"/tmp/"):
        assert note not in plain
    pictures = [each for each in objects(reader) if isinstance(each, dict) and each.get("/Subtype") == "/Image"]
    assert not [each for each in pictures if "/Metadata" in each]


def test_a_long_table_repeats_its_head_and_keeps_every_row() -> None:
    rows = tuple(Row(str(n), f"Line number {n}", "because it is so", MONEY) for n in range(1, 41))
    pdf = build(replace(PAPER, rows=rows))
    heads = ["Work, and why" in page.extract_text() for page in read(pdf).pages]
    assert heads[:2] == [True, True]
    said = text(pdf)
    assert all(f"Line number {n} " in said for n in range(1, 41))
    assert pages(pdf) == len(read(pdf).pages) == len(heads)


def test_what_strip_down_may_add_never_stands_alone_at_the_foot() -> None:
    for count in range(8, 24):
        rows = tuple(Row(str(n), f"Line number {n}", "because it is so", MONEY) for n in range(1, count))
        for page in read(build(replace(PAPER, rows=rows))).pages:
            said = page.extract_text()
            if "What strip-down may add" in said:
                assert "if it shows: holed" in said, count


def test_the_same_paper_gives_the_same_bytes_in_every_process() -> None:
    here = build(drawn())
    code = "import sys, pickle; from brasswright.papers.estimate import build;"
    code += "sys.stdout.buffer.write(build(pickle.load(sys.stdin.buffer)))"
    there = subprocess.run(
        [sys.executable, "-c", code],
        input=pickle.dumps(drawn()),
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo", "LC_ALL": "C"},
        cwd=Path(__file__).parent,
    ).stdout
    assert there == here


def test_the_date_is_the_papers_own() -> None:
    meta = read(build(PAPER)).metadata
    assert meta is not None
    assert str(meta.creation_date_raw).startswith("D:20260304")
