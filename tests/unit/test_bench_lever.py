"""Levers from measured pivots: forces, uncertainty, what cannot be."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.lever import LeverResult, lever
from brasswright.bench.pivots import MECHANISMS, piston_position_m, piston_speed_m_per_rad
from brasswright.errors import ImpossibleValue, NeedsConfirmation, NotFound, OutsideValidity


def group(**other: Any) -> LeverResult:
    measured: dict[str, Any] = {
        "handle_m": 0.26, "crank_m": 0.022, "angle_start_rad": math.radians(40), "angle_end_rad": math.radians(125),
        "link_m": 0.048, "offset_m": 0.003,
    }  # fmt: skip
    return lever(**(measured | other))


def test_without_a_force_there_is_none_at_the_handle() -> None:
    found = group()
    assert found.handle_force_most_n is None
    assert found.handle_forces_n == ()
    assert "hand" not in found.meaning


def test_a_spring_that_stiffens_weighs_at_the_end() -> None:
    even, rising = group(piston_force_n=900.0), group(piston_force_n=900.0, piston_force_end_n=1800.0)
    assert even.handle_force_start_n == rising.handle_force_start_n
    assert isinstance(even.handle_force_end_n, float)
    assert rising.handle_force_end_n == pytest.approx(2 * even.handle_force_end_n)


def test_pressure_on_a_bore_is_a_force() -> None:
    pressed = group(pressure_pa=9e5, piston_diameter_m=0.046)
    pushed = group(piston_force_n=9e5 * math.pi / 4 * 0.046**2)
    assert pressed.handle_force_most_n == pytest.approx(pushed.handle_force_most_n)


def test_the_curve_is_whole() -> None:
    found = group(piston_force_n=1000.0)
    assert len(found.angles_rad) == len(found.travels_m) == len(found.ratios) == len(found.handle_forces_n)
    assert found.travels_m[0] == 0
    assert found.travels_m[-1] == pytest.approx(found.piston_stroke_m)
    assert list(found.travels_m) == sorted(found.travels_m)
    assert min(found.ratios) == found.ratio_least


def test_a_measured_length_brings_its_uncertainty() -> None:
    said = answer(INSTRUMENTS["lever"], {**INSTRUMENTS["lever"].example, "handle": "260 ± 2.6 mm", "crank": "22 mm"})
    for name in ("ratio_least", "ratio_start", "handle_travel_m", "handle_force_most_n"):
        assert said["uncertainty"][name]["sigma"] == pytest.approx(0.01 * said[name], rel=0.05), name
    assert "piston_stroke_m" not in said["uncertainty"]


@pytest.mark.parametrize(
    ("one", "values"),
    [
        ("handle_m", [0.25, 0.26, 0.3]),
        ("crank_m", [0.021, 0.022, 0.023]), ("link_m", [0.046, 0.048, 0.05]), ("offset_m", [0.0, 0.003, 0.005]),
        ("angle_start_rad", [0.6, 0.7, 0.8]), ("piston_force_n", [500.0, 900.0, 1000.0]),
        ("piston_force_end_n", [500.0, 900.0, 1000.0]),
    ],
)  # fmt: skip
def test_any_one_input_may_be_many(one: str, values: list[float]) -> None:
    base = {"piston_force_n": 900.0}
    together = group(**{**base, one: np.array(values)})
    singly = [group(**{**base, one: value}) for value in values]
    for name in ("ratio_end", "handle_force_end_n", "handle_force_most_n", "piston_stroke_m"):
        got = np.broadcast_to(getattr(together, name), 3)
        assert got == pytest.approx([getattr(found, name) for found in singly]), name


@pytest.mark.parametrize("by", MECHANISMS)
@pytest.mark.parametrize("angle", [0.3, 1.2, 2.6, -0.8])
def test_speed_is_the_slope_of_position(by: str, angle: float) -> None:
    sizes: dict[str, Any] = {"crank_m": np.array(0.02), "link_m": np.array(0.05), "offset_m": np.array(0.004), "by": by}
    step = 1e-6
    ahead, behind = (piston_position_m(angle_rad=np.array(angle + way * step), **sizes) for way in (1, -1))
    slope = float(ahead - behind) / (2 * step)
    assert float(piston_speed_m_per_rad(angle_rad=np.array(angle), **sizes)) == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("end", [180.0, 200.0, 181.0, -40.0])
def test_dead_centre_is_refused_with_its_place(end: float) -> None:
    with pytest.raises(ImpossibleValue, match=r"dead centre.*°"):
        group(angle_end_rad=math.radians(end), offset_m=0.0)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"link_m": None}, "needs its length"),
        ({"angle_end_rad": math.radians(40.5)}, "does not turn"),
        ({"link_m": 0.01}, "does not reach"),
        ({"pressure_pa": 9e5}, "go together"),
        ({"pressure_pa": 9e5, "piston_diameter_m": 0.046, "piston_force_n": 900.0}, "not both"),
        ({"piston_force_end_n": 900.0}, "at the start"),
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(ImpossibleValue, match=says):
        group(**wrong)


def test_what_is_out_of_range_or_unknown_is_refused() -> None:
    with pytest.raises(NotFound, match="cross slot"):
        group(joint="string")
    for wrong in ({"handle_m": 5.0}, {"crank_m": 0.0}, {"piston_force_n": -1.0}, {"offset_m": -0.01}):
        with pytest.raises(OutsideValidity):
            group(**wrong)


def test_a_slip_of_the_unit_asks() -> None:
    with pytest.raises(NeedsConfirmation, match="260 mm"):
        answer(INSTRUMENTS["lever"], {**INSTRUMENTS["lever"].example, "handle": "260 m"})


def test_more_than_a_hand_brings_and_a_steep_climb_are_told() -> None:
    assert any("one hand" in note for note in group(piston_force_n=4000.0).warnings)
    assert any("steeply" in note for note in group(angle_end_rad=math.radians(170)).warnings)
    assert group(piston_force_n=500.0).warnings == ()
