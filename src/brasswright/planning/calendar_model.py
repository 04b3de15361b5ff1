"""What a calendar talks about: people with hours, stations with places, machines with tasks, and who does what when.

Frozen records. Every time is a whole number of minutes on one axis that begins at the workshop's chosen origin and
never jumps: an hour lost or gained by the clock in spring or autumn lies in the hours, not on the axis, so that a soak
of eight hours is eight hours. `planning.hours` turns wall-clock weeks into spans on that axis.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

__all__ = [
    "Aim",
    "Booking",
    "Calendar",
    "Cost",
    "Moment",
    "Person",
    "Span",
    "Station",
    "Stay",
    "Task",
    "Workshop",
    "cost",
    "ends",
    "moved",
]

Span = tuple[int, int]
"""From one minute up to, not including, another."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a name, what they may do, and the spans in which they work: in order, apart from each other."""

    key: str
    name: str
    skills: frozenset[str]
    hours: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Station:
    """A bath, booth or bench: how many machines' work it takes at once; none when it is closed for ever."""

    key: str
    places: int = 1


@dataclass(frozen=True, slots=True)
class Stay:
    """One machine in the workshop: from when it can be worked on, until when it was promised, how much that weighs.

    `released` are hold points that stand released when the calendar begins.
    """

    key: str
    name: str = ""
    earliest: int = 0
    due: int | None = None
    weight: int = 1
    released: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Moment:
    """One operation inside a task, for the checker: the holds it needs, breaks and releases, in that order."""

    operation: str
    needs: tuple[str, ...] = ()
    breaks: tuple[str, ...] = ()
    releases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """Work of one person without a break, on one machine; then minutes that pass unattended.

    `skill` is what the person must be able to do; empty when nobody is needed, and then no hours either. `stations` are
    taken, with so many places each, from the start until the wait is over. `after` are tasks whose work and wait are
    over before this one starts. `earliest` is when the parts are there. `ended_by` names the task that ends the wait:
    it starts at most `wait_max` after the work, comes after nothing else, and the stations stay taken until it is done.
    """

    key: str
    stay: str
    title: str
    minutes: int
    skill: str = "mechanical"
    stations: tuple[tuple[str, int], ...] = ()
    after: tuple[str, ...] = ()
    earliest: int = 0
    wait: int = 0
    wait_max: int | None = None
    ended_by: str = ""
    moments: tuple[Moment, ...] = ()


@dataclass(frozen=True, slots=True)
class Booking:
    """A task in the calendar: from when to when `person` works at it, and until when its stations are taken."""

    task: str
    start: int
    end: int
    until: int
    person: str = ""


@dataclass(frozen=True, slots=True)
class Workshop:
    """The whole question: who is there, what is to be done, and what is settled.

    Nothing starts before `now` but what is in `settled`: work begun or finished, and work pinned to its time by hand.
    `days` are the minutes at which local days begin, for counting what moves to another day. `known_until` is the last
    minute for which anybody's hours are known.
    """

    people: tuple[Person, ...]
    stations: tuple[Station, ...]
    stays: tuple[Stay, ...]
    tasks: tuple[Task, ...]
    settled: tuple[Booking, ...] = ()
    now: int = 0
    days: tuple[int, ...] = (0,)
    known_until: int = 0


@dataclass(frozen=True, slots=True)
class Calendar:
    """Who does what when, in order of start."""

    bookings: tuple[Booking, ...]

    def by_task(self) -> dict[str, Booking]:
        """The bookings under the names of their tasks."""
        return {booking.task: booking for booking in self.bookings}


@dataclass(frozen=True, slots=True)
class Aim:
    """What makes one calendar better than another, in points.

    `late` for each minute after a promise, times the stay's weight; `flow` for each minute until a machine is done;
    `last` for each minute until all are done; `moved` for each task on another day than before.
    """

    late: int = 10
    flow: int = 1
    last: int = 0
    moved: int = 0


@dataclass(frozen=True, slots=True)
class Cost:
    """What a calendar comes to: minutes late by stay, minute at which each stay ends, tasks on another day, points."""

    ends: tuple[tuple[str, int], ...]
    late: tuple[tuple[str, int], ...]
    moved: int
    points: int


def ends(workshop: Workshop, calendar: Calendar) -> dict[str, int]:
    """The minute at which each stay with tasks is done, waits included."""
    booked = calendar.by_task()
    found: dict[str, int] = {}
    for task in workshop.tasks:
        done = booked[task.key].end + task.wait
        found[task.stay] = max(found.get(task.stay, done), done)
    return found


def moved(workshop: Workshop, calendar: Calendar, before: Calendar) -> tuple[str, ...]:
    """The tasks of both calendars that start on another local day than before."""
    old = before.by_task()

    def day(minute: int) -> int:
        return bisect_right(workshop.days, minute)

    return tuple(b.task for b in calendar.bookings if b.task in old and day(b.start) != day(old[b.task].start))


def cost(workshop: Workshop, calendar: Calendar, aim: Aim, before: Calendar | None = None) -> Cost:
    """What a calendar comes to, held against the one `before` where there is one."""
    done = ends(workshop, calendar)
    stays = {stay.key: stay for stay in workshop.stays}
    late = {key: max(0, end - due) for key, end in done.items() if (due := stays[key].due) is not None}
    changed = len(moved(workshop, calendar, before)) if before is not None else 0
    points = sum(aim.late * stays[key].weight * minutes for key, minutes in late.items())
    points += aim.flow * sum(done.values()) + aim.last * max(done.values(), default=0) + aim.moved * changed
    return Cost(tuple(done.items()), tuple((key, m) for key, m in late.items() if m), changed, points)
