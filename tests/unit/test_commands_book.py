"""`size`, `book` and `measure --job`: sizes entered, read and offered from the command line, and as JSON."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from tests.contracts.test_json_shapes import agrees, documented
from tests.unit.commands_bench import run
from tests.unit.workshop_bench import NUMBER, made

if TYPE_CHECKING:
    from pathlib import Path

GROOVE = ("size", NUMBER, "piston_seals", "groove_diameter", "25.60 ± 0.03 mm", "--by", "ic", "-w")
WIDTH = ("size", NUMBER, "piston_seals", "groove_width", "4.7 mm", "--by", "ic", "-w")
MEASURE = ("measure", "seal", "--component", "piston_seals", "-w")


@pytest.fixture
def quay(tmp_path: Path) -> Path:
    """A workshop with one machine, nothing measured."""
    made(tmp_path / "quay").store.close()
    return tmp_path / "quay"


def test_a_size_is_entered_and_its_line_of_the_book_is_said(quay: Path) -> None:
    done = run(*GROOVE, quay, "--instrument", "caliper 1")
    assert done.code == 0, done.err
    assert "Entered as number 2 of job 31." in done.out
    assert "25.60 ± 0.03 mm, measured on one machine (job 31)" in done.out
    assert "One machine only" in run("book", "-w", quay).out
    assert (
        "Nothing is kept of that yet. Kinds of machine with sizes: quay-slice." in run("book", "else", "-w", quay).out
    )
    assert "Nothing is kept" in run("book", "--component", "spring", "-w", quay).out


def test_note_enters_sizes_too(quay: Path, tmp_path: Path) -> None:
    lines = tmp_path / "sizes.jsonl"
    bore = {"kind": "sized", "by": "ic", "component": "piston_seals", "dimension": "bore", "how": "measured"}
    told = (json.dumps({**bore, "text": text}) for text in ("31.7 mm", "31.7"))
    lines.write_text("\n".join(told), encoding="utf-8")
    refused = run("note", NUMBER, lines, "--by", "ic", "-w", quay)
    assert refused.code == 1
    assert "sizes.jsonl, line 2" in refused.err
    assert "Nothing is kept" in run("book", "-w", quay).out
    entered = run(
        "note", NUMBER, "sized", "component=piston_seals", "dimension=o_ring", "text=25 x 3.5", "how=fitted and held",
        "--by", "ic", "-w", quay,
    )  # fmt: skip
    assert entered.code == 0, entered.err
    assert "25 x 3.5: fitted and held on one machine" in run("book", "-w", quay).out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("groove_width", "4.7"), "unit is missing"),
        (("groove_width", "4.7 m"), "Was 4.7 mm meant"),
        (("groove_wide", "4.7 mm"), "perhaps groove_width"),
    ],
)
def test_a_size_that_cannot_be_taken_is_refused(quay: Path, words: tuple[str, ...], says: str) -> None:
    done = run("size", NUMBER, "piston_seals", *words, "--by", "ic", "-w", quay)
    assert done.code == 1
    assert says in done.err
    assert run("size", NUMBER, "piston_seal", "bore", "31 mm", "--by", "ic", "-w", quay).code == 1
    assert run("size", NUMBER, "piston_seals", "groove_width", "4.7 m", "--confirm", "--by", "ic", "-w", quay).code == 0


def test_an_instrument_takes_from_the_book_what_was_not_typed_and_says_so(quay: Path) -> None:
    run(*GROOVE, quay)
    lacking = run(*MEASURE, quay, "--job", NUMBER)
    assert lacking.code == 2
    assert "seal needs width." in lacking.err
    run(*WIDTH, quay)
    done = run(*MEASURE, quay, "--job", NUMBER, "mating=31.7 mm", "motion=dynamic", "width=4.8 mm")
    assert done.code == 0, done.err
    assert "From the book: groove = 25.60 ± 0.03 mm, from this machine: measured, entry 2" in done.out
    assert "width =" not in done.out
    said = run(*MEASURE, quay, "--kind", "quay-slice", "mating=31.7 mm", "--json").json
    assert said["inputs"]["groove"]["sigma"] == pytest.approx(3e-5)
    assert len(said["from_book"]) == 2


def test_an_instrument_asked_without_a_book_says_nothing_of_it(quay: Path) -> None:
    said = run("measure", "seal", "groove=25.6 mm", "width=4.7 mm", "mating=31.7 mm", "--json").json
    assert "from_book" not in said
    for words in (("--component", "piston_seals"), ("--job", NUMBER), ("--kind", "quay-slice")):
        assert run("measure", "seal", "groove=25.6 mm", "width=4.7 mm", *words, "-w", quay).code == 1


def test_the_json_of_the_book_is_as_documented(quay: Path) -> None:
    run(*GROOVE, quay)
    run("size", NUMBER, "piston_seals", "o_ring", "25 x 3.5", "--how", "fitted and held", "--by", "ic", "-w", quay)
    book = run("book", "--json", "-w", quay).json
    assert set(book) == {"shape", "lines"}
    fields = documented("dimension-book.md", "As JSON")
    for line in book["lines"]:
        agrees(line, fields)
        for name in ("sizes", "fits", "sources"):
            for one in line[name]:
                assert set(one) == fields[name].named, name
    entered = run(*WIDTH, quay, "--json").json
    assert set(entered) == {"seq", "id", "digest"}


def test_a_book_goes_to_a_file_and_comes_back_as_from_elsewhere(quay: Path, tmp_path: Path) -> None:
    run(*GROOVE, quay)
    path = tmp_path / "sizes.tsv"
    assert "own sizes lie in" in run("book", "--out", path, "-w", quay).out
    read = run("book", "--read", path, "--from", "Harbour Bench", "--by", "ic", "-w", quay)
    assert "Read in: 1 new, 0 here already." in read.out
    assert "from elsewhere (Harbour Bench" in run("book", "-w", quay).out
    assert run("book", "--out", tmp_path / "nowhere" / "sizes.tsv", "-w", quay).code == 1
    assert run("book", "--read", tmp_path / "none.tsv", "--from", "x", "--by", "ic", "-w", quay).code == 1
    assert run("check", "-w", quay).code == 0
