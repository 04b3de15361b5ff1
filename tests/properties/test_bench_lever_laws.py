"""Laws of levers: work in is work out, scaling, symmetry."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.lever import LeverResult, lever

FORCE = st.floats(50.0, 3000.0)
TIMES = st.floats(1.1, 1.9)
START, TURN = st.floats(35.0, 60.0), st.floats(20.0, 70.0)
SHAPE = st.fixed_dictionaries(
    {
        "handle": st.floats(0.1, 0.5), "crank": st.floats(0.005, 0.03), "over": st.floats(1.6, 6.0),
        "aside": st.floats(0.0, 0.3), "start": START, "turn": TURN,
    }
)  # fmt: skip
Shape = dict[str, float]


def made(shape: Shape, *, handles: float = 1.0, cranks: float = 1.0, **other: Any) -> LeverResult:
    """A lever with a link; link and offset are shares of the crank."""
    crank = shape["crank"] * cranks
    given: dict[str, Any] = {
        "handle_m": shape["handle"] * handles, "crank_m": crank, "link_m": crank * shape["over"],
        "offset_m": crank * shape["aside"], "angle_start_rad": math.radians(shape["start"]),
        "angle_end_rad": math.radians(shape["start"] + shape["turn"]),
    }  # fmt: skip
    return lever(**(given | other))


@given(SHAPE, FORCE, FORCE)
def test_the_hand_does_the_work_the_piston_does(shape: Shape, first: float, last: float) -> None:
    found = made(shape, piston_force_n=first, piston_force_end_n=last)
    hand = np.array(found.handle_forces_n)
    way = shape["handle"] * np.abs(np.array(found.angles_rad) - found.angles_rad[0])
    work = float(np.sum((hand[1:] + hand[:-1]) / 2 * np.diff(way)))
    assert work == pytest.approx((first + last) / 2 * float(found.piston_stroke_m), rel=2e-3)


@given(SHAPE, TIMES)
def test_a_larger_lever_of_the_same_shape_has_the_same_ratio(shape: Shape, times: float) -> None:
    one, other = made(shape), made(shape, handles=times, cranks=times)
    assert other.ratios == pytest.approx(one.ratios)
    assert other.piston_stroke_m == pytest.approx(float(one.piston_stroke_m) * times)


@given(SHAPE, TIMES)
def test_a_longer_handle_multiplies_as_much_more(shape: Shape, times: float) -> None:
    short, long = made(shape), made(shape, handles=times)
    assert long.ratio_mean == pytest.approx(float(short.ratio_mean) * times)
    assert long.ratio_least == pytest.approx(float(short.ratio_least) * times)
    assert long.piston_stroke_m == short.piston_stroke_m


@given(SHAPE)
def test_there_and_back_is_the_same_curve_turned(shape: Shape) -> None:
    there = made(shape)
    back = made({**shape, "start": shape["start"] + shape["turn"], "turn": -shape["turn"]})
    assert back.ratios == pytest.approx(there.ratios[::-1])
    assert float(there.ratio_least) <= float(there.ratio_mean) * (1 + 1e-3)
    assert float(there.ratio_mean) <= float(there.ratio_most) * (1 + 1e-3)


@given(SHAPE)
def test_a_very_long_link_is_a_cross_slot(shape: Shape) -> None:
    slot = made(shape, joint="cross slot", offset_m=0.0)
    links = [made(shape, link_m=link, offset_m=0.0) for link in (0.25, 0.5)]
    near, nearer = (abs(float(one.piston_stroke_m) - float(slot.piston_stroke_m)) for one in links)
    assert nearer == pytest.approx(near / 2, rel=0.05, abs=1e-7)
