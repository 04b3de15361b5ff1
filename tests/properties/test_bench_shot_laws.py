"""Laws of a shot: scaling, monotony, conservation, exponential emptying."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.answer import answer
from brasswright.bench.shot import INSTRUMENT, shot

BORE = st.floats(0.04, 0.06)
STROKE = st.floats(0.012, 0.03)
FLOW = st.floats(0.6e-6, 3e-6)
ML = 1e-6


def pull(bore: float, stroke: float, flow: float, **other: Any) -> Any:
    given_all: dict[str, Any] = {
        "piston_diameter_m": bore, "stroke_m": stroke, "spring_rate_n_per_m": 30_000.0, "spring_compression_m": 0.05,
        "first_flow_m3_per_s": flow, "last_flow_m3_per_s": 1.5 * flow, "dose_kg": 0.008,
    }  # fmt: skip
    return shot(**(given_all | other))


@given(BORE, STROKE, FLOW)
def test_through_a_constant_puck_the_pressure_decays_exponentially(bore: float, stroke: float, flow: float) -> None:
    found = pull(bore, stroke, flow, uptake=0.0, last_flow_m3_per_s=flow)
    area = math.pi * bore**2 / 4
    tau = area**2 * (9e5 / flow) / 30_000.0
    if tau * math.log(0.05 / (0.05 - stroke)) < 170.0:
        assert found.end_s == pytest.approx(tau * math.log(0.05 / (0.05 - stroke)), rel=1e-5)
        for t, p in zip(found.curve_time_s[::9], found.curve_pressure_pa[::9], strict=True):
            assert p == pytest.approx(found.pressure_start_pa * math.exp(-t / tau), rel=1e-4)


@given(BORE, STROKE, FLOW, st.floats(0.0, 0.5e-6))
def test_no_water_is_lost(bore: float, stroke: float, flow: float, leak: float) -> None:
    found = pull(bore, stroke, flow, leak_flow_m3_per_s=leak)
    gone = found.delivered_m3 + found.taken_up_m3 + found.past_seals_m3
    assert gone == pytest.approx(found.swept_m3, rel=1e-7)
    assert list(found.curve_volume_m3) == sorted(found.curve_volume_m3)


@given(BORE, STROKE, FLOW, st.floats(1.05, 2.0))
def test_a_puck_that_lets_more_through_is_done_sooner_with_the_same_water(
    bore: float, stroke: float, flow: float, times: float
) -> None:
    one, other = pull(bore, stroke, flow), pull(bore, stroke, times * flow)
    assert other.end_s <= one.end_s
    if "stroke" in one.end_reason:
        assert other.end_s == pytest.approx(one.end_s / times, rel=1e-6)
        assert other.delivered_m3 == pytest.approx(one.delivered_m3)


@given(BORE, STROKE, FLOW, st.floats(1.0, 300.0))
def test_friction_takes_pressure_and_makes_it_longer(bore: float, stroke: float, flow: float, friction: float) -> None:
    one, other = pull(bore, stroke, flow), pull(bore, stroke, flow, friction_n=friction)
    area = math.pi * bore**2 / 4
    assert one.pressure_start_pa - other.pressure_start_pa == pytest.approx(friction / area, rel=1e-6)
    assert other.end_s >= one.end_s


@given(BORE, STROKE, FLOW, st.floats(0.01e-6, 0.5e-6))
def test_a_leak_takes_water_from_the_cup(bore: float, stroke: float, flow: float, leak: float) -> None:
    one, other = pull(bore, stroke, flow), pull(bore, stroke, flow, leak_flow_m3_per_s=leak)
    assert other.delivered_m3 < one.delivered_m3
    assert other.end_s <= one.end_s * (1 + 1e-9)


@given(st.floats(45.0, 58.0))
def test_inches_and_millimetres_are_one(bore_mm: float) -> None:
    typed = {"stroke": "20 mm", "spring_rate": "4 kgf/mm", "spring_compression": "53 mm"}
    one = answer(INSTRUMENT, {**typed, "piston": f"{bore_mm:.6f} mm"})
    other = answer(INSTRUMENT, {**typed, "piston": f"{bore_mm / 25.4:.9f} in"})
    assert other["end_s"] == pytest.approx(one["end_s"], rel=1e-6)
