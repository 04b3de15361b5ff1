"""The compiled sheet again, from rows of strengths that may be changed: same nodes, new tables, in a few milliseconds.

Learning tries many sets of strengths on many jobs. What the sheet's structure says is worked out once for each set of
components that are there; tables follow from the rows by the same rule as in `brasswright.judgement.compile`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.judgement.compile import OVERLOOKED, Gate, MachineFacts, Network, Node, Table, compile_network

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from brasswright.judgement.strengths import Strengths
    from brasswright.sheets.model import Sheet

__all__ = ["Families", "Family"]

LEAVES = frozenset({"finding", "reading"})


@dataclass(frozen=True, eq=False)
class Family:
    """One node with its parents, and the rows that bring its states about.

    `lines` are numbers of rows, `slots` which parent each waits for and `at` in which state; `picks` says the same by
    parent, one row for each of its states. `background` is the row that always speaks, -1 for a link: the line of ones.
    `linked` is the slot of a parent that is itself a link, or -1; a finding with
    such a parent has its unsplit family in `whole`.
    """

    node: Node
    sizes: tuple[int, ...]
    lines: NDArray[np.intp]
    slots: NDArray[np.intp]
    at: NDArray[np.intp]
    picks: tuple[NDArray[np.intp], ...]
    background: int
    linked: int
    whole: Family | None = None

    @property
    def target(self) -> str:
        """The node this family belongs to: itself, or the one it was split from."""
        return self.node.serves or self.node.name

    def sums(self, running: Table, seen: float = 1.0) -> dict[str, Table]:
        """Return each parent's running sums by its state; `seen` is the chance that a sign is not overlooked.

        `running` has one more line than there are rows: ones, for a state that brings nothing about.
        """
        width = len(self.node.states)
        made = {parent: running[pick, :width] for parent, pick in zip(self.node.parents, self.picks, strict=True)}
        if seen < 1.0:
            made = {parent: 1.0 - seen + seen * table for parent, table in made.items()}
        if self.linked >= 0:
            made[self.node.parents[self.linked]] = np.cumsum(np.eye(width), axis=1)
        return made

    def built(self, running: Table, seen: float = 1.0, *, clear: bool = False) -> Node:
        """Return the node with its table from these rows; of a `clear` finding only the gate is made anew."""
        node, width = self.node, len(self.node.states)
        background = running[self.background, :width]
        background = 1.0 - seen + seen * background if seen < 1.0 else background
        made = self.sums(running, seen)
        gate = None
        if node.gate is not None:
            gate = Gate(background, made if self.whole is None else self.whole.sums(running, seen))
        table = node.table if clear and gate is not None else _table(background, tuple(made.values()))
        return Node(node.name, node.role, node.key, node.states, node.parents, table, gate, node.serves)


def _table(background: Table, sums: tuple[Table, ...]) -> Table:
    """Return chances over all parents' states: differences of the product of running sums."""
    product = background
    for place, rows in enumerate(sums):
        shape = [1] * len(sums) + [rows.shape[1]]
        shape[place] = rows.shape[0]
        product = product * rows.reshape(shape)
    table = product.copy()
    table[..., 1:] -= product[..., :-1]
    return np.maximum(table, 0.0)


class Families:
    """The families of one sheet for one set of components that are there."""

    def __init__(self, sheet: Sheet, strengths: Strengths, presence: Mapping[str, str]) -> None:
        """Compile the sheet once; `parts` are all nodes but findings and readings, `split` has those by name."""
        self.network = compile_network(sheet, presence=presence)
        self.strengths = strengths
        by_child: dict[str, list[int]] = {}
        for line, row in enumerate(strengths.rows):
            if not row.parent or row.parent in self.network.nodes:
                by_child.setdefault(row.child, []).append(line)
        self.lines_of: Mapping[str, tuple[int, ...]] = {
            name: tuple(lines) for name, lines in by_child.items() if name in self.network.nodes
        }
        self.of: dict[str, Family] = {node.name: self._family(node) for node in self.network.nodes.values()}
        self.parts: list[str] = []
        self.split: dict[str, list[str]] = {}
        for name, family in self.of.items():
            leaf = self.network.nodes[family.target].role in LEAVES
            (self.split.setdefault(family.target, []) if leaf else self.parts).append(name)

    def known_by(self, facts: MachineFacts) -> Network:
        """Return the whole network of one machine with the sheet's own numbers, for reading its evidence."""
        return Network(self.network.nodes, self.network.silent, self.network.gone, facts)

    def built(
        self, chances: Table, leaves: Collection[str], swept: Collection[str] = (), clear: Collection[str] = ()
    ) -> Network:
        """Return the network of these rows: all components, and only those findings and readings that are named.

        `swept` names findings looked at only in a sweep, `clear` those at whose best answer the table is not needed.
        """
        running = np.ones((chances.shape[0] + 1, chances.shape[1]))
        np.minimum(np.cumsum(chances, axis=1), 1.0, out=running[:-1])
        nodes = {name: self.of[name].built(running) for name in self.parts}
        for leaf in leaves:
            seen = 1.0 - OVERLOOKED if leaf in swept else 1.0
            for name in self.split[leaf]:
                nodes[name] = self.of[name].built(running, seen, clear=leaf in clear)
        return Network(MappingProxyType(nodes), self.network.silent, self.network.gone)

    def _family(self, node: Node) -> Family:
        nodes, rows = self.network.nodes, self.strengths.rows
        linked = next((slot for slot, parent in enumerate(node.parents) if nodes[parent].role == "link"), -1)
        whole = None
        if linked >= 0 and node.gate is not None:
            whole = self._family(replace(node, parents=tuple(node.gate.causes)))
        place = {parent: slot for slot, parent in enumerate(node.parents)}
        own = self.lines_of.get(node.serves or node.name, ())
        lines = [line for line in own if rows[line].parent in place]
        background = next((line for line in own if not rows[line].parent), -1) if not node.serves else -1
        picks = [np.full(len(nodes[parent].states), len(rows), dtype=np.intp) for parent in node.parents]
        for line in lines:
            picks[place[rows[line].parent]][rows[line].at] = line
        return Family(
            node=node,
            sizes=tuple(len(nodes[parent].states) for parent in node.parents),
            lines=np.array(lines, dtype=np.intp),
            slots=np.array([place[rows[line].parent] for line in lines], dtype=np.intp),
            at=np.array([rows[line].at for line in lines], dtype=np.intp),
            picks=tuple(picks),
            background=background,
            linked=linked,
            whole=whole,
        )
