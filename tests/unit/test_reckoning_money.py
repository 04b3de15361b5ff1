"""Rounding, tax, keys of things bought, and the seed."""

from __future__ import annotations

from dataclasses import replace

from brasswright.reckoning.money import expected, item_key, rounded, with_tax
from brasswright.reckoning.seed import seed_of
from tests.unit.planning_bench import PRICES, problem_of


def test_halves_round_up_on_both_sides_of_nothing() -> None:
    assert [rounded(x) for x in (-1.5, -0.5, 0.5, 1.5, 2.4999)] == [-1, 0, 1, 2, 2]


def test_tax_is_added_unrounded() -> None:
    assert with_tax(101.0, 190) == 101.0 * 1.19


def test_the_mean_of_a_triangle_is_a_third_of_its_corners() -> None:
    assert expected((3.0, 6.0, 18.0)) == 9.0


def test_a_key_is_made_of_letters_and_digits() -> None:
    assert item_key("O-ring, 30 x 3 mm") == "o_ring_30_x_3_mm"


def test_the_seed_follows_from_head_problem_and_prices() -> None:
    problem = problem_of()
    seed = seed_of("head", problem, PRICES)
    assert seed == seed_of("head", problem_of(), replace(PRICES))
    assert seed != seed_of("another head", problem, PRICES)
    assert seed != seed_of("head", problem_of(flex={"cracked": 0.1}), PRICES)
    assert seed != seed_of("head", problem, replace(PRICES, tax_permille=190))
    assert 0 <= seed < 2**53
