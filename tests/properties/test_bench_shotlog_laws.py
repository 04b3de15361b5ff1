"""Laws of logged shots: a clean emptying gives its puck and leak back, in any unit and at any pace."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.bench.shotlog import ShotLog, shotlog

BORE = st.floats(0.045, 0.058)
RATE = st.floats(20_000.0, 45_000.0)
FLOW = st.floats(0.7e-6, 3e-6)
BAR = 1e5


def emptied(bore: float, rate: float, flow: float, leak: float = 0.0, *, unit: str = "bar") -> ShotLog:
    """A spring's pressure dies through a constant puck and a leak, both stated as flow at 9 bar."""
    area = math.pi * bore**2 / 4
    start, fall = rate * 0.05 / area, rate / area**2
    pace = fall * (flow + leak) / (9 * BAR)
    seconds = [0.8 / pace * n / 24 for n in range(25)]
    scale = {"bar": BAR, "kPa": 1e3}[unit]
    rows = []
    for t in seconds:
        p = start * math.exp(-pace * t)
        rows.append(f"{t:.6f},{p / scale:.8f},{(start - p) / fall * flow / (flow + leak) * 1e6:.8f}")
    return shotlog(
        log=f"time [s],pressure [{unit}],volume [ml]\n" + "\n".join(rows), piston_diameter_m=bore,
        spring_rate_n_per_m=rate, spring_compression_m=0.05,
    )  # fmt: skip


@settings(max_examples=25)
@given(BORE, RATE, FLOW)
def test_a_clean_pull_gives_its_puck_back_and_nothing_departs(bore: float, rate: float, flow: float) -> None:
    found = emptied(bore, rate, flow)
    assert found.first_flow_m3_per_s == pytest.approx(flow, rel=0.02)
    assert found.last_flow_m3_per_s == pytest.approx(flow, rel=0.02)
    assert found.missing_force_n == pytest.approx(0.0, abs=1e-3)
    assert found.past_seals_share == pytest.approx(0.0, abs=1e-5)
    assert found.finding == "nothing departs clearly"


@settings(max_examples=25)
@given(BORE, RATE, FLOW, st.floats(0.02, 0.6))
def test_the_share_past_the_seals_is_that_of_the_flows(bore: float, rate: float, flow: float, share: float) -> None:
    found = emptied(bore, rate, flow, flow * share / (1 - share))
    assert found.past_seals_share == pytest.approx(share, abs=1e-5)


@settings(max_examples=15)
@given(BORE, RATE, FLOW)
def test_bar_and_kilopascal_are_one(bore: float, rate: float, flow: float) -> None:
    one, other = (emptied(bore, rate, flow, unit=unit) for unit in ("bar", "kPa"))
    assert other.peak_pa == pytest.approx(one.peak_pa, rel=1e-6)
    assert other.first_flow_m3_per_s == pytest.approx(one.first_flow_m3_per_s, rel=1e-3)
