"""Uncertainty by drawing."""

from __future__ import annotations

import numpy as np
import pytest

from brasswright.bench.element import element
from brasswright.bench.propagate import Rectangular, propagate
from brasswright.errors import ImpossibleValue
from brasswright.units import Measured


def test_one_call_serves_all_draws() -> None:
    calls = []

    def twice(*, a: object) -> object:
        calls.append(a)
        return np.multiply(np.asarray(a), 2.0)

    spread = propagate(twice, inputs={"a": Measured(1.0, 0.1)}, seed=4)["value"]
    assert len(calls) == 1
    assert spread.sigma == pytest.approx(0.2, rel=0.03)


def test_exact_inputs_stay_single_figures() -> None:
    assert propagate(lambda *, a: a, inputs={"a": Measured(1.0)}, seed=1) == {}


def test_every_varying_field_of_a_result_is_spread() -> None:
    inputs = {"resistance_ohm": Measured(48.4, 0.5), "rated_voltage_v": Rectangular(215.0, 225.0)}
    spread = propagate(element, inputs=inputs, seed=1)
    assert spread["power_cold_w"].low < 1000 < spread["power_cold_w"].high
    assert "hot_factor" not in spread


def test_too_few_draws_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="1000"):
        propagate(lambda *, a: a, inputs={"a": Measured(1.0, 1.0)}, seed=1, samples=10)
