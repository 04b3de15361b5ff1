"""Figures of one size from several machines put together: one consensus where they agree, several sizes where not.

Machines of one kind differ a little among themselves, so the spread between them is found and taken in. Figures that
lie apart like two sizes that are taken for one another are never averaged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.errors import ImpossibleValue
from brasswright.tables import constant

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Pooled", "between_variance", "chance_of", "look_alikes", "pooled"]

ROUNDS = 200
CLOSE = 1e-12


@dataclass(frozen=True, slots=True)
class Pooled:
    """A consensus of `count` figures: `mean` with the standard uncertainty `sigma`, in the unit of the figures.

    `between` is the standard deviation between machines, `next_sigma` the standard uncertainty of the mean as a guess
    at one further machine. `chi_square`, `birge` and `chance` say how well the figures agree without any spread between
    machines; `differ` that they do not. One figure alone says nothing of agreement: its `birge` is None.
    """

    count: int
    mean: float
    sigma: float
    between: float
    next_sigma: float
    chi_square: float
    birge: float | None
    chance: float
    differ: bool


def pooled(*, values: Sequence[float], sigmas: Sequence[float]) -> Pooled:
    """Consensus of figures with their standard uncertainties, the spread between machines taken in [their own unit].

    Symbols: x figures, u uncertainties, w = 1 / (u^2 + t^2) weights, m = sum(w x) / sum(w) mean with uncertainty
    1 / sqrt(sum(w)), t spread between machines such that sum(w (x - m)^2) = n - 1, 0 where even t = 0 gives less.
    Chi-square is that sum for t = 0, Birge ratio sqrt(chi-square / (n - 1)). The next machine: sqrt(u(m)^2 + t^2), or
    u(m) of one figure alone, of which no spread can be seen. Valid for finite figures with uncertainties above 0; with
    two or three of them the spread is hardly known. Source: paule-mandel-1982 (from memory); birge-1932 (from memory).

    >>> result = pooled(values=(25.60, 25.64), sigmas=(0.03, 0.04))
    >>> round(result.mean, 3), round(result.sigma, 3), result.differ
    (25.614, 0.024, False)
    """
    values, sigmas = [float(x) for x in values], [float(u) for u in sigmas]
    if not values or len(values) != len(sigmas):
        raise ImpossibleValue("Each figure needs its uncertainty.", got=f"{len(values)} figures, {len(sigmas)}")
    if not all(math.isfinite(x) for x in values) or not all(math.isfinite(u) and u > 0 for u in sigmas):
        raise ImpossibleValue("A figure to be put together is finite, its uncertainty above 0.", got=list(sigmas))
    count = len(values)
    chi_square = _chi_square(values, sigmas, 0.0)
    between = math.sqrt(between_variance(values=values, sigmas=sigmas))
    mean, sigma = _mean(values, sigmas, between**2)
    chance = chance_of(chi_square=chi_square, degrees=count - 1) if count > 1 else 1.0
    return Pooled(
        count=count,
        mean=mean,
        sigma=sigma,
        between=between,
        next_sigma=math.hypot(sigma, between),
        chi_square=chi_square,
        birge=math.sqrt(chi_square / (count - 1)) if count > 1 else None,
        chance=chance,
        differ=chance < constant("book_differ_chance"),
    )


def chance_of(*, chi_square: float, degrees: int) -> float:
    """Probability that chance alone gives a chi-square at least this large [1].

    Symbols: Q(x, 1) = erfc(sqrt(x / 2)), Q(x, 2) = exp(-x / 2), Q(x, n + 2) = Q(x, n) + (x / 2)^(n / 2) exp(-x / 2)
    / gamma(n / 2 + 1). Valid for chi-square of 0 or more and whole degrees of freedom from 1. Source: birge-1932 names
    the test; the series is a textbook's.

    >>> round(chance_of(chi_square=3.841, degrees=1), 3)
    0.05
    """
    half = chi_square / 2
    if half <= 0:
        return 1.0
    odd = degrees % 2 == 1
    chance = math.erfc(math.sqrt(half)) if odd else math.exp(-half)
    for below in range(1 if odd else 2, degrees, 2):
        chance += math.exp(below / 2 * math.log(half) - half - math.lgamma(below / 2 + 1))
    return min(chance, 1.0)


def between_variance(*, values: Sequence[float], sigmas: Sequence[float]) -> float:
    """Variance between machines by Paule and Mandel [square of the figures' unit].

    The sum falls and flattens as the variance grows, so Newton's steps from 0 never pass its root. Valid as `pooled`.
    Source: paule-mandel-1982 (from memory).
    """
    variance = 0.0
    wanted = len(values) - 1
    for _ in range(ROUNDS):
        excess = _chi_square(values, sigmas, variance) - wanted
        if excess <= CLOSE * max(wanted, 1):
            break
        mean, _spread = _mean(values, sigmas, variance)
        slope = sum((x - mean) ** 2 / (u * u + variance) ** 2 for x, u in zip(values, sigmas, strict=True))
        variance += excess / slope
    return variance


def look_alikes(
    *, values: Sequence[float], sigmas: Sequence[float], apart: Sequence[float]
) -> tuple[tuple[int, ...], ...]:
    """Places of the figures that belong together, smallest size first.

    Neighbours part where they lie further apart than `apart`, the step between sizes taken for one another (the
    smaller of theirs), and than three times their joint uncertainty, which is no scatter. Valid as `pooled`.
    Source: common-practice.

    >>> look_alikes(values=(44.0, 46.0, 44.1), sigmas=(0.05, 0.05, 0.05), apart=(0.3, 0.3, 0.3))
    ((0, 2), (1,))
    """
    order = sorted(range(len(values)), key=lambda place: values[place])
    groups: list[list[int]] = []
    for place in order:
        last = groups[-1][-1] if groups else None
        if last is None or _parted(values, sigmas, apart, (last, place)):
            groups.append([])
        groups[-1].append(place)
    return tuple(tuple(group) for group in groups)


def _parted(values: Sequence[float], sigmas: Sequence[float], apart: Sequence[float], pair: tuple[int, int]) -> bool:
    """Return whether two neighbours are two sizes."""
    low, high = pair
    joint = constant("book_apart_sigmas") * math.hypot(sigmas[low], sigmas[high])
    return values[high] - values[low] > max(joint, min(apart[low], apart[high]))


def _mean(values: Sequence[float], sigmas: Sequence[float], variance: float) -> tuple[float, float]:
    """Return the weighted mean and its standard uncertainty."""
    weights = [1 / (u * u + variance) for u in sigmas]
    total = math.fsum(weights)
    return math.fsum(w * x for w, x in zip(weights, values, strict=True)) / total, 1 / math.sqrt(total)


def _chi_square(values: Sequence[float], sigmas: Sequence[float], variance: float) -> float:
    """Return the weighted sum of squares about the weighted mean."""
    mean, _ = _mean(values, sigmas, variance)
    return math.fsum((x - mean) ** 2 / (u * u + variance) for x, u in zip(values, sigmas, strict=True))
