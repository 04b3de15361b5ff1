"""What a sheet would make of a few answers, without a job: for trying out the numbers one has just written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright import units
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.journal.entries import Measured
from brasswright.judgement import readings
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import machine_facts
from brasswright.judgement.tree import TreeEngine
from brasswright.sheets.schema import nearest

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.judgement.compile import Network, Table
    from brasswright.sheets.model import Sheet

__all__ = ["Moved", "what_if"]


@dataclass(frozen=True, slots=True)
class Moved:
    """A component's odds before and after the answers; `moved` is the share of probability that moved."""

    component: str
    name: str
    states: tuple[str, ...]
    before: tuple[float, ...]
    after: tuple[float, ...]
    moved: float


def what_if(sheet: Sheet, said: Mapping[str, str]) -> tuple[Moved, ...]:
    """Return every component's odds, those that moved most first.

    `said` maps a question, history or component to an answer or condition, or a reading to a value with its unit.

    Raises:
        NotFound: a name or an answer that the sheet does not know.
        UnitRefused: a reading that cannot be read.
        ImpossibleValue: by this sheet it cannot all be so, or a reading of which it cannot speak.
    """
    network = compile_network(sheet, machine_facts(sheet))
    rows = dict(_row(sheet, network, key, answer) for key, answer in said.items())
    engine = TreeEngine()
    names = [node.name for node in network.of_role("component")]
    before = engine.posteriors(network, {}, names)
    try:
        after = engine.posteriors(network, rows, names)
    except ZeroDivisionError:
        raise ImpossibleValue(
            "By this sheet these cannot all be so.", got=", ".join(f"{key}={answer}" for key, answer in said.items()),
            remedy="Give the questions a false alarm, or the causes another way to show.",
        ) from None  # fmt: skip
    found = []
    for name in names:
        part = sheet.component[network.nodes[name].key]
        moved = 0.5 * float(np.abs(after[name] - before[name]).sum())
        was, is_ = (tuple(map(float, row[name])) for row in (before, after))
        found.append(Moved(network.nodes[name].key, part.name, part.states, was, is_, moved))
    return tuple(sorted(found, key=lambda one: -one.moved))


def _row(sheet: Sheet, network: Network, key: str, answer: str) -> tuple[str, Table]:
    """Return a node and how likely each of its states makes what was said."""
    if key in sheet.reading:
        return _reading(sheet, network, key, answer)
    for role in ("finding", "history", "component"):
        name = node_of(role, key)
        if name in network.nodes:
            states = network.nodes[name].states
            if answer not in states:
                raise NotFound(f"'{key}' has no '{answer}'.", allowed=", ".join(states), remedy=nearest(answer, states))
            return name, np.eye(len(states))[states.index(answer)]
    if key in sheet.component:
        raise NotFound(f"'{key}' has no numbers yet, so nothing follows from it.", remedy="Give it `alone`.")
    known = [*sheet.finding, *sheet.history, *sheet.reading, *sheet.component]
    raise NotFound(f"The sheet has no '{key}'.", remedy=nearest(key, known))


def _reading(sheet: Sheet, network: Network, key: str, text: str) -> tuple[str, Table]:
    reading = sheet.reading[key]
    got = units.parse(text, dimension=units.dimension_of(reading.unit))
    levels = readings.levels_of(reading, network.facts)
    body = Measured(reading=key, text=text, value=got.value, sigma=got.sigma, unit=reading.unit, censored=got.censored)
    row = readings.likelihood(body, levels) if levels is not None else None
    if row is None:
        raise ImpossibleValue(f"The sheet does not say what '{text}' means for '{key}'.", remedy="See its levels.")
    return node_of("reading", key), row
