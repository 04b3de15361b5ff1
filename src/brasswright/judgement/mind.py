"""What else could explain it, what would change the mind, and what need not be done or bought yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.compile import node_of
from brasswright.judgement.worth import NextCheck, Placed, place_check, report_of
from brasswright.sheets.losses import treatment_cost
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.judgement.engine import Outcomes
    from brasswright.judgement.opinion import Judgement
    from brasswright.sheets.losses import Loss

__all__ = ["NotYet", "Rival", "Turn", "not_yet", "rival", "turns"]

RISES = 0.02
"""A rival's odds rise at least this much when the component is taken for sound."""
TURNS = 0.02
"""A check that moves less than this share of probability, expected, changes no mind."""
LEAST_SPENT = 15.0
"""Work and parts below this much, in the sheet's currency, need no warning. Source: common practice, no source."""
SURE = 0.97
"""A component this surely in need of work is not one to wait with."""


@dataclass(frozen=True, slots=True)
class Rival:
    """The component that would explain the evidence were this one sound: its chance of trouble then, and now."""

    component: str
    name: str
    then: float
    now: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A check that would move a component's odds: share of probability moved, and what each answer would say.

    `minutes` counts what has to be opened first, `opens`.
    """

    key: str
    kind: str
    ask: str
    minutes: float
    opens: tuple[str, ...]
    moved: float
    answers: tuple[tuple[str, float, str], ...]


@dataclass(frozen=True, slots=True)
class NotYet:
    """Work or parts not to buy yet: what, its likely cost, and the check that may show it is not needed."""

    component: str
    treatment: str
    name: str
    cost: float
    check: NextCheck
    chance: float

    @property
    def said(self) -> str:
        """The advice as a sentence."""
        return (
            f"Not yet: {self.name[:1].lower()}{self.name[1:]} (about {self.cost:.0f}). First: {self.check.ask} "
            f"({self.check.minutes:g} min); about {round(100 * self.chance)} in 100 that it shows another way."
        )


def rival(judgement: Judgement, component: str) -> Rival | None:
    """Return the strongest rival explanation of the evidence about a component, None where there is none."""
    node = node_of("component", component)
    odds = judgement.odds[component]
    if node not in judgement.network.nodes or not odds.p or odds.set_by or odds.p[0] > SURE:
        return None
    names = [one.name for one in judgement.network.of_role("component") if one.name != node]
    sound = np.eye(len(odds.p))[0]
    try:
        then = judgement.engine.posteriors(judgement.network, {**judgement.rows, node: sound}, names)
    except ZeroDivisionError:
        return None
    best: Rival | None = None
    for name in names:
        key = judgement.network.nodes[name].key
        now = judgement.odds[key].trouble
        if now is None or judgement.odds[key].set_by:
            continue
        risen = Rival(key, judgement.odds[key].name, 1.0 - float(then[name][0]), now)
        if risen.then - risen.now > (best.then - best.now if best is not None else RISES):
            best = risen
    return best


def turns(judgement: Judgement, component: str, most: int = 3) -> tuple[Turn, ...]:
    """Return the checks within the holds that would change the mind about a component most, best first."""
    node = node_of("component", component)
    odds = judgement.odds[component]
    if node not in judgement.network.nodes or not odds.p or odds.set_by:
        return ()
    free = [
        one
        for one in place_check(judgement.sheet, judgement.job, judgement.standing)
        if not one.held and node_of(one.kind, one.key) not in judgement.rows
    ]
    outcomes = _outcomes(judgement, free, [node])
    joint, now = outcomes.joint[node], np.array(odds.p)
    found = []
    for one in free:
        rows = [place for place, (name, _) in enumerate(outcomes.rows) if name == node_of(one.kind, one.key)]
        moved = 0.5 * float(np.abs(joint[rows] - outcomes.chance[rows][:, None] * now).sum())
        if moved >= TURNS:
            answers = tuple(_answer(judgement, one, outcomes, (place, node)) for place in rows)
            minutes = one.minutes + one.way.minutes
            found.append(Turn(one.key, one.kind, one.ask, minutes, one.way.opens, moved, answers))
    return tuple(sorted(found, key=lambda turn: (-turn.moved, turn.key))[:most])


def _answer(judgement: Judgement, check: Placed, outcomes: Outcomes, of: tuple[int, str]) -> tuple[str, float, str]:
    """Return an answer in words, its chance, and the condition it would make likeliest."""
    place, node = of
    states = judgement.network.nodes[node_of(check.kind, check.key)].states
    after = outcomes.joint[node][place]
    condition = judgement.network.nodes[node].states[int(np.argmax(after))]
    number = outcomes.rows[place][1]
    said = spoken(states[number]) if number < len(states) else "no number"
    return said, float(outcomes.chance[place]), spoken(condition)


def not_yet(judgement: Judgement, most: int = 5) -> tuple[NotYet, ...]:
    """Return what need not be done or bought yet, dearest first.

    A component whose best action now is to put it right, where a check that pays can turn that into leaving it or into
    cheaper work; the chance is that of an answer which does.
    """
    by_node = {
        node_of("component", key): loss
        for key, loss in judgement.losses.items()
        if node_of("component", key) in judgement.network.nodes and not judgement.odds[key].set_by
    }
    if not judgement.checks:
        return ()
    outcomes = _outcomes(judgement, judgement.checks, by_node)
    waits = (_wait(judgement, node, loss, outcomes) for node, loss in by_node.items())
    found = [wait for wait in waits if wait is not None]
    return tuple(sorted(found, key=lambda one: -one.cost * one.chance)[:most])


def _wait(judgement: Judgement, node: str, loss: Loss, outcomes: Outcomes) -> NotYet | None:
    """Return what to wait with on one component, and for which check: the one that may spare it, for its minutes."""
    key = judgement.network.nodes[node].key
    actions, p = np.array(loss.actions), np.array(judgement.odds[key].p)
    now = int(np.argmin(actions @ p))
    bought = _work(judgement, key)
    if now == 0 or bought is None or p[0] < 1.0 - SURE:
        return None
    treatment, cost = bought
    best: NotYet | None = None
    for check in judgement.checks if cost >= LEAST_SPENT else ():
        rows = [place for place, (name, _) in enumerate(outcomes.rows) if name == node_of(check.kind, check.key)]
        after = np.argmin(outcomes.joint[node][rows] @ actions.T, axis=1)
        chance = float(outcomes.chance[rows][after != now].sum())
        if chance > RISES and (best is None or chance / check.minutes > best.chance / best.check.minutes):
            best = NotYet(key, treatment, judgement.sheet.treatment[treatment].name, cost, check, chance)
    return best


def _work(judgement: Judgement, key: str) -> tuple[str, float] | None:
    """Return the cheapest work that takes away the likeliest bad condition, with its cost."""
    odds = judgement.odds[key]
    bad = odds.states[1 + int(np.argmax(odds.p[1:]))]
    ways = [
        (treatment_cost(treatment, judgement.sheet), name)
        for name, treatment in judgement.sheet.treatment.items()
        if any(fix.of == key and bad in fix.from_ for fix in treatment.fixes)
    ]
    cost, name = min(ways, default=(0.0, ""))
    return (name, cost) if name else None


def _outcomes(judgement: Judgement, checks: Iterable[NextCheck | Placed], nodes: Iterable[str]) -> Outcomes:
    """Return what each of these checks would make of these nodes."""
    reports = {
        node_of(check.kind, check.key): report
        for check in checks
        for report in [report_of((check.kind, check.key), judgement.sheet, judgement.network)]
        if report is not None
    }
    return judgement.engine.outcomes(judgement.network, judgement.rows, reports, list(nodes))
