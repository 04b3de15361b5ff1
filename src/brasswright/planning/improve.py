"""Making a calendar better: window after window is solved anew, and a small workshop to the proven optimum.

Whatever happens, the answer is never worse than the calendar that came in, and it is there after every window:
`report` gets each better one, so that whoever runs this in another process loses nothing by ending it. One model of a
large workshop, started cold, finds less than a list rule does; windows are where the solver is good.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING, Literal

from brasswright.planning.calendar_model import Aim, Calendar, Cost, cost, ends, moved
from brasswright.planning.calendar_search import first_calendar

if TYPE_CHECKING:
    from brasswright.planning.calendar_model import Span, Workshop

__all__ = ["CALM", "Again", "Proof", "Rounds", "again", "improve", "prove"]

CALM = 2000
"""Points for each task on another day in the calmest calendar: what 200 minutes after a promise cost. A choice."""
_DAYS = (2, 3, 4)
"""Lengths of windows in time [days]."""
_BY_STAY = 0.6
"""Share of windows that free whole machines rather than days."""
_NEVER_MIND = 0


@dataclass(frozen=True, slots=True)
class Rounds:
    """How many windows, each with how much of the solver's deterministic seconds, drawn from one seed."""

    seed: int
    count: int = 20
    effort: float = 0.06


@dataclass(frozen=True, slots=True)
class Proof:
    """A calendar, the least that any calendar could cost, and whether the two meet."""

    calendar: Calendar
    points: int
    bound: int
    proven: bool

    @property
    def gap(self) -> float:
        """How far the calendar may be from the best one, as a share of its points."""
        return (self.points - self.bound) / self.points if self.points else 0.0


@dataclass(frozen=True, slots=True)
class Again:
    """One of the two ways to go on after a change: cheapest, or calmest with few tasks on another day."""

    way: Literal["cheapest", "calmest"]
    calendar: Calendar
    cost: Cost


def improve(
    workshop: Workshop,
    calendar: Calendar,
    aim: Aim | None = None,
    *,
    rounds: Rounds,
    watch: Watch | None = None,
) -> Calendar:
    """Solve windows of a calendar anew and keep what is not worse.

    `watch` is told of each better calendar and asked before each window whether to go on.
    """
    from brasswright.planning._windows import Limit, Window  # noqa: PLC0415 - the solver takes long to load

    aim, watch = aim or Aim(), watch or Watch()
    random = Random(rounds.seed)  # noqa: S311 - which window next is no secret
    least = cost(workshop, calendar, aim, watch.before).points
    for number in range(rounds.count):
        if not watch.keep_going():
            break
        kept = watch.before if aim.moved else None
        window = Window(workshop, calendar, aim, _free(workshop, calendar, random, kept))
        if kept is not None:
            window.keep_days(kept)
        found = window.solve(Limit(rounds.effort, seed=number)).calendar
        reached = cost(workshop, found, aim, watch.before).points if found is not None else least + 1
        if found is not None and reached <= least:
            if reached < least:
                watch.report(found, reached)
            least, calendar = reached, found
    return calendar


@dataclass(frozen=True, slots=True)
class Watch:
    """Who looks on: whether to go on, who hears of a better calendar, and the calendar before a change."""

    keep_going: Callable[[], bool] = lambda: True
    report: Callable[[Calendar, int], None] = lambda _calendar, _points: None
    before: Calendar | None = None


def prove(
    workshop: Workshop, calendar: Calendar, aim: Aim | None = None, *, effort: float, watch: Watch | None = None
) -> Proof:
    """Solve the whole workshop at once, from a calendar on, and say how far that went.

    For small workshops this ends with the optimum; otherwise with the better of the two calendars and a bound that was
    proven on the way. `effort` is in the solver's deterministic seconds.
    """
    from brasswright.planning._windows import Limit, Window  # noqa: PLC0415 - the solver takes long to load

    aim, watch = aim or Aim(), watch or Watch()
    window = Window(workshop, calendar, aim, frozenset(task.key for task in workshop.tasks))
    if watch.before is not None and aim.moved:
        window.keep_days(watch.before)
    answer = window.solve(Limit(effort, linear=1), found=watch.keep_going)
    had = cost(workshop, calendar, aim, watch.before).points
    if answer.calendar is None:
        return Proof(calendar, had, 0, proven=False)
    reached = cost(workshop, answer.calendar, aim, watch.before).points
    if reached < had:
        calendar, had = answer.calendar, reached
        watch.report(calendar, had)
    return Proof(calendar, had, min(answer.bound, had), proven=answer.proven)


def again(
    workshop: Workshop, before: Calendar, aim: Aim | None = None, *, rounds: Rounds, watch: Watch | None = None
) -> tuple[Again, Again]:
    """Plan again after a change, both ways: cheapest, and calmest, each with the tasks that came on another day.

    `workshop` is as it is now, with what has begun settled; `before` is the calendar that people have in their heads.
    """
    aim, watch = aim or Aim(), watch or Watch()
    ways: list[Again] = []
    for way, price in (("cheapest", _NEVER_MIND), ("calmest", CALM)):
        priced = Aim(aim.late, aim.flow, aim.last, price)
        look = Watch(watch.keep_going, watch.report, before)
        starts = [first_calendar(workshop, priced, before), *(one.calendar for one in ways)]
        start = min(starts, key=lambda c: cost(workshop, c, priced, before).points)
        better = improve(workshop, start, priced, rounds=rounds, watch=look)
        said = cost(workshop, better, Aim(aim.late, aim.flow, aim.last), before)
        ways.append(Again("cheapest" if way == "cheapest" else "calmest", better, said))
    cheapest, calmest = ways
    if calmest.cost.points < cheapest.cost.points:
        cheapest = Again("cheapest", calmest.calendar, calmest.cost)
    return cheapest, calmest


def _free(workshop: Workshop, calendar: Calendar, random: Random, before: Calendar | None) -> frozenset[str]:
    """The tasks of the next window: two or three machines that end near each other, or a few days; pairs whole.

    With the calendar `before`, half of the windows hold the days of a task that has come on another day.
    """
    settled = {booking.task for booking in workshop.settled}
    strayed = [key for key in moved(workshop, calendar, before) if key not in settled] if before is not None else []
    if before is not None and strayed and random.random() < 0.5:
        key = random.choice(strayed)
        here, there = calendar.by_task()[key].start, before.by_task()[key].start
        begin = min(here, there) - 360
        return _days(workshop, calendar, (begin, min(max(here, there) + 1080, begin + _DAYS[-1] * 1440)))
    if random.random() < _BY_STAY:
        return _stays(workshop, calendar, random)
    begin = random.choice(calendar.bookings).start - 720
    return _days(workshop, calendar, (begin, begin + random.choice(_DAYS) * 1440))


def _stays(workshop: Workshop, calendar: Calendar, random: Random) -> frozenset[str]:
    """Two or three machines that end near each other, half of the times near one that is late."""
    done = ends(workshop, calendar)
    stays = sorted(done, key=lambda key: done[key])
    late = [s.key for s in workshop.stays if s.key in done and s.due is not None and done[s.key] > s.due]
    one = random.choice(late if late and random.random() < 0.5 else stays)
    near = sorted(stays, key=lambda key: abs(done[key] - done[one]))[: random.randint(2, 3)]
    return frozenset(task.key for task in workshop.tasks if task.stay in near)


def _days(workshop: Workshop, calendar: Calendar, span: Span) -> frozenset[str]:
    """What begins in a span of time, with what ends its waits or whose wait it ends."""
    inside = {booking.task for booking in calendar.bookings if span[0] <= booking.start < span[1]}
    inside |= {task.ended_by for task in workshop.tasks if task.key in inside and task.ended_by}
    return frozenset(inside | {task.key for task in workshop.tasks if task.ended_by in inside})
