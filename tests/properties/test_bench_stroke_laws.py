"""Laws of a spring's log: scaling, shifting, units, and parts that add up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.bench.stroke import StrokeResult, stroke

RATE = st.floats(2.0, 80.0)
PRELOAD = st.floats(50.0, 1500.0)
DRAG = st.floats(0.5, 40.0)
SHARE = st.floats(0.0, 0.2)
PER_KGF = 9.80665


def read(rate: float, preload: float, drag: float, share: float, **other: float | str) -> StrokeResult:
    units = str(other.get("units", "mm,N"))
    along, pushing = units.split(",")
    by_travel, by_force = {"mm": 1.0, "cm": 0.1}[along], {"N": 1.0, "kgf": 1 / PER_KGF}[pushing]
    shift = float(other.get("shift", 0.0))
    noise = np.random.default_rng(1).normal(0.0, 0.3, 100)
    lines = [f"travel [{along}],force [{pushing}]"]
    for row, at in enumerate((*range(50), *range(49, -1, -1))):
        spring = preload + rate * at
        force = spring + (1 if row < 50 else -1) * (drag + share * spring) + noise[row]
        lines.append(f"{(at + shift) * by_travel:.9f},{force * by_force:.9f}")
    return stroke(log="\n".join(lines), rig="restrained press")


@settings(max_examples=20, deadline=None)
@given(RATE, PRELOAD, DRAG, SHARE)
def test_what_went_in_comes_out(rate: float, preload: float, drag: float, share: float) -> None:
    found = read(rate, preload, drag, share)
    assert found.rate_n_per_m / 1000 == pytest.approx(rate, abs=0.02)
    assert found.preload_n == pytest.approx(preload, abs=0.5)
    assert found.friction_constant_n + found.friction_share * (preload + rate * 24.5) == pytest.approx(
        drag + share * (preload + rate * 24.5), abs=0.5
    )
    assert found.energy_lost_j == pytest.approx(2 * found.friction_n * 0.049, rel=0.02, abs=0.02)


@settings(max_examples=15, deadline=None)
@given(RATE, PRELOAD, DRAG, SHARE, st.floats(-40.0, 40.0))
def test_where_travel_is_counted_from_changes_nothing_but_places(
    rate: float, preload: float, drag: float, share: float, shift: float
) -> None:
    here, there = read(rate, preload, drag, share), read(rate, preload, drag, share, shift=shift)
    assert there.rate_n_per_m == pytest.approx(here.rate_n_per_m, rel=1e-4)
    assert there.preload_n == pytest.approx(here.preload_n, rel=1e-3)
    assert there.friction_n == pytest.approx(here.friction_n, rel=1e-3)
    assert there.travel_from_m - here.travel_from_m == pytest.approx(shift / 1000, abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(RATE, PRELOAD, DRAG, SHARE)
def test_units_change_nothing(rate: float, preload: float, drag: float, share: float) -> None:
    ours, others = read(rate, preload, drag, share), read(rate, preload, drag, share, units="cm,kgf")
    for name in ("rate_n_per_m", "preload_n", "friction_n", "energy_stored_j", "energy_lost_j"):
        assert getattr(others, name) == pytest.approx(getattr(ours, name), rel=1e-5), name


@settings(max_examples=15, deadline=None)
@given(RATE, PRELOAD, DRAG)
def test_more_drag_is_more_friction_and_the_same_spring(rate: float, preload: float, drag: float) -> None:
    little, much = read(rate, preload, drag, 0.0), read(rate, preload, drag + 5.0, 0.0)
    assert much.friction_n - little.friction_n == pytest.approx(5.0, abs=1e-3)
    assert much.rate_n_per_m == pytest.approx(little.rate_n_per_m, rel=1e-6)
