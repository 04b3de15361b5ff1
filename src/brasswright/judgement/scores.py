"""How good our odds were: what was called before strip-down against what strip-down found.

The log score is minus the natural logarithm of the chance given to the condition that was found; the Brier score is the
sum of squared differences between the chances given and what came, over all conditions of the part (G. W. Brier,
"Verification of forecasts expressed in terms of probability", Monthly Weather Review 78 (1950), from memory). Both are
means over parts, lower is better. Odds are reliable when of the parts called bad with a chance of 85 % about 85 % are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.judgement.gains import LEAST

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["BINS", "Bin", "Calibration", "Called", "calibration", "in_words"]

BINS = 10


@dataclass(frozen=True, slots=True)
class Called:
    """One part found at strip-down: the odds of its conditions just before, best first, and the condition's number."""

    job: int
    component: str
    name: str
    odds: tuple[float, ...]
    found: int

    @property
    def trouble(self) -> float:
        """The chance it had been given of being in any but its best condition."""
        return 1.0 - self.odds[0]

    @property
    def was_bad(self) -> bool:
        """Whether it was found in any but its best condition."""
        return self.found > 0


@dataclass(frozen=True, slots=True)
class Bin:
    """Parts that were called bad with a chance from `low` to `high`: how many, how many were, how many we expected."""

    low: float
    high: float
    called: int
    were: int
    expected: float

    @property
    def share(self) -> float | None:
        """Share of them that were bad; None where there was none."""
        return self.were / self.called if self.called else None

    @property
    def mean(self) -> float | None:
        """Mean chance they had been given; None where there was none."""
        return self.expected / self.called if self.called else None


@dataclass(frozen=True, slots=True)
class Calibration:
    """Scores over all parts found, and bins of equal width in the chance of being bad.

    `log_score` in nat. `off` is the mean distance between chance given and share found, each bin counted by its parts.
    """

    jobs: int
    parts: int
    log_score: float
    brier: float
    off: float
    bins: tuple[Bin, ...]


def calibration(called: Sequence[Called]) -> Calibration | None:
    """Return how good the odds of these parts were, or None where there is none."""
    if not called:
        return None
    bins = tuple(_bin(place, called) for place in range(BINS))
    many = len(called)
    return Calibration(
        jobs=len({one.job for one in called}),
        parts=many,
        log_score=math.fsum(-math.log(max(one.odds[one.found], LEAST)) for one in called) / many,
        brier=math.fsum(_squares(one) for one in called) / many,
        off=math.fsum(abs(one.were - one.expected) for one in bins) / many,
        bins=bins,
    )


def _squares(one: Called) -> float:
    return math.fsum((chance - (state == one.found)) ** 2 for state, chance in enumerate(one.odds))


def _bin(place: int, called: Sequence[Called]) -> Bin:
    inside = [one for one in called if min(int(one.trouble * BINS), BINS - 1) == place]
    expected = math.fsum(one.trouble for one in inside)
    return Bin(place / BINS, (place + 1) / BINS, len(inside), sum(one.was_bad for one in inside), expected)


def in_words(one: Bin) -> str:
    """Return a bin as a sentence; empty where nothing was called so.

    >>> in_words(Bin(0.8, 0.9, 35, 31, 29.9))
    'Of 35 parts we called 80 to 90 % likely to be worse than their best condition, 31 were; 30 were to be expected.'
    """
    if not one.called:
        return ""
    parts = f"Of {one.called} parts" if one.called > 1 else "One part"
    were = f"{one.were} were" if one.called > 1 else ("and it was" if one.were else "and it was not")
    tail = f"; {one.expected:.0f} were to be expected" if one.called > 1 else ""
    return (
        f"{parts} we called {one.low * 100:.0f} to {one.high * 100:.0f} % likely to be worse than "
        f"{'their' if one.called > 1 else 'its'} best condition, {were}{tail}."
    )
