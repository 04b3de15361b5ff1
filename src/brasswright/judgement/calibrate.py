"""A junction tree with evidence in it: tables multiplied in, one pass up, one pass down.

Known histories and conditions are cut out of the tables first, which keeps the tree small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import Network, Table
from brasswright.judgement.engine import hard_state
from brasswright.judgement.triangulate import Clique, triangulate

if TYPE_CHECKING:
    from brasswright.judgement.compile import Node

__all__ = ["LEAVES", "Calibrated", "Scope", "Shape", "falls_apart"]

Scope = tuple[int, ...]
LEAVES = ("finding", "reading")


class Shape:
    """The tree's shape for one set of known nodes: numbers of the nodes that are left, cliques, homes of scopes.

    `whole` names findings whose parents must sit together, because what is known of them does not fall apart into one
    factor for each parent. Findings without a gate always need that.
    """

    def __init__(self, network: Network, known: Mapping[str, int], whole: frozenset[str] = frozenset()) -> None:
        """Triangulate what is left of the network."""
        self.known = dict(known)
        loose = {
            n.name for n in network.nodes.values() if n.role in LEAVES and n.gate is not None and n.name not in whole
        }
        there = [n for n in network.nodes.values() if n.name not in loose and n.serves not in loose]
        left = [n for n in there if n.role not in LEAVES and n.name not in known]
        self.number = {node.name: i for i, node in enumerate(left)}
        self.names = tuple(self.number)
        self.sizes = tuple(len(node.states) for node in left)
        scopes = [self.scope(node) for node in there]
        self.cliques: tuple[Clique, ...] = triangulate(self.sizes, scopes)
        self.children: list[list[int]] = [[] for _ in self.cliques]
        self.part: list[int] = []
        self._holding: dict[int, list[int]] = {}
        for i, clique in enumerate(self.cliques):
            if clique.parent >= 0:
                self.children[clique.parent].append(i)
            self.part.append(self.part[clique.parent] if clique.parent >= 0 else i)
            for node in clique.nodes:
                self._holding.setdefault(node, []).append(i)

    def scope(self, node: Node) -> Scope:
        """Numbers of the node's family that are left; a finding itself never is."""
        family = (*node.parents, node.name)
        return tuple(sorted(self.number[name] for name in family if name in self.number))

    def home(self, scope: Scope) -> int:
        """Place of the smallest clique that holds the whole scope."""
        common = set(self._holding[scope[0]]).intersection(*(self._holding[node] for node in scope[1:]))
        return min(common, key=lambda i: (math.prod(self.sizes[n] for n in self.cliques[i].nodes), i))

    def cut(self, node: Node, table: Table) -> tuple[Scope, Table]:
        """Cut known nodes out of a table and sort its axes.

        The table's first axes are the node's parents (and the node itself, unless it is a finding or reading); axes
        after those stay last.
        """
        family = node.parents if node.role in LEAVES else (*node.parents, node.name)
        rest = table[tuple(self.known.get(name, slice(None)) for name in family)]
        numbers = [self.number[name] for name in family if name not in self.known]
        order = sorted(range(len(numbers)), key=numbers.__getitem__)
        return tuple(sorted(numbers)), rest.transpose(*order, *range(len(numbers), rest.ndim))

    def sites(self, node: Node, state: int) -> Iterator[tuple[Scope, Table]]:
        """Go over the factors whose product is the chance that a finding is at most at `state`, known nodes cut out."""
        if node.gate is None:
            yield self.cut(node, node.table[..., : state + 1].sum(axis=-1))
            return
        constant = float(node.gate.background[state])
        for parent, sums in node.gate.causes.items():
            if parent in self.known:
                constant *= float(sums[self.known[parent], state])
            else:
                yield (self.number[parent],), sums[:, state]
        yield (), np.asarray(constant)

    def spread(self, table: Table, scope: Scope, over: Scope) -> Table:
        """Give a table over `scope` the axes of `over`, of length one where it says nothing."""
        inside = set(scope)
        return table.reshape([self.sizes[n] if n in inside else 1 for n in over])


def gather(table: Table, over: Scope, keep: Scope) -> Table:
    """Sum a table over `over` down to `keep`; both rising."""
    inside = set(keep)
    away = tuple(axis for axis, node in enumerate(over) if node not in inside)
    summed: Table = table.sum(axis=away) if away else table
    return summed


def falls_apart(node: Node, said: Table) -> bool:
    """Whether evidence on a finding is one factor for each of its parents: so it is when nothing at all was seen."""
    return node.gate is not None and hard_state(said) == 0


@dataclass(eq=False)
class Calibrated:
    """A tree with evidence in it: `chance[i]` is the joint chance of clique i's nodes given all evidence."""

    network: Network
    shape: Shape
    evidence: Mapping[str, Table]
    log_evidence: float = 0.0
    chance: list[Table] = field(default_factory=list)
    above: list[Table] = field(default_factory=list)  # chance of what clique i shares with its parent

    def __post_init__(self) -> None:
        """Put the tables in, pass messages up, then down."""
        products = self._products()
        if self.log_evidence == -math.inf or not self._up(products):
            self.log_evidence = -math.inf
            return
        self._down(products)

    def marginal(self, name: str) -> Table:
        """Chances of the states of a node that is in the tree or known."""
        if name in self.shape.known:
            return np.asarray(np.eye(len(self.network.nodes[name].states))[self.shape.known[name]])
        return self.joint((self.shape.number[name],))

    def joint(self, scope: Scope) -> Table:
        """Joint chance of nodes that sit in one clique."""
        if not scope:
            return np.ones(())
        place = self.shape.home(scope)
        return gather(self.chance[place], self.shape.cliques[place].nodes, scope)

    def _products(self) -> list[Table]:
        shape = self.shape
        products: list[Table] = [
            np.ones([shape.sizes[n] for n in clique.nodes], dtype=np.float64) for clique in shape.cliques
        ]
        for scope, table in self._factors():
            if not scope:
                self.log_evidence += _log(float(table))
                continue
            place = shape.home(scope)
            products[place] *= shape.spread(table, scope, shape.cliques[place].nodes)
        return products

    def _factors(self) -> Iterator[tuple[Scope, Table]]:
        """Go over all tables with their evidence, known nodes cut out."""
        shape = self.shape
        for node in self.network.nodes.values():
            said = self.evidence.get(node.name)
            if node.role in LEAVES:
                if said is None:
                    continue
                if falls_apart(node, said):
                    yield from shape.sites(node, 0)
                    yield (), np.asarray(said[0])
                else:
                    yield shape.cut(node, np.asarray(node.table @ said))
            elif node.name in shape.number or node.name in shape.known:
                yield shape.cut(node, node.table if said is None else node.table * said)

    def _up(self, products: list[Table]) -> bool:
        shape = self.shape
        for i in range(len(shape.cliques) - 1, -1, -1):
            clique = shape.cliques[i]
            total = float(products[i].sum())
            if total <= 0.0:
                return False
            self.log_evidence += math.log(total)
            products[i] /= total
            if clique.parent >= 0:
                message = gather(products[i], clique.nodes, clique.shared)
                above = shape.cliques[clique.parent].nodes
                products[clique.parent] *= shape.spread(message, clique.shared, above)
        return True

    def _down(self, products: list[Table]) -> None:
        shape = self.shape
        for i, clique in enumerate(shape.cliques):
            if clique.parent < 0:
                self.chance.append(products[i])
                self.above.append(np.ones(()))
                continue
            shared = gather(self.chance[clique.parent], shape.cliques[clique.parent].nodes, clique.shared)
            own = gather(products[i], clique.nodes, clique.shared)
            ratio = np.divide(shared, own, out=np.zeros_like(own), where=own > 0)
            self.above.append(shared)
            self.chance.append(products[i] * shape.spread(ratio, clique.shared, clique.nodes))


def _log(value: float) -> float:
    return math.log(value) if value > 0.0 else -math.inf
