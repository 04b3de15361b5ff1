"""What a measured value says: how well each level of a reading agrees with it, and what a reading would tell.

At a level the value is log-normal about the level's centre; the instrument's own standard uncertainty is added to the
spread. With chance `SLIP` the figure has nothing to do with the machine (wrong range, poor contact, wrong terminal) and
may lie anywhere in the plausible range, equally likely on a logarithmic scale; so no single figure settles a thing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright import units
from brasswright.bench.element import cold_resistance_ohm
from brasswright.errors import NotFound, OutsideValidity
from brasswright.judgement.compile import Table

if TYPE_CHECKING:
    from brasswright.journal.entries import Measured
    from brasswright.judgement.compile import MachineFacts
    from brasswright.sheets.model import Reading

__all__ = ["SLIP", "Levels", "levels_of", "likelihood", "report"]

SLIP = 0.02
"""Chance that a figure is a slip of the hand, not the machine. Source: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels for one machine: logarithm of centre (SI), spread, chances of no number; log of highest over lowest."""

    centres: Table
    spreads: Table
    over: Table
    below: Table
    span: float

    @property
    def numbers(self) -> Table:
        """Chance that the instrument shows a number at all, by level."""
        return 1.0 - self.over - self.below


def predicted(name: str, facts: MachineFacts) -> float | None:
    """Return the value (SI) that the plate foretells, or None where the plate does not say enough.

    Raises:
        NotFound: no prediction of that name.
    """
    if name != "element_cold_resistance":
        raise NotFound(
            f"No prediction is called '{name}'.",
            where="reading",
            allowed="element_cold_resistance",
            remedy="Correct `predict` in the sheet.",
        )
    if facts.rated_voltage_v is None or facts.rated_power_w is None:
        return None
    try:
        return cold_resistance_ohm(rated_voltage_v=facts.rated_voltage_v, rated_power_w=facts.rated_power_w)
    except OutsideValidity:  # a plate like no mains machine's foretells nothing
        return None


def levels_of(reading: Reading, facts: MachineFacts) -> Levels | None:
    """Return the reading's levels for this machine, or None where they hang on a plate that does not say.

    Raises:
        NotFound: an unknown prediction, or a level without centre.
        UnitRefused: a centre that cannot be read.
    """
    foretold = predicted(reading.predict, facts) if reading.predict else None
    dimension = units.dimension_of(reading.unit)
    centres: list[float] = []
    for level in reading.levels:
        if level.centre is not None:
            centres.append(_value(level.centre, dimension))
        elif level.times is None or not reading.predict:
            raise NotFound(
                f"Level '{level.name}' of '{reading.ask}' has no centre.",
                allowed="a centre with unit, or `times` together with `predict`",
                remedy="Correct the sheet.",
            )
        elif foretold is None:
            return None
        else:
            centres.append(level.times * foretold)
    low, high = (_value(text, dimension) for text in reading.plausible)
    return Levels(
        np.log(centres),
        np.array([level.spread for level in reading.levels]),
        np.array([level.over_range for level in reading.levels]),
        np.array([level.below_resolution for level in reading.levels]),
        math.log(max(high, 1e-300) / max(low, high * 1e-6, 1e-300)),
    )


def likelihood(measured: Measured, levels: Levels) -> Table | None:
    """Return how well each level agrees with what was measured, largest 1; None if the sheet says nothing about it.

    A value of zero or less counts as "below resolution": a logarithm knows no other place for it.
    """
    shown: Table
    if measured.censored == "over range":
        shown = levels.over
    elif measured.censored == "below resolution" or measured.value is None or measured.value <= 0.0:
        shown = levels.below
    else:
        own = (measured.sigma or 0.0) / measured.value
        wide = np.hypot(levels.spreads, own)
        off = (math.log(measured.value) - levels.centres) / wide
        shown = levels.numbers * np.exp(-0.5 * off**2) / (wide * math.sqrt(2 * math.pi))
        row = (1 - SLIP) * shown + SLIP / max(levels.span, 1.0)
        return np.asarray(row / row.max())
    if not shown.any():
        return None
    row = (1 - SLIP) * shown + SLIP / 3  # a slip shows a figure, too much or too little, each alike
    return np.asarray(row / row.max())


def report(levels: Levels) -> Table:
    """Return the chance of each outcome (columns) at each level (rows), before anything is measured.

    Outcomes are the stretches nearest to each level's centre, then "over range" and "below resolution". Neighbouring
    levels overlap, so a reading is worth less than knowing the level itself, as it should be.
    """
    order = np.argsort(levels.centres, kind="stable")
    centres, spreads = levels.centres[order], levels.spreads[order]
    weights = 1.0 / spreads
    edges = (centres[:-1] * weights[:-1] + centres[1:] * weights[1:]) / (weights[:-1] + weights[1:])
    off = (edges[None, :] - levels.centres[:, None]) / levels.spreads[:, None]
    sums = np.array([[0.5 * (1 + math.erf(z / math.sqrt(2))) for z in row] for row in off]).reshape(off.shape)
    ends = np.hstack([np.zeros((len(order), 1)), sums, np.ones((len(order), 1))])
    told = np.hstack([np.diff(ends) * levels.numbers[:, None], levels.over[:, None], levels.below[:, None]])
    told = (1 - SLIP) * told + SLIP / told.shape[1]
    return np.asarray(told[:, told.sum(axis=0) > 0])


def _value(text: str, dimension: str) -> float:
    value = units.parse(text, dimension=dimension).value
    if value is None or value < 0.0:
        raise NotFound(f"'{text}' is no value that a level can lie about.", remedy="Correct the sheet.")
    return value
