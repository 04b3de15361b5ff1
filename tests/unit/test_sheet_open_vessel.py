"""An open vessel has hold points of its own words; no machine under pressure can have them."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from brasswright.errors import SheetRefused
from brasswright.holds.points import released_holds, stand
from brasswright.holds.proofs import proof_gap
from brasswright.journal.entries import Disturbed, Proved, Released
from brasswright.sheets.load import LoadedSheet, from_bytes, load_packaged, load_sheet, packaged
from brasswright.sheets.merge import PACKAGED
from brasswright.sheets.open_vessel import OPEN, WORDS
from tests.builders import arrived, job_of

SMALL = (Path(__file__).parent.parent / "golden" / "sheets" / "small.toml").read_text(encoding="utf-8")
PRESSURE = [key for key in packaged() if not load_packaged(key).sheet.sheet.open_vessel]
KEPT_OF_HOLDS = ("number", "guards", "proofs", "after", "broken_by")
KEPT_OF_TESTS = (
    "quantity",
    "at_most",
    "at_least",
    "fails_above",
    "fails_below",
    "standard",
    "needs",
    "broken_by",
    "reading",
    "after",
    "follows",
    "during",
    "test_voltage_v",
)


def flagged(text: str, said: str = "true") -> str:
    return text.replace("[sheet]\n", f"[sheet]\nopen_vessel = {said}\n", 1)


@pytest.fixture(scope="module")
def kettle() -> LoadedSheet:
    return load_sheet(flagged(SMALL))


@pytest.fixture(scope="module")
def boiler() -> LoadedSheet:
    return load_sheet(SMALL)


def test_only_words_change_and_never_what_is_guarded_or_a_figure(kettle: LoadedSheet, boiler: LoadedSheet) -> None:
    assert list(kettle.sheet.hold) == list(boiler.sheet.hold)
    assert list(kettle.sheet.proving) == list(boiler.sheet.proving)
    for key, hold in boiler.sheet.hold.items():
        assert all(getattr(kettle.sheet.hold[key], word) == getattr(hold, word) for word in KEPT_OF_HOLDS), key
    for key, test in boiler.sheet.proving.items():
        assert all(getattr(kettle.sheet.proving[key], word) == getattr(test, word) for word in KEPT_OF_TESTS), key


def test_electricity_is_proved_the_same_way(kettle: LoadedSheet, boiler: LoadedSheet) -> None:
    hold = boiler.sheet.hold["dead_electrics"]
    assert kettle.sheet.hold["dead_electrics"] == hold
    assert all(kettle.sheet.proving[test] == boiler.sheet.proving[test] for test in hold.proofs)


def test_a_kettle_is_not_asked_for_a_gauge_a_pump_or_a_valve(kettle: LoadedSheet) -> None:
    said = [kettle.sheet.proving[test] for hold in ("cold_pressure", "safety_valve") for test in _proofs(kettle, hold)]
    assert said
    assert all("gauge" not in test.instrument and "bench" not in test.instrument for test in said)
    assert all(not {"valve", "glass", "water_test"} & set(test.does) for test in said)
    assert any("nothing on it" in words for words in kettle.sheet.hold["cold_pressure"].statements)


def _proofs(loaded: LoadedSheet, hold: str) -> tuple[str, ...]:
    return loaded.sheet.hold[hold].proofs


@pytest.mark.parametrize(
    ("swap", "place"),
    [
        ("[sheet]\nboiler_limit_bar = 1.8\n", "sheet.boiler_limit_bar"),
        ('[proving.safety_valve_bench]\nquantity = "pressure_gauge"\nat_most = "1.8 bar"\n[sheet]\n', "at_most"),
        ('[proving.leak_down]\nat_most = "0.1 bar"\n[sheet]\n', "proving.leak_down"),
    ],
)
def test_a_limit_in_bar_is_refused_on_an_open_vessel(swap: str, place: str) -> None:
    with pytest.raises(SheetRefused) as refused:
        load_sheet(flagged(SMALL.replace("[sheet]\n", swap, 1)))
    assert any(place in problem.where and "under pressure" in problem.what for problem in refused.value.problems)


@pytest.mark.parametrize("act", ["valve", "glass", "water_test", "nip"])
def test_an_act_of_a_boiler_is_refused_on_an_open_vessel(act: str) -> None:
    text = SMALL.replace('does = ["opens_envelope"]', f'does = ["opens_envelope", "{act}"]', 1)
    assert text != SMALL
    load_sheet(text)
    with pytest.raises(SheetRefused, match="open_vessel"):
        load_sheet(flagged(text))


def test_an_act_hidden_in_a_step_is_found_too() -> None:
    text = SMALL.replace('skill = "send-out" }', 'skill = "send-out", does = ["valve"] }', 1)
    assert text != SMALL
    with pytest.raises(SheetRefused, match="open_vessel"):
        load_sheet(flagged(text))


@pytest.mark.parametrize("key", PRESSURE)
def test_no_packaged_boiler_can_pass_for_a_kettle(key: str) -> None:
    path = PACKAGED / f"{key}.toml"
    with pytest.raises(SheetRefused, match="under pressure"):
        load_sheet(flagged(path.read_text(encoding="utf-8")), name=path.name, beside=PACKAGED)


@pytest.mark.parametrize("key", PRESSURE)
def test_pinned_bytes_of_a_boiler_that_claim_a_kettle_keep_the_boilers_hold_points(key: str) -> None:
    true = load_packaged(key)
    tables: dict[str, Any] = json.loads(true.raw)
    tables["sheet"]["open_vessel"] = True
    forged = from_bytes(json.dumps(tables).encode()).sheet
    assert forged.hold == true.sheet.hold
    assert forged.proving == true.sheet.proving


@pytest.mark.parametrize("said", ['"yes"', "1", "0"])
def test_only_a_plain_true_opens_a_vessel(said: str, boiler: LoadedSheet) -> None:
    try:
        loaded = load_sheet(flagged(SMALL, said))
    except SheetRefused:
        return
    assert loaded.sheet.hold == boiler.sheet.hold


def test_pinned_bytes_of_a_kettle_give_the_same_kettle(kettle: LoadedSheet) -> None:
    assert from_bytes(kettle.raw) == kettle


def test_a_sheet_cannot_bring_words_of_its_own_for_a_hold_point_of_a_kettle(kettle: LoadedSheet) -> None:
    tables: dict[str, Any] = json.loads(kettle.raw)
    tables["hold"]["cold_pressure"]["statements"] = []
    assert from_bytes(json.dumps(tables).encode()).sheet.hold == kettle.sheet.hold


def test_what_is_said_anew_is_of_hold_points_and_tests_that_there_are(boiler: LoadedSheet) -> None:
    words = tomllib.loads((PACKAGED / OPEN).read_text(encoding="utf-8"))
    assert set(words) == set(WORDS)
    assert set(words["hold"]) <= set(boiler.sheet.hold)
    assert set(words["proving"]) <= set(boiler.sheet.proving)
    for kind, fields in WORDS.items():
        assert all(set(entry) <= fields for entry in words[kind].values())


@pytest.mark.parametrize(
    "swap", ["unit = 3\n[sheet]\n", "[proving]\nleak_down = 3\n[sheet]\n", "[unit.lid]\ndoes = 3\n[sheet]\n"]
)
def test_nonsense_in_a_kettle_is_refused_as_nonsense(swap: str) -> None:
    with pytest.raises(SheetRefused):
        load_sheet(flagged(f'{swap}key = "x"\n'))


def proved_with_its_own(loaded: LoadedSheet) -> list[Proved]:
    """Every test passed with the instrument and circuit state that the sheet itself asks for."""
    tests = loaded.sheet.proving.items()
    return [Proved(test=key, outcome="passed", instrument=one.instrument, circuit=one.circuit) for key, one in tests]


def released_by_its_own(loaded: LoadedSheet) -> list[Released]:
    return [Released(hold=key, statements=hold.statements) for key, hold in loaded.sheet.hold.items()]


def test_a_kettle_is_released_with_paper_and_thermometer(kettle: LoadedSheet) -> None:
    proofs = proved_with_its_own(kettle)
    assert {"dry paper", "thermometer"} <= {proof.instrument for proof in proofs}
    assert not [proof.test for proof in proofs if "gauge" in proof.instrument or "bench" in proof.instrument]
    job = job_of(arrived(), *proofs, *released_by_its_own(kettle))
    assert released_holds(job, kettle.sheet) == set(kettle.sheet.hold)


def test_a_joint_of_the_kettle_that_is_opened_has_to_be_filled_again(kettle: LoadedSheet) -> None:
    opened = Disturbed(acts=("opens_envelope",), words="element out again")
    job = job_of(arrived(), *proved_with_its_own(kettle), *released_by_its_own(kettle), opened)
    states = stand(job, kettle.sheet)
    assert {states[key].status for key in ("cold_pressure", "water_over_element", "first_power")} == {"broken"}
    assert any("brim" in want for want in states["cold_pressure"].wants)


def test_paper_and_thermometer_release_no_boiler(kettle: LoadedSheet, boiler: LoadedSheet) -> None:
    job = job_of(arrived(), *proved_with_its_own(kettle), *released_by_its_own(kettle))
    held = set(boiler.sheet.hold) - released_holds(job, boiler.sheet)
    assert {"cold_pressure", "safety_valve", "water_over_element", "first_power", "release"} <= held
    assert proof_gap("air_free_cold_pressure", job, boiler.sheet)[0]
