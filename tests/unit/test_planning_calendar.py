"""The calendar: what the checker finds, what a workshop may not ask, planning again, what is settled."""

from __future__ import annotations

import sys
from dataclasses import replace
from subprocess import run
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import PlanRefused
from brasswright.planning.calendar_check import problems, unworkable, worries
from brasswright.planning.calendar_model import (
    Aim,
    Booking,
    Calendar,
    Moment,
    Person,
    Station,
    Stay,
    Task,
    Workshop,
    cost,
    ends,
    moved,
)
from brasswright.planning.calendar_search import Effort, first_calendar, search
from brasswright.planning.improve import Again, Rounds, Watch, again, improve, prove
from tests.properties.calendar_shops import DAY, shop

if TYPE_CHECKING:
    from collections.abc import Callable

HOURS = tuple((day * DAY + 510, day * DAY + 750) for day in range(30))
ANA = Person("a", "Ana", frozenset({"mechanical", "electrical"}), HOURS)
BO = Person("b", "Bo", frozenset({"mechanical"}), HOURS)
SOAK = (
    Task("load", "m", "Load the bath", 20, stations=(("bath", 1),), wait=120, wait_max=600, ended_by="unload"),
    Task("unload", "m", "Unload", 10, after=("load",)),
    Task("wire", "m", "Wire", 60, skill="electrical", after=("unload",)),
)


def small(*tasks: Task, **more: object) -> Workshop:
    base = Workshop(
        (ANA, BO), (Station("bath"),), (Stay("m"),), tasks or SOAK, days=tuple(day * DAY for day in range(31))
    )
    return replace(base, **more)  # type: ignore[arg-type]


def said(workshop: Workshop) -> str:
    return " ".join(str(finding) for finding in unworkable(workshop))


def test_the_small_workshop_is_planned_as_one_would_by_hand() -> None:
    """20 min in the morning at 08:30, two hours' soak, out at 10:50, then an hour's wiring within hours until 12:30."""
    workshop = small()
    assert unworkable(workshop) == ()
    booked = first_calendar(workshop).by_task()
    assert [booked[key].start for key in ("load", "unload", "wire")] == [510, 650, 660]
    assert booked["load"].until == 660
    assert booked["wire"].person == "a"
    assert ends(workshop, first_calendar(workshop)) == {"m": 720}


def test_a_soak_is_not_begun_when_nobody_could_end_it_in_time() -> None:
    """Twelve hours at least, thirteen at most: out between 02:00 and 06:00 at the soonest, when nobody is there."""
    short = replace(SOAK[0], wait=720, wait_max=780)
    assert "has to be ended 720 to 780 min afterwards" in said(small(short, *SOAK[1:]))
    with pytest.raises(PlanRefused, match="fits nowhere"):
        first_calendar(small(short, *SOAK[1:]))


def test_a_soak_over_night_is_ended_the_next_morning() -> None:
    long = replace(SOAK[0], wait=1200, wait_max=1500)
    workshop = small(long, *SOAK[1:])
    booked = first_calendar(workshop).by_task()
    assert problems(workshop, first_calendar(workshop)) == ()
    assert booked["unload"].start == DAY + 510


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda b: replace(b, start=b.start - 60, end=b.end - 60), "before"),
        (lambda b: replace(b, person="b"), "may not do"),
        (lambda b: replace(b, person="c"), "not there"),
        (lambda b: replace(b, start=730, end=790), "not within the hours"),
        (lambda b: replace(b, end=b.end + 5), "takes 60 min"),
        (lambda b: replace(b, task="other"), "is no task"),
    ],
    ids=["early", "skill", "stranger", "hours", "length", "name"],
)
def test_the_checker_finds_what_was_spoilt(spoil: Callable[[Booking], Booking], words: str) -> None:
    workshop = small()
    calendar = first_calendar(workshop)
    spoilt = Calendar(tuple(spoil(b) if b.task == "wire" else b for b in calendar.bookings))
    assert problems(workshop, calendar) == ()
    assert words in " ".join(str(finding) for finding in problems(workshop, spoilt))


def test_the_checker_finds_what_is_there_twice_or_not_at_all() -> None:
    workshop = small()
    bookings = first_calendar(workshop).bookings
    assert "stands twice" in str(problems(workshop, Calendar((*bookings, bookings[0]))))
    assert "is not in the calendar" in str(problems(workshop, Calendar(bookings[1:])))


def test_the_checker_finds_a_full_station_a_busy_person_and_a_wait_too_long() -> None:
    other = tuple(replace(t, key=f"{t.key}2", after=tuple(f"{k}2" for k in t.after)) for t in SOAK)
    other = (replace(other[0], ended_by="unload2"), *other[1:])
    workshop = small(*SOAK, *other)
    booked = first_calendar(workshop).by_task()
    assert problems(workshop, first_calendar(workshop)) == ()
    both = {**booked, "load2": replace(booked["load2"], start=510, end=530)}
    assert "full" in str(problems(workshop, Calendar(tuple(both.values()))))
    same = {**booked, "unload": replace(booked["unload"], start=665, end=675, until=675, person="a")}
    assert "begins while 'a'" in str(problems(workshop, Calendar(tuple(same.values()))))
    late = {**booked, "unload": replace(booked["unload"], start=DAY + 650, end=DAY + 660)}
    assert "longer than it may" in str(problems(workshop, Calendar(tuple(late.values()))))
    left = {**booked, "load": replace(booked["load"], until=booked["load"].end)}
    assert "leaves its station" in str(problems(workshop, Calendar(tuple(left.values()))))


def test_the_checker_follows_holds_in_time() -> None:
    tasks = (
        Task("dead", "m", "Plug out", 5, moments=(Moment("hold:isolated", releases=("isolated",)),)),
        Task("open", "m", "Open", 30, moments=(Moment("open:case", needs=("isolated",)),)),
        Task("heat", "m", "Heat", 30, moments=(Moment("test:heat", breaks=("isolated",)),)),
    )
    workshop = small(*tasks)

    def booked(**at: int) -> str:
        length = {task.key: task.minutes for task in tasks}
        people = {"dead": "a", "open": "b", "heat": "a"}
        made = (Booking(k, s, s + length[k], s + length[k], people[k]) for k, s in at.items())
        return str(problems(workshop, Calendar(tuple(made))))

    assert booked(dead=510, open=515, heat=545) == "()"
    assert "begins while hold 'isolated' stands" in booked(dead=510, open=512, heat=560)
    assert "goes on while 'test:heat' breaks hold" in booked(dead=510, open=515, heat=530)
    assert "begins while hold 'isolated' stands" in booked(dead=510, heat=515, open=560)


@pytest.mark.parametrize(
    ("workshop", "words"),
    [
        (small(replace(SOAK[2], skill="gas", after=())), "the skill 'gas', which nobody has"),
        (small(replace(SOAK[2], minutes=300, after=())), "the longest span of Ana is 240 min"),
        (small(stations=(Station("bath", 0),)), "at station 'bath', which has 0"),
        (small(stations=()), "which is not there"),
        (small(stays=()), "which is not in the workshop"),
        (small(replace(SOAK[0], after=("wire",)), *SOAK[1:]), "waits for itself"),
        (small(replace(SOAK[0], wait_max=60), *SOAK[1:]), "must wait 120 min but at most 60 min"),
        (small(SOAK[0], replace(SOAK[1], after=())), "must come after it alone"),
        (small(replace(SOAK[0], ended_by="gone"), *SOAK[1:]), "which is no task"),
        (small(replace(SOAK[0], ended_by=""), *SOAK[1:]), "nothing ends the wait"),
        (small(replace(SOAK[2], after=("gone",))), "comes after 'gone', which is no task"),
        (small(SOAK[2], SOAK[2]), "stands twice as a task"),
        (small(replace(SOAK[2], minutes=-5, after=())), "negative minutes"),
        (small(settled=(Booking("load", 510, 530, 660, "c"),)), "is given to 'c', who is not there"),
        (small(settled=(Booking("wire", 510, 570, 570, "a"),)), "is settled, but 'unload' before it is not"),
        (small(settled=(Booking("gone", 510, 570, 570, "a"),)), "is settled but is no task"),
    ],
)
def test_what_no_calendar_could_get_right_is_said_beforehand(workshop: Workshop, words: str) -> None:
    assert words in said(workshop)


def test_a_circle_is_named_whole() -> None:
    ring = tuple(Task(k, "m", k, 5, after=(b,)) for k, b in (("one", "three"), ("two", "one"), ("three", "two")))
    assert "one after three after two after one" in said(small(*ring))


def test_a_promise_that_has_passed_is_said_and_planned_all_the_same() -> None:
    workshop = small(stays=(Stay("m", due=100),), now=500)
    assert [finding.where for finding in worries(workshop)] == ["m"]
    calendar = first_calendar(workshop)
    assert problems(workshop, calendar) == ()
    assert dict(cost(workshop, calendar, Aim()).late) == {"m": 620}


def test_what_is_settled_stays_and_its_wait_is_ended_soon() -> None:
    """The soak was begun yesterday by somebody who is not there any more; now it is 09:00."""
    begun = Booking("load", 300, 320, 900, "gone")
    workshop = small(settled=(begun,), now=540)
    assert unworkable(workshop) == ()
    calendar = first_calendar(workshop)
    booked = calendar.by_task()
    assert booked["load"].start == 300
    assert booked["unload"].start == 540
    assert booked["wire"].start == 550
    proof = prove(workshop, calendar, effort=5)
    assert proof.proven
    assert problems(workshop, calendar) == problems(workshop, proof.calendar) == ()
    assert worries(workshop, calendar) == ()


def test_a_wait_that_was_too_long_already_is_said_and_ended_soon() -> None:
    workshop = small(settled=(Booking("load", -900, -880, 0, "b"),), now=540)
    calendar = first_calendar(workshop)
    assert calendar.by_task()["unload"].start == 540
    assert problems(workshop, calendar) == ()
    assert "waits 820 min longer than it may" in str(worries(workshop, calendar))


def test_what_is_settled_may_not_move() -> None:
    begun = Booking("load", 510, 530, 660, "b")
    workshop = small(settled=(begun,), now=540)
    spoilt = {**first_calendar(workshop).by_task(), "load": replace(begun, person="a")}
    assert "is settled and was moved" in str(problems(workshop, Calendar(tuple(spoilt.values()))))


def test_nothing_is_planned_before_now() -> None:
    workshop = replace(shop(3, 1), now=3 * DAY + 600)
    calendar = first_calendar(workshop)
    assert min(booking.start for booking in calendar.bookings) >= workshop.now
    assert problems(workshop, calendar) == ()


def changed(workshop: Workshop, before: Calendar, now: int) -> Workshop:
    """It is now later; what has begun is settled; the first work that has not begun takes an hour longer."""
    begun = [booking for booking in before.bookings if booking.start < now]
    keys = {booking.task for booking in begun}
    later = next(task for task in workshop.tasks if task.key not in keys and task.minutes <= 120)
    tasks = tuple(replace(t, minutes=t.minutes + 60) if t == later else t for t in workshop.tasks)
    return replace(workshop, tasks=tasks, settled=tuple(begun), now=now)


@pytest.mark.parametrize("seed", [1, 2])
def test_planning_again_offers_the_cheapest_and_the_calmest(seed: int) -> None:
    workshop = shop(6, seed)
    before = search(workshop, effort=Effort(1, rounds=2, rows=40))
    now = changed(workshop, before, 4 * DAY + 600)
    assert unworkable(now) == ()
    cheapest, calmest = again(now, before, rounds=Rounds(1, count=6))
    for way in (cheapest, calmest):
        assert problems(now, way.calendar) == ()
        assert way.cost.moved == len(moved(now, way.calendar, before))
    assert cheapest.cost.points <= calmest.cost.points
    assert calmest.cost.moved <= cheapest.cost.moved
    scratch = first_calendar(now)
    assert calmest.cost.moved < len(moved(now, scratch, before))


def test_planning_again_without_a_change_changes_nothing() -> None:
    workshop = shop(2, 4)
    before = prove(workshop, first_calendar(workshop), effort=20).calendar
    calmest = again(workshop, before, rounds=Rounds(1, count=3))[1]
    assert isinstance(calmest, Again)
    assert calmest.cost.moved == 0


def test_a_person_who_leaves_takes_no_work_along() -> None:
    workshop = shop(3, 2, people=3)
    before = first_calendar(workshop)
    gone = replace(workshop, people=workshop.people[:2])
    assert "who is not there" in str(problems(gone, before))
    for way in again(gone, before, rounds=Rounds(1, count=2)):
        assert problems(gone, way.calendar) == ()


def test_improvement_can_be_ended_and_keeps_what_it_has() -> None:
    workshop = shop(4, 2)
    first = first_calendar(workshop)
    assert improve(workshop, first, rounds=Rounds(1), watch=Watch(keep_going=lambda: False)) == first
    seen: list[int] = []
    better = improve(
        workshop, first, rounds=Rounds(1, count=4), watch=Watch(report=lambda _, points: seen.append(points))
    )
    assert seen == sorted(seen, reverse=True)
    assert cost(workshop, better, Aim()).points == (seen[-1] if seen else cost(workshop, first, Aim()).points)


def test_the_solver_is_loaded_only_where_it_is_used() -> None:
    code = (
        "import sys; import brasswright.planning.improve, brasswright.planning.calendar_from_plans,"
        " brasswright.planning.calendar_check; sys.exit('ortools' in sys.modules)"
    )
    assert run([sys.executable, "-c", code], check=False).returncode == 0
