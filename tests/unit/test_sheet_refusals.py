"""Each bad sheet is refused at the marked line with the words it names; the first line of the file says which."""

from __future__ import annotations

from pathlib import Path

import pytest

from brasswright.errors import Problem, SheetRefused
from brasswright.sheets.load import load_sheet

GOLDEN = Path(__file__).parent.parent / "golden"
BAD = sorted((GOLDEN / "bad_sheets").glob("*.toml"))
MARK = "# <- wrong"


def refusals(path: Path) -> tuple[Problem, ...]:
    with pytest.raises(SheetRefused) as caught:
        load_sheet(path)
    return caught.value.problems


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_a_bad_sheet_names_line_and_remedy(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    words = lines[0].removeprefix("# says: ")
    line = next(number for number, text in enumerate(lines, 1) if text.endswith(MARK))
    problems = refusals(path)
    meant = [problem for problem in problems if words in f"{problem.what} {problem.remedy}"]
    assert [problem.where.split(", ")[:2] for problem in meant] == [[path.name, f"line {line}"]], problems
    assert meant[0].remedy


def test_nothing_but_the_mark_makes_them_bad() -> None:
    load_sheet(GOLDEN / "sheets" / "small.toml")


def test_all_mistakes_are_named_at_once() -> None:
    text = (GOLDEN / "sheets" / "small.toml").read_text(encoding="utf-8")
    text = text.replace('"stored_wet", is = "a little"', '"wet", is = "a little"').replace("0.70, 0.20", "0.60, 0.20")
    text = text.replace("open_minutes = [5, 10", "open_minutes = [50, 10")
    with pytest.raises(SheetRefused) as caught:
        load_sheet(text, name="three.toml")
    assert len(caught.value.problems) == 3
    assert all(problem.where.startswith("three.toml, line ") for problem in caught.value.problems)


def test_a_text_that_is_no_toml_names_its_line() -> None:
    with pytest.raises(SheetRefused, match="line 2"):
        load_sheet("[sheet]\nkey = \n", name="torn.toml")


def test_not_a_number_is_refused() -> None:
    text = (GOLDEN / "sheets" / "small.toml").read_text(encoding="utf-8").replace("trail = 0.05", "trail = nan")
    with pytest.raises(SheetRefused, match="trail"):
        load_sheet(text)


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert "cannot be read" in refusals(path)[0].what


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "inside").mkdir()
    (tmp_path / "outside.toml").write_text("[source.far]\ntext = 'far'\ntrust = 1\n")
    (tmp_path / "inside" / "near.toml").symlink_to(tmp_path / "outside.toml")
    path = tmp_path / "inside" / "a.toml"
    path.write_text('include = ["near.toml"]\n' + (GOLDEN / "sheets" / "small.toml").read_text(encoding="utf-8"))
    assert "not found" in refusals(path)[0].what
