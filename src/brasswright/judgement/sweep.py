"""What every open check would make of the odds, in one pass over a calibrated tree.

For a check with states 0, 1, ... the chance of being at most at y is a product of one factor for each parent (or one
table over the parents, where the node has no gate). Such a row lies on the tree like soft evidence on the parents,
wherever they sit. What it makes of one clique is carried on to the next through their separators S and T, by
P(row | T) = sum over S of P(S | T) P(row | S); rows that meet are multiplied. Rows of all checks go together, so the
tree is walked once, not once a check or once an outcome. Differences of neighbouring rows are the outcomes. Exact,
because a check that nothing is known of changes nothing between other nodes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import reduce
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.calibrate import Calibrated
from brasswright.judgement.compile import Table
from brasswright.judgement.engine import Outcomes

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

__all__ = ["sweep"]

Scope = tuple[int, ...]


@dataclass(slots=True, eq=False)
class _Rows:
    """Rows that meet in one scope: their places among all rows, and P(row | scope) for each."""

    places: list[int]
    scope: Scope
    given: Table  # rows x axes of the scope


@dataclass(slots=True)
class _Walk:
    """One sweep: what arrived at each clique, and what each clique sent to its parent."""

    tree: Calibrated
    arrived: list[list[_Rows]]
    sent: dict[int, _Rows] = field(default_factory=dict)
    unions: dict[tuple[int, Scope], Table] = field(default_factory=dict)

    def carry(self, clique: int, rows: _Rows, to: Scope) -> Table:
        """Joint chance of each row and the nodes `to`, both scopes inside the clique."""
        union = tuple(sorted({*rows.scope, *to}))
        key = (clique, union)
        if key not in self.unions:
            nodes = self.tree.shape.cliques[clique].nodes
            away = tuple(axis for axis, node in enumerate(nodes) if node not in union)
            self.unions[key] = self.tree.chance[clique].sum(axis=away)
        both = [n for n in rows.scope if n in to]
        old = [n for n in rows.scope if n not in both]
        new = [n for n in to if n not in both]
        sizes = self.tree.shape.sizes
        shape = [math.prod(sizes[n] for n in group) for group in (both, old, new)]
        flow = self.unions[key].transpose([union.index(n) for n in (*both, *old, *new)]).reshape(shape)
        axes = [*(1 + rows.scope.index(n) for n in both), 0, *(1 + rows.scope.index(n) for n in old)]
        joint = rows.given.transpose(axes).reshape(shape[0], len(rows.places), shape[1]) @ flow
        whole = joint.reshape(*(sizes[n] for n in both), len(rows.places), *(sizes[n] for n in new))
        came = (*both, -1, *new)
        return np.asarray(whole.transpose([came.index(n) for n in (-1, *to)]))

    def gathered(self, clique: int, stacks: list[_Rows], to: Scope) -> tuple[list[int], Table]:
        """Places of all rows in the stacks, each once, and their joint chances with the nodes `to`."""
        apart = list(self._meet(stacks))
        places = [place for rows in apart for place in rows.places]
        return places, np.concatenate([self.carry(clique, rows, to) for rows in apart])

    def _meet(self, stacks: list[_Rows]) -> Iterator[_Rows]:
        """Multiply rows that arrived more than once, so that each row is in one stack."""
        where: dict[int, list[int]] = {}
        for i, rows in enumerate(stacks):
            for place in rows.places:
                where.setdefault(place, []).append(i)
        if len(where) == sum(len(rows.places) for rows in stacks):
            yield from stacks
            return
        groups: dict[tuple[int, ...], list[int]] = {}
        for place, stands in where.items():
            groups.setdefault(tuple(stands), []).append(place)
        for group, places in groups.items():
            yield reduce(self._product, (_some(stacks[i], places) for i in group))

    def _product(self, one: _Rows, other: _Rows) -> _Rows:
        union = tuple(sorted({*one.scope, *other.scope}))
        sizes, n = self.tree.shape.sizes, len(one.places)
        spread = (
            rows.given.reshape(n, *(sizes[node] if node in rows.scope else 1 for node in union))
            for rows in (one, other)
        )
        return _Rows(one.places, union, next(spread) * next(spread))


def _some(rows: _Rows, places: list[int]) -> _Rows:
    """Pick some of the rows."""
    if rows.places == places:
        return rows
    spot = {place: i for i, place in enumerate(rows.places)}
    return _Rows(places, rows.scope, rows.given[[spot[place] for place in places]])


def sweep(tree: Calibrated, checks: Mapping[str, Table], components: Sequence[str]) -> Outcomes:
    """Return the joint chances of every outcome of every check with every component's states.

    Args:
        tree: a calibrated tree.
        checks: unobserved node -> report (its states x outcomes).
        components: nodes whose joint chances are wanted.
    """
    labels = tuple((name, k) for name, report in checks.items() for k in range(report.shape[1]))
    walk = _Walk(tree, [[] for _ in tree.shape.cliques])
    constant = _start(walk, checks)
    _upward(walk)
    parts = _by_part(walk, constant.size)
    whole = constant * np.prod(list(parts.values()), axis=0) if parts else constant
    _downward(walk)
    mix, rest = _mixing(checks)
    joint: dict[str, Table] = {}
    for name in components:
        alone = tree.marginal(name)
        table = np.outer(whole, alone)
        if name in tree.shape.number:
            scope = (tree.shape.number[name],)
            home = tree.shape.home(scope)
            if walk.arrived[home]:
                places, own = walk.gathered(home, walk.arrived[home], scope)
                here = parts[tree.shape.part[home]][places]
                elsewhere = np.divide(whole[places], here, out=np.zeros_like(here), where=here > 0)
                table[places] = own * elsewhere[:, None]
        joint[name] = np.clip(mix @ table + np.outer(rest, alone), 0.0, None)
    return Outcomes(labels, np.clip(mix @ whole + rest, 0.0, None), joint)


def _start(walk: _Walk, checks: Mapping[str, Table]) -> Table:
    """Put each check's rows where its parents sit; return the constant that each row is multiplied with."""
    shape, network = walk.tree.shape, walk.tree.network
    constants: list[float] = []
    stacks: dict[Scope, tuple[list[int], list[Table]]] = {}
    for name in checks:
        node = network.nodes[name]
        for state in range(len(node.states) - 1):
            place, constant = len(constants), 1.0
            sites: list[tuple[Scope, Table]]
            if name in shape.number:
                sites = [((shape.number[name],), (np.arange(len(node.states)) <= state).astype(np.float64))]
            else:
                sites = list(shape.sites(node, state))
            for scope, table in sites:
                if not scope:
                    constant *= float(table)
                    continue
                stack = stacks.setdefault(scope, ([], []))
                stack[0].append(place)
                stack[1].append(table)
            constants.append(constant)
    for scope, (places, tables) in stacks.items():
        walk.arrived[shape.home(scope)].append(_Rows(places, scope, np.stack(tables)))
    return np.array(constants)


def _mixing(checks: Mapping[str, Table]) -> tuple[Table, Table]:
    """Return how outcomes follow from rows: outcome = mix @ rows + rest, by differences of neighbouring rows."""
    rows = sum(report.shape[0] - 1 for report in checks.values())
    mix = np.zeros((sum(report.shape[1] for report in checks.values()), rows))
    rest = np.zeros(mix.shape[0])
    row = outcome = 0
    for report in checks.values():
        states, outcomes = report.shape
        mix[outcome : outcome + outcomes, row : row + states - 1] = (report[:-1] - report[1:]).T
        rest[outcome : outcome + outcomes] = report[-1]
        row, outcome = row + states - 1, outcome + outcomes
    return mix, rest


def _by_part(walk: _Walk, rows: int) -> dict[int, Table]:
    """Return each row's chance within each separate part of the tree, by the part's root; 1 where it does not reach."""
    chances: dict[int, Table] = {}
    for i, clique in enumerate(walk.tree.shape.cliques):
        if clique.parent < 0:
            chances[i] = np.ones(rows)
            if walk.arrived[i]:
                places, chance = walk.gathered(i, walk.arrived[i], ())
                chances[i][places] = chance
    return chances


def _carried(walk: _Walk, clique: int, stacks: list[_Rows], child: int) -> _Rows:
    """Carry stacks of rows through a clique onto what `child` shares with its parent."""
    to, chance = walk.tree.shape.cliques[child].shared, walk.tree.above[child]
    places, joint = walk.gathered(clique, stacks, to)
    return _Rows(places, to, np.divide(joint, chance, out=np.zeros_like(joint), where=chance > 0))


def _upward(walk: _Walk) -> None:
    """From the leaves to the roots."""
    cliques = walk.tree.shape.cliques
    for i in range(len(cliques) - 1, -1, -1):
        if cliques[i].parent >= 0 and walk.arrived[i]:
            walk.sent[i] = _carried(walk, i, walk.arrived[i], i)
            walk.arrived[cliques[i].parent].append(walk.sent[i])


def _downward(walk: _Walk) -> None:
    """From the roots to the leaves: each child gets what did not come from it."""
    for i, clique in enumerate(walk.tree.shape.cliques):
        if clique.parent < 0:
            continue
        others = [rows for rows in walk.arrived[clique.parent] if rows is not walk.sent.get(i)]
        if others:
            walk.arrived[i].append(_carried(walk, clique.parent, others, i))
