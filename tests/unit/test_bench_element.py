"""The element in the cases that catch people out."""

from __future__ import annotations

import math

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


def test_a_stamp_for_each_rod_and_an_open_rod_are_told_by_arithmetic() -> None:
    """1300 W stamped on each of two rods, 220 V: 18.6 ohm together; one open reads twice that."""
    both = element(resistance_ohm=220.0**2 / 2600.0, rated_voltage_v=220.0, rated_power_w=1300.0)
    assert both.rods[0].says == "two rods, each of the power on the plate"
    assert both.rods[0].power_w == 2600.0
    one = element(resistance_ohm=2 * 220.0**2 / 2600.0, rated_voltage_v=220.0, rated_power_w=2600.0)
    assert one.rods[0].says == "two rods, one of them open"
    whole = element(resistance_ohm=48.4, rated_voltage_v=220.0, rated_power_w=1000.0)
    assert whole.rods[0].says.startswith("the whole element")
    assert sum(rods.probability for rods in whole.rods) == pytest.approx(1.0, abs=0.02)
    assert element(resistance_ohm=48.4, rated_voltage_v=220.0).rods == ()


def test_cold_figures_on_the_mains_and_the_surface_load_are_ohms_and_joules() -> None:
    found = element(
        resistance_ohm=48.4, rated_voltage_v=220.0, supply_voltage_v=230.0, heated_length_m=0.5, sheath_diameter_m=0.008
    )
    assert found.power_cold_on_supply_w == pytest.approx(230.0**2 / 48.4)
    assert found.current_cold_on_supply_a == pytest.approx(230.0 / 48.4)
    assert found.surface_load_w_per_m2 == pytest.approx(float(found.power_on_supply_w) / (math.pi * 0.008 * 0.5))
    assert element(resistance_ohm=48.4, rated_voltage_v=220.0).surface_load_w_per_m2 is None
