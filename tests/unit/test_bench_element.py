"""The element in the cases that catch people out."""

from __future__ import annotations

import pytest

from brasswright.bench.element import cold_resistance_ohm, element
from brasswright.bench.nameplates import likely_nameplates
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity


def test_leads_longer_than_the_reading_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="leads"):
        element(resistance_ohm=1.0, rated_voltage_v=220.0, lead_resistance_ohm=1.0)


def test_an_alloy_nobody_tabled_is_refused() -> None:
    with pytest.raises(NotFound, match="Cr20Ni80"):
        element(resistance_ohm=48.4, rated_voltage_v=220.0, alloy="copper")


@pytest.mark.parametrize(("ohms", "rating"), [(48.4, "within"), (60.0, "below"), (40.0, "above")])
def test_the_plate_and_the_reading(ohms: float, rating: str) -> None:
    result = element(resistance_ohm=ohms, rated_voltage_v=220.0, rated_power_w=1000.0)
    assert result.rating == rating
    assert (not result.warnings) == (rating == "within")


def test_the_hot_power_lies_between_the_alloys() -> None:
    result = element(resistance_ohm=48.4, rated_voltage_v=220.0)
    assert result.power_hot_low_w < result.power_hot_w < result.power_hot_high_w <= result.power_cold_w


def test_plates_are_ranked_and_never_surer_than_sure() -> None:
    plates = likely_nameplates(resistance_ohm=48.4)
    chances = [plate.probability for plate in plates]
    assert chances == sorted(chances, reverse=True)
    assert 0.9 < sum(chances) <= 1 + 1e-9
    pairs = {(plate.rated_voltage_v, plate.rated_power_w) for plate in plates}
    assert {(220.0, 1000.0), (230.0, 1100.0)} <= pairs


def test_a_stated_plate_moves_the_ranking_but_does_not_silence_the_reading() -> None:
    stated = likely_nameplates(resistance_ohm=15.2, rated_voltage_v=220.0, rated_power_w=1000.0)
    assert stated[0].rated_voltage_v != 220.0 or stated[0].rated_power_w != 1000.0
    assert stated[0].rated_voltage_v ** 2 / stated[0].rated_power_w == pytest.approx(15.2, rel=0.12)


def test_a_reading_no_plate_explains_is_said_so() -> None:
    result = element(resistance_ohm=19_000.0, rated_voltage_v=220.0)
    assert result.nameplates == ()
    assert any("No usual nameplate" in warning for warning in result.warnings)


def test_what_to_expect_cold_is_the_way_back() -> None:
    ohms = cold_resistance_ohm(rated_voltage_v=220.0, rated_power_w=1000.0)
    assert element(resistance_ohm=ohms, rated_voltage_v=220.0).power_hot_w == pytest.approx(1000.0)
    with pytest.raises(OutsideValidity):
        cold_resistance_ohm(rated_voltage_v=220.0, rated_power_w=0.0)
