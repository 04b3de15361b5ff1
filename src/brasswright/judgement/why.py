"""Why a component is judged as it is: each piece of evidence left out in turn, and what the odds would be without it.

The change is told in words and, on request, in figures. What was not asked yet and hangs together with the component is
named too, and what hangs on its condition.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from brasswright.judgement.compile import node_of
from brasswright.judgement.evidence import question_words
from brasswright.judgement.opinion import Odds
from brasswright.judgement.words import chance_words, change_words
from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from brasswright.judgement.compile import Network
    from brasswright.judgement.evidence import Item
    from brasswright.judgement.opinion import Judgement

__all__ = ["COUNTS", "Reason", "Why", "why"]

COUNTS = 0.005
"""Evidence that moves less than this share of probability is counted, not listed."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One piece of evidence: its words, which way it pushes, how much in words; the share moved and odds without it."""

    words: str
    direction: Literal["worse", "better", "neither"]
    strength: str
    moved: float
    without: tuple[float, ...]
    seq: int


@dataclass(frozen=True, slots=True)
class Why:
    """The account of one component: headline, odds, reasons (strongest first), what is not known, what hangs on it."""

    component: str
    headline: str
    odds: Odds
    reasons: tuple[Reason, ...]
    hardly: int
    unknown: tuple[str, ...]
    hangs: tuple[str, ...]
    treated: tuple[str, ...] = ()

    def lines(self, *, figures: bool = False) -> tuple[str, ...]:
        """Return the account line by line, with figures if asked."""
        told = [self.headline, *(f"{words[:1].upper()}{words[1:]}." for words in self.treated)]
        for reason in self.reasons:
            way = "both ways" if reason.direction == "neither" else f"for the {reason.direction}"
            tail = f"; without it {_figures(self.odds.states, reason.without)}" if figures else ""
            told.append(f"{reason.words}: {reason.strength} {way}{tail}.")
        if self.hardly:
            told.append("One more hardly matters." if self.hardly == 1 else f"{self.hardly} more hardly matter.")
        told.extend(self.unknown)
        told.extend(self.hangs)
        return tuple(told)


def why(judgement: Judgement, component: str) -> Why:
    """Explain the odds of one component.

    Raises:
        KeyError: no such component in the sheet.
    """
    odds = judgement.odds[component]
    node = node_of("component", component)
    reasons: list[Reason] = []
    hardly = 0
    if node in judgement.network.nodes and odds.p:
        related = _related(judgement.network, node)
        for item in judgement.evidence.items:
            if item.node not in related:
                continue
            reason = _reason(item, odds, judgement, node)
            if reason.moved >= COUNTS:
                reasons.append(reason)
            else:
                hardly += 1
    reasons.sort(key=lambda reason: (-reason.moved, reason.seq))
    return Why(
        component,
        _headline(odds, judgement),
        odds,
        tuple(reasons),
        hardly,
        _unknown(judgement, node),
        _hangs(judgement, component),
        tuple(one.words(odds.likeliest) for one in judgement.treated.get(component, ())),
    )


def _reason(item: Item, odds: Odds, judgement: Judgement, node: str) -> Reason:
    without = judgement.without(item)[node]
    change = np.array(odds.p) - without
    moved = 0.5 * float(np.abs(change).sum())
    rank = float(np.arange(len(change)) @ change)
    direction: Literal["worse", "better", "neither"] = "neither"
    if moved >= COUNTS and abs(rank) > COUNTS / 2:
        direction = "worse" if rank > 0 else "better"
    return Reason(item.words, direction, change_words(moved), moved, tuple(map(float, without)), item.seq)


def _headline(odds: Odds, judgement: Judgement) -> str:
    if odds.stage == "gone":
        return f"{odds.name}: not there ({odds.presence})."
    if odds.set_by:
        notes = [item.how for item in judgement.evidence.items if item.node == node_of("component", odds.component)]
        how = notes[0] if notes else f"set by {odds.set_by}"
        return f"{odds.name}: {spoken(odds.likeliest)}, {how}. The odds of the rest follow."
    if not odds.p:
        because = "another kind is fitted" if odds.presence == "foreign" else "the sheet has no numbers for it"
        return f"{odds.name}: no odds, {because}."
    chance = chance_words(max(odds.p))
    return f"{odds.name}: {chance} that it is {spoken(odds.likeliest)}."


def _related(network: Network, node: str) -> set[str]:
    """Return all nodes that hang together with this one by any chain of arrows."""
    near: dict[str, set[str]] = {name: set() for name in network.nodes}
    for child in network.nodes.values():
        for parent in child.parents:
            near[child.name].add(parent)
            near[parent].add(child.name)
    seen, edge = {node}, [node]
    while edge:
        for other in near[edge.pop()] - seen:
            seen.add(other)
            edge.append(other)
    return seen


def _unknown(judgement: Judgement, node: str) -> tuple[str, ...]:
    """Return a line for each history behind the component that nobody has answered, and each that was left open."""
    network, job = judgement.network, judgement.job
    if node not in network.nodes:
        return ()
    lines: list[str] = []
    for name in sorted(_above(network, node), key=list(network.nodes).index):
        known = network.nodes[name]
        if known.role == "history" and name not in judgement.rows:
            lines.append(f"{question_words(judgement.sheet, known.key)} Not known.")
    for child in network.nodes.values():
        noted = job.answers.get(child.key)
        if (
            child.role == "finding"
            and node in network.causes_of(child.name)
            and noted is not None
            and noted.body.aside is not None
        ):
            lines.append(f"{question_words(judgement.sheet, child.key)}: {noted.body.aside}.")
    return tuple(lines)


def _above(network: Network, node: str) -> set[str]:
    seen: set[str] = set()
    edge = [node]
    while edge:
        for parent in network.nodes[edge.pop()].parents:
            if parent not in seen:
                seen.add(parent)
                edge.append(parent)
    return seen


def _hangs(judgement: Judgement, component: str) -> tuple[str, ...]:
    """Return what hangs on the component's condition: other parts it harms, and the work it would bring."""
    sheet = judgement.sheet
    own = sheet.component[component]
    lines = [
        f"If it is {spoken(cause.is_)}, {part.name} may suffer{f': {cause.via}' if cause.via else ''}."
        for part in sheet.component.values()
        for cause in part.causes
        if cause.of == component
    ]
    works = [
        treatment.name for treatment in sheet.treatment.values() if any(fix.of == component for fix in treatment.fixes)
    ]
    if works:
        lines.append("It decides on: " + "; ".join(works) + ".")
    if own.must:
        lines.append(f"Put right whatever else is decided, if it is {spoken(' or '.join(own.must))}.")
    return tuple(dict.fromkeys(lines))


def _figures(states: tuple[str, ...], p: tuple[float, ...]) -> str:
    return ", ".join(f"{spoken(state)} {chance:.3f}" for state, chance in zip(states, p, strict=True))
