"""Uncertainty by Monte Carlo (JCGM 101:2008): draw the inputs, run the instrument once on all, read the spread."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from brasswright.errors import ImpossibleValue
from brasswright.units import Measured

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from brasswright.bench.validity import Array

__all__ = ["LEAST_SAMPLES", "Rectangular", "Spread", "propagate", "propagate_singly"]

LEAST_SAMPLES: Final = 1000
"""Fewer draws do not fix a 95 % interval (JCGM 101:2008, 7.2)."""


@dataclass(frozen=True, slots=True)
class Rectangular:
    """Anything between `low` and `high`, all equally likely (JCGM 101:2008, 6.4.2)."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Spread:
    """What the draws say of one output: mean, standard uncertainty, and the middle 95 %."""

    mean: float
    sigma: float
    low: float
    high: float


def propagate(
    call: Callable[..., Any], *, inputs: Mapping[str, Any], seed: int, samples: int = 10_000
) -> dict[str, Spread]:
    """Return the spread of every output of `call` that varies when its inputs vary.

    `Measured` inputs are drawn from a normal, `Rectangular` ones from a rectangular distribution; all others are handed
    over as they are. The call gets arrays and is run once. A result that is one array is named "value".
    Source: JCGM 101:2008, 5.9 and 7.

    >>> spread = propagate(lambda *, a, b: a + b, inputs={"a": Measured(1.0, 0.3), "b": Measured(2.0, 0.4)}, seed=1)
    >>> round(spread["value"].sigma, 1)
    0.5
    """
    if samples < LEAST_SAMPLES:
        raise ImpossibleValue("Too few draws for an interval.", got=samples, allowed=f"{LEAST_SAMPLES} or more")
    draws = np.random.default_rng(seed)
    result = call(**{name: _drawn(value, draws, samples) for name, value in inputs.items()})
    fields = (
        {entry.name: getattr(result, entry.name) for entry in dataclasses.fields(result)}
        if dataclasses.is_dataclass(result)
        else {"value": result}
    )
    return {
        name: _spread(value)
        for name, value in fields.items()
        if isinstance(value, np.ndarray) and value.shape == (samples,)
    }


def propagate_singly(call: Callable[..., Any], *, inputs: Mapping[str, Any], seed: int) -> dict[str, Spread]:
    """Return the same for a call that takes one figure at a time, such as a fit: run once for each of the least draws.

    An output that is no figure in every draw is left out. Source: JCGM 101:2008, 5.9 and 7.
    """
    draws = np.random.default_rng(seed)
    drawn = {name: _drawn(value, draws, LEAST_SAMPLES) for name, value in inputs.items()}
    varied = {
        name: value for name, value in drawn.items() if value is not inputs[name] and isinstance(value, np.ndarray)
    }
    results = [
        call(**{**drawn, **{name: float(values[number]) for name, values in varied.items()}})
        for number in range(LEAST_SAMPLES)
    ]
    rows = {entry.name: [getattr(one, entry.name) for one in results] for entry in dataclasses.fields(results[0])}
    return {
        name: _spread(np.array(row, dtype=float))
        for name, row in rows.items()
        if all(isinstance(one, int | float) and not isinstance(one, bool) for one in row) and len(set(row)) > 1
    }


def _drawn(value: object, draws: np.random.Generator, samples: int) -> object:
    """Return draws of an uncertain input, and anything else as it is."""
    if isinstance(value, Rectangular):
        return draws.uniform(value.low, value.high, samples)
    if isinstance(value, Measured):
        return draws.normal(value.value, value.sigma, samples) if value.sigma else value.value
    return value


def _spread(values: Array) -> Spread:
    """Return mean, standard deviation and the probabilistically symmetric 95 % interval."""
    low, high = np.quantile(values, (0.025, 0.975))
    return Spread(float(values.mean()), float(values.std(ddof=1)), float(low), float(high))
