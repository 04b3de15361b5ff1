"""Laws of calendars: whatever workshop is made up, what comes out passes the checker and never gets worse."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.planning.calendar_check import problems, unworkable
from brasswright.planning.calendar_model import Aim, Calendar, cost, ends
from brasswright.planning.calendar_search import Effort, finishes, first_calendar, search
from brasswright.planning.dispatch import Rows, dispatch
from brasswright.planning.hours import joined, without, worked
from brasswright.planning.improve import Rounds, improve, prove
from tests.properties.calendar_shops import shop

if TYPE_CHECKING:
    from collections.abc import Iterable

SPANS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), max_size=6)
SEEDS = st.integers(0, 10_000)


def minutes_of(spans: Iterable[tuple[int, int]]) -> set[int]:
    return {minute for begin, end in spans for minute in range(begin, end)}


@given(SPANS, SPANS)
def test_spans_are_sets_of_minutes(one: list[tuple[int, int]], two: list[tuple[int, int]]) -> None:
    assert minutes_of(joined(one)) == minutes_of(one)
    assert minutes_of(without(one, two)) == minutes_of(one) - minutes_of(two)
    assert all(a[1] < b[0] for a, b in zip(joined(one), joined(one)[1:], strict=False))


@given(SPANS, st.integers(0, 70), st.integers(0, 70))
def test_working_minutes_are_counted(spans: list[tuple[int, int]], begin: int, end: int) -> None:
    assert worked(joined(spans), begin, end) == len(minutes_of(spans) & set(range(begin, end)))


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS, machines=st.integers(1, 5), people=st.integers(1, 3), order=SEEDS)
def test_every_row_of_the_dispatcher_is_a_sound_calendar(seed: int, machines: int, people: int, order: int) -> None:
    workshop = shop(machines, seed, people=people)
    assert unworkable(workshop) == ()
    rows = np.random.default_rng(order).permuted(np.tile(np.arange(len(workshop.tasks)), (3, 1)), axis=1)
    booked = dispatch(workshop, Rows(rows))
    for row in range(3):
        assert problems(workshop, booked.calendar(row)) == ()


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS, order=SEEDS)
def test_rows_do_not_know_each_other(seed: int, order: int) -> None:
    workshop = shop(3, seed)
    rows = np.random.default_rng(order).permuted(np.tile(np.arange(len(workshop.tasks)), (4, 1)), axis=1)
    together = dispatch(workshop, Rows(rows))
    longer = np.random.default_rng(order).lognormal(0.0, 0.4, rows.shape)
    minutes = np.rint(longer * [task.minutes for task in workshop.tasks]).astype(np.int64)
    sampled = dispatch(workshop, Rows(rows, minutes))
    for row in range(4):
        alone = slice(row, row + 1)
        assert dispatch(workshop, Rows(rows[alone])).calendar(0) == together.calendar(row)
        assert dispatch(workshop, Rows(rows[alone], minutes[alone])).calendar(0) == sampled.calendar(row)


@settings(max_examples=15, deadline=None)
@given(seed=SEEDS)
def test_minutes_as_planned_finish_as_planned(seed: int) -> None:
    workshop = shop(3, seed)
    order = np.arange(len(workshop.tasks))[None, :]
    plain = dispatch(workshop, Rows(order)).calendar(0)
    minutes = np.array([[task.minutes for task in workshop.tasks]] * 2)
    assert dispatch(workshop, Rows(order.repeat(2, axis=0), minutes)).calendar(1) == plain


@settings(max_examples=10, deadline=None)
@given(seed=SEEDS)
def test_one_machine_alone_is_never_sooner_for_longer_work(seed: int) -> None:
    workshop = shop(1, seed)
    calendar = first_calendar(workshop)
    minutes = np.array([[task.minutes for task in workshop.tasks]] * 2)
    minutes[1] = minutes[1] * 3 // 2
    (done,) = finishes(workshop, calendar, minutes=minutes).values()
    assert done[0] <= done[1]


@settings(max_examples=6, deadline=None)
@given(seed=SEEDS)
def test_search_and_windows_never_make_it_worse(seed: int) -> None:
    workshop, aim = shop(3, seed), Aim()
    first = first_calendar(workshop, aim)
    found = search(workshop, aim, effort=Effort(seed, rounds=2, rows=20))
    better = improve(workshop, found, aim, rounds=Rounds(seed, count=3, effort=0.2))
    least = [cost(workshop, calendar, aim).points for calendar in (first, found, better)]
    assert least == sorted(least, reverse=True)
    assert problems(workshop, better) == ()


def test_the_same_seed_gives_the_same_calendar() -> None:
    workshop = shop(4, 3)

    def once() -> Calendar:
        found = search(workshop, effort=Effort(7, rounds=2, rows=30))
        return improve(workshop, found, rounds=Rounds(7, count=2, effort=0.2))

    assert once() == once()


@pytest.mark.parametrize("seed", range(3))
def test_no_calendar_is_cheaper_than_what_was_proven(seed: int) -> None:
    workshop = shop(2, seed)
    proof = prove(workshop, first_calendar(workshop), effort=20)
    assert proof.proven
    assert problems(workshop, proof.calendar) == ()
    for number in range(20):
        rows = np.random.default_rng(number).permuted(np.arange(len(workshop.tasks)))[None, :]
        assert cost(workshop, dispatch(workshop, Rows(rows)).calendar(0), Aim()).points >= proof.bound


@pytest.mark.parametrize("seed", range(3))
def test_another_pair_of_hands_never_costs_at_the_optimum(seed: int) -> None:
    few, many = shop(2, seed, people=1), shop(2, seed, people=2)
    alone, together = (prove(workshop, first_calendar(workshop), effort=20) for workshop in (few, many))
    assert together.bound <= alone.points
    assert problems(few, alone.calendar) == ()


def test_a_machine_more_never_helps_the_others_at_the_optimum() -> None:
    two = shop(2, 5)
    one = replace(two, stays=two.stays[:1], tasks=tuple(task for task in two.tasks if task.stay == two.stays[0].key))
    alone = prove(one, first_calendar(one), effort=20)
    both = prove(two, first_calendar(two), effort=20)
    assert alone.proven
    assert ends(two, both.calendar)[two.stays[0].key] >= min(ends(one, alone.calendar).values())
