"""The shape of a junction tree: which nodes sit together in a clique, and how the cliques hang together.

Nodes are taken out one by one; each leaves a clique behind. Which goes first is decided by three rules of thumb (the
smallest new clique, the fewest new links, the lightest new links), and the smallest tree of the three is kept. Cliques
that lie inside a neighbour are taken into it. The shape hangs only on which nodes are known.
Source: S. L. Lauritzen and D. J. Spiegelhalter, J. R. Statist. Soc. B 50 (1988), 157-224 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["Clique", "triangulate"]

Scope = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Clique:
    """Nodes that sit together (rising numbers), the parent clique's place (-1 for a root) and what they share with it.

    A parent always stands before its children.
    """

    nodes: Scope
    parent: int
    shared: Scope


def triangulate(sizes: Sequence[int], scopes: Iterable[Scope]) -> tuple[Clique, ...]:
    """Make a forest of cliques in which every scope lies inside one clique.

    Args:
        sizes: number of states of each node; a node appears only if some scope holds it.
        scopes: sets of nodes that must sit together.
    """
    near: dict[int, set[int]] = {}
    for scope in scopes:
        for node in scope:
            near.setdefault(node, set()).update(scope)
    for node, others in near.items():
        others.discard(node)
    forests = (_hang(_eliminate(sizes, {node: set(others) for node, others in near.items()}, rule)) for rule in _RULES)
    return min(forests, key=lambda forest: sum(math.prod(sizes[n] for n in clique.nodes) for clique in forest))


def _clique_weight(node: int, near: dict[int, set[int]], sizes: Sequence[int]) -> float:
    return sizes[node] * math.prod(sizes[other] for other in near[node])


def _new_links(node: int, near: dict[int, set[int]], sizes: Sequence[int]) -> float:
    del sizes
    others = near[node]
    return sum(len(others - near[other]) - 1 for other in others)


def _new_link_weight(node: int, near: dict[int, set[int]], sizes: Sequence[int]) -> float:
    others = near[node]
    links = ((other, third) for other in others for third in others - near[other] if third != other)
    return math.fsum(math.log(sizes[other]) * math.log(sizes[third]) for other, third in links)


Rule = Callable[[int, dict[int, set[int]], Sequence[int]], float]
_RULES: tuple[Rule, ...] = (_clique_weight, _new_links, _new_link_weight)


def _eliminate(sizes: Sequence[int], near: dict[int, set[int]], rule: Rule) -> list[tuple[int, frozenset[int]]]:
    """Take nodes out in the rule's order; return each with the nodes still there that it sat with.

    Prices are whole numbers or exactly rounded sums, so that ties are ties on every machine: the tree decides which
    joint samples a seed gives.
    """

    def price(node: int) -> tuple[float, float, int]:
        return rule(node, near, sizes), _clique_weight(node, near, sizes), node

    prices = {node: price(node) for node in near}
    order: list[tuple[int, frozenset[int]]] = []
    while near:
        node = min(near, key=prices.__getitem__)
        others = near.pop(node)
        order.append((node, frozenset(others)))
        touched = set(others)
        for other in others:
            near[other] |= others
            near[other] -= {node, other}
            touched |= near[other]
        for other in touched:
            prices[other] = price(other)
    return order


def _hang(order: list[tuple[int, frozenset[int]]]) -> tuple[Clique, ...]:
    """Hang each clique under that of its first remaining neighbour; take in cliques that lie inside another."""
    when = {node: place for place, (node, _) in enumerate(order)}
    nodes: dict[int, frozenset[int]] = {}
    parent: dict[int, int] = {}
    home: dict[int, int] = {}  # place in the order -> clique it was taken into
    for place in range(len(order) - 1, -1, -1):
        node, others = order[place]
        above = home[min(when[other] for other in others)] if others else -1
        if above >= 0 and nodes[above] == others:  # the parent's clique lies inside this one: it grows
            nodes[above] = others | {node}
            home[place] = above
            continue
        nodes[place] = others | {node}
        parent[place] = above
        home[place] = place
    places = list(nodes)  # from the last eliminated on, so parents come first
    number = {place: i for i, place in enumerate(places)}
    cliques: list[Clique] = []
    for place in places:
        above = parent[place]
        shared = nodes[place] & nodes[above] if above >= 0 else frozenset()
        cliques.append(Clique(tuple(sorted(nodes[place])), number[above] if above >= 0 else -1, tuple(sorted(shared))))
    return tuple(cliques)
