"""A sheet that leaves out, changes, adds to and repeats what it includes; what it asks wrongly is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from brasswright.errors import SheetRefused
from brasswright.judgement.opinion import priors
from brasswright.sheets.load import LoadedSheet, from_bytes, load_packaged, load_sheet

GOLDEN = Path(__file__).parent.parent / "golden" / "sheets"
HEAD = """
include = ["parts.toml"]
{asked}
[sheet]
key = "other"
name = "Another"
version = 1
describes = "As the small one, otherwise"
currency = "EUR"
price_year = 2026
"""


@pytest.fixture
def beside(tmp_path: Path) -> Path:
    """A folder with the small sheet as a fragment."""
    text = (GOLDEN / "small.toml").read_text(encoding="utf-8")
    body = text[text.index("[source.guess]") :]
    (tmp_path / "parts.toml").write_text(body, encoding="utf-8")
    return tmp_path


def other(beside: Path, asked: str = "", tables: str = "") -> LoadedSheet:
    """A sheet made of the small one's entries, asking for something before or after its head."""
    return load_sheet(HEAD.format(asked=asked) + tables, name="other.toml", beside=beside)


def test_what_is_changed_is_as_said_and_the_rest_as_before(beside: Path) -> None:
    plain = other(beside).sheet
    changed = other(
        beside, tables='[change.component.boiler]\nname = "Kettle"\nleaving = { pitted = 5, holed = 6 }\n'
    ).sheet
    assert changed.component["boiler"].name == "Kettle"
    assert changed.component["boiler"].leaving == {"pitted": 5, "holed": 6}
    assert changed.component["boiler"].causes == plain.component["boiler"].causes
    assert changed.treatment == plain.treatment


def test_lists_get_longer_and_tables_fuller(beside: Path) -> None:
    more = other(
        beside,
        tables="[add.finding.trail]\nfalse_alarm = { drip = 0.01 }\n"
        'shows = [{ of = "stored_wet", is = "full", gives = { trail = 0.1 } }]\n',
    ).sheet
    assert more.finding["trail"].false_alarm == {"trail": 0.05, "drip": 0.01}
    assert [cause.of for cause in more.finding["trail"].shows] == ["boiler", "boiler", "stored_wet"]


def test_what_is_left_out_takes_along_what_speaks_of_nothing_else(beside: Path) -> None:
    text = (
        '[component.lid]\nname = "Lid"\nzone = "outside"\nstates = ["sound", "bent"]\nalone = [0.9, 0.1]\n'
        'source = "guess"\ncauses = [{ of = "boiler", is = "holed", gives = { bent = 0.5 } }]\n'
        '[treatment.bend]\nname = "Bend it back"\nway = "repair"\nsource = "guess"\n'
        'fixes = [{ of = "lid", from = ["bent"], leaves = "sound" }, '
        '{ of = "boiler", from = ["pitted"], leaves = "sound" }]\n'
        'off = ["boiler"]\nsteps = [{ do = "Bend", minutes = [1, 2, 3] }]\n'
    )
    left = other(beside, asked='leave_out = ["component.boiler"]', tables=text).sheet
    assert set(left.component) == {"lid"}
    assert "trail" not in left.finding
    assert "wall" not in left.reading
    assert set(left.treatment) == {"bend"}
    assert [fix.of for fix in left.treatment["bend"].fixes] == ["lid"]
    assert left.treatment["bend"].off == ()
    assert left.record == {}
    assert left.component["lid"].causes == ()


def test_without_its_cover_a_thing_lies_open(beside: Path) -> None:
    left = other(beside, asked='leave_out = ["unit.case"]').sheet
    assert left.component["boiler"].access == ()
    assert left.zone["inside"].access == ()


def test_a_second_one_stands_beside_the_first_with_the_same_odds(beside: Path) -> None:
    twice = other(
        beside,
        tables='[zone.beyond]\nname = "Beyond"\norder = 3\naccess = [["case_2"]]\n'
        '[repeat.2]\nfirst = "left"\nname = "right"\nzones = { inside = "beyond" }\nof = ["unit.case"]\n',
    ).sheet
    assert twice.component["boiler_2"].name == "Right: boiler"
    assert twice.component["boiler"].name == "Left: boiler"
    assert twice.component["boiler_2"].access == (("case_2",),)
    assert twice.component["boiler_2"].zone == "beyond"
    assert {cause.of for cause in twice.finding["trail_2"].shows} == {"boiler_2"}
    assert {cause.of for cause in twice.component["boiler_2"].causes} == {"stored_wet"}
    assert twice.treatment["braze_2"].off == ("boiler_2",)
    assert twice.record["seam_photograph_2"].before == "boiler_2"
    odds = priors(twice)
    assert odds["boiler_2"] == pytest.approx(odds["boiler"])


def test_the_pinned_bytes_say_everything_themselves(beside: Path) -> None:
    made = other(beside, tables='[change.component.boiler]\nname = "Kettle"\n')
    shutil.rmtree(beside)
    assert from_bytes(made.raw).sheet == made.sheet


@pytest.mark.parametrize(
    ("asked", "tables", "says"),
    [
        ('leave_out = ["component.boilr"]', "", "boiler"),
        ('leave_out = ["boiler"]', "", "kind and key"),
        ('leave_out = ["hold.isolated"]', "", "hold points"),
        ('leave_out = ["proving.earth_continuity"]', "", "hold points"),
        ('leave_out = "component.boiler"', "", "list"),
        ("change = 3", "", "table"),
        ("", '[change.hold.isolated]\nname = "x"\n', "hold points"),
        ("", '[change.component.lid]\nname = "x"\n', "no component.lid"),
        ("", '[change.part.lid]\nname = "x"\n', "no kind"),
        ("", '[add.component.boiler]\nname = "x"\n', "only lists and tables"),
        ("", '[repeat.2]\nzones = { inside = "inside" }\n', "needs a name"),
        ("", '[repeat.2]\nname = "second"\nof = ["unit.cover"]\n', "no unit.cover"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(beside: Path, asked: str, tables: str, says: str) -> None:
    with pytest.raises(SheetRefused) as caught:
        other(beside, asked=asked, tables=tables)
    assert any(says in f"{problem.what} {problem.remedy}" for problem in caught.value.problems)
    assert all("other.toml, line" in problem.where for problem in caught.value.problems)


def test_a_mistake_in_a_change_is_named_where_the_change_stands(beside: Path) -> None:
    with pytest.raises(SheetRefused) as caught:
        other(beside, tables='[change.component.boiler]\nstates = ["sound", "dented"]\n')
    assert caught.value.problems
    with pytest.raises(SheetRefused) as caught:
        other(beside, tables="[change.component.boiler]\nalone = [0.5, 0.2, 0.1]\n")
    [problem] = caught.value.problems
    assert problem.where.startswith("other.toml, line 12")


def test_a_fragment_may_change_too_and_the_sheet_has_the_last_word(beside: Path) -> None:
    path = beside / "parts.toml"
    said = '[change.component.boiler]\nname = "Kettle"\nleaving = { pitted = 1, holed = 2 }\n'
    path.write_text(path.read_text(encoding="utf-8") + said, encoding="utf-8")
    assert other(beside).sheet.component["boiler"].name == "Kettle"
    again = other(beside, tables='[change.component.boiler]\nname = "Urn"\n').sheet.component["boiler"]
    assert again.name == "Urn"
    assert again.leaving == {"pitted": 1, "holed": 2}


def test_a_mistake_in_a_fragments_change_is_named_in_the_fragment(beside: Path) -> None:
    path = beside / "parts.toml"
    said = '[change.component.lid]\nname = "Lid"\n'
    path.write_text(path.read_text(encoding="utf-8") + said, encoding="utf-8")
    with pytest.raises(SheetRefused) as caught:
        other(beside)
    [problem] = caught.value.problems
    assert problem.where.startswith("parts.toml, line ")


def test_the_packaged_sheets_are_not_touched_by_another_sheet_that_adapts_them(beside: Path) -> None:
    before = load_packaged("home-spring-lever").sha256
    include = 'include = ["fragments/boiler-parts.toml"]'
    with pytest.raises(SheetRefused):
        load_sheet(include + '\nleave_out = ["component.lagging"]\n', name="torn.toml", beside=beside)
    assert load_packaged("home-spring-lever").sha256 == before
