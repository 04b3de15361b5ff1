"""What jobs say about each strength: how often each cause is expected to have brought each state about by itself.

A noisy-MAX child is the worst of what its causes and its background do, and nobody sees which of them did it. Given the
child at state y, a contribution with chances p and running sums F was at z with chance, up to the chance of y,

    p(z) * (product of the others' F at y, less the same at y - 1)   for z better than y,
    p(y) * (product of the others' F at y)                           for z = y,

and never worse than y. Source: derived from the definition of noisy-MAX; for the gate see F. J. Diez, "Parameter
adjustment in Bayes networks: the generalized noisy OR-gate", Uncertainty in Artificial Intelligence 1993 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.judgement.calibrate import LEAVES, Calibrated, Shape, falls_apart
from brasswright.judgement.compile import OVERLOOKED, Table
from brasswright.judgement.engine import hard_state
from brasswright.judgement.families import Families

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brasswright.judgement.compile import Network
    from brasswright.judgement.families import Family

__all__ = ["Case", "Counts", "contributions", "count", "shape_for"]

LITTLE = 1e-9
"""Weights below this are left out of the counts."""
Numbers = NDArray[np.intp]


@dataclass(eq=False)
class Case:
    """One finished job as evidence: likelihood by node, and which questions were only swept.

    `shape` is the tree's shape for it, and `own` its tree by the sheet's own strengths until that has been used once;
    both are made when they are needed.
    """

    families: Families
    rows: Mapping[str, Table]
    swept: frozenset[str] = frozenset()
    shape: Shape | None = None
    own: Calibrated | None = None

    def tree(self, chances: Table) -> Calibrated:
        """Return the tree of this job by these strengths."""
        own, self.own = self.own, None
        if own is not None and chances is self.families.strengths.chances:
            return own
        network = self.network(chances)
        if self.shape is None:
            self.shape = shape_for(network, self.rows)
        return Calibrated(network, self.shape, self.rows)

    def network(self, chances: Table, *, whole: bool = False) -> Network:
        """Return the network by these strengths, with what was looked at in this job; tables not needed are left out.

        `whole` makes them all, for evidence that may yet be softened.
        """
        parts = self.families.network.nodes
        leaves = [name for name in self.rows if parts[name].role in LEAVES]
        clear = {name for name in leaves if not whole and falls_apart(parts[name], self.rows[name])}
        return self.families.built(chances, leaves, self.swept, clear)


@dataclass(frozen=True, eq=False)
class Counts:
    """Expected counts: `by_job[job, line, state]`, and the log likelihood of each job."""

    by_job: Table
    log_likelihood: Table


def shape_for(network: Network, rows: Mapping[str, Table]) -> Shape:
    """Return the tree's shape for this evidence: known nodes cut out, findings that do not fall apart kept whole."""
    known: dict[str, int] = {}
    whole: set[str] = set()
    for name, row in rows.items():
        node, state = network.nodes[name], hard_state(row)
        if node.role in LEAVES:
            if not falls_apart(node, row):
                whole.add(name)
        elif state is not None:
            known[name] = state
    return Shape(network, known, frozenset(whole))


def contributions(chances: Table, active: Table, fixed: Table, states: Numbers) -> Table:
    """Return where each contribution is expected to have been: cases by contributions by states.

    Args:
        chances: one row for each contribution.
        active: cases by contributions: whether this one speaks in this case.
        fixed: cases by states: running sums of what is not learned, such as a parent that is a link; ones if nothing.
        states: the child's state in each case.

    A contribution that does not speak is expected nowhere; so is a case that cannot happen.
    """
    cases, many, width = len(states), *chances.shape
    speaking = np.where(active[:, :, None] > 0, np.minimum(np.cumsum(chances, axis=1), 1.0), 1.0)
    before = np.ones((cases, many + 1, width))
    np.cumprod(speaking, axis=1, out=before[:, 1:])
    after = np.ones((cases, many + 1, width))
    after[:, :-1] = np.cumprod(speaking[:, ::-1], axis=1)[:, ::-1]
    others = before[:, :-1] * after[:, 1:] * fixed[:, None, :]
    lone = np.arange(cases)
    at = others[lone, :, states]
    below = np.where(states[:, None] > 0, others[lone, :, states - 1], 0.0)
    together = before[:, -1] * fixed
    total = together[lone, states] - np.where(states > 0, together[lone, states - 1], 0.0)
    places = np.arange(width)
    better = places[None, :] < states[:, None]
    same = places[None, :] == states[:, None]
    share = chances[None] * (better[:, None] * (at - below)[:, :, None] + same[:, None] * at[:, :, None])
    possible = total > 0.0
    scale = np.divide(1.0, total, out=np.zeros_like(total), where=possible)
    return np.asarray(share * active[:, :, None] * scale[:, None, None])


@dataclass(eq=False)
class _Seen:
    """Cases of one family, job after job: parents' states, own state, weight."""

    jobs: list[Numbers] = field(default_factory=list)
    parents: list[Numbers] = field(default_factory=list)
    states: list[Numbers] = field(default_factory=list)
    weights: list[Table] = field(default_factory=list)

    def add(self, job: int, parents: Numbers, states: Numbers, weights: Table) -> None:
        """Add cases of one job: one line of `parents` for each."""
        self.jobs.append(np.full(len(states), job))
        self.parents.append(parents)
        self.states.append(states)
        self.weights.append(weights)


def count(cases: Sequence[Case], chances: Table) -> Counts:
    """Return the expected counts of all rows over these jobs, given the strengths `chances`.

    What was found, answered or measured counts as it is; what nobody looked at is not counted as fine: it counts by its
    odds where other evidence in the job hangs on it, and not at all where none does. A job that cannot happen by these
    strengths counts for nothing.
    """
    by_job = np.zeros((len(cases), *chances.shape))
    likelihood = np.zeros(len(cases))
    seen: dict[tuple[int, str], tuple[Family, _Seen]] = {}
    for job, case in enumerate(cases):
        tree = case.tree(chances)
        likelihood[job] = tree.log_evidence
        if np.isfinite(tree.log_evidence):
            _Reader(job, case, tree).read(seen, by_job, chances)
    for family, cases_of in seen.values():
        _add_up(family, cases_of, chances, by_job)
    return Counts(by_job, likelihood)


class _Reader:
    """Reads one job's tree: the cases of each family that evidence hangs on."""

    def __init__(self, job: int, case: Case, tree: Calibrated) -> None:
        self.job, self.case, self.tree = job, case, tree
        self.network, self.shape = tree.network, tree.shape
        self.marginals: dict[str, Table] = {}

    def read(self, seen: dict[tuple[int, str], tuple[Family, _Seen]], by_job: Table, chances: Table) -> None:
        """Put this job's cases beside those of the jobs before, and count what needs no cases at once."""
        families = self.case.families
        for name in self._hung_on():
            family = families.of[name]
            leaf = family.node.role in LEAVES
            if self._is_clear(name):
                self._clear(family.whole or family, by_job, chances)
                continue
            found = self._leaf(family) if leaf else self._part(family)
            seen.setdefault((id(families), name), (family, _Seen()))[1].add(self.job, *found)

    def _is_clear(self, name: str) -> bool:
        """Whether this is a question at its best answer, which speaks of each of its causes by itself."""
        row = self.case.rows.get(name)
        node = self.network.nodes[name]
        return row is not None and node.role in LEAVES and falls_apart(node, row)

    def _hung_on(self) -> tuple[str, ...]:
        """Return the nodes that evidence hangs on, those with evidence included, parents first."""
        of = self.case.families.of
        wanted: set[str] = set()
        pending = list(self.case.rows)
        while pending:
            name = pending.pop()
            if name not in wanted:
                wanted.add(name)
                family = of[name]
                pending += (family.whole or family if self._is_clear(name) else family).node.parents
        return tuple(name for name in of if name in wanted)

    def _clear(self, family: Family, by_job: Table, chances: Table) -> None:
        """Count a question at its best answer: no sign came, or in a sweep perhaps one that was overlooked."""
        swept = family.node.name in self.case.swept
        chance = np.ones(len(family.lines) + 1)
        for place, (slot, at) in enumerate(zip(family.slots, family.at, strict=True)):
            chance[place] = self._marginal(family.node.parents[slot])[at]
        lines = np.append(family.lines, family.background)
        if not swept:
            by_job[self.job, lines, 0] += chance
            return
        rows = chances[lines].copy()
        rows[:, 1:] *= OVERLOOKED
        by_job[self.job, lines] += chance[:, None] * rows / rows.sum(axis=1, keepdims=True)

    def _marginal(self, name: str) -> Table:
        if name not in self.marginals:
            self.marginals[name] = self.tree.marginal(name)
        return self.marginals[name]

    def _joint(self, names: tuple[str, ...]) -> tuple[Numbers, Table]:
        """Return the states of these nodes that are possible together, one line each, and their chances."""
        shape = self.shape
        unknown = tuple(sorted(shape.number[name] for name in names if name in shape.number))
        if not unknown:
            return np.array([[shape.known[name] for name in names]], dtype=np.intp), np.ones(1)
        table = self.tree.joint(unknown)
        kept = np.argwhere(table > LITTLE)
        place = {number: column for column, number in enumerate(unknown)}
        lines = np.empty((len(kept), len(names)), dtype=np.intp)
        for column, name in enumerate(names):
            lines[:, column] = shape.known[name] if name in shape.known else kept[:, place[shape.number[name]]]
        return lines, table[tuple(kept.T)]

    def _part(self, family: Family) -> tuple[Numbers, Numbers, Table]:
        lines, weights = self._joint((*family.node.parents, family.node.name))
        return lines[:, :-1], lines[:, -1], weights

    def _leaf(self, family: Family) -> tuple[Numbers, Numbers, Table]:
        """Return the cases of a finding that says something, or of a reading: its own state by how well it agrees."""
        lines, weights = self._joint(family.node.parents)
        said = self.network.nodes[family.node.name].table[tuple(lines.T)] * self.case.rows[family.node.name]
        said = np.broadcast_to(said, (len(lines), len(family.node.states)))
        total = said.sum(axis=1, keepdims=True)
        share = weights[:, None] * np.divide(said, total, out=np.zeros(said.shape), where=total > 0)
        where, states = np.nonzero(share > LITTLE)
        return lines[where], states, share[where, states]


def _add_up(family: Family, seen: _Seen, chances: Table, by_job: Table) -> None:
    """Share the cases of one family out among the rows of its contributions."""
    jobs, parents = np.concatenate(seen.jobs), np.concatenate(seen.parents)
    states, weights = np.concatenate(seen.states), np.concatenate(seen.weights)
    width = len(family.node.states)
    active = np.ones((len(states), len(family.lines) + 1))
    active[:, :-1] = parents[:, family.slots] == family.at if family.lines.size else active[:, :-1]
    lines = np.append(family.lines, family.background)
    if family.background < 0:
        lines, active = lines[:-1], active[:, :-1]
    fixed = np.ones((len(states), width))
    if family.linked >= 0:
        fixed = (np.arange(width) >= parents[:, family.linked, None]).astype(np.float64)
    shares = contributions(chances[lines][:, :width], active, fixed, states) * weights[:, None, None]
    flat = (jobs[:, None] * by_job.shape[1] + lines[None, :]).ravel()
    np.add.at(
        by_job.reshape(-1, by_job.shape[2]), (flat[:, None], np.arange(width)[None, :]), shares.reshape(-1, width)
    )
