"""The ledger of an estimate: money of every line in every sample."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from brasswright.planning.model import RECORD_MINUTES, Bought, Money, Operation, Option, Triple
from brasswright.reckoning.money import CLEARANCE_ITEM, Prices

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.planning.model import Plan, Problem
    from brasswright.reckoning.hidden import Discovery

__all__ = ["Ledger", "Sampler", "ledger"]

Column = NDArray[np.float64]
_WORDS = {"proving": "Proving and release", "clearance": "Clearing presumed asbestos", "by hand": "Added by hand"}


class Sampler:
    """Draws times and prices: one generator, one common pace for the whole job."""

    def __init__(self, dice: np.random.Generator, count: int, prices: Prices) -> None:
        """Draw the pace first: a log-normal factor of mean one."""
        self.dice = dice
        self.count = count
        self.prices = prices
        sigma = prices.pace_sigma
        self.pace: Column = dice.lognormal(-0.5 * sigma**2, sigma, count) if sigma > 0 else np.ones(count)

    def draw(self, triple: Triple | Money, count: int | None = None) -> Column:
        """Draw from a triangle; a triangle without width gives its one value."""
        low, likely, high = (float(x) for x in triple)
        size = self.count if count is None else count
        return np.full(size, likely) if low >= high else self.dice.triangular(low, likely, high, size)

    def labour(self, minutes: Column, where: NDArray[np.bool_] | None = None) -> Column:
        """Turn hands-on minutes into money at this job's pace."""
        pace = self.pace if where is None else self.pace[where]
        return minutes * pace * (self.prices.labour_minor_per_hour / 60.0)


@dataclass(slots=True)
class Ledger:
    """Money by line (without tax), what each line is (kind, title, reason), hands-on minutes, and hidden treatments."""

    money: dict[str, Column] = field(default_factory=dict)
    told: dict[str, tuple[str, str, str]] = field(default_factory=dict)
    minutes: Column = field(default_factory=lambda: np.zeros(0))
    hidden: dict[str, Column] = field(default_factory=dict)

    def put(self, key: str, column: Column) -> None:
        """Add to a line."""
        self.money[key] = self.money[key] + column if key in self.money else column


def ledger(problem: Problem, plan: Plan, found: Discovery, sampler: Sampler) -> Ledger:
    """Draw the money of the plan's operations, then of everything found beyond the plan."""
    book = Ledger(minutes=np.zeros(sampler.count))
    for operation in plan.operations:
        _planned(operation, book, sampler)
    _found_treatments(problem, found, book, sampler)
    _found_pieces(problem, plan, found, book, sampler)
    _found_tests(problem, plan, found, book, sampler)
    _found_clearance(problem, plan, found, book, sampler)
    _tell(problem, plan, found, book)
    return book


def _line_of(operation: Operation) -> str:
    if any(part.item == CLEARANCE_ITEM for part in operation.parts):
        return "clearance"
    if operation.kind in {"test", "hold"}:
        return "proving"
    return "by hand" if operation.kind == "by hand" else f"zone:{operation.zone}"


def _planned(operation: Operation, book: Ledger, sampler: Sampler) -> None:
    """Planned work by its triangle; finished work by the minutes it took, and what it bought at the likely price."""
    if operation.state == "finished":
        spent = operation.minutes[1] if operation.spent_minutes is None else operation.spent_minutes
        minutes = np.full(sampler.count, spent)
        labour = minutes * (sampler.prices.labour_minor_per_hour / 60.0)
        bought: Column = np.full(sampler.count, float(math.fsum(part.cost[1] for part in operation.parts)))
    else:
        minutes = sampler.draw(operation.minutes)
        labour = sampler.labour(minutes)
        minutes = minutes * sampler.pace
        bought = _bought(operation.parts, sampler, sampler.count)
    book.minutes = book.minutes + minutes
    book.put(_line_of(operation), labour + bought)


def _bought(parts: Iterable[Bought], sampler: Sampler, count: int) -> Column:
    total = np.zeros(count)
    for part in parts:
        total += sampler.draw(part.cost, count)
    return total


def _found_treatments(problem: Problem, found: Discovery, book: Ledger, sampler: Sampler) -> None:
    for option in problem.options:
        where = found.used.get(option.id)
        if where is None:
            continue
        count = int(where.sum())
        minutes = sum((sampler.draw(step.minutes, count) for step in option.steps), np.zeros(count))
        column = np.zeros(sampler.count)
        column[where] = sampler.labour(minutes, where) + _bought(option.parts, sampler, count)
        book.minutes[where] += minutes * sampler.pace[where]
        book.hidden[option.id] = column
        book.put(f"found:{option.zone}", column)


def _found_pieces(problem: Problem, plan: Plan, found: Discovery, book: Ledger, sampler: Sampler) -> None:
    """Pieces that come off beyond the plan, put back too; charged to the treatments that asked for them on average."""
    for piece in problem.pieces:
        where = found.opened[piece.id]
        if piece.now != "on" or piece.id in plan.choice.off or not where.any():
            continue
        count = int(where.sum())
        minutes = sampler.draw(piece.off_minutes, count) + sampler.draw(piece.on_minutes, count)
        minutes += sum((sampler.draw(RECORD_MINUTES, count) for _ in piece.records), np.zeros(count))
        column = np.zeros(sampler.count)
        column[where] = sampler.labour(minutes, where) + _bought(piece.consumes, sampler, count)
        book.minutes[where] += minutes * sampler.pace[where]
        book.put(f"found:{piece.zone}", column)
        for option, route in found.reach.items():
            if piece.id in route and option in book.hidden:
                book.hidden[option] = book.hidden[option] + column * found.used[option]


def _found_tests(problem: Problem, plan: Plan, found: Discovery, book: Ledger, sampler: Sampler) -> None:
    """Tests that found work disturbs: those not due anyway, and those to be done again after a find at proving."""
    late_options = {found.answers[fault].id for fault in found.late}
    for test in problem.tests:
        breaking = set(test.broken_by)
        again = np.zeros(sampler.count, dtype=bool)
        for option in problem.options:
            where = found.used.get(option.id)
            if where is not None and breaking.intersection(_acts(option, problem, found)):
                if test.id not in plan.choice.due:
                    again |= where
                elif option.id in late_options:
                    again |= _late(option, found)
        if again.any():
            minutes = sampler.draw(test.minutes, int(again.sum()))
            column = np.zeros(sampler.count)
            column[again] = sampler.labour(minutes, again)
            book.minutes[again] += minutes * sampler.pace[again]
            book.put("proving", column)


def _late(option: Option, found: Discovery) -> NDArray[np.bool_]:
    late = np.zeros(found.count, dtype=bool)
    for fault, flags in found.late.items():
        if found.answers[fault].id == option.id:
            late |= flags
    return late


def _acts(option: Option, problem: Problem, found: Discovery) -> set[str]:
    loose = found.reach[option.id] | set(option.off)
    acts = {act for piece in problem.pieces if piece.id in loose for act in piece.acts}
    return acts | {act for step in option.steps for act in step.acts}


def _found_clearance(problem: Problem, plan: Plan, found: Discovery, book: Ledger, sampler: Sampler) -> None:
    """Clearing presumed asbestos where only a find makes it necessary."""
    if problem.clearance is None or problem.cleared or plan.choice.clears:
        return
    where = np.zeros(sampler.count, dtype=bool)
    for piece in problem.pieces:
        if piece.now == "on" and (piece.presumed_asbestos or "lagging" in piece.acts):
            where |= found.opened[piece.id]
    for option in problem.options:
        if option.id in found.used and (option.touches_asbestos or "lagging" in _acts(option, problem, found)):
            where |= found.used[option.id]
    if where.any():
        column = np.zeros(sampler.count)
        column[where] = sampler.draw(problem.clearance.cost, int(where.sum()))
        book.put("clearance", column)


def _tell(problem: Problem, plan: Plan, found: Discovery, book: Ledger) -> None:
    """Say what each line is for: planned treatments by zone, the likeliest finds, the tests."""
    names = {option.id: option.name for option in problem.options}
    zones = dict(problem.zones)
    planned: dict[str, list[str]] = {}
    for operation in plan.operations:
        words = names.get(operation.treatment, "") or (operation.title if operation.kind == "by hand" else "")
        if words:
            planned.setdefault(_line_of(operation), []).append(words)
    for key in book.money:
        kind, _, zone = key.partition(":")
        reason = "; ".join(dict.fromkeys(planned.get(key, [])))
        if kind == "found":
            book.told[key] = ("found", f"May be found: {zones.get(zone, zone)}", _finds(problem, found, zone))
        elif kind == "zone":
            book.told[key] = (
                "planned",
                zones.get(zone, zone) or "Elsewhere",
                reason or "access: taken off and put back",
            )
        else:
            book.told[key] = (kind, _WORDS[kind], reason or _DUE.get(kind, ""))


_DUE = {
    "proving": "the tests that hold points rest on, and those that opened joints and moved wires make due again",
    "clearance": "before anything is disturbed that may hold asbestos",
}


def _finds(problem: Problem, found: Discovery, zone: str) -> str:
    zones = {option.id: option.zone for option in problem.options}
    seen = [
        (float(flags.mean()), fault) for fault, flags in found.active.items() if zones[found.answers[fault].id] == zone
    ]
    told = [
        f"{_named(problem, fault)} in {share:.0%}" for share, fault in sorted(seen, reverse=True)[:4] if share >= _SAID
    ]
    return "; ".join(told) or "what has to come off for finds elsewhere"


_SAID = 0.005
"""Finds rarer than this are paid for but not named."""


def _named(problem: Problem, fault: str) -> str:
    component, _, condition = fault.partition(".")
    names = {piece.id: piece.name for piece in problem.pieces}
    return f"{names.get(component, component)} {condition.replace('_', ' ')}"
