"""What an opening is worth: all the questions behind it together, its minutes paid once.

The answers to several checks are not worth the sum of each: they repeat one another, or help only together. So joint
samples of the machine's condition are drawn, the answers to all checks behind the opening are drawn for each, and the
best action for each pattern of answers is learnt on one half of the samples and paid for on the other, both ways round.
That is what somebody would save who acts on the answers, so on average it never promises too much. It is not taken
below the best single check behind the opening, which is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import node_of
from brasswright.judgement.worth import LEAST_WORTH, Placed, place_check, report_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from brasswright.judgement.compile import Network, Node, Table
    from brasswright.judgement.opinion import Judgement

__all__ = ["SAMPLES", "SEED", "Bundle", "bundles"]

SAMPLES = 4000
"""Joint samples drawn; half of them teach, half pay."""
SEED = 20_260_301
"""Seed of the draws: the same journal gets the same answer."""
MOST_SEEN = 4
"""At most so many checks speak of one component at a time; the surest do."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """An opening and what lies behind it: what is opened in order, the checks it answers, worth and minutes of all.

    `worth` has a standard uncertainty from the samples, `worth_sigma`; both in the sheet's currency.
    """

    opens: tuple[str, ...]
    names: tuple[str, ...]
    checks: tuple[Placed, ...]
    worth: float
    worth_sigma: float
    minutes: float

    @property
    def per_minute(self) -> float:
        """Worth over minutes."""
        return self.worth / self.minutes

    @property
    def said(self) -> str:
        """The bundle as a sentence."""
        count = len(self.checks)
        return f"{'; then '.join(self.names)}: answers {'one question' if count == 1 else f'these {count} questions'}."


def bundles(judgement: Judgement, *, samples: int = SAMPLES, seed: int = SEED) -> tuple[Bundle, ...]:
    """Return the openings that would pay, best worth per minute first, each with all checks it answers.

    An opening also answers what lies behind a part of it: what the case hides is answered too when the boiler end
    behind the case is opened. Checks behind hold points are never among them.
    """
    shut = [
        one
        for one in place_check(judgement.sheet, judgement.job, judgement.standing)
        if one.way.opens and not one.held and node_of(one.kind, one.key) not in judgement.rows
    ]
    if not shut:
        return ()
    single = {check.key: check.worth for check in judgement.checks}
    drawn = judgement.engine.samples(judgement.network, judgement.rows, samples, seed)
    random = np.random.default_rng((seed, 1))  # never the stream that drew the conditions
    outcomes = {check.key: _answers(judgement, check, drawn, random) for check in shut}
    found = []
    for way in dict.fromkeys(check.way.opens for check in shut):
        inside = tuple(check for check in shut if set(check.way.opens) <= set(way))
        found.append(_bundle(judgement, way, inside, (drawn, outcomes, single)))
    paying = [bundle for bundle in found if bundle.worth >= LEAST_WORTH]
    return tuple(sorted(paying, key=lambda bundle: (-bundle.per_minute, bundle.opens)))


def _answers(
    judgement: Judgement, check: Placed, drawn: Mapping[str, NDArray[np.int64]], random: np.random.Generator
) -> NDArray[np.int64]:
    """Draw the answer to a check for every sample: first what is there to see, then what is reported of it."""
    node = judgement.network.nodes[node_of(check.kind, check.key)]
    report = report_of((check.kind, check.key), judgement.sheet, judgement.network)
    if node.gate is None or report is None:
        return np.zeros(next(iter(drawn.values())).size, dtype=np.int64)
    sums = np.array(node.gate.background) * np.ones((next(iter(drawn.values())).size, 1))
    for parent, rows in node.gate.causes.items():
        sums = sums * rows[drawn[parent]]
    seen = (sums < random.random((sums.shape[0], 1))).sum(axis=1).clip(0, sums.shape[1] - 1)
    told = np.cumsum(report, axis=1)[seen]
    return np.asarray((told < random.random((told.shape[0], 1)) * told[:, -1:]).sum(axis=1), dtype=np.int64)


def _bundle(
    judgement: Judgement,
    way: tuple[str, ...],
    inside: tuple[Placed, ...],
    known: tuple[Mapping[str, NDArray[np.int64]], Mapping[str, NDArray[np.int64]], Mapping[str, float]],
) -> Bundle:
    drawn, outcomes, single = known
    opening = next(check.way.minutes for check in inside if check.way.opens == way)
    minutes = opening + math.fsum(check.minutes for check in inside)
    saved = np.zeros(next(iter(drawn.values())).size)
    for key, loss in judgement.losses.items():
        node = node_of("component", key)
        seeing = _seeing(judgement.network, inside, node) if node in drawn else ()
        if seeing and len(loss.actions) > 1 and not judgement.odds[key].set_by:
            saved += _saved(np.array(loss.actions), drawn[node], [outcomes[check.key] for check in seeing])
    least = max(single.get(check.key, 0.0) for check in inside)
    names = tuple((judgement.sheet.unit.get(key) or judgement.sheet.component[key]).name for key in way)
    sigma = float(saved.std(ddof=1) / math.sqrt(saved.size))
    return Bundle(way, names, inside, max(least, float(saved.mean())), sigma, minutes)


def _seeing(network: Network, inside: Sequence[Placed], component: str) -> tuple[Placed, ...]:
    """Return the checks that show a component, the surest few."""

    def power(check: Placed) -> float:
        node: Node = network.nodes[node_of(check.kind, check.key)]
        sums: Table | None = node.gate.causes.get(component) if node.gate is not None else None
        return 0.0 if sums is None or node.gate is None else float(node.gate.background[0] * (1.0 - sums[:, 0].min()))

    shown = [(power(check), check) for check in inside]
    best = sorted((pair for pair in shown if pair[0] > 0.0), key=lambda pair: (-pair[0], pair[1].key))
    return tuple(check for _, check in best[:MOST_SEEN])


def _saved(actions: Table, states: NDArray[np.int64], answers: Sequence[NDArray[np.int64]]) -> Table:
    """Return, sample by sample, what acting on the answers saves against acting without: learnt on the other half."""
    pattern = np.zeros(states.size, dtype=np.int64)
    for answer in answers:
        pattern = pattern * (int(answer.max()) + 1) + answer
    cost = actions[:, states]
    saved = np.zeros(states.size)
    halves = np.arange(states.size) % 2 == 0
    for teach, pay in ((halves, ~halves), (~halves, halves)):
        now = int(np.argmin(cost[:, teach].sum(axis=1)))
        size = int(pattern.max()) + 1
        total = np.stack([np.bincount(pattern[teach], weights=row, minlength=size) for row in cost[:, teach]])
        best = np.where(total.max(axis=0) > 0.0, total.argmin(axis=0), now)
        taken = best[pattern[pay]]
        saved[pay] = cost[now, pay] - np.take_along_axis(cost[:, pay], taken[None, :], axis=0)[0]
    return saved
