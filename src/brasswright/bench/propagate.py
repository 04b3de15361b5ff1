"""Uncertainty by Monte Carlo (JCGM 101:2008): draw the inputs, run the instrument once on all, read the spread."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from brasswright.errors import ImpossibleValue
from brasswright.units import Measured

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from brasswright.bench.validity import Array

__all__ = ["LEAST_SAMPLES", "NORMAL_95", "Rectangular", "Spread", "propagate", "propagate_linear"]

LEAST_SAMPLES: Final = 1000
"""Fewer draws do not fix a 95 % interval (JCGM 101:2008, 7.2)."""

NORMAL_95: Final = 1.96
"""Coverage factor of 95 % of a normal distribution (JCGM 100:2008, table G.1)."""


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


def propagate_linear(call: Callable[..., Any], *, inputs: Mapping[str, Any]) -> dict[str, Spread]:
    """Return the spread of every output of a call that takes one figure at a time, such as a fit to a long log.

    Each `Measured` input is put one standard uncertainty up and down; half the difference is what it adds, and these
    add in squares. The middle 95 % are those of a normal distribution. Two calls an input, and one. For outputs that go
    nearly straight within the uncertainty; one that is no figure, or does not move, is left out.
    Source: JCGM 100:2008, 5.1.2 and note 2 to 5.1.3.
    """
    uncertain = {name: value for name, value in inputs.items() if isinstance(value, Measured) and value.sigma}
    middle = {name: value.value if isinstance(value, Measured) else value for name, value in inputs.items()}
    best = _figures(call(**middle))
    squares = dict.fromkeys(best, 0.0)
    for name, one in uncertain.items():
        up, down = (_figures(call(**{**middle, name: one.value + side * one.sigma})) for side in (1.0, -1.0))
        for output in list(squares):
            if output in up and output in down:
                squares[output] += ((up[output] - down[output]) / 2.0) ** 2
            else:
                del squares[output]
    return {
        output: Spread(best[output], sigma, best[output] - NORMAL_95 * sigma, best[output] + NORMAL_95 * sigma)
        for output, sigma in ((output, math.sqrt(square)) for output, square in squares.items())
        if sigma > 0
    }


def _figures(result: object) -> dict[str, float]:
    """Return the fields of a result that are single figures."""
    if not dataclasses.is_dataclass(result):
        return {}
    fields = {entry.name: getattr(result, entry.name) for entry in dataclasses.fields(result)}
    return {name: float(one) for name, one in fields.items() if isinstance(one, float)}


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
