"""The order of looking: worked examples from elsewhere, all orders compared, and laws of the rule."""

from __future__ import annotations

import math
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.errors import ImpossibleValue
from brasswright.judgement.opening import Look, expected_cost, order_of_looking

shares = st.lists(st.floats(0.01, 1.0), min_size=1, max_size=6)
BOXES = (("case",), ("case", "end"), ("base",), (), ("case", "lid"))
NOT_NESTED = (("case",), ("base",), ("base", "case"), ("case", "base"), ())


def looks_of(weights: list[float], costs: list[float], ways: tuple[tuple[str, ...], ...]) -> list[Look]:
    total = sum(weights) * 1.1
    return [
        Look(f"look{place}", weight / total, cost, ways[place % len(ways)])
        for place, (weight, cost) in enumerate(zip(weights, costs, strict=False))
    ]


def cheapest(looks: list[Look], openings: dict[str, float]) -> float:
    """All orders of looks, each opening as late as it may."""
    best = math.inf
    for order in permutations(looks):
        steps = dict.fromkeys(name for look in order for name in (*look.behind, look.key))
        best = min(best, expected_cost(tuple(steps), looks, openings))
    return best


def test_a_series_system_is_tested_by_failure_per_cost() -> None:
    """A board passes three tests and testing stops at the first that fails.

    Source: textbook exercise, costs 51.75, 2.00, 52.40 and failing shares 0.125, 0.075, 0.14; least expected cost
    91.6371 (answer recomputed by hand). A test that fails ends the search with a product of chances, which the same
    ratio rule orders: here the order is held, not the sum of disjoint chances.
    """
    boards = {"X": (51.75, 0.125), "Y": (2.0, 0.075), "Z": (52.4, 0.14)}
    order = order_of_looking([Look(key, chance, cost) for key, (cost, chance) in boards.items()], {}).steps
    assert order == ("Y", "Z", "X")
    left, paid = 1.0, 0.0
    for key in order:
        paid, left = paid + left * boards[key][0], left * (1 - boards[key][1])
    assert paid == pytest.approx(91.6371, abs=5e-5)


def test_one_cluster_worked_by_hand() -> None:
    """Ten to open, two looks inside, one outside: 13.45 against 14.05 for the greedy rule (worked by hand)."""
    looks = [Look("a", 0.35, 1, ("box",)), Look("b", 0.35, 1, ("box",)), Look("d", 0.3, 6)]
    best = order_of_looking(looks, {"box": 10})
    assert best.steps == ("box", "a", "b", "d")
    assert best.expected_cost == pytest.approx(13.45)
    assert expected_cost(("d", "box", "a", "b"), looks, {"box": 10}) == pytest.approx(14.05)


def test_two_looks_without_openings_cost_one_and_a_tenth() -> None:
    """Efficiencies 0.9 and 0.1 left, unit costs: 1 + 0.1 (Ottosen and Jensen, "A* Wars", example)."""
    best = order_of_looking([Look("second", 0.08, 1), Look("first", 0.9, 1)], {})
    assert best.steps == ("first", "second")
    assert best.expected_cost == pytest.approx(1.1)


@given(
    weights=shares,
    costs=st.lists(st.floats(0.1, 50), min_size=6, max_size=6),
    prices=st.tuples(*[st.floats(0, 40)] * 4),
)
def test_boxes_in_boxes_are_exact(weights: list[float], costs: list[float], prices: tuple[float, ...]) -> None:
    openings = dict(zip(("case", "end", "base", "lid"), prices, strict=True))
    looks = looks_of(weights, costs, BOXES)
    best = order_of_looking(looks, openings)
    assert best.exact
    assert best.expected_cost == pytest.approx(cheapest(looks, openings), rel=1e-9)
    assert {*best.steps} == {look.key for look in looks} | {name for look in looks for name in look.behind}


@given(
    weights=shares,
    costs=st.lists(st.floats(0.1, 50), min_size=6, max_size=6),
    prices=st.tuples(*[st.floats(0, 40)] * 2),
)
def test_openings_that_do_not_nest_are_exact_too(
    weights: list[float], costs: list[float], prices: tuple[float, ...]
) -> None:
    openings = dict(zip(("case", "base"), prices, strict=True))
    looks = looks_of(weights, costs, NOT_NESTED)
    best = order_of_looking(looks, openings)
    assert best.exact
    assert best.expected_cost == pytest.approx(cheapest(looks, openings), rel=1e-9)


@given(weights=shares, costs=st.lists(st.floats(0.1, 50), min_size=6, max_size=6), times=st.floats(0.01, 100))
def test_money_in_another_unit_changes_nothing(weights: list[float], costs: list[float], times: float) -> None:
    openings = {"case": 7.0, "end": 3.0, "base": 5.0, "lid": 2.0}
    one = order_of_looking(looks_of(weights, costs, BOXES), openings)
    other = order_of_looking(
        looks_of(weights, [cost * times for cost in costs], BOXES),
        {key: price * times for key, price in openings.items()},
    )
    assert other.expected_cost == pytest.approx(one.expected_cost * times, rel=1e-9)


def test_many_looks_that_do_not_nest_get_a_good_order_that_says_it_is_not_proved() -> None:
    looks = [Look(f"look{n}", 0.05, 1 + n % 3, NOT_NESTED[n % 5]) for n in range(18)]
    found = order_of_looking(looks, {"case": 5, "base": 8})
    assert not found.exact
    assert {step for step in found.steps if step.startswith("look")} == {look.key for look in looks}
    backwards = expected_cost(("case", "base", *(look.key for look in looks[::-1])), looks, {"case": 5, "base": 8})
    assert found.expected_cost < backwards


@pytest.mark.parametrize(
    ("looks", "openings"),
    [
        ([Look("a", 0.5, 1), Look("a", 0.2, 1)], {}),
        ([Look("a", 0.7, 1), Look("b", 0.7, 1)], {}),
        ([Look("a", -0.1, 1)], {}),
        ([Look("a", 0.1, 0)], {}),
        ([Look("a", math.nan, 1)], {}),
        ([Look("a", 0.1, 1, ("box",))], {}),
        ([Look("a", 0.1, 1, ("box",))], {"box": -1.0}),
    ],
)
def test_what_cannot_be_is_refused(looks: list[Look], openings: dict[str, float]) -> None:
    with pytest.raises(ImpossibleValue):
        order_of_looking(looks, openings)
