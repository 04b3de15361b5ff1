"""Leakage current in the cases that catch people out, and its laws."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.leakage import leakage, leakage_limit
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity
from brasswright.tables import rows

FULL: Final[dict[str, Any]] = {
    "current_a": 0.3e-3, "method": "differential", "circuit_closed": True, "both_polarities": True,
    "tester": "appliance tester",
}  # fmt: skip
ORDER: Final = {"passed": 0, "not shown": 1, "investigate": 2, "failed": 3}
RULES: Final = sorted({row["key"] for row in rows("leakage_limits")})
EQUIPMENT: Final = ("class I portable", "class I stationary heating")


@pytest.mark.parametrize(
    ("stated", "outcome"),
    [
        ({}, "passed"),
        ({"method": ""}, "not shown"),
        ({"both_polarities": None}, "not shown"),
        ({"both_polarities": False}, "not shown"),
        ({"method": "substitute", "both_polarities": None}, "passed"),
        ({"circuit_closed": None}, "not shown"),
        ({"circuit_closed": False}, "not shown"),
        ({"tester": ""}, "not shown"),
        ({"tester": "multimeter"}, "not shown"),
        ({"rule": "iec-60335-1"}, "not shown"),
    ],
)
def test_what_a_leakage_reading_needs_to_pass(stated: dict[str, object], outcome: str) -> None:
    assert leakage(**{**FULL, **stated}).outcome == outcome


@pytest.mark.parametrize("hidden", [{"circuit_closed": False}, {"both_polarities": False}, {"rule": "iec-60335-1"}])
def test_too_much_current_fails_even_where_some_was_hidden(hidden: dict[str, object]) -> None:
    result = leakage(**{**FULL, "current_a": 12e-3, **hidden})
    assert result.outcome == "failed"
    assert any("Unplug" in note for note in result.warnings)


def test_too_much_current_on_a_meter_that_cannot_show_it_is_not_shown() -> None:
    assert leakage(**{**FULL, "current_a": 12e-3, "tester": "multimeter"}).outcome == "not shown"


def test_bounds_pass_or_fail_by_their_side() -> None:
    below = {**FULL, "current_a": 0.1e-3, "current_censored": "below resolution"}
    assert leakage(**below).outcome == "passed"
    over = {**FULL, "current_a": 20e-3, "current_censored": "over range"}
    assert leakage(**over).outcome == "failed"
    silent = {**FULL, "current_a": None, "current_censored": "below resolution"}
    assert leakage(**silent).outcome == "not shown"
    with pytest.raises(ImpossibleValue, match="No reading"):
        leakage(method="direct")


def test_the_uncertainty_of_the_test_voltage_counts() -> None:
    substitute = {
        **FULL, "current_a": 0.30e-3, "current_sigma_a": 1e-6, "method": "substitute", "test_voltage_v": 100.0,
        "rated_voltage_v": 230.0,
    }  # fmt: skip
    assert leakage(**substitute).outcome == "passed"
    assert leakage(**substitute, test_voltage_sigma_v=5.0).outcome == "not shown"


def test_rules_are_told_apart_and_the_others_are_named() -> None:
    result = leakage(**FULL, rule="vde", rated_power_w=1000.0)
    assert result.kind == "in service"
    assert any("type test" in other for other in result.other_limits)
    assert not any(other.startswith("DIN VDE") for other in result.other_limits)
    assert any("plain figure" in note for note in result.warnings)


def test_unknown_rules_and_methods_are_refused() -> None:
    with pytest.raises(NotFound, match="iet-4"):
        leakage_limit(rule="grandfather")
    with pytest.raises(NotFound, match="differential"):
        leakage(current_a=1e-3, method="by nose")
    with pytest.raises(OutsideValidity):
        leakage_limit(rated_power_w=0.0)


def test_samples_are_judged_by_mean_and_spread() -> None:
    tight = np.random.default_rng(3).normal(0.5e-3, 0.01e-3, 1000)
    wide = np.random.default_rng(3).normal(0.7e-3, 0.1e-3, 1000)
    assert leakage(**{**FULL, "current_a": tight}).outcome == "passed"
    assert leakage(**{**FULL, "current_a": wide}).outcome == "not shown"


@given(st.sampled_from(RULES), st.sampled_from(EQUIPMENT), st.floats(1.0, 20_000.0), st.floats(1.0, 3.0))
def test_a_stronger_element_never_has_a_lower_limit(rule: str, equipment: str, watts: float, times: float) -> None:
    weak, strong = (
        leakage_limit(rule=rule, equipment=equipment, rated_power_w=min(power, 20_000.0))
        for power in (watts, watts * times)
    )
    assert strong.limit_a >= weak.limit_a
    assert weak.limit_a >= leakage_limit(rule=rule, equipment=equipment).limit_a
    assert weak.reject_a >= weak.limit_a
    assert strong.limit_a <= 10e-3


@given(st.floats(0.0, 0.05), st.floats(0.0, 0.05), st.sampled_from(RULES))
def test_more_current_is_never_a_better_outcome(amps: float, more: float, rule: str) -> None:
    low, high = (leakage(**{**FULL, "current_a": one, "rule": rule}) for one in (amps, amps + more))
    assert ORDER[high.outcome] >= ORDER[low.outcome]


@given(st.floats(1e-6, 0.05), st.floats(20.0, 300.0), st.floats(100.0, 250.0))
def test_current_goes_with_the_voltage(amps: float, tested: float, rated: float) -> None:
    result = leakage(current_a=amps, method="substitute", test_voltage_v=tested, rated_voltage_v=rated)
    assert result.at_rated_a is not None
    assert result.equivalent_ohm is not None
    assert result.at_rated_a / rated == pytest.approx(amps / tested)
    assert result.equivalent_ohm == pytest.approx(tested / amps)
