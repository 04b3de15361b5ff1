"""How pieces are reached: what is open, in which order pieces come off, and why each of them does.

Access is an AND of OR-clauses: every clause names pieces of which one must be open or off. The smallest set that grows
from what is open already (a fixpoint) decides what can be reached, so two pieces that free each other free nobody.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.errors import PlanRefused
from brasswright.errors import Problem as Trouble

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from brasswright.planning.model import Clauses, Option, Piece, Problem

__all__ = ["away", "knots", "removal_order", "satisfied", "supports", "ways", "why_off"]


def satisfied(access: Clauses, open_: Iterable[str]) -> bool:
    """Whether every clause has a member that is open.

    >>> satisfied((("case", "panel"), ("lid",)), {"panel", "lid"})
    True
    """
    there = set(open_)
    return all(there.intersection(clause) for clause in access)


def away(pieces: Iterable[Piece]) -> frozenset[str]:
    """The pieces that are open, off or not there at all, before anything is done."""
    return frozenset(piece.id for piece in pieces if piece.now != "on")


def removal_order(pieces: Iterable[Piece], off: Iterable[str]) -> tuple[str, ...]:
    """Put `off` into an order in which each piece can be reached when its turn comes.

    Raises `PlanRefused` naming the pieces that cannot be reached by taking off only these.
    """
    known = tuple(pieces)
    wanted = set(off)
    there = set(away(known))
    waiting = [piece for piece in known if piece.id in wanted and piece.id not in there]
    order: list[str] = []
    while waiting:
        ready = [piece for piece in waiting if satisfied(piece.access, there)]
        if not ready:
            raise PlanRefused("Some pieces cannot be reached.", tuple(_blocked(piece, there) for piece in waiting))
        order += [piece.id for piece in ready]
        there.update(piece.id for piece in ready)
        waiting = [piece for piece in waiting if piece.id not in there]
    return tuple(order)


def _blocked(piece: Piece, there: set[str]) -> Trouble:
    shut = [" or ".join(clause) for clause in piece.access if not there.intersection(clause)]
    return Trouble(piece.id, f"needs {', and '.join(shut)} open.", "Open it too, or correct the access in the sheet.")


def supports(access: Clauses, order: Iterable[str], there: Iterable[str] = ()) -> tuple[str, ...]:
    """For each clause the member that comes off first, without repeats: what has to be done before.

    `there` is open or gone from the start: a clause answered by it asks for nothing, unless `order` has it too.
    """
    place = {piece: index for index, piece in enumerate(order)}
    free = frozenset(there) - place.keys()
    found = (
        min((a for a in clause if a in place), key=place.__getitem__, default="")
        for clause in access
        if free.isdisjoint(clause)
    )
    return tuple(dict.fromkeys(piece for piece in found if piece))


def knots(pieces: Iterable[Piece]) -> frozenset[str]:
    """The pieces that lie on, or between, circles of access: only these need removal levels in the solver."""
    ways_on = {piece.id: {a for clause in piece.access for a in clause} for piece in pieces if piece.now == "on"}
    while True:
        reached = {a for members in ways_on.values() for a in members}
        kept = {key: members & ways_on.keys() for key, members in ways_on.items() if key in reached}
        kept = {key: members for key, members in kept.items() if members}
        if kept.keys() == ways_on.keys():
            return frozenset(kept)
        ways_on = kept


def ways(pieces: Iterable[Piece], open_: Iterable[str]) -> Mapping[str, frozenset[str]]:
    """A cheap set of pieces to take off so that each piece can come off, itself included, given what is open.

    Each piece's price is its own and that of the cheapest member of each of its clauses. A piece shared by two clauses
    is priced twice while choosing but stands once in the set, so the set is a good one, not always the cheapest.
    Pieces that cannot be reached are left out.
    """
    there = frozenset(open_)
    known = {piece.id: piece for piece in pieces}
    price: dict[str, int] = dict.fromkeys(there, 0)
    pick: dict[str, tuple[str, ...]] = dict.fromkeys(there, ())
    for _ in range(len(known) + 1):
        before = dict(price)
        for piece in known.values():
            members = tuple(min(clause, key=lambda a: price.get(a, _FAR)) for clause in piece.access)
            own = 1 + piece.taking_minor + piece.giving_minor + piece.risk_minor
            total = own + sum(price.get(a, _FAR) for a in members)
            if piece.id not in there and total < price.get(piece.id, _FAR):
                price[piece.id], pick[piece.id] = total, members
        if price == before:
            break
    return {key: _gather(key, pick) - there for key in price}


_FAR = 10**12
"""A price that nothing reaches: minor units no restoration ever cost."""


def _gather(key: str, pick: Mapping[str, tuple[str, ...]]) -> frozenset[str]:
    found: set[str] = set()
    waiting = [key]
    while waiting:
        piece = waiting.pop()
        if piece not in found:
            found.add(piece)
            waiting += pick[piece]
    return frozenset(found)


def why_off(problem: Problem, treatments: Iterable[str], order: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Say in words why each piece comes off: on the bench for a treatment, in the way of a treatment or of a piece."""
    names = {piece.id: piece.name for piece in problem.pieces}
    chosen = set(treatments)
    options = [option for option in problem.options if option.id in chosen]
    pieces = [piece for piece in problem.pieces if piece.id in order]
    tests = [test for test in problem.tests if test.wanted]
    there = away(problem.pieces)
    said: list[tuple[str, str]] = []
    for key in order:
        reasons = [_reason(option, key, order, there) for option in options]
        reasons += [f"on the bench for the test: {_lower(test.name)}" for test in tests if key in test.off]
        behind = [names[piece.id] for piece in pieces if key in supports(piece.access, order, there)]
        if behind:
            reasons.append(f"in the way of {_listed(behind)}")
        said.append((key, "; ".join(reason for reason in reasons if reason) or "already decided"))
    return tuple(said)


def _reason(option: Option, key: str, order: tuple[str, ...], there: frozenset[str]) -> str:
    if key in option.off:
        return f"on the bench to {_lower(option.name)}"
    if key in supports(option.access, order, there):
        return f"in the way to {_lower(option.name)}"
    return ""


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _listed(words: list[str]) -> str:
    return ", ".join(_lower(word) for word in words)
