"""Beginning a sheet by names and zones, and trying out what a sheet makes of answers."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import click.testing
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.cli.main import cli
from brasswright.errors import ImpossibleValue, NotFound, UnitRefused
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import judge
from brasswright.judgement.what_if import what_if
from brasswright.sheets.begin import Beginning, Place, key_for, sheet_text
from brasswright.sheets.check import warnings
from brasswright.sheets.load import load_sheet
from tests.builders import arrived, job_of
from tests.networks import enumerated, small_sheet
from tests.unit.commands_bench import run

if TYPE_CHECKING:
    from pathlib import Path

names = st.text(min_size=1, max_size=30).filter(lambda text: any(c.isascii() and c.isalnum() for c in text))


def beginning(*places: Place, name: str = "Quay kettle") -> Beginning:
    return Beginning(name, "", "EUR", 2026, places)


@given(name=names, zone=names, parts=st.lists(names, min_size=1, max_size=5, unique_by=str.casefold))
def test_whatever_is_named_makes_a_sheet_that_passes_and_stays_silent(name: str, zone: str, parts: list[str]) -> None:
    loaded = load_sheet(sheet_text(beginning(Place(zone, tuple(parts)), name=name)))
    assert [part.name for part in loaded.sheet.component.values()] == [part.strip() for part in parts]
    assert warnings(loaded.sheet, loaded.places) == ()
    seen = judge(loaded.sheet, job_of(arrived()))
    assert {odds.stage for odds in seen.odds.values()} == {"silent"}
    assert all(odds.p == () for odds in seen.odds.values())


def test_keys_are_plain_and_told_apart() -> None:
    assert key_for("Füße, vorn") == "fue_vorn"
    assert key_for("2nd spring") == "no_2nd_spring"
    assert key_for("Lid", ["lid", "lid_2"]) == "lid_3"
    with pytest.raises(ImpossibleValue):
        key_for("--")


@pytest.mark.parametrize(
    "wanted",
    [
        beginning(Place("Outside", ("flex",)), name=" "),
        beginning(),
        beginning(Place("Outside")),
        beginning(Place("Outside", ("Flex",)), Place("Inside", ("flex",))),
    ],
)
def test_a_beginning_without_names_is_refused(wanted: Beginning) -> None:
    with pytest.raises(ImpossibleValue):
        sheet_text(wanted)


def test_the_command_asks_zone_by_zone(tmp_path: Path) -> None:
    file = tmp_path / "urn.toml"
    said = "Old urn\n\nOutside\nflex\nlid\n\nInside\nboiler\n\n\n"
    done = click.testing.CliRunner().invoke(cli, ["sheet", "new", str(file)], input=said)
    assert done.exit_code == 0, done.output
    assert list(load_sheet(file).sheet.component) == ["flex", "lid", "boiler"]
    assert "2 zones, 3 components" in done.output


def test_a_sheet_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    file = tmp_path / "urn.toml"
    file.write_text("mine", encoding="utf-8")
    refused = run("sheet", "new", file, "--name", "Urn", "--zone", "Outside: flex")
    assert refused.code == 1
    assert "there already" in refused.err
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_zone_without_a_colon_is_refused(tmp_path: Path) -> None:
    assert run("sheet", "new", tmp_path / "urn.toml", "--name", "Urn", "--zone", "Outside flex").code == 1
    assert not (tmp_path / "urn.toml").exists()


def test_what_if_is_what_adding_up_every_case_says() -> None:
    sheet = small_sheet()
    moved = {one.component: one for one in what_if(sheet, {"trail": "drip", "stored_wet": "yes"})}
    rows = {node_of("finding", "trail"): [0.0, 0.0, 1.0], node_of("history", "stored_wet"): [0.0, 1.0]}
    _, odds = enumerated(compile_network(sheet), rows)  # type: ignore[arg-type]
    assert moved["seam"].after == pytest.approx(tuple(odds[node_of("component", "seam")]), rel=1e-9)
    assert moved["shell"].after == pytest.approx(tuple(odds[node_of("component", "shell")]), rel=1e-9)


def test_what_if_takes_readings_and_conditions() -> None:
    moved = {one.component: one for one in what_if(small_sheet(), {"wall": "0.4 mm", "seam": "weeping"})}
    assert moved["seam"].after == (0.0, 1.0)
    assert moved["shell"].after[2] > 0.9


@pytest.mark.parametrize(
    ("said", "error", "says"),
    [
        ({"stored_wett": "yes"}, NotFound, "stored_wet"),
        ({"stored_wet": "soaked"}, NotFound, "no, yes"),
        ({"wall": "3 V"}, UnitRefused, "unit"),
    ],
)
def test_unknown_words_are_refused_with_the_nearest(said: dict[str, str], error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        what_if(small_sheet(), said)


def test_what_cannot_be_is_said_to_be_so() -> None:
    plain = small_sheet().model_dump(by_alias=True)
    plain["finding"]["scale"]["false_alarm"] = {}
    sheet = type(small_sheet()).model_validate(plain)
    with pytest.raises(ImpossibleValue, match="cannot all be so"):
        what_if(sheet, {"scale": "crust", "shell": "sound"})


def test_the_command_tries_a_packaged_sheet() -> None:
    done = run("sheet", "try", "home-spring-lever", "stored_wet=yes", "--json")
    told = {one["component"]: one for one in json.loads(done.out)}
    assert told["boiler_shell"]["after"][0] < told["boiler_shell"]["before"][0]
    assert run("sheet", "try", "home-spring-lever", "stored_wet").code == 2
    assert run("sheet", "try", "home-spring-lever", "stored_wet=yes", "stored_wet=no").code == 2


def test_check_tells_the_size_of_the_tree() -> None:
    assert re.search(r"tree of its odds has [\d,]+ entries", run("sheet", "check", "home-spring-lever").out)
