"""One trouble, as an owner tells it: who may be at fault, and in which order to look at the least expected minutes.

The shares are those of one cause: each component by its odds, given the trouble and all other evidence, times the rate
at which its condition by itself brings the trouble about; what the sheet leaves to chance has its share too. A rate is
-ln(1 - q) for a strength q, so that causes that act together add up. The order is `opening.order_of_looking`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.errors import NotFound
from brasswright.judgement.compile import node_of
from brasswright.judgement.evidence import question_words
from brasswright.judgement.opening import Look, order_of_looking
from brasswright.judgement.worth import Placed, place_check
from brasswright.sheets.reach import opening_minutes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.judgement.compile import Node, Table
    from brasswright.judgement.opinion import Judgement
    from brasswright.sheets.model import Sheet

__all__ = ["Looked", "Suspect", "Trouble", "symptoms", "trace"]

CERTAIN = 0.999
"""No condition brings a trouble about more surely than this. Source: common practice, no source."""
LEAST_SHARE = 0.002
"""Suspects with less than this share are not looked at for their own sake."""
SETTLES = 0.5
"""A look that shows a guilty component at least this surely is preferred to a surer one that takes longer."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """A component that may be at fault: its share of the blame, the condition that bears most of it, a look at it.

    `look` is the check that would show it, empty where none is free.
    """

    component: str
    name: str
    share: float
    look: str
    condition: str = ""


@dataclass(frozen=True, slots=True)
class Looked:
    """One step of the order: an opening (`kind` "open") or a check, its minutes, the chance that it ends the search."""

    key: str
    kind: str
    ask: str
    minutes: float
    chance: float
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Trouble:
    """What a trouble comes from and how to find it.

    `unexplained` is the share left to chance or to what the sheet does not know. `found` is the chance that the steps
    find the cause. `supposed` says that nobody has seen the trouble on this machine: then it is asked "what if".
    `waiting` are looks behind hold points, by key, with the holds.
    """

    symptom: str
    suspects: tuple[Suspect, ...]
    unexplained: float
    steps: tuple[Looked, ...]
    expected_minutes: float
    found: float
    exact: bool
    supposed: bool
    waiting: Mapping[str, tuple[str, ...]]


def symptoms(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Return each trouble that the sheet's questions name, with the questions."""
    named: dict[str, list[str]] = {}
    for key, finding in sheet.finding.items():
        if finding.symptom:
            named.setdefault(finding.symptom, []).append(key)
    return {symptom: tuple(keys) for symptom, keys in named.items()}


def trace(judgement: Judgement, symptom: str) -> Trouble:
    """Say what a trouble comes from and in which order to look.

    Raises:
        NotFound: the sheet's questions name no such trouble.
    """
    said = symptom.strip().casefold()
    known = symptoms(judgement.sheet)
    symptom = next((name for name in known if said in {name.casefold(), *known[name]}), "")
    if not symptom:
        raise NotFound(f"The sheet names no trouble '{said}'.", allowed="; ".join(known) or "none")
    network, rows, supposed = judgement.network, dict(judgement.rows), True
    nodes = [network.nodes[node_of("finding", key)] for key in known[symptom]]
    for node in nodes:
        row = rows.get(node.name)
        if row is not None and int(np.argmax(row)) > 0:
            supposed = False
    if supposed:
        rows[nodes[0].name] = np.array([0.0, *(1.0 for _ in nodes[0].states[1:])])
    blame = _blame(judgement, nodes, rows)
    ways = _looks(judgement, blame)
    return _traced(judgement, symptom, (blame, ways), supposed=supposed)


def _blame(judgement: Judgement, nodes: Iterable[Node], rows: Mapping[str, Table]) -> dict[str, Table]:
    """Return the share of the blame of each component, condition by condition; the rest is chance's."""
    rates: dict[str, Table] = {}
    chance = 0.0
    behind = {parent for node in nodes for parent in (node.gate.causes if node.gate else ())}
    odds = judgement.engine.posteriors(judgement.network, rows, sorted(behind))
    for node in nodes:
        if node.gate is None:
            continue
        chance = max(chance, _rate(1.0 - float(node.gate.background[0])))
        for parent, sums in node.gate.causes.items():
            rate = odds[parent] * np.array([_rate(1.0 - float(row[0])) for row in sums])
            rates[parent] = np.maximum(rates.get(parent, 0.0), rate)
    total = chance + math.fsum(float(rate.sum()) for rate in rates.values())
    return {
        judgement.network.nodes[name].key: rate / total
        for name, rate in rates.items()
        if total > 0.0 and judgement.network.nodes[name].role == "component"
    }


def _rate(strength: float) -> float:
    return -math.log1p(-min(max(strength, 0.0), CERTAIN))


@dataclass(frozen=True, slots=True)
class _Way:
    """A check that would show a component, how surely it does, and how it is reached."""

    check: Placed
    power: float


def _looks(judgement: Judgement, blame: Mapping[str, Table]) -> dict[str, list[_Way]]:
    """Return for each suspect the open checks that show it, best first; what is itself a trouble is no look."""
    sheet, network = judgement.sheet, judgement.network
    found: dict[str, list[_Way]] = {}
    for placed in place_check(sheet, judgement.job, judgement.standing):
        node = network.nodes[node_of(placed.kind, placed.key)]
        trouble = placed.kind == "finding" and sheet.finding[placed.key].symptom
        if trouble or node.gate is None or node.name in judgement.rows:
            continue
        for parent, sums in node.gate.causes.items():
            key = network.nodes[parent].key
            if network.nodes[parent].role == "component" and blame.get(key, np.zeros(1)).sum() > 0.0:
                shown = float(blame[key] @ (1.0 - sums[:, 0])) / float(blame[key].sum())
                found.setdefault(key, []).append(_Way(placed, float(node.gate.background[0]) * shown))
    for ways in found.values():
        ways.sort(key=_preference)
    return found


def _preference(way: _Way) -> tuple[bool, float, str]:
    """Order looks: those that settle it first, by how surely they do for the minute; then the surest."""
    settles = way.power >= SETTLES
    minutes = way.check.minutes + way.check.way.minutes
    return not settles, -way.power / minutes if settles else -way.power, way.check.key


def _traced(
    judgement: Judgement, symptom: str, known: tuple[dict[str, Table], dict[str, list[_Way]]], *, supposed: bool
) -> Trouble:
    """Put suspects and looks together."""
    blame, ways = known
    shares = {key: float(row.sum()) for key, row in blame.items()}
    chances: dict[str, float] = {}
    checks: dict[str, Placed] = {}
    waiting: dict[str, tuple[str, ...]] = {}
    suspects = []
    for component, share in sorted(shares.items(), key=lambda pair: (-pair[1], pair[0])):
        own = ways.get(component, [])
        free = [way for way in own if not way.check.held]
        part, look = judgement.sheet.component[component], free[0].check.key if free else ""
        condition = part.states[int(np.argmax(blame[component]))]
        suspects.append(Suspect(component, part.name, share, look, condition))
        waiting |= {way.check.key: tuple(sorted(way.check.held)) for way in own if way.check.held and not free}
        if free and share >= LEAST_SHARE:
            check = free[0].check
            checks[check.key] = check
            chances[check.key] = chances.get(check.key, 0.0) + share * free[0].power
    looks = [Look(key, min(chance, 1.0), checks[key].minutes, checks[key].way.opens) for key, chance in chances.items()]
    openings = {name: opening_minutes(judgement.sheet, name) for look in looks for name in look.behind}
    order = order_of_looking(looks, openings)
    steps = tuple(_step(key, judgement, checks, (chances, openings)) for key in order.steps)
    return Trouble(
        symptom, tuple(suspects), max(0.0, 1.0 - math.fsum(shares.values())), steps, order.expected_cost,
        math.fsum(chances.values()), order.exact, supposed, waiting,
    )  # fmt: skip


def _step(
    key: str,
    judgement: Judgement,
    checks: Mapping[str, Placed],
    figures: tuple[Mapping[str, float], Mapping[str, float]],
) -> Looked:
    chances, openings = figures
    sheet = judgement.sheet
    if key in checks:
        check = checks[key]
        return Looked(key, check.kind, question_words(sheet, key), check.minutes, chances[key], check.caution)
    name = (sheet.unit.get(key) or sheet.component[key]).name
    return Looked(key, "open", name, openings[key], 0.0)
