"""A sheet made into tables: histories, component conditions, findings and readings as one network of noisy-MAX nodes.

A noisy-MAX child takes the worst of what its causes and its background do, each by itself. With F the running sum of
one row from the best state on, the child is at most y with chance F_background(y) * product of F_cause(y); the table is
the difference of neighbouring values. Source: F. J. Diez, "Parameter adjustment in Bayes networks: the generalized
noisy OR-gate", Uncertainty in Artificial Intelligence 1993 (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from graphlib import CycleError, TopologicalSorter
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from brasswright.errors import Problem, SheetRefused

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.sheets.model import Cause, Component, Sheet

__all__ = [
    "MANY_ENTRIES",
    "MOST_PARENTS",
    "OVERLOOKED",
    "Gate",
    "MachineFacts",
    "Network",
    "Node",
    "Role",
    "Table",
    "compile_network",
    "node_of",
]

Table: TypeAlias = NDArray[np.float64]
Role = Literal["history", "component", "finding", "reading", "link"]

MOST_PARENTS = 5
"""A node with more parents than this is split into a chain of links, which is exact for noisy-MAX."""
MANY_ENTRIES = 100_000
"""Above this many table entries the network answers slowly, and says so."""
OVERLOOKED = 0.25
"""Chance that a sign plain to a single look is overlooked in a sweep of a zone. Source: common practice, no source."""
ABSENT = frozenset({"absent", "missing"})
UNKNOWN_KIND = "foreign"


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """What the plate says; readings predicted from it stay silent where it says nothing."""

    rated_voltage_v: float | None = None
    rated_power_w: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Gate:
    """A noisy-MAX node by its parts: running sums of the background, and of each cause, one row per cause's state.

    The chance that the node is at most at state y is the product of the background's and every cause's sum at y: no
    table over all causes together is needed for that.
    """

    background: Table
    causes: Mapping[str, Table]


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """One node: `table` has one axis for each parent in order, and the node's own states last, best first.

    Findings and readings keep their `gate` beside the table. `serves` names the node that a link was split from.
    """

    name: str
    role: Role
    key: str
    states: tuple[str, ...]
    parents: tuple[str, ...]
    table: Table
    gate: Gate | None = None
    serves: str = ""


@dataclass(frozen=True, eq=False)
class Network:
    """The compiled sheet: nodes by name, parents before children, and what could not be compiled.

    `silent` are components without odds: no numbers in the sheet, or another kind of part is fitted. `gone` are
    components that are not there. `entries` counts all table entries.
    """

    nodes: Mapping[str, Node]
    silent: frozenset[str] = frozenset()
    gone: frozenset[str] = frozenset()
    facts: MachineFacts = field(default_factory=MachineFacts)
    warnings: tuple[str, ...] = ()

    @property
    def entries(self) -> int:
        """Number of table entries of all nodes together."""
        return sum(node.table.size for node in self.nodes.values())

    def causes_of(self, name: str) -> frozenset[str]:
        """Histories and components right behind a node; links made by splitting it are looked through."""
        direct: set[str] = set()
        for parent in self.nodes[name].parents:
            direct |= self.causes_of(parent) if self.nodes[parent].role == "link" else {parent}
        return frozenset(direct)

    def of_role(self, *roles: Role) -> tuple[Node, ...]:
        """Nodes of these roles, parents before children."""
        return tuple(node for node in self.nodes.values() if node.role in roles)


def node_of(role: Role, key: str) -> str:
    """Name of a sheet's entry in the network; the kinds share no names, so a finding may be called like a component."""
    return f"{role}:{key}"


def compile_network(
    sheet: Sheet,
    facts: MachineFacts | None = None,
    presence: Mapping[str, str] | None = None,
    *,
    swept: frozenset[str] = frozenset(),
) -> Network:
    """Make the network of a sheet for one machine.

    Args:
        sheet: the sheet, already checked.
        facts: what the plate says; kept with the network for readings that are predicted from it.
        presence: "fitted", "absent", "missing", "foreign" or "extra" by component; "fitted" where nothing is said.
        swept: findings looked at only in a sweep of their zone: each sign that they would show, by whatever cause, is
            overlooked with chance `OVERLOOKED`, one sign independently of another.

    Components that are absent or missing drop out, and so does all they would bring about. A foreign component drops
    out too, because nothing in the sheet speaks about it. A component without numbers has no odds: it is silent.

    Raises:
        SheetRefused: an unknown name, a sum above 1, or causes that go round in a circle.
    """
    said = presence or {}
    gone = frozenset(key for key in sheet.component if said.get(key) in ABSENT)
    silent = frozenset(
        key
        for key, part in sheet.component.items()
        if key not in gone and (part.alone is None or said.get(key) == UNKNOWN_KIND)
    )
    builder = _Builder(sheet, gone | silent, swept)
    nodes = builder.build()
    entries = sum(node.table.size for node in nodes.values())
    warnings: tuple[str, ...] = ()
    if entries > MANY_ENTRIES:
        much = f"The sheet '{sheet.sheet.key}' compiles to {entries:,} table entries, more than {MANY_ENTRIES:,}"
        warnings = (f"{much}: odds will take longer. Fewer causes to one component, or shorter ladders, help.",)
    return Network(MappingProxyType(nodes), silent, gone, facts or MachineFacts(), warnings)


@dataclass(slots=True)
class _Child:
    """A node before its table is made: background row and what each state of each parent does by itself."""

    name: str
    role: Role
    key: str
    states: tuple[str, ...]
    background: Table
    causes: dict[str, Table] = field(default_factory=dict)  # parent node -> running sums, one row per parent state


class _Builder:
    """Collects rows from the sheet, refuses what does not fit, and orders nodes."""

    def __init__(self, sheet: Sheet, dropped: frozenset[str], swept: frozenset[str]) -> None:
        self.sheet = sheet
        self.swept = swept
        self.dropped = dropped
        self.problems: list[Problem] = []
        self.states: dict[str, tuple[str, ...]] = {}

    def build(self) -> dict[str, Node]:
        """Return all nodes, parents before children."""
        sheet = self.sheet
        for key, history in sheet.history.items():
            self.states[node_of("history", key)] = history.states
        live = {key: part for key, part in sheet.component.items() if key not in self.dropped}
        for key, part in live.items():
            self.states[node_of("component", key)] = part.states
        children = [
            *(self._history(key) for key in sheet.history),
            *(self._component(key, live[key]) for key in self._ordered(live)),
            *(self._leaf("finding", key) for key in sheet.finding),
            *(self._leaf("reading", key) for key in sheet.reading),
        ]
        if self.problems:
            raise SheetRefused(sheet.sheet.key, tuple(self.problems))
        return {node.name: node for child in children for node in _nodes(child)}

    def _ordered(self, live: Mapping[str, Component]) -> tuple[str, ...]:
        asks = {
            key: [cause.of for cause in part.causes if cause.of in live and cause.of not in self.sheet.history]
            for key, part in live.items()
        }
        try:
            return tuple(TopologicalSorter(asks).static_order())
        except CycleError as circle:
            words = " -> ".join(circle.args[1])
            self.problems.append(
                Problem("component", f"the causes go round in a circle: {words}.", "Leave one of them out.")
            )
            return ()

    def _history(self, key: str) -> _Child:
        history = self.sheet.history[key]
        row = np.array(history.usual, dtype=np.float64)
        return _Child(node_of("history", key), "history", key, history.states, self._whole(f"history.{key}", row))

    def _component(self, key: str, part: Component) -> _Child:
        row = np.array(part.alone, dtype=np.float64)
        where = f"component.{key}"
        if row.shape != (len(part.states),):
            self._refuse(where, "`alone` needs one number for each state")
            row = np.eye(len(part.states))[0]
        child = _Child(node_of("component", key), "component", key, part.states, self._whole(where, row))
        self._add_causes(child, part.causes, where)
        return child

    def _leaf(self, role: Literal["finding", "reading"], key: str) -> _Child:
        where = f"{role}.{key}"
        if role == "finding":
            finding = self.sheet.finding[key]
            states, alarms, shows = finding.answers, finding.false_alarm, finding.shows
        else:
            reading = self.sheet.reading[key]
            states = tuple(level.name for level in reading.levels)
            alarms, shows = reading.false_alarm, reading.shows
        child = _Child(node_of(role, key), role, key, states, self._row(states, alarms, where))
        self._add_causes(child, shows, where)
        if role == "finding" and key in self.swept:
            seen = 1.0 - OVERLOOKED
            child.background = child.background * seen + np.eye(len(states))[0] * OVERLOOKED
            child.causes = {parent: OVERLOOKED + seen * sums for parent, sums in child.causes.items()}
        return child

    def _add_causes(self, child: _Child, causes: Iterable[Cause], where: str) -> None:
        for cause in causes:
            if cause.of in self.dropped and cause.of not in self.sheet.history:
                continue
            role: Role = "history" if cause.of in self.sheet.history else "component"
            parent = node_of(role, cause.of)
            states = self.states.get(parent)
            if states is None or cause.is_ not in states:
                self._refuse(where, f"unknown '{cause.of}' in state '{cause.is_}'")
                continue
            sums = child.causes.setdefault(parent, np.ones((len(states), len(child.states))))
            sums[states.index(cause.is_)] *= np.cumsum(self._row(child.states, cause.gives, where))

    def _row(self, states: tuple[str, ...], gives: Mapping[str, float], where: str) -> Table:
        """Return one row over `states`; what is not given away stays at the best state."""
        row = np.zeros(len(states))
        for state, chance in gives.items():
            if state not in states:
                self._refuse(where, f"unknown '{state}', the states are {', '.join(states)}")
                continue
            row[states.index(state)] += chance
        rest = 1.0 - row.sum() + row[0]
        if rest < -1e-9:
            self._refuse(where, f"the chances add to {row.sum():.4g}, above 1")
            return row
        row[0] = max(rest, 0.0)
        return row

    def _whole(self, where: str, row: Table) -> Table:
        if abs(row.sum() - 1.0) > 1e-6:
            self._refuse(where, f"the chances add to {row.sum():.6g}, not to 1")
            return row
        whole: Table = row / row.sum()
        return whole

    def _refuse(self, where: str, what: str) -> None:
        self.problems.append(Problem(where, what + ".", "Run `brasswright sheet check` on the sheet."))


def _nodes(child: _Child) -> list[Node]:
    """Make the child's node, with a chain of links before it when it has too many parents."""
    causes = list(child.causes.items())
    nodes: list[Node] = []
    none = np.eye(len(child.states))[0]
    while len(causes) > MOST_PARENTS:
        taken, causes = causes[:3], causes[3:]
        name = f"link:{child.name}:{len(nodes) + 1}"
        nodes.append(_node(_Child(name, "link", child.key, child.states, none, dict(taken))))
        causes.insert(0, (name, np.cumsum(np.eye(len(child.states)), axis=1)))
    gate = Gate(np.cumsum(child.background), child.causes) if child.role in {"finding", "reading"} else None
    last = _node(_Child(child.name, child.role, child.key, child.states, child.background, dict(causes)))
    return [*(replace(link, serves=child.name) for link in nodes), replace(last, gate=gate)]


def _node(child: _Child) -> Node:
    parents = tuple(child.causes)
    sums = np.cumsum(child.background)
    for place, rows in enumerate(child.causes.values()):
        shape = [1] * len(parents) + [len(child.states)]
        shape[place] = rows.shape[0]
        sums = sums * rows.reshape(shape)
    table = np.ascontiguousarray(np.clip(np.diff(sums, axis=-1, prepend=0.0), 0.0, 1.0))
    table.setflags(write=False)
    return Node(child.name, child.role, child.key, child.states, parents, table)
