"""Difference of colour: its laws, its jump, and the words about it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.colour import colour, colour_difference
from brasswright.errors import OutsideValidity

LAB = st.tuples(st.floats(0.0, 100.0), st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
PAINT: dict[str, Any] = {"paint_lightness": 41.2, "paint_redness": 38.5, "paint_yellowness": 21.0}


@given(LAB, LAB)
def test_it_does_not_matter_which_is_the_paint(
    one: tuple[float, float, float], two: tuple[float, float, float]
) -> None:
    there, back = colour_difference(paint=one, touch_up=two), colour_difference(paint=two, touch_up=one)
    assert there == pytest.approx(back, abs=1e-9)
    assert there >= 0


@given(LAB)
def test_nothing_differs_from_itself(one: tuple[float, float, float]) -> None:
    assert colour_difference(paint=one, touch_up=one) == 0


@given(LAB, LAB)
def test_of_two_greys_only_lightness_is_left(one: tuple[float, float, float], two: tuple[float, float, float]) -> None:
    """Without chroma the part of lightness is all of the difference."""
    result = colour(
        paint_lightness=one[0], paint_redness=0.0, paint_yellowness=0.0,
        touch_up_lightness=two[0], touch_up_redness=0.0, touch_up_yellowness=0.0,
    )  # fmt: skip
    assert result.difference == pytest.approx(abs(result.lighter))
    assert result.difference_1976 == pytest.approx(abs(two[0] - one[0]))


@given(st.floats(10.0, 90.0), st.floats(0.5, 20.0), st.floats(1.1, 3.0))
def test_a_larger_step_of_lightness_differs_more(lightness: float, step: float, more: float) -> None:
    near, far = (
        colour_difference(paint=(lightness, 5.0, 5.0), touch_up=(min(lightness + by, 100.0), 5.0, 5.0))
        for by in (step, step * more)
    )
    assert far >= near * 0.999


def test_exactly_opposite_hues_give_both_answers_and_say_so() -> None:
    """The published table prints 4.8045; another machine's last bit gives 4.7461."""
    pair: dict[str, Any] = {
        "paint_lightness": 50.0, "paint_redness": -0.001, "paint_yellowness": 2.49,
        "touch_up_lightness": 50.0, "touch_up_redness": 0.001, "touch_up_yellowness": -2.49,
    }  # fmt: skip
    result = colour(**pair)
    assert result.other_branch is not None
    assert {round(float(result.difference), 4), round(float(result.other_branch), 4)} == {4.8045, 4.7461}
    assert any("opposite" in note for note in result.warnings)
    assert (
        colour(**PAINT, touch_up_lightness=42.0, touch_up_redness=36.9, touch_up_yellowness=20.4).other_branch is None
    )


def test_a_tolerance_is_judged_with_its_reader_and_scatter() -> None:
    near = {**PAINT, "touch_up_lightness": 42.0, "touch_up_redness": 36.9, "touch_up_yellowness": 20.4}
    assert colour(**near).outcome == "not asked"
    assert colour(**near, tolerance=2.0, reader="colorimeter").outcome == "passed"
    assert colour(**near, tolerance=2.0).outcome == "not shown"
    assert colour(**near, tolerance=2.0, reader="colorimeter", reading_sigma=1.0).outcome == "not shown"
    assert colour(**near, tolerance=0.3, reader="colorimeter").outcome == "failed"
    with pytest.raises(OutsideValidity):
        colour(**near, tolerance=90.0)


def test_the_correction_goes_towards_the_paint_largest_step_first() -> None:
    result = colour(**PAINT, touch_up_lightness=44.0, touch_up_redness=30.0, touch_up_yellowness=21.1)
    assert result.correction == "more red, darker"
    assert "another colour" in " ".join(
        colour(**PAINT, touch_up_lightness=80.0, touch_up_redness=0.0, touch_up_yellowness=0.0).warnings
    )
    same = colour(**PAINT, touch_up_lightness=41.2, touch_up_redness=38.5, touch_up_yellowness=21.0, reader="camera")
    assert same.correction == "nothing"
    assert any("colour card" in note for note in same.warnings)


def test_typed_readings_may_be_negative_and_uncertain() -> None:
    typed = {
        "paint_l": "50", "paint_a": "-1.3802 ± 0.2", "paint_b": "-84.2814",
        "touch_up_l": "50", "touch_up_a": "0", "touch_up_b": "-82.7485",
    }  # fmt: skip
    said = answer(INSTRUMENTS["colour"], typed)
    assert said["difference"] == pytest.approx(1.0, abs=1e-4)
    assert said["uncertainty"]["difference"]["sigma"] > 0


def test_samples_are_judged_by_their_own_spread() -> None:
    reds = np.random.default_rng(5).normal(36.9, 0.1, 2000)
    result = colour(
        **PAINT, touch_up_lightness=42.0, touch_up_redness=reds, touch_up_yellowness=20.4, tolerance=2.0, reader="other"
    )
    assert result.outcome == "passed"
    assert isinstance(result.difference, np.ndarray)
    assert result.difference.shape == (2000,)


def test_the_uncertainty_typed_goes_before_the_assumed_one() -> None:
    keys = ("paint_l", "paint_a", "paint_b", "touch_up_l", "touch_up_a", "touch_up_b")
    lab = dict(zip(keys, ("41.2", "38.5", "21.0", "42.0", "36.9", "20.4"), strict=True))
    asked = {"tolerance": "1.5", "reader": "colorimeter"}

    def judged(sigma: str) -> tuple[str, str]:
        said = answer(INSTRUMENTS["colour"], {key: value + sigma for key, value in lab.items()} | asked)
        return said["outcome"], " ".join(said["warnings"])

    assert judged(" ± 0.01") == ("passed", "")
    assert judged(" ± 1") == ("not shown", "")
    assert "6 of the 6 readings" in judged("")[1]
    mixed = answer(INSTRUMENTS["colour"], lab | asked | {"touch_up_b": "20.4 ± 3"})
    assert mixed["outcome"] == "not shown"
    assert "5 of the 6 readings" in " ".join(mixed["warnings"])
