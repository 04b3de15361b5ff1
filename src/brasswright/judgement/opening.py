"""The best order of looking for one cause: what is likely and cheap first, each opening paid once.

A look has a chance of finding the cause and a cost; some need things opened first, and an opening serves everything
behind it. The expected cost of looking is the sum of c_i times the chance that nothing before i was the cause. Where
openings nest like boxes in boxes the best order is exact and quick: an opening is a step that finds nothing, each step
is glued to the steps behind it for as long as that raises the head's chance per cost, and blocks go by chance per cost.
Where they do not nest, all orders of a few looks are compared by dynamic programming.

Sources: W. A. Horn, "Single-machine job sequencing with treelike precedence ordering and linear delay penalties", SIAM
J. Appl. Math. 23 (1972) 189-202 (from memory); T. J. Ottosen and F. V. Jensen, "When to test? Troubleshooting with
postponed system test", arXiv 1203.3502 and its companion on cost clusters (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["MOST_EXACT", "Look", "Order", "expected_cost", "order_of_looking"]

MOST_EXACT = 13
"""Up to this many looks behind openings that do not nest, all orders are compared."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look: its chance of finding the cause, its own cost, and what has to be open for it, outermost first."""

    key: str
    chance: float
    cost: float
    behind: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Order:
    """Steps in the best order, looks and openings alike; `expected_cost` of looking; whether it is proved best."""

    steps: tuple[str, ...]
    expected_cost: float
    exact: bool


def order_of_looking(looks: Sequence[Look], openings: Mapping[str, float]) -> Order:
    """Return the order of least expected cost.

    Args:
        looks: chances (disjoint causes, together at most 1) and costs above zero.
        openings: cost of each opening, zero or more; what is open already is left out of `behind`.

    Raises:
        ImpossibleValue: a chance, cost or name that cannot be.
    """
    _check(looks, openings)
    if _nested(looks):
        steps = _by_blocks(looks, openings)
        return Order(steps, expected_cost(steps, looks, openings), exact=True)
    if len(looks) <= MOST_EXACT:
        steps = _by_comparing(looks, openings)
        return Order(steps, expected_cost(steps, looks, openings), exact=True)
    steps = _by_need(looks, openings)
    return Order(steps, expected_cost(steps, looks, openings), exact=False)


def expected_cost(steps: Sequence[str], looks: Sequence[Look], openings: Mapping[str, float]) -> float:
    """Return the expected cost of an order: each step is paid unless the cause was found before it."""
    known = {look.key: look for look in looks}
    left, total = 1.0, 0.0
    for step in steps:
        total += left * (known[step].cost if step in known else openings[step])
        left -= known[step].chance if step in known else 0.0
    return total


def _check(looks: Sequence[Look], openings: Mapping[str, float]) -> None:
    keys = [look.key for look in looks]
    if len({*keys, *openings}) != len(keys) + len(openings):
        raise ImpossibleValue("Two steps have one name.", got=", ".join(sorted(keys)))
    for look in looks:
        if not (0.0 <= look.chance <= 1.0 and 0.0 < look.cost < math.inf):
            raise ImpossibleValue(
                f"The look '{look.key}' has an impossible chance or cost.",
                got=f"chance {look.chance:g}, cost {look.cost:g}", allowed="chance 0 to 1, cost above 0",
            )  # fmt: skip
        strange = [name for name in look.behind if name not in openings]
        if strange:
            raise ImpossibleValue(f"'{strange[0]}' has no cost.", where=look.key, allowed=", ".join(openings))
    if math.fsum(look.chance for look in looks) > 1.0 + 1e-9:
        raise ImpossibleValue("The chances of one cause add up to more than 1.")
    if not all(0.0 <= cost < math.inf for cost in openings.values()):
        raise ImpossibleValue("An opening has an impossible cost.", allowed="0 or more")


def _nested(looks: Sequence[Look]) -> bool:
    """Whether each opening always lies behind the same ones."""
    before: dict[str, tuple[str, ...]] = {}
    return all(
        before.setdefault(name, look.behind[:place]) == look.behind[:place]
        for look in looks
        for place, name in enumerate(look.behind)
    )


@dataclass(slots=True)
class _Block:
    """Steps that are done in one go: their chance and cost together."""

    chance: float
    cost: float
    steps: list[str]

    @property
    def rank(self) -> float:
        """Chance per cost; a step that costs nothing goes first."""
        return self.chance / self.cost if self.cost > 0.0 else math.inf


def _by_blocks(looks: Sequence[Look], openings: Mapping[str, float]) -> tuple[str, ...]:
    inside: dict[str, list[_Block]] = {}
    within = {name: look.behind[:place] for look in looks for place, name in enumerate(look.behind)}
    for look in looks:
        inside.setdefault(look.behind[-1] if look.behind else "", []).append(_Block(look.chance, look.cost, [look.key]))
    for name in sorted(within, key=lambda name: -len(within[name])):
        blocks = sorted(inside.pop(name, []), key=lambda block: -block.rank)
        head = _Block(0.0, openings[name], [name])
        while blocks and (blocks[0].rank > head.rank or head.chance == 0.0):
            head = _Block(head.chance + blocks[0].chance, head.cost + blocks[0].cost, head.steps + blocks[0].steps)
            blocks.pop(0)
        around = within[name][-1] if within[name] else ""
        inside.setdefault(around, []).extend((head, *blocks))  # the rest rank below the head, so they stay behind it
    return tuple(step for block in sorted(inside.get("", []), key=lambda block: -block.rank) for step in block.steps)


def _by_comparing(looks: Sequence[Look], openings: Mapping[str, float]) -> tuple[str, ...]:
    """Compare all orders: the best way to have done a set of looks is the best way to a smaller one, and one more."""
    everything = (1 << len(looks)) - 1
    needs = [frozenset(look.behind) for look in looks]
    found, opened = [0.0], [frozenset[str]()]
    for done in range(1, everything + 1):
        newest = done.bit_length() - 1
        found.append(found[done ^ 1 << newest] + looks[newest].chance)
        opened.append(opened[done ^ 1 << newest] | needs[newest])
    best, last = [math.inf] * (everything + 1), [0] * (everything + 1)
    best[0] = 0.0
    for done in range(everything + 1):
        for place, look in enumerate(looks):
            if done >> place & 1:
                continue
            price = look.cost + math.fsum(openings[name] for name in needs[place] - opened[done])
            then = done | 1 << place
            cost = best[done] + (1.0 - found[done]) * price
            if cost < best[then]:
                best[then], last[then] = cost, place
    order: list[Look] = []
    done = everything
    while done:
        order.append(looks[last[done]])
        done ^= 1 << last[done]
    return _with_openings(order[::-1])


def _by_need(looks: Sequence[Look], openings: Mapping[str, float]) -> tuple[str, ...]:
    """Take, each time, the way in that finds most for its cost, and the best look behind it first."""
    left, order = list(looks), list[Look]()
    there: frozenset[str] = frozenset()
    while left:
        ways = max(
            {frozenset(look.behind) - there for look in left},
            key=lambda ways: (
                _most_found(left, there | ways, math.fsum(openings[name] for name in ways)),
                sorted(ways),
            ),
        )
        taken = _behind(left, there | ways)[0]
        order.append(taken)
        there |= frozenset(taken.behind)
        left.remove(taken)
    return _with_openings(order)


def _behind(looks: Sequence[Look], there: frozenset[str]) -> list[Look]:
    """Return the looks that are free with this open, most chance for the cost first."""
    return sorted((look for look in looks if there.issuperset(look.behind)), key=lambda one: -one.chance / one.cost)


def _most_found(looks: Sequence[Look], there: frozenset[str], cost: float) -> float:
    """Return the best chance per cost of any run of looks behind a way in that costs something itself."""
    chance, best = 0.0, 0.0
    for look in _behind(looks, there):
        chance, cost = chance + look.chance, cost + look.cost
        best = max(best, chance / cost)
    return best


def _with_openings(order: Sequence[Look]) -> tuple[str, ...]:
    """Put each opening right before the first look that needs it."""
    steps: dict[str, None] = {}
    for look in order:
        steps |= dict.fromkeys((*look.behind, look.key))
    return tuple(steps)
