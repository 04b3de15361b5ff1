"""What every open check would make of the odds, in one pass over a calibrated tree.

For a check x, P(x = k | a clique) is known where the check's parents sit. Carried from clique to clique by
P(x = k | T) = sum over S of P(S | T) P(x = k | S), with S and T the neighbouring separators, it reaches every
component. Rows of different checks stack, so the tree is walked once, not once a check or once an outcome. Exact,
because a check that nothing is known of changes nothing between other nodes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.calibrate import Calibrated
from brasswright.judgement.compile import Table
from brasswright.judgement.engine import Outcomes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


__all__ = ["sweep"]

Scope = tuple[int, ...]


@dataclass(slots=True)
class _Rows:
    """Rows that meet in one scope: their places among all rows, and P(outcome | scope) for each."""

    places: list[int]
    scope: Scope
    given: Table  # rows x axes of the scope


@dataclass(slots=True)
class _Walk:
    """One sweep: what arrives at each clique, and the joint chances that come out."""

    tree: Calibrated
    arrived: list[list[_Rows]]
    unions: dict[tuple[int, Scope], Table] = field(default_factory=dict)

    def carry(self, clique: int, rows: _Rows, to: Scope) -> Table:
        """Joint chance of each row's outcome and the nodes `to`, both scopes inside the clique."""
        union = tuple(sorted({*rows.scope, *to}))
        key = (clique, union)
        if key not in self.unions:
            nodes = self.tree.shape.cliques[clique].nodes
            away = tuple(axis for axis, node in enumerate(nodes) if node not in union)
            self.unions[key] = self.tree.chance[clique].sum(axis=away)
        both = [n for n in rows.scope if n in to]
        old, new = ([n for n in scope if n not in both] for scope in (rows.scope, to))
        sizes = self.tree.shape.sizes
        shape = [math.prod(sizes[n] for n in group) for group in (both, old, new)]
        flow = self.unions[key].transpose([union.index(n) for n in (*both, *old, *new)]).reshape(shape)
        given = rows.given.transpose(
            [*(1 + rows.scope.index(n) for n in both), 0, *(1 + rows.scope.index(n) for n in old)]
        )
        joint = given.reshape(shape[0], len(rows.places), shape[1]) @ flow
        whole = joint.reshape(*(sizes[n] for n in both), len(rows.places), *(sizes[n] for n in new))
        arrived = (*both, -1, *new)
        return np.asarray(whole.transpose([arrived.index(n) for n in (-1, *to)]))


def sweep(tree: Calibrated, checks: Mapping[str, Table], components: Sequence[str]) -> Outcomes:
    """Return the joint chances of every outcome of every check with every component's states.

    Args:
        tree: a calibrated tree.
        checks: unobserved node -> report (its states x outcomes).
        components: nodes whose joint chances are wanted.
    """
    labels = tuple((name, k) for name, report in checks.items() for k in range(report.shape[1]))
    walk = _Walk(tree, [[] for _ in tree.shape.cliques])
    chance = _start(walk, checks)
    _upward(walk)
    _downward(walk)
    joint: dict[str, Table] = {}
    for name in components:
        alone = tree.marginal(name)
        table = np.outer(chance, alone)
        if name in tree.shape.number:
            scope = (tree.shape.number[name],)
            home = tree.shape.home(scope)
            for rows in walk.arrived[home]:
                table[rows.places] = walk.carry(home, rows, scope)
        joint[name] = table
    return Outcomes(labels, chance, joint)


def _start(walk: _Walk, checks: Mapping[str, Table]) -> Table:
    """Put each check's rows where its parents sit; return the chance of each row's outcome."""
    tree, shape = walk.tree, walk.tree.shape
    chances: list[Table] = []
    stacks: dict[Scope, tuple[list[int], list[Table]]] = {}
    place = 0
    for name, report in checks.items():
        node = tree.network.nodes[name]
        if name in shape.number:
            scope: Scope = (shape.number[name],)
            given = report
        else:
            scope, given = shape.cut(node, node.table @ report)
        chances.append(np.tensordot(tree.joint(scope), given, axes=len(scope)))
        places = list(range(place, place + report.shape[1]))
        place += report.shape[1]
        if scope:
            stack = stacks.setdefault(scope, ([], []))
            stack[0].extend(places)
            stack[1].append(np.moveaxis(given, -1, 0))
    for scope, (places, tables) in stacks.items():
        walk.arrived[shape.home(scope)].append(_Rows(places, scope, np.concatenate(tables)))
    return np.concatenate(chances) if chances else np.zeros(0)


def _carried(walk: _Walk, clique: int, stacks: list[_Rows], child: int) -> _Rows:
    """Carry stacks of rows through a clique onto what `child` shares with its parent."""
    to, chance = walk.tree.shape.cliques[child].shared, walk.tree.above[child]
    joint = np.concatenate([walk.carry(clique, rows, to) for rows in stacks])
    given = np.divide(joint, chance, out=np.zeros_like(joint), where=chance > 0)
    return _Rows([place for rows in stacks for place in rows.places], to, given)


def _upward(walk: _Walk) -> None:
    """From the leaves to the roots."""
    cliques = walk.tree.shape.cliques
    for i in range(len(cliques) - 1, -1, -1):
        if cliques[i].parent >= 0 and walk.arrived[i]:
            walk.arrived[cliques[i].parent].append(_carried(walk, i, walk.arrived[i], i))


def _downward(walk: _Walk) -> None:
    """From the roots to the leaves: each child gets every row that did not come from it."""
    for i, clique in enumerate(walk.tree.shape.cliques):
        if clique.parent < 0:
            continue
        own = {place for rows in walk.arrived[i] for place in rows.places}
        others = [rows for rows in walk.arrived[clique.parent] if rows.places[0] not in own]
        if others:
            walk.arrived[i].append(_carried(walk, clique.parent, others, i))
