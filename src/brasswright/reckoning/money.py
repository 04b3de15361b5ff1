"""Money: integer minor units, one rounding rule, tax, and the expectation of a triangle."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from brasswright.planning.model import Money, Triple

__all__ = ["CLEARANCE_ITEM", "Prices", "expected", "item_key", "labour_minor", "rounded", "with_tax"]

CLEARANCE_ITEM = "asbestos_clearance"
"""The key under which a price by hand for clearing presumed asbestos is entered."""


@dataclass(frozen=True, slots=True)
class Prices:
    """What the workshop charges. Money in minor units of `currency`, without tax.

    `minor_per_unit` turns one unit of a sheet's money into minor units: exchange and price level together. `hand` are
    prices by hand, by part, treatment or consumable. `clearance` is a laboratory's report or a licensed person before
    presumed asbestos is disturbed; `pace_sigma` is the spread (standard deviation of the natural logarithm) of one
    common factor on all hands-on time of a job. Both defaults: common practice, no source.
    """

    labour_minor_per_hour: int = 4500
    currency: str = "EUR"
    tax_permille: int = 0
    minor_per_unit: float = 100.0
    hand: Mapping[str, Money] = field(default_factory=lambda: MappingProxyType({}))
    clearance: Money = (6000, 12000, 30000)
    pace_sigma: float = 0.2


def rounded(minor: float) -> int:
    """Round to the nearest minor unit, halves up: the one rule for every figure.

    >>> rounded(0.5), rounded(1.49), rounded(2.5)
    (1, 1, 3)
    """
    return math.floor(minor + 0.5)


def with_tax(minor: float, tax_permille: int) -> float:
    """Add tax, unrounded: rounding comes last and once."""
    return minor * (1.0 + tax_permille / 1000.0)


def expected(triple: Triple | Money) -> float:
    """Return the mean of a triangular distribution: a third of low, likely and high together."""
    return math.fsum(triple) / 3.0


def labour_minor(minutes: float, prices: Prices) -> float:
    """Return the price of hands-on minutes, unrounded."""
    return minutes * prices.labour_minor_per_hour / 60.0


def item_key(name: str) -> str:
    """Return the key of something bought, from its name: what a price by hand is entered under.

    >>> item_key("Element with washer")
    'element_with_washer'
    """
    return "_".join("".join(c if c.isalnum() and c.isascii() else " " for c in name.lower()).split())
