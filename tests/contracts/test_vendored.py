"""Foreign files committed here have the bytes that were pinned, and the papers' fonts can set what we write."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from fontTools.ttLib import TTFont

from tests.contracts.repository import ROOT, committed
from tools.paper_fonts import CUTS, PAPERS, Cut
from tools.vendor import Pin, differences, main, read_pins

if TYPE_CHECKING:
    from pathlib import Path

FOREIGN_SUFFIXES = {".woff2", ".ttf", ".otf"}
LETTERS_AND_SIGNS = "AZaz09 ŁłŐőĚěŠšČčŽžŘřÅåØøÆæßÐðÞþĞğİıĄąĘę£€°±×·–—‘’“”…½¼¾²³%"


def test_committed_bytes_are_the_pinned_ones() -> None:
    assert list(differences(read_pins())) == []
    assert main(["--check"]) == 0


def test_every_foreign_file_is_pinned() -> None:
    pinned = {ROOT / pin.path for pin in read_pins()}
    foreign = {file for file in committed() if file.suffix in FOREIGN_SUFFIXES or ".min." in file.name}
    assert foreign - pinned == set()


def test_a_changed_and_a_missing_file_are_named(tmp_path: Path) -> None:
    (tmp_path / "changed.js").write_text("alert(1)", encoding="utf-8")
    pins = (Pin("changed.js", "0" * 64), Pin("gone.js", "0" * 64))
    changed, gone = differences(pins, tmp_path)
    assert changed.startswith("changed.js has SHA-256")
    assert gone == "gone.js is missing"


@pytest.mark.parametrize("cut", CUTS, ids=lambda cut: cut.file)
def test_the_papers_fonts_say_what_they_are(cut: Cut) -> None:
    font = TTFont(PAPERS / cut.file)
    assert "fvar" not in font
    assert font["OS/2"].usWeightClass == cut.weight
    assert font["name"].getBestFamilyName() == cut.family
    assert {feature.FeatureTag for feature in font["GSUB"].table.FeatureList.FeatureRecord} >= {"tnum"}


@pytest.mark.parametrize("cut", CUTS, ids=lambda cut: cut.file)
def test_the_papers_fonts_have_the_letters_of_our_neighbours(cut: Cut) -> None:
    known = TTFont(PAPERS / cut.file).getBestCmap()
    assert [sign for sign in LETTERS_AND_SIGNS if ord(sign) not in known] == []


@pytest.mark.parametrize("folder", ["src/brasswright/web/static/fonts", "src/brasswright/papers/fonts"])
def test_the_licence_lies_beside_the_fonts(folder: str) -> None:
    for family in ("atkinson-hyperlegible-next", "besley"):
        text = (ROOT / folder / f"{family}-OFL.txt").read_text(encoding="utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in text
        assert "with Reserved Font Name" not in text.split("-----", maxsplit=1)[0]
