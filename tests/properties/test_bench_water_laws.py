"""Laws of water chemistry: nothing is lost, equilibrium holds, more of the cause gives more of the effect."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.bench.carbonate import Dissolved, Water, deposit, heated, speciate
from brasswright.bench.carbonate_constants import debye_hueckel
from brasswright.bench.water import water
from brasswright.bench.water_care import langelier_index

HARD = st.floats(1e-4, 6e-3)
SOFT = st.floats(0.0, 3e-3)
ALKALINITY = st.floats(3e-4, 8e-3)
PH = st.floats(6.3, 8.8)
COLD = st.floats(278.0, 303.0)
HOT = st.floats(330.0, 408.0)


@st.composite
def waters(draw: st.DrawFn) -> Dissolved:
    mixed = Water(draw(HARD), draw(SOFT), draw(SOFT), draw(SOFT), draw(SOFT))
    return speciate(mixed, alkalinity=draw(ALKALINITY), temperature_k=draw(COLD), ph=draw(PH))


@given(waters(), HOT)
def test_heat_alone_changes_no_total_and_comes_back(cold: Dissolved, kelvins: float) -> None:
    hot = heated(cold, temperature_k=kelvins)
    assert hot.totals[1:] == pytest.approx(cold.totals[1:], rel=1e-6, abs=1e-11)
    assert hot.alkalinity == pytest.approx(cold.alkalinity, rel=1e-6)
    assert heated(hot, temperature_k=cold.temperature_k).ph == pytest.approx(cold.ph, abs=1e-6)


@given(waters(), HOT)
def test_limescale_takes_calcium_and_carbonate_one_to_one(cold: Dissolved, kelvins: float) -> None:
    hot = heated(cold, temperature_k=kelvins)
    fallen = deposit(hot)
    x = float(fallen.amount)
    assert fallen.left.totals[2] == pytest.approx(hot.totals[2] - x, rel=1e-6)
    assert fallen.left.carbon == pytest.approx(float(hot.carbon) - x, rel=1e-6, abs=1e-10)
    assert fallen.left.alkalinity == pytest.approx(float(hot.alkalinity) - 2 * x, rel=1e-6, abs=1e-9)


@given(waters(), HOT)
def test_what_stays_is_just_saturated_or_untouched(cold: Dissolved, kelvins: float) -> None:
    hot = heated(cold, temperature_k=kelvins)
    fallen = deposit(hot)
    if float(hot.saturation("calcite")) > 1e-6:
        assert float(fallen.amount) > 0
        assert fallen.left.saturation("calcite") == pytest.approx(0.0, abs=1e-7)
        assert float(fallen.left.ph) < float(hot.ph)
        assert float(deposit(fallen.left).amount) < 1e-9
    elif float(hot.saturation("calcite")) < -1e-6:
        assert fallen.amount == 0.0
        assert fallen.left.ph == hot.ph


@given(waters(), HOT, st.floats(-2.0, -1.0), st.floats(0.1, 0.4))
def test_less_carbon_dioxide_over_the_water_drops_more(
    cold: Dissolved, kelvins: float, log_atm: float, less: float
) -> None:
    """As long as carbon dioxide governs: nearer to outside air hydroxide of magnesium takes over in hot water."""
    hot = heated(cold, temperature_k=kelvins)
    one, other = (float(deposit(hot, co2_atm=10**p).amount) for p in (log_atm, log_atm - less))
    assert other >= one * 0.999 - 1e-9


@given(waters())
def test_pressure_of_carbon_dioxide_and_ph_are_two_ways_to_say_one_thing(cold: Dissolved) -> None:
    ca, mg, na, so4 = cold.totals[2:]
    again = speciate(
        Water(ca, mg, na, so4, cold.inert),
        alkalinity=cold.alkalinity,
        temperature_k=cold.temperature_k,
        co2_atm=cold.co2_atm,
    )
    assert again.ph == pytest.approx(cold.ph, abs=1e-6)


@given(st.floats(0.02, 0.4), st.floats(0.02, 0.4), st.floats(6.8, 8.3), st.floats(1.05, 1.5), HOT)
@settings(deadline=None)
def test_harder_water_drops_no_less(
    alkalinity: float, hardness: float, ph: float, times: float, kelvins: float
) -> None:
    """Of calcium alone, but for the share of a per cent by which the added ions screen the carbonate."""
    base: dict[str, Any] = {"alkalinity_kg_per_m3": alkalinity, "hardness_kg_per_m3": hardness}
    here = water(**base, ph=ph, boiler_temperature_k=kelvins)
    assert 0 <= here.deposit_kept_kg_per_m3 <= here.deposit_lost_kg_per_m3 <= min(alkalinity, 0.8 * hardness) * 1.001
    assert here.boiler_saturation > here.source_saturation
    calcium: dict[str, Any] = {"alkalinity_kg_per_m3": alkalinity, "ph": ph, "boiler_temperature_k": kelvins}
    less, more = (water(**calcium, calcium_kg_per_m3=0.4 * k * hardness) for k in (1.0, times))
    for name in ("deposit_kept_kg_per_m3", "deposit_lost_kg_per_m3"):
        assert getattr(more, name) >= getattr(less, name) * 0.995
    hotter = water(**base, ph=ph, boiler_temperature_k=min(kelvins + 5.0, 408.0))
    assert hotter.boiler_saturation > here.boiler_saturation - 1e-9


@given(st.floats(1.0, 60.0), st.floats(1.0, 3.0))
@settings(deadline=None, max_examples=25)
def test_twice_the_water_a_week_halves_the_weeks(litres: float, times: float) -> None:
    base: dict[str, Any] = {"alkalinity_kg_per_m3": 0.2, "hardness_kg_per_m3": 0.25}
    slow, fast = (water(**base, weekly_m3=k * litres / 1e3) for k in (1.0, times))
    assert slow.care_low_s is not None
    assert fast.care_low_s is not None
    assert slow.care_low_s == pytest.approx(fast.care_low_s * times)
    assert slow.care_low_m3 == fast.care_low_m3


@given(st.floats(275.0, 400.0), st.floats(1.0, 8.0))
def test_ions_pull_harder_in_hotter_water(kelvins: float, more: float) -> None:
    (a, b), (hot_a, hot_b) = (debye_hueckel(temperature_k=k) for k in (kelvins, kelvins + more))
    assert hot_a > a
    assert hot_b > b


@given(st.floats(0.002, 0.9), st.floats(0.002, 0.9), st.floats(1.1, 5.0))
def test_the_trade_formula_goes_with_the_logarithms(calcium: float, alkalinity: float, times: float) -> None:
    base: dict[str, Any] = {"ph": 7.5, "temperature_k": 298.15, "solids_kg_per_m3": 0.3}
    here = langelier_index(calcium_hardness_kg_per_m3=calcium, alkalinity_kg_per_m3=alkalinity, **base)
    there = langelier_index(calcium_hardness_kg_per_m3=calcium * times, alkalinity_kg_per_m3=alkalinity * times, **base)
    assert there - here == pytest.approx(2 * np.log10(times))
