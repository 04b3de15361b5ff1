"""Laws of putting figures together: order, units and copies change nothing, spread only widens, gaps never average."""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import fmean, variance

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.pooled import chance_of, look_alikes, pooled
from brasswright.errors import ImpossibleValue

figure = st.floats(10.0, 60.0)
sigma = st.floats(0.01, 1.0)
measured = st.lists(st.tuples(figure, sigma), min_size=1, max_size=8)


@given(measured, st.randoms(use_true_random=False))
def test_the_order_of_the_machines_says_nothing(told: list[tuple[float, float]], random: object) -> None:
    mixed = list(told)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    first, second = (pooled(values=[x for x, _ in a], sigmas=[u for _, u in a]) for a in (told, mixed))
    assert first.mean == pytest.approx(second.mean, rel=1e-9)
    assert first.sigma == pytest.approx(second.sigma, rel=1e-6)


@given(measured, st.floats(0.001, 1000.0))
def test_another_unit_scales_it_all(told: list[tuple[float, float]], scale: float) -> None:
    one = pooled(values=[x for x, _ in told], sigmas=[u for _, u in told])
    other = pooled(values=[x * scale for x, _ in told], sigmas=[u * scale for _, u in told])
    assert other.mean == pytest.approx(one.mean * scale, rel=1e-9)
    assert other.next_sigma == pytest.approx(one.next_sigma * scale, rel=1e-6)
    assert other.chi_square == pytest.approx(one.chi_square, rel=1e-6, abs=1e-9)


@given(measured)
def test_the_mean_lies_among_the_figures_and_the_next_machine_is_never_surer_than_the_mean(
    told: list[tuple[float, float]],
) -> None:
    put = pooled(values=[x for x, _ in told], sigmas=[u for _, u in told])
    assert min(x for x, _ in told) - 1e-9 <= put.mean <= max(x for x, _ in told) + 1e-9
    assert put.next_sigma >= put.sigma
    assert 0.0 <= put.chance <= 1.0


@given(measured)
def test_the_spread_brings_the_sum_down_to_its_degrees_of_freedom(told: list[tuple[float, float]]) -> None:
    values, sigmas = [x for x, _ in told], [u for _, u in told]
    put = pooled(values=values, sigmas=sigmas)
    left = sum((x - put.mean) ** 2 / (u * u + put.between**2) for x, u in told)
    if put.between:
        assert left == pytest.approx(len(told) - 1, rel=1e-6)
    else:
        assert left <= len(told) - 1 + 1e-9


@given(st.lists(figure, min_size=2, max_size=8), sigma)
def test_equal_uncertainties_give_the_plain_mean_and_the_plain_variance(values: list[float], u: float) -> None:
    put = pooled(values=values, sigmas=[u] * len(values))
    assert put.mean == pytest.approx(fmean(values), rel=1e-9)
    assert put.between**2 == pytest.approx(max(0.0, variance(values) - u * u), rel=1e-5, abs=1e-9)


def test_two_figures_by_hand() -> None:
    put = pooled(values=(10.0, 16.0), sigmas=(1.0, 2.0))
    assert put.chi_square == pytest.approx(36 / 5)
    assert put.birge == pytest.approx(math.sqrt(36 / 5))
    assert (10 - put.mean) ** 2 / (1 + put.between**2) + (16 - put.mean) ** 2 / (4 + put.between**2) == pytest.approx(1)
    assert put.between**2 == pytest.approx((36 - 5) / 2)


def test_one_figure_alone_stays_as_it_is_and_says_nothing_of_agreement() -> None:
    put = pooled(values=(25.6,), sigmas=(0.03,))
    assert (put.mean, put.sigma, put.between, put.birge, put.differ) == (25.6, 0.03, 0.0, None, False)
    assert put.next_sigma == 0.03


@pytest.mark.parametrize(
    ("values", "sigmas"), [((), ()), ((1.0,), ()), ((1.0,), (0.0,)), ((math.nan,), (1.0,)), ((1.0,), (math.inf,))]
)
def test_what_cannot_be_put_together_is_refused(values: tuple[float, ...], sigmas: tuple[float, ...]) -> None:
    with pytest.raises(ImpossibleValue):
        pooled(values=values, sigmas=sigmas)


@given(st.floats(0.0, 50.0), st.integers(1, 30))
def test_chance_falls_with_chi_square_and_rises_with_its_degrees(chi: float, degrees: int) -> None:
    here = chance_of(chi_square=chi, degrees=degrees)
    assert chance_of(chi_square=chi + 1, degrees=degrees) <= here + 1e-12
    assert chance_of(chi_square=chi, degrees=degrees + 2) >= here - 1e-12


@given(st.lists(figure, min_size=1, max_size=10), st.floats(0.1, 3.0))
def test_groups_hold_each_figure_once_and_lie_apart(values: list[float], step: float) -> None:
    groups = look_alikes(values=values, sigmas=[0.01] * len(values), apart=[step] * len(values))
    assert sorted(place for group in groups for place in group) == list(range(len(values)))
    for lower, upper in pairwise(groups):
        assert values[upper[0]] - values[lower[-1]] > step


def test_a_wide_uncertainty_keeps_figures_together_that_would_part() -> None:
    near = {"values": (44.0, 46.0), "apart": (0.3, 0.3)}
    assert look_alikes(**near, sigmas=(0.05, 0.05)) == ((0,), (1,))
    assert look_alikes(**near, sigmas=(0.5, 0.5)) == ((0, 1),)
