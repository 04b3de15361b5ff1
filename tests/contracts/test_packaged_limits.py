"""Limits of packaged machines: no valve may open above its vessel's limit, and the core's words fit every machine."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.sheets.load import load_packaged, packaged
from brasswright.units import parse

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet


@pytest.fixture(scope="module", params=packaged())
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return load_packaged(request.param).sheet


def test_a_safety_valve_opens_at_or_below_the_limit_of_its_vessel(sheet: Sheet) -> None:
    bears = sheet.sheet.boiler_limit_bar
    test = sheet.proving["safety_valve_bench"]
    if bears is None:
        assert test.at_most is None
        return
    assert test.at_most is not None
    opens = parse(test.at_most, dimension="pressure_gauge").value
    limit = parse(f"{bears} bar", dimension="pressure_gauge").value
    assert opens is not None
    assert limit is not None
    assert opens <= limit


def test_the_first_heat_cycle_can_be_passed_without_a_cut_out_and_no_looser(sheet: Sheet) -> None:
    test = sheet.proving["heat_cycle_one"]
    if sheet.sheet.open_vessel:
        assert "thermostat" in test.limit_words
        return
    assert "the hand at the switch where it has none" in test.limit_words
    assert "within 0.05 bar over five cycles" in test.limit_words
    assert any(words.startswith("One missed cut-out") for words in test.cautions)


def test_the_insulation_test_closes_what_the_machine_has(sheet: Sheet) -> None:
    for key in ("insulation_resistance", "electrical_retest_hot", "electrical_retest_cold"):
        circuit = sheet.proving[key].circuit
        assert "everything up to the element closed" in circuit, key
        assert all(part in circuit for part in ("switch", "thermostat", "pressurestat", "where it has them")), key
