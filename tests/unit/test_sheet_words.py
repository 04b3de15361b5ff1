"""A sheet read back in sentences, the laws of its rows, and the commands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from brasswright.cli.sheet import sheet as command
from brasswright.sheets.check import problems, warnings
from brasswright.sheets.check_numbers import reaches
from brasswright.sheets.load import load_sheet
from brasswright.sheets.model import Cause, Component, Sheet
from brasswright.sheets.show import said, sentences

GOLDEN = Path(__file__).parent.parent / "golden"
SMALL = GOLDEN / "sheets" / "small.toml"
SHEET = load_sheet(SMALL).sheet
LADDER = ("sound", "pitted", "holed")


def with_boiler(**changed: object) -> Sheet:
    part: Component = SHEET.component["boiler"].model_copy(update=changed)
    return SHEET.model_copy(update={"component": {"boiler": part}})


chances = st.floats(0, 1, allow_nan=False)


@given(st.lists(chances, min_size=3, max_size=3))
def test_a_row_is_refused_exactly_when_it_does_not_add_to_one(row: list[float]) -> None:
    whole = abs(sum(row) - 1) <= 1e-6
    assert (problems(with_boiler(alone=tuple(row))) == ()) is whole


@given(st.lists(chances, min_size=4, max_size=4))
def test_a_worse_cause_is_refused_exactly_when_some_step_is_reached_less_often(numbers: list[float]) -> None:
    a, b = numbers[0], numbers[1] * (1 - numbers[0])
    c, d = numbers[2], numbers[3] * (1 - numbers[2])
    mild = Cause.model_validate({"of": "stored_wet", "is": "a little", "gives": {"pitted": a, "holed": b}})
    worse = Cause.model_validate({"of": "stored_wet", "is": "full", "gives": {"pitted": c, "holed": d}})
    ordered = c + d >= a + b - 1e-9 and d >= b - 1e-9
    assert (problems(with_boiler(causes=(mild, worse))) == ()) is ordered


@given(st.lists(chances, min_size=2, max_size=2).filter(lambda row: sum(row) <= 1))
def test_reaching_a_step_is_never_rarer_than_reaching_a_worse_one(row: list[float]) -> None:
    reached = reaches({"pitted": row[0], "holed": row[1]}, LADDER)
    assert list(reached) == sorted(reached, reverse=True)
    assert reached[0] == 1


def test_nobody_asks_is_a_doubt_and_no_refusal() -> None:
    silent = SHEET.model_copy(update={"finding": {}, "reading": {}})
    assert problems(silent) == ()
    assert any("nobody asks" in doubt.what for doubt in warnings(silent))


def test_a_sheet_of_names_and_zones_alone_is_enough() -> None:
    text = """
    [sheet]
    key = "bare"
    name = "Names only"
    version = 1
    describes = "A machine nobody has described yet"
    currency = "EUR"
    price_year = 2026
    [zone.all]
    name = "All round"
    order = 1
    [component.lid]
    name = "Lid"
    zone = "all"
    states = ["sound", "bad"]
    source = "bench"
    """
    sheet = load_sheet(text).sheet
    assert sheet.component["lid"].alone is None
    assert len(sheet.hold) == 10


def test_a_number_comes_back_as_a_sentence() -> None:
    spoken = list(sentences(SHEET))
    assert (
        "By itself, 'stored wet' (full) leaves 'Boiler' pitted in 25, holed in 5 of 100 machines, "
        "standing water under scale. (common practice, no source; worth about 10 finished jobs)"
    ) in spoken
    assert any("'Boiler' (pitted) gives 'Green trail below the seam' 'trail' in 30 of 100" in one for one in spoken)


@pytest.mark.parametrize("name", ["small", "slice"])
def test_every_number_of_every_row_is_spoken(name: str) -> None:
    sheet = load_sheet(GOLDEN / "sheets" / f"{name}.toml").sheet
    spoken = {one.path: one.words for one in said(sheet) if one.path[-2] in {"causes", "shows"}}
    rows = {
        (kind, key, field, place): cause
        for kind, field in (("component", "causes"), ("finding", "shows"), ("reading", "shows"))
        for key, entry in getattr(sheet, kind).items()
        for place, cause in enumerate(getattr(entry, field))
    }
    assert spoken.keys() == rows.keys()
    for path, cause in rows.items():
        for chance in cause.gives.values():
            assert f" in {round(100 * chance, 4):g}" in spoken[path]


def test_every_sentence_names_a_known_source() -> None:
    sheet = load_sheet(GOLDEN / "sheets" / "slice.toml").sheet
    assert {one.source for one in said(sheet)} <= set(sheet.source)


def test_check_exits_by_its_outcome() -> None:
    run = CliRunner()
    fine = run.invoke(command, ["check", str(SMALL)])
    assert fine.exit_code == 0
    assert "Nothing to refuse" in fine.output
    bad = run.invoke(command, ["check", str(GOLDEN / "bad_sheets" / "row-above-one.toml")])
    assert bad.exit_code == 1
    assert "row-above-one.toml, line " in bad.output
    assert "is 1.35, above 1" in bad.output


def test_check_and_show_speak_json() -> None:
    run = CliRunner()
    refused = run.invoke(command, ["check", str(GOLDEN / "bad_sheets" / "unknown-zone.toml"), "--json"])
    assert refused.exit_code == 1
    (problem,) = json.loads(refused.output)["problems"]
    assert set(problem) == {"where", "what", "remedy"}
    shown = json.loads(run.invoke(command, ["show", str(SMALL), "--json"]).output)
    assert shown["sha256"] == load_sheet(SMALL).sha256
    assert set(shown["sentences"][0]) == {"entry", "words", "source", "source_text", "trust"}
    assert sum(shown["priors"]["boiler"].values()) == pytest.approx(1)


def test_priors_follow_from_the_rows_by_hand() -> None:
    # sound: alone 0.90, times no harm from water: 0.7 + 0.2 * 0.90 + 0.1 * 0.70.
    run = CliRunner()
    shown = json.loads(run.invoke(command, ["show", str(SMALL), "--json", "--about", "boiler"]).output)
    assert shown["priors"]["boiler"]["sound"] == pytest.approx(0.90 * (0.7 + 0.2 * 0.90 + 0.1 * 0.70))
    assert all("boiler" in one["entry"] for one in shown["sentences"])
