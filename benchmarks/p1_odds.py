"""P1: odds of 60 components and the worth of about 80 open checks, against a loop over outcomes with a general library.

Run: python -m benchmarks.p1_odds [--quick]. All sheets are made up at random.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from typing import TYPE_CHECKING, Any

import numpy as np
from pgmpy.factors.discrete import TabularCPD
from pgmpy.inference import VariableElimination
from pgmpy.models import DiscreteBayesianNetwork

from brasswright.judgement.compile import compile_network
from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.worth import check_worths
from brasswright.sheets.losses import Loss
from brasswright.sheets.model import Sheet
from tests.agrum import PyAgrumEngine

if TYPE_CHECKING:
    from brasswright.judgement.compile import Network, Table
    from brasswright.judgement.engine import Engine

__all__ = ["evidence", "made_up_sheet", "main", "seconds"]

HISTORIES, COMPONENTS, FINDINGS, GROUP, EVIDENCE = 10, 60, 120, 10, 40
QUERIES = 6
"""Components that the second library is asked about in quick mode: it takes each by itself."""


class Dice:
    """Makes up ladders of states, causes and findings, always the same for one seed."""

    def __init__(self, seed: int) -> None:
        """Start the dice."""
        self.dice = random.Random(seed)
        self.ladders: dict[str, list[str]] = {}

    def ladder(self, key: str, most: int = 4) -> list[str]:
        """States of one entry, best first."""
        self.ladders[key] = ["good", "fair", "poor", "bad"][: self.dice.randint(2, most)]
        return self.ladders[key]

    def causes(self, pools: list[tuple[list[str], int, int]], states: list[str]) -> list[dict[str, Any]]:
        """Causes drawn from pools, each with the least and the most to take."""
        drawn = [key for pool, low, high in pools for key in self.some(pool, low, high)]
        return [
            {"of": key, "is": state, "gives": {w: self.dice.uniform(0.05, 0.6 / len(states)) for w in states[1:]}}
            for key in drawn
            for state in self.ladders[key][1:]
        ]

    def some(self, pool: list[str], least: int, most: int) -> list[str]:
        """A few of a pool."""
        return self.dice.sample(pool, min(len(pool), self.dice.randint(least, most)))


def made_up_sheet(seed: int, components: int = COMPONENTS, findings: int = FINDINGS) -> Sheet:
    """A sheet of groups of ten components, causes from three histories and two neighbours at most."""
    dice = Dice(seed)
    history: dict[str, Any] = {}
    for i in range(HISTORIES):
        states = dice.ladder(f"h{i}", 3)
        history[f"h{i}"] = {"ask": f"h{i}?", "states": states, "usual": [1 / len(states)] * len(states)}
    component: dict[str, Any] = {}
    for i in range(components):
        near = [f"c{j}" for j in range(i - i % GROUP, i)][-5:]
        states = dice.ladder(f"c{i}")
        rows = dice.causes([(list(history), 0, 3), (near, 0, 2)], states)
        alone = [0.7, *[0.3 / (len(states) - 1)] * (len(states) - 1)]
        component[f"c{i}"] = {"name": f"c{i}", "zone": "z", "states": states, "alone": alone, "causes": rows}
    finding: dict[str, Any] = {}
    for i in range(findings):
        group = dice.dice.randrange(components // GROUP) * GROUP
        answers = dice.ladder(f"f{i}")
        shows = dice.causes([([f"c{group + j}" for j in range(GROUP)], 1, 3)], answers)
        look = {"zone": "z", "look": f"f{i}", "answers": answers, "minutes": 1}
        finding[f"f{i}"] = look | {"shows": shows, "false_alarm": {answers[-1]: 0.05}}
    tables = {"history": history, "component": component, "finding": finding}
    for entry in (entry for table in tables.values() for entry in table.values()):
        entry["source"] = "m"
    head = {"key": "m", "name": "m", "version": 1, "describes": "made up", "currency": "EUR", "price_year": 2026}
    source, zone = {"m": {"text": "made up", "trust": 1}}, {"z": {"name": "z", "order": 1}}
    return Sheet.model_validate({"sheet": head, "source": source, "zone": zone, **tables})


def evidence(net: Network, known: int, seed: int, pieces: int = EVIDENCE) -> dict[str, Table]:
    """Forty pieces of evidence, `known` of them histories, from one joint draw; every seventh is soft."""
    dice = np.random.default_rng(seed)
    states: dict[str, int] = {}
    for node in net.nodes.values():
        row = node.table[tuple(states[parent] for parent in node.parents)]
        states[node.name] = int(dice.choice(len(row), p=row))
    findings = [node.name for node in net.of_role("finding")]
    chosen = [node.name for node in net.of_role("history")][:known]
    chosen += [str(name) for name in dice.choice(findings, size=pieces - known, replace=False)]
    rows: dict[str, Table] = {}
    for place, name in enumerate(chosen):
        exact = np.eye(len(net.nodes[name].states))[states[name]]
        rows[name] = exact if place % 7 else 0.2 + 0.8 * exact
    return rows


def seconds(
    engine: Engine, net: Network, rows: dict[str, Table], most: int = FINDINGS
) -> tuple[float, dict[str, float], float]:
    """Time for odds and the worths of up to `most` checks, the worths themselves, and the time for the odds alone."""
    losses = {
        node.name: Loss(node.states, tuple(40.0 * i for i in range(len(node.states))), (30.0,) * len(node.states))
        for node in net.of_role("component")
    }
    checks = {node.name: np.eye(len(node.states)) for node in net.of_role("finding") if node.name not in rows}
    checks = dict(list(checks.items())[:most])
    start = time.perf_counter()
    engine.posteriors(net, rows, losses)
    odds = time.perf_counter()
    worths = check_worths(engine, net, rows, checks, losses)
    return time.perf_counter() - start, worths, odds - start


def by_elimination(net: Network, rows: dict[str, Table], queries: int) -> tuple[float, float]:
    """Time of a second library for the odds of so many components, one by one, and how far they are from ours.

    Soft evidence is its slow path, so that here all is taken as hard.
    """
    hard = {name: int(np.argmax(row)) for name, row in rows.items()}
    model = DiscreteBayesianNetwork([(parent, node.name) for node in net.nodes.values() for parent in node.parents])
    model.add_nodes_from(net.nodes)
    for node in net.nodes.values():
        sizes = [len(net.nodes[parent].states) for parent in node.parents]
        table = node.table.reshape(-1, len(node.states)).T
        model.add_cpds(TabularCPD(node.name, len(node.states), table, list(node.parents) or None, sizes or None))
    asked = [node.name for node in net.of_role("component")][:queries]
    exact = {name: np.eye(len(net.nodes[name].states))[state] for name, state in hard.items()}
    ours = TreeEngine().posteriors(net, exact, asked)
    start = time.perf_counter()
    inference = VariableElimination(model)
    theirs = {name: inference.query([name], evidence=hard, show_progress=False).values for name in asked}
    spent = time.perf_counter() - start
    return spent, max(float(np.abs(theirs[name] - ours[name]).max()) for name in asked)


def beside_libraries(net: Network, *, quick: bool) -> None:
    """Print our times beside those of two general libraries, in one run on the same evidence."""
    most = 12 if quick else FINDINGS
    rows = evidence(net, 3, 0)
    ours, worths, odds = seconds(TreeEngine(), net, rows, most)
    theirs, same, _ = seconds(PyAgrumEngine(), net, rows, most)
    apart = max(abs(worths[name] - same[name]) for name in worths)
    print(
        f"3 known, {len(worths)} checks: tree {ours * 1e3:.0f} ms, loop over outcomes {theirs * 1e3:.0f} ms, "
        f"ratio {theirs / ours:.0f}; largest difference of worths {apart:.1e}; table entries {net.entries}"
    )
    queries = QUERIES if quick else COMPONENTS
    spent, far = by_elimination(net, rows, queries)
    print(
        f"odds of {queries} components by another library's variable elimination {spent * 1e3:.0f} ms, tree for all "
        f"{COMPONENTS} {odds * 1e3:.0f} ms, ratio for each {spent / queries / (odds / COMPONENTS):.0f}; "
        f"largest difference {far:.1e}"
    )


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="two sheets, one loop over outcomes")
    quick = parser.parse_args().quick
    nets = [compile_network(made_up_sheet(seed)) for seed in range(2 if quick else 10)]
    for known in (6, 3, 0):
        first, again, odds = [], [], []
        for seed, net in enumerate(nets):
            rows, engine = evidence(net, known, seed), TreeEngine()
            total, _, alone = seconds(engine, net, rows)
            first.append(total)
            odds.append(alone)
            changed = {name: row for name, row in rows.items() if name != next(reversed(rows))}
            again.append(seconds(engine, net, changed)[0])  # one answer taken back: the tree's shape is remembered
        print(
            f"{known} histories known, {len(nets)} sheets: odds median {statistics.median(odds) * 1e3:.0f} ms; "
            f"odds and worths median {statistics.median(first) * 1e3:.0f} ms, worst {max(first) * 1e3:.0f} ms; "
            f"after one more answer median {statistics.median(again) * 1e3:.0f} ms, worst {max(again) * 1e3:.0f} ms"
        )
    beside_libraries(nets[0], quick=quick)


if __name__ == "__main__":
    main()
