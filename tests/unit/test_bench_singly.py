"""Uncertainty through instruments that take one figure at a time: the same spread as in one go, and nothing breaks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.propagate import propagate, propagate_singly
from brasswright.units import Measured


@dataclass(frozen=True)
class Power:
    """Power of an element, and a word about it."""

    power_w: float
    said: str


def power(*, voltage_v: float, resistance_ohm: float, name: str = "rod") -> Power:
    """The square of the voltage over the resistance; works for figures and arrays alike."""
    return Power(voltage_v**2 / resistance_ohm, name)


def test_a_linear_law_gives_the_known_spread() -> None:
    inputs = {"voltage_v": 1.0, "resistance_ohm": Measured(100.0, 0.1), "name": "rod"}
    spread = propagate_singly(power, inputs=inputs, seed=1)
    assert set(spread) == {"power_w"}
    assert spread["power_w"].sigma == pytest.approx(0.1 / 100.0**2, rel=0.08)


def test_one_by_one_and_in_one_go_agree_within_the_error_of_the_draws() -> None:
    inputs = {"voltage_v": Measured(230.0, 2.0), "resistance_ohm": Measured(48.4, 0.5)}
    singly = propagate_singly(power, inputs=inputs, seed=2)["power_w"]
    together = propagate(power, inputs=inputs, seed=3)["power_w"]
    assert singly.mean == pytest.approx(together.mean, abs=5 * together.sigma / math.sqrt(1000))
    assert singly.sigma == pytest.approx(together.sigma, rel=0.12)


@pytest.mark.parametrize("name", list(INSTRUMENTS))
def test_every_figure_may_come_with_its_uncertainty(name: str) -> None:
    instrument = INSTRUMENTS[name]
    figures = [one for one in instrument.inputs if one.kind == "figure" and one.dimension != "count"]
    asked = [one for one in figures if one.key in instrument.example and "±" not in instrument.example[one.key]]
    for entry in asked:
        number, _, unit = instrument.example[entry.key].partition(" ")
        spread = abs(float(number)) * 0.002 or 0.01
        typed = {**instrument.example, entry.key: f"{number} ± {spread:.4f} {unit}".strip()}
        assert answer(instrument, typed, confirmed=True)["in_words"]
