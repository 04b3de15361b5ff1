"""Exact odds by a junction tree in numpy: the engine that serves by default.

`brasswright.judgement.calibrate` gives every clique's chances, `brasswright.judgement.sweep` adds what each open check
would make of them. Joint samples are drawn from the tree itself: a root clique, then each clique given what it shares
with its parent, so they are exact under any evidence and nothing is weighted or thrown away.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from brasswright.judgement.calibrate import LEAVES, Calibrated, Shape, falls_apart
from brasswright.judgement.engine import Outcomes, hard_state
from brasswright.judgement.sweep import sweep

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from brasswright.judgement.compile import Network, Table
    from brasswright.judgement.triangulate import Clique

__all__ = ["TreeEngine", "tree_entries"]


def tree_entries(network: Network) -> int:
    """Return the size of the tree with nothing known: what every answer costs, in table entries."""
    shape = Shape(network, {})
    return sum(math.prod(shape.sizes[node] for node in clique.nodes) for clique in shape.cliques)


@dataclass(slots=True)
class _Memory:
    """Shapes by the set of known nodes, and the last calibrated trees by their evidence."""

    shapes: dict[tuple[frozenset[tuple[str, int]], frozenset[str]], Shape] = field(default_factory=dict)
    trees: dict[tuple[tuple[str, bytes], ...], Calibrated] = field(default_factory=dict)


class TreeEngine:
    """The engine protocol on junction trees; remembers shapes and the last few trees of each network."""

    REMEMBERED = 4

    def __init__(self) -> None:
        """Start with nothing remembered."""
        self._memory: WeakKeyDictionary[Network, _Memory] = WeakKeyDictionary()

    def calibrated(self, network: Network, evidence: Mapping[str, Table]) -> Calibrated:
        """Return the tree of a network with this evidence in it."""
        memory = self._memory.setdefault(network, _Memory())
        mark = tuple(sorted((name, np.asarray(row, dtype=np.float64).tobytes()) for name, row in evidence.items()))
        if mark not in memory.trees:
            known: dict[str, int] = {}
            whole: set[str] = set()
            for name, row in evidence.items():
                node, state = network.nodes[name], hard_state(row)
                if node.role in LEAVES:
                    if not falls_apart(node, row):
                        whole.add(name)
                elif state is not None:
                    known[name] = state
            key = (frozenset(known.items()), frozenset(whole))
            if key not in memory.shapes:
                memory.shapes[key] = Shape(network, known, frozenset(whole))
            while len(memory.trees) >= self.REMEMBERED:
                memory.trees.pop(next(iter(memory.trees)), None)
            memory.trees[mark] = Calibrated(network, memory.shapes[key], dict(evidence))
        return memory.trees[mark]

    def posteriors(self, network: Network, evidence: Mapping[str, Table], nodes: Iterable[str]) -> dict[str, Table]:
        """Chances of each named node's states; ZeroDivisionError if the evidence cannot happen together."""
        tree = self._possible(network, evidence)
        return {
            name: self._leaf(network, evidence, name) if network.nodes[name].role in LEAVES else tree.marginal(name)
            for name in nodes
        }

    def _leaf(self, network: Network, evidence: Mapping[str, Table], name: str) -> Table:
        """Chances of a finding's states: what the rest says of it, times what was said of it."""
        rest = {other: row for other, row in evidence.items() if other != name}
        report = np.eye(len(network.nodes[name].states))
        row = self.outcomes(network, rest, {name: report}, ()).chance * evidence.get(name, 1.0)
        return np.asarray(row / row.sum())

    def log_evidence(self, network: Network, evidence: Mapping[str, Table]) -> float:
        """Natural logarithm of the evidence's chance; -inf if it cannot happen together."""
        return self.calibrated(network, evidence).log_evidence

    def outcomes(
        self, network: Network, evidence: Mapping[str, Table], checks: Mapping[str, Table], components: Iterable[str]
    ) -> Outcomes:
        """What each open check would make of the named components, in one sweep over the tree."""
        return sweep(self._possible(network, evidence), checks, tuple(components))

    def samples(
        self, network: Network, evidence: Mapping[str, Table], n: int, seed: int
    ) -> dict[str, NDArray[np.int64]]:
        """Draw n exact joint samples of all histories, components and links, as numbers of states."""
        tree = self._possible(network, evidence)
        shape = tree.shape
        random = np.random.default_rng(seed)
        drawn = np.zeros((len(shape.names), n), dtype=np.int64)
        for i, clique in enumerate(shape.cliques):
            _draw(tree, i, clique, drawn, random.random(n))
        found = {name: drawn[number] for name, number in shape.number.items()}
        found.update({name: np.full(n, state, dtype=np.int64) for name, state in shape.known.items()})
        return found

    def _possible(self, network: Network, evidence: Mapping[str, Table]) -> Calibrated:
        tree = self.calibrated(network, evidence)
        if tree.log_evidence == -math.inf:
            raise ZeroDivisionError("the evidence has chance zero")
        return tree


def _draw(tree: Calibrated, place: int, clique: Clique, drawn: NDArray[np.int64], uniform: NDArray[np.float64]) -> None:
    """Draw a clique's new nodes given those it shares with its parent, all samples at once."""
    shape = tree.shape
    new = tuple(n for n in clique.nodes if n not in set(clique.shared))
    order = [clique.nodes.index(n) for n in (*clique.shared, *new)]
    shared_sizes = tuple(shape.sizes[n] for n in clique.shared)
    new_sizes = tuple(shape.sizes[n] for n in new)
    rows = tree.chance[place].transpose(order).reshape(math.prod(shared_sizes), math.prod(new_sizes))
    sums = np.cumsum(rows, axis=1)
    totals = sums[:, -1:]
    given = np.zeros(uniform.size, dtype=np.int64)
    if clique.shared:
        given = np.ravel_multi_index(tuple(drawn[n] for n in clique.shared), shared_sizes)
    steps = np.divide(sums, totals, out=np.ones_like(sums), where=totals > 0) + np.arange(rows.shape[0])[:, None]
    spots = np.searchsorted(steps.ravel(), uniform + given, side="right") - given * rows.shape[1]
    last = rows.shape[1] - 1
    for n, states in zip(new, np.unravel_index(np.clip(spots, 0, last), new_sizes), strict=True):
        drawn[n] = states
