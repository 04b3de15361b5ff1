"""Earth and insulation in the cases that catch people out."""

from __future__ import annotations

import numpy as np
import pytest

from brasswright.bench.earth import cord_resistance_ohm, earth, earth_limit
from brasswright.bench.insulation import insulation, insulation_limit
from brasswright.errors import ImpossibleValue, NotFound


def test_an_unknown_cord_gets_the_strictest_limit_of_its_rule() -> None:
    for rule in ("workshop", "vde", "en-50678", "iet", "en-50106", "iec-60335-1"):
        known = earth_limit(rule=rule, cord_length_m=2.0)
        assert earth_limit(rule=rule).limit_ohm <= known.limit_ohm
    assert any("Cord length" in note for note in earth(resistance_ohm=0.05, tester="low-ohm tester").warnings)


def test_the_kinds_of_test_are_kept_apart() -> None:
    kinds = {rule: earth_limit(rule=rule).kind for rule in ("workshop", "vde", "iet", "en-50106", "iec-60335-1")}
    assert kinds == {
        "workshop": "workshop practice",
        "vde": "in service",
        "iet": "in service",
        "en-50106": "production test",
        "iec-60335-1": "type test",
    }
    result = earth(resistance_ohm=0.05, tester="appliance tester", rule="iec-60335-1")
    assert result.outcome == "not shown"
    assert "25 A" in result.meaning
    assert "type test" in result.meaning


def test_unknown_rules_sections_and_missing_readings_are_refused() -> None:
    with pytest.raises(NotFound, match="workshop"):
        earth_limit(rule="grandfather")
    with pytest.raises(NotFound, match=r"0\.75"):
        cord_resistance_ohm(length_m=2.0, section_m2=0.9e-6)
    with pytest.raises(ImpossibleValue):
        earth(tester="low-ohm tester")
    with pytest.raises(ImpossibleValue, match="leads"):
        earth(resistance_ohm=0.1, lead_resistance_ohm=0.2)
    with pytest.raises(ImpossibleValue):
        insulation(tester="insulation tester")
    with pytest.raises(NotFound, match="iet"):
        insulation_limit(rule="grandfather")
    with pytest.raises(NotFound, match="class II"):
        insulation_limit(rule="workshop", protective_class="class III")


def test_a_reading_near_the_limit_without_uncertainty_is_not_shown() -> None:
    assert earth(resistance_ohm=0.09, tester="low-ohm tester").outcome == "not shown"
    assert earth(resistance_ohm=0.09, resistance_sigma_ohm=0.001, tester="low-ohm tester").outcome == "passed"


def test_samples_are_judged_by_mean_and_spread() -> None:
    tight = np.random.default_rng(3).normal(0.06, 0.002, 1000)
    wide = np.random.default_rng(3).normal(0.09, 0.02, 1000)
    assert earth(resistance_ohm=tight, tester="low-ohm tester").outcome == "passed"
    assert earth(resistance_ohm=wide, tester="low-ohm tester").outcome == "not shown"


@pytest.mark.parametrize(
    ("stated", "outcome"),
    [
        ({}, "passed"),
        ({"circuit_closed": None}, "not shown"),
        ({"circuit_closed": False}, "not shown"),
        ({"test_voltage_v": None}, "not shown"),
        ({"test_voltage_v": 250.0}, "not shown"),
        ({"test_voltage_v": 495.0}, "passed"),
        ({"tester": "multimeter"}, "not shown"),
        ({"tester": ""}, "not shown"),
    ],
)
def test_what_an_insulation_reading_needs_to_prove_anything(stated: dict[str, object], outcome: str) -> None:
    full: dict[str, object] = {
        "resistance_ohm": 20e6, "test_voltage_v": 500.0, "circuit_closed": True, "tester": "insulation tester",
    }  # fmt: skip
    assert insulation(**{**full, **stated}).outcome == outcome  # type: ignore[arg-type] # mixed keywords


def test_a_relaxed_limit_needs_its_power() -> None:
    heating = "class I with heating elements"
    below = insulation(resistance_ohm=0.5e6, rule="iet", protective_class=heating, rated_power_w=1200.0)
    assert below.protective_class == "class I"
    assert any("does not hold" in note for note in below.warnings)
    above = insulation_limit(rule="iet", protective_class=heating, rated_power_w=3500.0)
    assert above.limit_ohm < below.limit_ohm


def test_a_dead_short_has_no_leakage_figure() -> None:
    result = insulation(resistance_ohm=0.0, test_voltage_v=500.0, circuit_closed=True, tester="insulation tester")
    assert result.leakage_a is None
    assert result.outcome == "failed"


def test_a_test_current_that_was_not_stated_is_taken_as_the_least_and_said() -> None:
    silent = earth(resistance_ohm=0.06, tester="low-ohm tester", cord_length_m=2.0)
    assert silent.outcome == "passed"
    assert any("Test current not stated: taken as the 0.2 A" in words for words in silent.warnings)
    stated = earth(resistance_ohm=0.06, tester="low-ohm tester", cord_length_m=2.0, test_current_a=10.0)
    assert not any("Test current" in words for words in stated.warnings)
    weak = earth(resistance_ohm=0.06, tester="low-ohm tester", cord_length_m=2.0, test_current_a=0.01)
    assert weak.outcome == "not shown"


def test_a_failed_reading_is_told_to_dry_unpowered_and_be_measured_again() -> None:
    full = {"test_voltage_v": 500.0, "circuit_closed": True, "tester": "insulation tester"}
    failed = insulation(resistance_ohm=0.2e6, **full)  # type: ignore[arg-type] # mixed keywords
    said = " ".join(failed.warnings)
    assert failed.outcome == "failed"
    assert "damp" in said
    assert "never by powering it" in said
    assert "measure again" in said
    assert insulation(resistance_ohm=20e6, **full).warnings == ()  # type: ignore[arg-type] # mixed keywords
