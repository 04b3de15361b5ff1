"""Uncertainty through instruments that take one figure at a time: the straight line's spread, and nothing breaks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.propagate import propagate, propagate_linear
from brasswright.units import Measured


@dataclass(frozen=True)
class Power:
    """Power of an element, a word about it, and what does not depend on anything."""

    power_w: float
    said: str
    fixed: float = 1.0


def power(*, voltage_v: float, resistance_ohm: float, name: str = "rod") -> Power:
    """The square of the voltage over the resistance; works for figures and arrays alike."""
    return Power(voltage_v**2 / resistance_ohm, name)


def test_the_law_of_propagation_of_a_quotient() -> None:
    """JCGM 100:2008, 5.1.6: relative variances add, each times its exponent squared."""
    inputs = {"voltage_v": Measured(230.0, 1.0), "resistance_ohm": Measured(48.4, 0.2), "name": "rod"}
    spread = propagate_linear(power, inputs=inputs)
    assert set(spread) == {"power_w"}
    relative = math.hypot(2 * 1.0 / 230.0, 0.2 / 48.4)
    assert spread["power_w"].sigma == pytest.approx(230.0**2 / 48.4 * relative, rel=1e-4)
    assert spread["power_w"].mean == pytest.approx(230.0**2 / 48.4)


def test_it_agrees_with_draws_within_their_own_error() -> None:
    inputs = {"voltage_v": Measured(230.0, 2.0), "resistance_ohm": Measured(48.4, 0.5)}
    straight = propagate_linear(power, inputs=inputs)["power_w"]
    drawn = propagate(power, inputs=inputs, seed=3)["power_w"]
    assert straight.sigma == pytest.approx(drawn.sigma, rel=0.03)
    assert straight.low == pytest.approx(drawn.low, abs=0.1 * drawn.sigma)
    assert straight.high == pytest.approx(drawn.high, abs=0.1 * drawn.sigma)


def test_a_fit_is_asked_twice_an_input_and_once() -> None:
    asked: list[float] = []

    def counting(*, voltage_v: float, resistance_ohm: float) -> Power:
        asked.append(voltage_v)
        return power(voltage_v=voltage_v, resistance_ohm=resistance_ohm)

    propagate_linear(counting, inputs={"voltage_v": Measured(230.0, 2.0), "resistance_ohm": Measured(48.4, 0.5)})
    assert len(asked) == 5


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
