"""Laws of the instruments: monotony, round trips, scaling, edges of validity, guard bands."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.alloys import alloys, resistance_factor
from brasswright.bench.earth import earth, earth_limit
from brasswright.bench.element import cold_resistance_ohm, element
from brasswright.bench.insulation import insulation
from brasswright.bench.limits import verdict
from brasswright.bench.nameplates import likely_nameplates
from brasswright.bench.rating import rated_power_band
from brasswright.bench.saturation import (
    barometer_pa,
    saturation,
    saturation_pressure_pa,
    saturation_temperature_k,
)
from brasswright.errors import OutsideValidity
from brasswright.units import Measured

STEAM_K = st.floats(273.15, 647.0)
OHMS = st.floats(1.0, 15_000.0)
VOLTS = st.floats(90.0, 260.0)
ORDER = {"passed": 0, "not shown": 1, "investigate": 2, "failed": 3}


@given(STEAM_K)
def test_there_and_back_along_the_saturation_line(temperature_k: float) -> None:
    pressure = saturation_pressure_pa(temperature_k=temperature_k)
    assert saturation_temperature_k(pressure_pa=pressure) == pytest.approx(temperature_k, rel=1e-9)


@given(STEAM_K, st.floats(1e-3, 50.0))
def test_hotter_steam_has_more_pressure(temperature_k: float, more: float) -> None:
    hotter = min(temperature_k + more, 647.0)
    below, above = (saturation_pressure_pa(temperature_k=t) for t in (temperature_k, hotter))
    assert above >= below


@given(st.floats(-400.0, 4990.0), st.floats(0.1, 9.9))
def test_higher_up_water_boils_cooler(altitude_m: float, more: float) -> None:
    assert barometer_pa(altitude_m=altitude_m + more) < barometer_pa(altitude_m=altitude_m)
    low, high = (saturation(pressure_gauge_pa=5e4, altitude_m=z) for z in (altitude_m, altitude_m + more))
    assert low.steam_temperature_k is not None
    assert high.steam_temperature_k is not None
    assert high.steam_temperature_k < low.steam_temperature_k


@given(st.floats(2e4, 3e5), st.floats(0.0, 20.0))
def test_air_and_steam_add_up_to_the_pressure(pressure_gauge_pa: float, short_k: float) -> None:
    belongs = saturation(pressure_gauge_pa=pressure_gauge_pa).steam_temperature_k
    assert belongs is not None
    both = saturation(pressure_gauge_pa=pressure_gauge_pa, temperature_k=belongs - short_k)
    assert both.air_pa is not None
    assert both.steam_pressure_absolute_pa is not None
    assert both.air_pa + both.steam_pressure_absolute_pa == pytest.approx(both.pressure_absolute_pa)
    assert both.temperature_short_k == pytest.approx(short_k, abs=1e-6)
    assert both.air_pa >= -1e-3


@given(st.floats(-1e6, 1e6))
def test_outside_the_saturation_line_is_refused(temperature_k: float) -> None:
    if 273.15 <= temperature_k <= 647.096:
        assert saturation_pressure_pa(temperature_k=temperature_k) > 0
    elif temperature_k not in {-999.0, -9999.0}:
        with pytest.raises(OutsideValidity):
            saturation_pressure_pa(temperature_k=temperature_k)


@given(OHMS, VOLTS, st.floats(1.01, 1.3))
def test_power_goes_with_the_square_of_the_voltage(ohms: float, volts: float, times: float) -> None:
    one = element(resistance_ohm=ohms, rated_voltage_v=volts)
    other = element(resistance_ohm=ohms, rated_voltage_v=volts, supply_voltage_v=volts * times)
    assert other.power_on_supply_w == pytest.approx(one.power_on_supply_w * times**2)
    assert other.power_cold_w == one.power_cold_w


@given(OHMS, VOLTS, st.floats(1.001, 1.3))
def test_more_resistance_is_less_power(ohms: float, volts: float, times: float) -> None:
    more, less = (element(resistance_ohm=r, rated_voltage_v=volts) for r in (ohms, ohms * times))
    assert less.power_cold_w < more.power_cold_w
    assert less.current_hot_a < more.current_hot_a


@given(OHMS, VOLTS)
def test_power_is_voltage_times_current(ohms: float, volts: float) -> None:
    result = element(resistance_ohm=ohms, rated_voltage_v=volts)
    assert result.current_hot_a * volts == pytest.approx(result.power_hot_w)
    assert result.current_cold_a * result.net_resistance_ohm == pytest.approx(volts)


@given(st.floats(50.0, 5000.0), VOLTS)
def test_what_a_plate_calls_for_gives_its_power_back(watts: float, volts: float) -> None:
    ohms = cold_resistance_ohm(rated_voltage_v=volts, rated_power_w=watts)
    assert element(resistance_ohm=ohms, rated_voltage_v=volts).power_hot_w == pytest.approx(watts)


@given(st.sampled_from(sorted(alloys())), st.floats(293.15, 1373.0))
def test_a_wire_factor_stays_between_its_rows(alloy: str, temperature_k: float) -> None:
    table = alloys()[alloy]
    factor = resistance_factor(alloy=alloy, temperature_k=temperature_k)
    assert table.factors.min() <= factor <= table.factors.max()


@given(st.floats(1.0, 20_000.0))
def test_the_rated_power_lies_inside_its_own_band(watts: float) -> None:
    band = rated_power_band(rated_power_w=watts)
    assert band.low_w < watts < band.high_w


@given(st.floats(4.0, 600.0))
def test_chances_of_plates_are_chances(ohms: float) -> None:
    plates = likely_nameplates(resistance_ohm=ohms)
    assert sum(plate.probability for plate in plates) <= 1 + 1e-9
    assert all(0 < plate.probability <= 1 for plate in plates)


@given(st.floats(0.1, 99.0), st.floats(0.0, 1.0), st.sampled_from(["workshop", "vde", "iet", "en-50106"]))
def test_a_longer_cord_never_has_a_lower_limit(metres: float, more: float, rule: str) -> None:
    longer = earth_limit(rule=rule, cord_length_m=min(metres + more, 100.0))
    assert longer.limit_ohm >= earth_limit(rule=rule, cord_length_m=metres).limit_ohm


@given(st.floats(0.0, 5.0), st.floats(0.0, 1.0))
def test_more_earth_resistance_is_never_a_better_outcome(ohms: float, more: float) -> None:
    low, high = (
        earth(resistance_ohm=r, resistance_sigma_ohm=0.01, tester="low-ohm tester") for r in (ohms, ohms + more)
    )
    assert ORDER[high.outcome] >= ORDER[low.outcome]


@given(st.floats(1e3, 1e9), st.floats(1.0, 10.0))
def test_more_insulation_is_never_a_worse_outcome(ohms: float, times: float) -> None:
    low, high = (
        insulation(resistance_ohm=r, test_voltage_v=500.0, circuit_closed=True, tester="insulation tester")
        for r in (ohms, ohms * times)
    )
    assert ORDER[high.outcome] <= ORDER[low.outcome]


@given(st.floats(0.0, 1e3), st.sampled_from(["multimeter", "insulation tester", "other", ""]))
def test_no_reading_of_a_multimeter_passes_the_earth(ohms: float, tester: str) -> None:
    assert earth(resistance_ohm=ohms, tester=tester).outcome == "not shown"


@given(
    st.floats(0.0, 2.0),
    st.floats(0.0, 0.5),
    st.floats(0.0, 0.5),
    st.floats(0.1, 1.0),
    st.sampled_from(["most", "least"]),
)
def test_more_uncertainty_never_turns_into_a_pass(
    value: float, sigma: float, more: float, limit: float, at: str
) -> None:
    sure, unsure = (
        verdict(
            value=Measured(value, spread), limit=limit, at="most" if at == "most" else "least", standard="a standard",
            instrument="tester", circuit="",
        ).outcome
        for spread in (sigma, sigma + more)
    )  # fmt: skip
    assert not (unsure == "passed" and sure != "passed")
    assert not (unsure == "failed" and sure != "failed")
    right_side = value <= limit if at == "most" else value >= limit
    assert right_side or sure in {"investigate", "failed"}
    assert math.isfinite(value)
