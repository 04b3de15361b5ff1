"""What can be reached with what is open, the cheapest way in, and the order of the questions on a walk-round."""

from __future__ import annotations

import heapq
from itertools import count, product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from brasswright.sheets.model import Clauses, Sheet

__all__ = ["access_of", "opening_minutes", "opening_path", "questions_by_zone", "reachable"]

_MOST_LOOKS = 20_000


def reachable(clauses: Clauses, open_: Collection[str]) -> bool:
    """Whether every clause has one of its ways open.

    >>> reachable((("case", "base_plate"), ("lid",)), {"base_plate", "lid"})
    True
    """
    return all(any(way in open_ for way in clause) for clause in clauses)


def access_of(sheet: Sheet, key: str) -> Clauses:
    """Return what must be open before a unit is opened or a component comes off; nothing for an unknown name."""
    entry = sheet.unit.get(key) or sheet.component.get(key)
    return entry.access if entry is not None else ()


def opening_minutes(sheet: Sheet, key: str) -> float:
    """Return the likely minutes to open a unit or take a component off."""
    if key in sheet.unit:
        return sheet.unit[key].open_minutes[1]
    return sheet.component[key].remove_minutes[1] if key in sheet.component else 0.0


def opening_path(clauses: Clauses, sheet: Sheet, open_: Collection[str] = ()) -> tuple[str, ...] | None:
    """Return the cheapest set of units and components to open, in an order in which each can be reached.

    Cheapest by likely minutes of opening, then by number of things opened. An exact best-first search: each step
    settles one clause that is still shut by one of its ways. None when there is no way, or when the search has looked
    at more sets than a bench ever asks for.
    """
    if not all(clauses):
        return None
    there = frozenset(open_)
    ticket = count()
    queue: list[tuple[float, int, int, frozenset[str]]] = [(0.0, 0, next(ticket), frozenset())]
    seen: set[frozenset[str]] = set()
    while queue and len(seen) < _MOST_LOOKS:
        minutes, size, _, chosen = heapq.heappop(queue)
        if chosen in seen:
            continue
        seen.add(chosen)
        sequence = _sequence(chosen, sheet, there)
        shut = _shut(clauses, sheet, there, chosen)
        if not shut and not isinstance(sequence, frozenset):
            return sequence
        for way in shut or _ways(sequence, sheet):
            if way not in chosen and (way in sheet.unit or way in sheet.component):
                cost = minutes + opening_minutes(sheet, way)
                heapq.heappush(queue, (cost, size + 1, next(ticket), chosen | {way}))
    return None


def _shut(clauses: Clauses, sheet: Sheet, there: frozenset[str], chosen: frozenset[str]) -> tuple[str, ...]:
    """Return the ways of one clause that is still shut, of the goal or of anything chosen; empty when none is."""
    at_hand = there | chosen
    wanted = (*clauses, *(clause for key in sorted(chosen) for clause in access_of(sheet, key)))
    return next((clause for clause in wanted if not at_hand.intersection(clause)), ())


def _ways(stuck: Iterable[str], sheet: Sheet) -> tuple[str, ...]:
    """Return every other way to things that wait for each other."""
    ways = (way for key in sorted(stuck) for clause in access_of(sheet, key) for way in clause)
    return tuple(dict.fromkeys(ways))


def _sequence(chosen: frozenset[str], sheet: Sheet, there: frozenset[str]) -> tuple[str, ...] | frozenset[str]:
    """Return an order in which each can be reached; those that wait for each other, as a set, when there is none."""
    order: list[str] = []
    left = sorted(chosen)
    while left:
        ready = [key for key in left if reachable(access_of(sheet, key), there.union(order))]
        if not ready:
            return frozenset(left)
        order.append(ready[0])
        left.remove(ready[0])
    return tuple(order)


def questions_by_zone(
    sheet: Sheet, *, absent: Collection[str] = ()
) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Return the walk-round: zones in order, each with its questions as ("finding" or "reading", key).

    Questions marked `ask_first` come first in their zone, findings before readings, else in the sheet's order. A
    question is left out when every component it speaks of is in `absent` (absent or missing).
    """
    zones = sorted(sheet.zone, key=lambda key: sheet.zone[key].order)
    return tuple((zone, tuple(_in_zone(sheet, zone, absent))) for zone in zones)


def _in_zone(sheet: Sheet, zone: str, absent: Collection[str]) -> Iterator[tuple[str, str]]:
    """Go over one zone's questions in the order in which they are asked."""
    here = [key for key, finding in sheet.finding.items() if finding.zone == zone]
    for first, key in product((True, False), here):
        finding = sheet.finding[key]
        if finding.ask_first is first and _speaks([cause.of for cause in finding.shows], absent):
            yield "finding", key
    for key, reading in sheet.reading.items():
        if reading.zone == zone and _speaks([cause.of for cause in reading.shows], absent):
            yield "reading", key


def _speaks(of: list[str], absent: Collection[str]) -> bool:
    """Whether a question still has something to speak of; one that shows nothing is a plain note and stays."""
    return not of or any(component not in absent for component in of)
