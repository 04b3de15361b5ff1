"""Made-up networks and small sheets for tests of judgement: random ones by seed, and a few written out."""

from __future__ import annotations

from copy import deepcopy
from itertools import product
from random import Random
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from brasswright.judgement.compile import Network, Node
from brasswright.sheets.model import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from brasswright.judgement.compile import Role, Table

__all__ = [
    "by_hand",
    "enumerated",
    "evidence_for",
    "network",
    "node",
    "random_network",
    "random_sheet",
    "sheet",
    "small_sheet",
]


def node(name: str, role: Role, parents: tuple[str, ...], table: Any) -> Node:
    """One node with its table written out, states s0, s1 and so on."""
    rows = np.ascontiguousarray(np.asarray(table, dtype=np.float64))
    return Node(name, role, name, tuple(f"s{i}" for i in range(rows.shape[-1])), parents, rows)


def network(nodes: Iterable[Node]) -> Network:
    """A network of nodes, parents before children."""
    return Network(MappingProxyType({one.name: one for one in nodes}))


def random_network(seed: int, *, parts: int = 6, findings: int = 7) -> Network:
    """A random network: three histories, some components, some findings, up to three parents each."""
    random = np.random.default_rng(seed)
    nodes: list[Node] = []

    def add(name: str, role: Role, pool: list[str], least: int) -> None:
        count = min(len(pool), int(random.integers(least, 4)))
        parents = tuple(str(one) for one in random.choice(pool, size=count, replace=False)) if count else ()
        sizes = [len(one.states) for parent in parents for one in nodes if one.name == parent]
        table = random.dirichlet(np.full(int(random.integers(2, 5)), 0.7), size=tuple(sizes))
        nodes.append(node(name, role, parents, table))

    for i in range(3):
        add(f"h{i}", "history", [], 0)
    for i in range(parts):
        add(f"c{i}", "component", [one.name for one in nodes][-6:], 0)
    components = [one.name for one in nodes if one.role == "component"]
    for i in range(findings):
        add(f"f{i}", "finding", components, 1)
    return network(nodes)


def random_sheet(seed: int) -> Sheet:
    """A random sheet: three histories, six components, eight findings with one to seven causes."""
    dice = Random(seed)  # noqa: S311 - a made-up sheet, not a secret
    ladders: dict[str, list[str]] = {}

    def ladder(key: str) -> list[str]:
        ladders[key] = ["s0", "s1", "s2", "s3"][: dice.randint(2, 4)]
        return ladders[key]

    def causes(pool: list[str], least: int, most: int, states: list[str]) -> list[dict[str, Any]]:
        chosen = dice.sample(pool, min(len(pool), dice.randint(least, most)))
        return [
            {"of": key, "is": state, "gives": {worse: dice.uniform(0, 0.95 / len(states)) for worse in states[1:]}}
            for key in chosen
            for state in ladders[key][1:]
        ]

    tables: dict[str, Any] = {"history": {}, "component": {}, "finding": {}}
    for i in range(3):
        states = ladder(f"h{i}")
        tables["history"][f"h{i}"] = {"ask": f"h{i}?", "states": states, "usual": [1 / len(states)] * len(states)}
    for i in range(6):
        pool, states = list(ladders), ladder(f"c{i}")
        row = [0.6, *[0.4 / (len(states) - 1)] * (len(states) - 1)]
        part = {"name": f"c{i}", "states": states, "alone": row, "causes": causes(pool, 0, 3, states)}
        tables["component"][f"c{i}"] = part
    pool = list(tables["component"])
    for i in range(8):
        states = ladder(f"f{i}")
        look = {"look": f"f{i}", "answers": states, "minutes": 1, "shows": causes(pool, 1, 7, states)}
        tables["finding"][f"f{i}"] = look | {"false_alarm": {states[-1]: 0.1}}
    return sheet(**tables)


def evidence_for(net: Network, seed: int, *, share: float = 0.35) -> dict[str, Table]:
    """Random evidence that can happen: one joint draw of all nodes, some of them seen, hard or soft."""
    random = np.random.default_rng(seed)
    states: dict[str, int] = {}
    rows: dict[str, Table] = {}
    for one in net.nodes.values():
        odds = one.table[tuple(states[parent] for parent in one.parents)]
        states[one.name] = int(random.choice(len(odds), p=odds))
        if random.random() < share and not one.serves:
            soft = random.random() < 0.4
            rows[one.name] = random.random(len(odds)) + 0.01 if soft else np.eye(len(odds))[states[one.name]]
    return rows


def enumerated(net: Network, rows: Mapping[str, Table]) -> tuple[float, dict[str, Table]]:
    """Chance of the evidence and of each node's states, by adding up every single case: slow and hard to get wrong."""
    names = list(net.nodes)
    sums = {name: np.zeros(len(net.nodes[name].states)) for name in names}
    total = 0.0
    for case in product(*(range(len(net.nodes[name].states)) for name in names)):
        states = dict(zip(names, case, strict=True))
        chance = 1.0
        for name, one in net.nodes.items():
            chance *= float(one.table[(*(states[parent] for parent in one.parents), states[name])])
            chance *= float(rows[name][states[name]]) if name in rows else 1.0
        total += chance
        for name in names:
            sums[name][states[name]] += chance
    return total, {name: row / total for name, row in sums.items()}


def by_hand(background: Iterable[float], *causes: Iterable[float]) -> list[float]:
    """Chances of the worst of independent contributions, added up case by case: what noisy-MAX means."""
    rows = [list(background), *(list(cause) for cause in causes)]
    worst = [0.0] * len(rows[0])
    for case in product(*(range(len(row)) for row in rows)):
        chance = 1.0
        for row, state in zip(rows, case, strict=True):
            chance *= row[state]
        worst[max(case)] += chance
    return worst


def sheet(**tables: Any) -> Sheet:
    """A sheet of one zone with the given tables; `source` is filled in wherever it is missing."""
    head = {
        "key": "trial",
        "name": "Trial",
        "version": 1,
        "describes": "a trial",
        "currency": "EUR",
        "price_year": 2026,
    }
    for kind in ("history", "component", "finding", "reading", "treatment", "unit"):
        for entry in tables.get(kind, {}).values():
            entry.setdefault("source", "bench")
            if kind in {"component", "finding", "reading"}:
                entry.setdefault("zone", "bench_top")
    return Sheet.model_validate(
        {
            "sheet": head | tables.pop("head", {}),
            "source": {"bench": {"text": "common practice, no source", "trust": 10}},
            "zone": {"bench_top": {"name": "Bench top", "order": 1}} | tables.pop("zone", {}),
            **tables,
        }
    )


_SHELL_CAUSES = [{"of": "stored_wet", "is": "yes", "gives": {"scaled": 0.2, "holed": 0.3}}]
_SMALL: dict[str, Any] = {
    "history": {"stored_wet": {"ask": "Put away wet?", "states": ["no", "yes"], "usual": [0.75, 0.25]}},
    "component": {
        "shell": {
            "name": "Boiler shell",
            "states": ["sound", "scaled", "holed"],
            "alone": [0.8, 0.15, 0.05],
            "causes": _SHELL_CAUSES,
            "leaving": {"scaled": 40, "holed": 400},
        },
        "seam": {
            "name": "Seam",
            "states": ["tight", "weeping"],
            "alone": [0.9, 0.1],
            "causes": [{"of": "shell", "is": "holed", "gives": {"weeping": 0.5}}],
            "leaving": {"weeping": 90},
        },
    },
    "finding": {
        "trail": {
            "look": "Green trail at the seam",
            "answers": ["none", "trail", "drip"],
            "minutes": 2,
            "false_alarm": {"trail": 0.05},
            "shows": [
                {"of": "seam", "is": "weeping", "gives": {"trail": 0.3, "drip": 0.6}},
                {"of": "shell", "is": "holed", "gives": {"trail": 0.2, "drip": 0.7}},
            ],
        },
        "scale": {
            "look": "Scale through the filler",
            "answers": ["none", "crust"],
            "minutes": 1,
            "false_alarm": {"crust": 0.1},
            "shows": [{"of": "shell", "is": "scaled", "gives": {"crust": 0.9}}],
        },
    },
    "reading": {
        "wall": {
            "ask": "Wall beside the seam",
            "instrument": "gauge",
            "unit": "mm",
            "minutes": 5,
            "plausible": ["0.05 mm", "5 mm"],
            "levels": [
                {"name": "thick", "centre": "1.2 mm", "spread": 0.1},
                {"name": "thin", "centre": "0.4 mm", "spread": 0.3, "below_resolution": 0.2},
            ],
            "false_alarm": {"thin": 0.02},
            "shows": [{"of": "shell", "is": "holed", "gives": {"thin": 0.9}}],
        }
    },
    "treatment": {
        "descale": {
            "name": "Descale",
            "way": "in place",
            "fixes": [{"of": "shell", "from": ["scaled"], "leaves": "sound"}],
            "steps": [{"do": "Soak and rinse", "minutes": [10, 20, 40]}],
        },
        "braze": {
            "name": "Braze",
            "way": "repair",
            "fixes": [
                {"of": "shell", "from": ["scaled", "holed"], "leaves": "sound", "residual": 0.1},
                {"of": "seam", "from": ["weeping"], "leaves": "tight"},
            ],
            "steps": [{"do": "Braze", "minutes": [60, 120, 240]}],
        },
    },
}


def small_sheet(**changes: Any) -> Sheet:
    """A boiler shell, a seam and a gauge: one history, two components, two findings, one reading, two treatments."""
    return sheet(**(deepcopy(_SMALL) | changes))
