"""One machine's plan in the calendar: sittings, waits, cooling, parts, and holds that the checker follows."""

from __future__ import annotations

import functools
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from brasswright.journal.job import Job
from brasswright.judgement.opinion import judge
from brasswright.planning.calendar_check import problems, unworkable
from brasswright.planning.calendar_from_plans import COOLING, Sittings, tasks_of
from brasswright.planning.calendar_model import Calendar, Person, Station, Stay, Task, Workshop
from brasswright.planning.calendar_search import first_calendar
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.planning.hours import Axis, week
from brasswright.planning.improve import prove
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from brasswright.sheets.load import load_packaged

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.planning.model import Plan
    from brasswright.sheets.model import Sheet

RULE = Sittings(limited=frozenset({"bath", "paint", "lathe"}))
AXIS = Axis(date(2026, 3, 2), ZoneInfo("Europe/Lisbon"), 200)
HOURS = AXIS.hours(week({day: ["08:30-12:30", "13:15-17:15"] for day in ("mon", "tue", "wed", "thu", "fri")}))


@functools.cache
def home() -> tuple[Sheet, Plan]:
    """The packaged home machine with nothing known, planned."""
    sheet = load_packaged("home-spring-lever").sheet
    problem = build(sheet, Job(), judge(sheet, Job()).odds, Prices())
    return sheet, expand(problem, choose(problem, marginals=False), Job(), sheet)


def workshop(stays: int = 1) -> Workshop:
    sheet, plan = home()
    every = frozenset({"mechanical", "electrical", "pressure", "send-out"})
    people = (Person("a", "Ana", every, HOURS), Person("b", "Bo", frozenset({"mechanical"}), HOURS))
    names = [f"job {number}" for number in range(1, stays + 1)]
    tasks = tuple(task for name in names for task in tasks_of(plan, sheet, name, RULE))
    stations = tuple(Station(key) for key in sorted(RULE.limited))
    released = tuple(key for key in sheet.hold if key not in {op.id.split(":")[1] for op in plan.operations})
    return Workshop(
        people,
        stations,
        tuple(Stay(name, released=released) for name in names),
        tasks,
        days=AXIS.days(),
        known_until=AXIS.days()[-1],
    )


def test_every_operation_is_in_one_sitting_in_the_order_of_the_plan() -> None:
    sheet, plan = home()
    tasks = tasks_of(plan, sheet, "job", RULE)
    done = [moment.operation for task in tasks for moment in task.moments if " part " not in task.key]
    assert done == [op.id for op in plan.operations]
    assert len(tasks) < len(plan.operations) / 2


def test_no_minute_of_work_is_lost() -> None:
    sheet, plan = home()
    tasks = tasks_of(plan, sheet, "job", RULE)
    expected = sum(sum(op.minutes) / 3 for op in plan.operations)
    assert sum(task.minutes for task in tasks if task.skill) >= expected


def test_what_comes_after_in_the_plan_comes_after_in_the_calendar() -> None:
    sheet, plan = home()
    booked = first_calendar(workshop()).by_task()
    where = {m.operation: task for task in tasks_of(plan, sheet, "job 1", RULE) for m in task.moments}
    for op in plan.operations:
        for before in op.after:
            one, two = where[before], where[op.id]
            if one.key != two.key:
                assert booked[two.key].start >= booked[one.key].end + one.wait


@pytest.mark.parametrize("stays", [1, 3])
def test_the_calendar_of_the_packaged_machine_passes_the_checker(stays: int) -> None:
    shop = workshop(stays)
    assert unworkable(shop) == ()
    assert problems(shop, first_calendar(shop)) == ()


def test_one_machine_is_proven() -> None:
    shop = workshop()
    proof = prove(shop, first_calendar(shop), effort=30)
    assert proof.proven
    assert problems(shop, proof.calendar) == ()


def test_waits_that_may_become_too_long_are_ended_by_somebody() -> None:
    sheet, plan = home()
    tasks = {task.key: task for task in tasks_of(plan, sheet, "job", RULE)}
    longest = {op.id: op.wait_max for op in plan.operations if op.wait_max is not None}
    assert longest
    for operation, most in longest.items():
        (task,) = (t for t in tasks.values() if t.moments and t.moments[-1].operation == operation)
        assert tasks[task.ended_by].after == (task.key,)
        assert task.wait_max is not None
        assert most - 5 < task.wait_max <= most


def test_tests_in_one_heat_are_one_sitting_and_cold_comes_after_cooling() -> None:
    sheet, plan = home()
    tasks = {task.key: task for task in tasks_of(plan, sheet, "job", RULE)}
    sitting = _with(tasks.values(), "test:heat_cycle_one")
    assert "test:pressurestat_band" in {moment.operation for moment in sitting.moments}
    cold = _with(tasks.values(), "hold:cold_vented:3")
    cooled = [tasks[key] for key in cold.after if key.endswith("cools")]
    assert [(task.minutes, task.after) for task in cooled] == [(COOLING, (sitting.key,))]


def test_parts_are_waited_for() -> None:
    sheet, plan = home()
    tasks = tasks_of(plan, sheet, "job", Sittings(ordered=600))
    days = max(part.days[1] for op in plan.operations if op.id == "treat:replace_element:1" for part in op.parts)
    assert _with(tasks, "treat:replace_element:1").earliest == 600 + days * 1440


def test_work_under_a_hold_that_nobody_released_is_found_out() -> None:
    shop = workshop()
    calendar = first_calendar(shop)
    silent = tuple(
        replace(task, moments=tuple(m for m in task.moments if m.releases != ("isolated",))) for task in shop.tasks
    )
    found = problems(replace(shop, tasks=silent), calendar)
    assert any("begins while hold 'isolated' stands" in finding.what for finding in found)


def test_power_while_somebody_works_inside_is_found_out() -> None:
    shop = workshop()
    sittings = {task.key: task for task in shop.tasks}
    inside, heat = _with(shop.tasks, "open:base_plate"), _with(shop.tasks, "test:heat_cycle_one")
    moved = tuple(
        replace(b, start=sound.start + 5, end=sound.start + 5 + sittings[b.task].minutes) if b.task == heat.key else b
        for b in first_calendar(shop).bookings
        for sound in [first_calendar(shop).by_task()[inside.key]]
    )
    found = problems(shop, Calendar(moved))
    assert any(finding.where == inside.key and "breaks hold 'isolated'" in finding.what for finding in found)


def _with(tasks: Iterable[Task], operation: str) -> Task:
    (found,) = (task for task in tasks if operation in {moment.operation for moment in task.moments})
    return found
