"""The estimate: money low, likely and high, over joint samples of the odds.

For each sample the planned work is done. What is hidden shows itself when its component is off or worked on, and what
must be put right shows itself at the latest at proving; it then adds its cheapest treatment, what has to come off for
it, and the tests that this disturbs. What comes off may show more, until nothing new is seen. Hands-on times and prices
are triangles; one factor common to the whole job makes all of its hands-on work quicker or slower together.

Approximate on purpose: each hidden fault has one treatment, chosen beforehand for the machine as the plan opens it; and
planned work is done even where a sample has its component sound.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.reckoning.hidden import discover
from brasswright.reckoning.lines import Sampler, ledger
from brasswright.reckoning.money import rounded, with_tax

if TYPE_CHECKING:
    from brasswright.planning.model import Plan, Problem
    from brasswright.reckoning.hidden import Discovery
    from brasswright.reckoning.lines import Ledger
    from brasswright.reckoning.money import Prices

__all__ = ["COUNT", "Driver", "Estimate", "Hidden", "Line", "estimate"]

COUNT = 10_000
"""Samples of an estimate when the odds bring none of their own."""
_QUANTILES = (0.1, 0.5, 0.9)
_BINS = 40
_DRIVERS = 8
Samples = Mapping[str, NDArray[np.integer]]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the estimate, tax included: planned work of a zone, what may be found there, proving, and so on.

    Low, likely and high are those of the line alone; only the means of all lines add up to the mean of the whole.
    """

    key: str
    title: str
    kind: str
    low_minor: int
    likely_minor: int
    high_minor: int
    mean_minor: int
    reason: str


@dataclass(frozen=True, slots=True)
class Driver:
    """What makes the range wide: a line, a component whose condition is unknown, or the pace of the work.

    `share` of the variance. Shares of lines add up to one; those of components and pace are told apart from them and
    overlap with them.
    """

    subject: str
    kind: str
    words: str
    share: float


@dataclass(frozen=True, slots=True)
class Hidden:
    """Something not planned for that may be found: how often it was, and what it then adds (tax included)."""

    fault: str
    treatment: str
    words: str
    chance: float
    adds_minor: int
    shows: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimate in minor units, tax included: low is the 10th, likely the 50th, high the 90th of a hundred.

    `risk_left_minor` is the expected cost of what is left or may not hold: it is not part of the money and carries no
    tax. `edges` and `counts` are the spread as a histogram. `hands_on_minutes` are low, likely and high.
    """

    currency: str
    tax_permille: int
    low_minor: int
    likely_minor: int
    high_minor: int
    mean_minor: int
    risk_left_minor: int
    lines: tuple[Line, ...]
    drivers: tuple[Driver, ...]
    hidden: tuple[Hidden, ...]
    hands_on_minutes: tuple[int, int, int]
    samples: int
    seed: int
    edges: tuple[int, ...]
    counts: tuple[int, ...]


def estimate(problem: Problem, plan: Plan, samples: Samples, *, seed: int, prices: Prices) -> Estimate:
    """Estimate the money of a plan over joint samples of the odds (component to array of condition index).

    The same arguments give the same figures. Components without samples bring no surprises. With no samples at all,
    10,000 draws of times and prices are made.

    Raises:
        ValueError: if the arrays of samples differ in length.
    """
    sizes = {len(column) for column in samples.values()} or {COUNT}
    if len(sizes) > 1:
        raise ValueError(f"joint samples of different lengths: {sorted(sizes)}")
    count = sizes.pop()
    found = discover(problem, plan.choice, samples, count)
    sampler = Sampler(np.random.default_rng(seed), count, prices)
    book = ledger(problem, plan, found, sampler)
    rate = with_tax(1.0, prices.tax_permille)
    money = np.sum(list(book.money.values()), axis=0) * rate if book.money else np.zeros(count)
    low, likely, high = (rounded(float(q)) for q in np.quantile(money, _QUANTILES))
    edges, counts = _spread(money)
    return Estimate(
        currency=prices.currency,
        tax_permille=prices.tax_permille,
        low_minor=low,
        likely_minor=likely,
        high_minor=high,
        mean_minor=rounded(float(money.mean())),
        risk_left_minor=rounded(float(found.risk_left.mean())),
        lines=_lines(book, rate),
        drivers=_drivers(problem, book, money, samples, sampler.pace),
        hidden=_hidden(problem, found, book, rate),
        hands_on_minutes=_three(book.minutes),
        samples=count,
        seed=seed,
        edges=edges,
        counts=counts,
    )


def _three(column: NDArray[np.float64]) -> tuple[int, int, int]:
    low, likely, high = (rounded(float(q)) for q in np.quantile(column, _QUANTILES))
    return low, likely, high


def _spread(money: NDArray[np.float64]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    low, high = rounded(float(money.min())), rounded(float(money.max()))
    edges = np.unique(np.linspace(low, max(high, low + 1), _BINS + 1).round().astype(np.int64))
    counts, _ = np.histogram(np.clip(np.floor(money + 0.5), edges[0], edges[-1]), bins=edges)
    return tuple(int(edge) for edge in edges), tuple(int(n) for n in counts)


def _lines(book: Ledger, rate: float) -> tuple[Line, ...]:
    lines = []
    for key, column in book.money.items():
        low, likely, high = _three(column * rate)
        kind, title, reason = book.told[key]
        lines.append(Line(key, title, kind, low, likely, high, rounded(float(column.mean()) * rate), reason))
    return tuple(line for line in lines if line.high_minor or line.mean_minor)


def _drivers(
    problem: Problem, book: Ledger, money: NDArray[np.float64], samples: Samples, pace: NDArray[np.float64]
) -> tuple[Driver, ...]:
    """Shares of variance: covariance of each line with the whole, and what each component's condition explains."""
    total = float(money.var())
    if total <= 0.0:
        return ()
    names = {piece.id: piece.name for piece in problem.pieces}
    rate = float(money.sum()) / max(float(np.sum([column.sum() for column in book.money.values()])), 1.0)
    centred = money - money.mean()
    found = [
        Driver(key, "line", book.told[key][1], float((column * rate) @ centred) / len(money) / total)
        for key, column in book.money.items()
    ]
    found += [
        Driver(key, "component", f"the condition of: {names.get(key, key)}", _explained(column, centred) / total)
        for key, column in samples.items()
    ]
    if pace.var() > 0.0:
        slope = float((pace - pace.mean()) @ centred) / len(money)
        found.append(
            Driver("pace", "pace", "how quickly this job's work goes as a whole", slope**2 / float(pace.var()) / total)
        )
    found.sort(key=lambda driver: (-driver.share, driver.kind, driver.subject))
    return tuple(driver for driver in found[: 2 * _DRIVERS] if driver.share >= _WORTH_SAYING)


_WORTH_SAYING = 0.01


def _explained(column: NDArray[np.integer], centred: NDArray[np.float64]) -> float:
    """The variance of the mean over the conditions of one component, less what chance alone would show."""
    counts = np.bincount(column)
    sums = np.bincount(column, weights=centred)
    there = counts > 0
    between = float((sums[there] ** 2 / counts[there]).sum()) / len(centred)
    noise = (int(there.sum()) - 1) * float(centred.var()) / len(centred)
    return max(between - noise, 0.0)


def _hidden(problem: Problem, found: Discovery, book: Ledger, rate: float) -> tuple[Hidden, ...]:
    names = {piece.id: piece.name for piece in problem.pieces}
    rows = []
    for fault in problem.faults:
        option = found.answers.get(fault.id)
        seen = found.active.get(fault.id)
        if option is None or seen is None or not seen.any():
            continue
        adds = float(book.hidden[option.id][seen].mean()) * rate
        rows.append(
            Hidden(
                fault=fault.id,
                treatment=option.id,
                words=f"{names.get(fault.component, fault.component)}, {fault.condition}: {option.name}",
                chance=float(seen.mean()),
                adds_minor=rounded(adds),
                shows="at proving" if found.late.get(fault.id, np.zeros(1)).any() else "when it is opened",
            )
        )
    return tuple(sorted(rows, key=lambda row: (-row.chance * row.adds_minor, row.fault)))
