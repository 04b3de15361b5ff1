"""The seed of an estimate: from the journal's head and everything that goes in, so that page, JSON and paper agree."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from brasswright.planning.model import Problem
    from brasswright.reckoning.money import Prices

__all__ = ["seed_of"]

_BITS = 48
"""Few enough that every program reads the seed from JSON without loss."""


def seed_of(head: str, problem: Problem, prices: Prices) -> int:
    """Return the seed for this journal head, problem and prices: the same ones give the same seed."""
    told = (problem, prices.labour_minor_per_hour, prices.currency, prices.tax_permille, prices.minor_per_unit)
    told_prices = (prices.pace_sigma, prices.clearance, sorted(prices.hand.items()))
    digest = hashlib.sha256(f"{head}\n{told!r}\n{told_prices!r}".encode()).digest()
    return int.from_bytes(digest[: _BITS // 8], "big")
