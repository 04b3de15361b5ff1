"""Laws of tightening: there and back, scaling, monotony."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.bolting import friction, tightening_torque_n_m
from brasswright.bench.torque import torque

DIAMETER = st.floats(0.002, 0.02)


@given(DIAMETER, st.floats(0.1, 0.2), st.floats(0.08, 0.5), st.floats(10.0, 50_000.0))
def test_a_nut_factor_and_its_friction_give_the_same_torque(
    d: float, pitch: float, factor: float, force: float
) -> None:
    mu = friction(nut_factor=factor, diameter_m=d, pitch_m=pitch * d)
    turned = tightening_torque_n_m(preload_n=force, diameter_m=d, pitch_m=pitch * d, friction=mu)
    assert turned == pytest.approx(factor * d * force)


@given(DIAMETER, st.floats(1.1, 1.5))
def test_torque_goes_with_the_cube_of_the_size(d: float, times: float) -> None:
    one, other = (torque(diameter_m=k * d, pitch_m=0.15 * k * d, screw="copper") for k in (1.0, times))
    assert other.torque_n_m == pytest.approx(one.torque_n_m * times**3)


@given(DIAMETER, st.floats(0.15, 0.8), st.floats(0.01, 0.1))
def test_a_higher_share_is_tighter(d: float, share: float, more: float) -> None:
    below, above = (torque(diameter_m=d, pitch_m=0.15 * d, screw="copper", share=s) for s in (share, share + more))
    assert above.torque_n_m > below.torque_n_m


@given(DIAMETER, st.sampled_from(["dry", "lubricated"]), st.sampled_from(["torque wrench", "by feel"]))
def test_tensions_stand_in_order(d: float, state: str, tool: str) -> None:
    found = torque(diameter_m=d, pitch_m=0.15 * d, screw="copper", state=state, tool=tool)
    assert 0 < found.preload_low_n < found.preload_n < found.preload_high_n
