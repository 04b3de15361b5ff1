"""The independent checker of calendars: every calendar goes through here before anybody sees it.

It shares no code with what makes calendars. `unworkable` says what is wrong with a workshop before anything is planned;
`problems` follows a calendar as people at the bench would. A calendar with findings is an error, not a page.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from brasswright.errors import Problem
from brasswright.planning.calendar_model import Booking, Calendar, Moment, Person, Stay, Task, Workshop

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

__all__ = ["problems", "unworkable", "worries"]


def unworkable(workshop: Workshop) -> tuple[Problem, ...]:
    """Everything that no calendar of this workshop could get right; none where a calendar can be looked for."""
    return (
        *_twice([p.key for p in workshop.people], "person"),
        *_twice([s.key for s in workshop.stations], "station"),
        *_twice([s.key for s in workshop.stays], "machine"),
        *_twice([t.key for t in workshop.tasks], "task"),
        *(finding for task in workshop.tasks for finding in _lonely(task, workshop)),
        *(finding for task in workshop.tasks for finding in _waits(task, workshop)),
        *(finding for task in workshop.tasks for finding in _nobody_there(task, workshop)),
        *_circle(workshop),
        *_settled(workshop),
    )


def worries(workshop: Workshop, calendar: Calendar | None = None) -> tuple[Problem, ...]:
    """What does not keep a calendar from being made but should be said.

    Promises that have passed already; with a calendar, waits begun before now that nobody ends in time.
    """
    waiting = {task.stay for task in workshop.tasks}
    passed = [
        Problem(stay.key, "was promised for a time that has passed.", "Agree on a new date with the owner.")
        for stay in workshop.stays
        if stay.due is not None and stay.due < workshop.now and stay.key in waiting
    ]
    booked = calendar.by_task() if calendar is not None else {}
    begun = {booking.task for booking in workshop.settled}
    late = [
        Problem(task.key, f"waits {over} min longer than it may.", "End it sooner if anybody can.")
        for task in workshop.tasks
        if task.key in begun and task.ended_by in booked and (over := _over(task, booked)) > 0
    ]
    return (*passed, *late)


def _over(task: Task, booked: dict[str, Booking]) -> int:
    """By how much a wait is too long."""
    if task.wait_max is None:
        return 0
    return booked[task.ended_by].start - booked[task.key].end - task.wait_max


def _twice(keys: list[str], what: str) -> Iterator[Problem]:
    for key in sorted({key for key in keys if keys.count(key) > 1}) if len(set(keys)) < len(keys) else ():
        yield Problem(key, f"stands twice as a {what}.")


def _lonely(task: Task, workshop: Workshop) -> Iterator[Problem]:
    """Somebody can do it, in one go; there is room for it; its machine is there."""
    if task.stay not in {stay.key for stay in workshop.stays}:
        yield Problem(task.key, f"belongs to '{task.stay}', which is not in the workshop.")
    if task.minutes < 0 or task.wait < 0:
        yield Problem(task.key, "has negative minutes.")
    if task.skill:
        able = [person for person in workshop.people if task.skill in person.skills]
        longest = max((end - begin for person in able for begin, end in person.hours), default=0)
        if not able:
            yield Problem(task.key, f"needs the skill '{task.skill}', which nobody has.", "Name who does it.")
        elif longest < task.minutes:
            names = ", ".join(person.name for person in able)
            yield Problem(
                task.key,
                f"takes {task.minutes} min in one go; the longest span of {names} is {longest} min.",
                "Part it, or lengthen the hours.",
            )
    rooms = {station.key: station.places for station in workshop.stations}
    for key, many in task.stations:
        if rooms.get(key, 0) < many or many < 1:
            room = f"has {rooms[key]}" if key in rooms else "is not there"
            yield Problem(task.key, f"takes {many} at station '{key}', which {room}.", "Open it or take another.")


def _waits(task: Task, workshop: Workshop) -> Iterator[Problem]:
    """A wait is ended by one task that comes after nothing else, needs no station, and ends no other wait."""
    if task.wait_max is not None and task.wait_max < task.wait:
        yield Problem(task.key, f"must wait {task.wait} min but at most {task.wait_max} min.")
    if not task.ended_by:
        if task.wait_max is not None:
            yield Problem(task.key, "waits at most so long, but nothing ends the wait.")
        return
    ending = [other for other in workshop.tasks if other.key == task.ended_by]
    if not ending:
        yield Problem(task.key, f"is ended by '{task.ended_by}', which is no task.")
    elif ending[0].after != (task.key,) or ending[0].stations or ending[0].ended_by:
        yield Problem(task.ended_by, f"ends the wait of '{task.key}' and must come after it alone, without a station.")


def _nobody_there(task: Task, workshop: Workshop) -> Iterator[Problem]:
    """There is some hour to begin a wait after which there is some hour to end it in time."""
    ending = next((other for other in workshop.tasks if other.key == task.ended_by), None)
    if ending is None or task.wait_max is None or any(b.task == task.key for b in workshop.settled):
        return
    begins = [(0, workshop.known_until)] if not task.skill else _spans(task, workshop)
    ends = sorted(_spans(ending, workshop), key=lambda span: span[1])
    last = [end - ending.minutes for _, end in ends]
    for begin, end in begins:
        number = bisect_left(last, begin + task.minutes + task.wait)
        if any(low <= end + task.wait_max for low, _ in ends[number : number + len(workshop.people)]):
            return
    if begins and ends:
        yield Problem(
            task.key,
            f"has to be ended {task.wait} to {task.wait_max} min afterwards, when nobody is there who may.",
            "Change the hours of those who may, or the wait.",
        )


def _spans(task: Task, workshop: Workshop) -> list[tuple[int, int]]:
    """The spans in which somebody who may do a task is there long enough."""
    able = (person for person in workshop.people if task.skill in person.skills)
    return [span for person in able for span in person.hours if span[1] - span[0] >= task.minutes]


def _circle(workshop: Workshop) -> Iterator[Problem]:
    """Tasks come after tasks that are there, and not round in a circle; one circle is named."""
    after = {task.key: task.after for task in workshop.tasks}
    for key, befores in after.items():
        for before in befores:
            if before not in after:
                yield Problem(key, f"comes after '{before}', which is no task.")
    left = {key: {before for before in befores if before in after} for key, befores in after.items()}
    while ready := [key for key, befores in left.items() if not befores & left.keys()]:
        for key in ready:
            del left[key]
    if left:
        way = [min(left)]
        while way.count(way[-1]) < 2:
            way.append(min(left[way[-1]] & left.keys()))
        circle = way[way.index(way[-1]) :]
        yield Problem(circle[0], f"waits for itself: {' after '.join(circle)}.", "Take one of these out.")


def _settled(workshop: Workshop) -> Iterator[Problem]:
    """What is settled is a task of this workshop, by people who are there, and comes after settled work."""
    tasks = {task.key: task for task in workshop.tasks}
    people = {person.key for person in workshop.people}
    there = {booking.task for booking in workshop.settled}
    for booking in workshop.settled:
        if booking.task not in tasks:
            yield Problem(booking.task, "is settled but is no task.")
            continue
        if booking.person and booking.person not in people and booking.end > workshop.now:
            yield Problem(booking.task, f"is given to '{booking.person}', who is not there.", "Give it to another.")
        for before in tasks[booking.task].after:
            if before not in there:
                yield Problem(booking.task, f"is settled, but '{before}' before it is not.")


def problems(workshop: Workshop, calendar: Calendar) -> tuple[Problem, ...]:
    """Return everything wrong with a calendar; none for a sound one."""
    tasks = {task.key: task for task in workshop.tasks}
    known = [booking for booking in calendar.bookings if booking.task in tasks]
    booked = {booking.task: booking for booking in known}
    settled = {booking.task for booking in workshop.settled}
    return (
        *_everything_once(tasks, calendar),
        *(finding for b in known for finding in _when(tasks[b.task], b, workshop)),
        *(finding for b in known for finding in _who(tasks[b.task], b, workshop)),
        *(f for b in known if b.task not in settled for f in _what_before(tasks[b.task], b, tasks, booked)),
        *(finding for b in known for finding in _kept(tasks[b.task], b, booked, settled)),
        *_one_thing_at_a_time(known, settled),
        *_room(tasks, known, workshop),
        *(finding for stay in workshop.stays for finding in _Holds(stay, tasks, known).follow()),
    )


def _everything_once(tasks: dict[str, Task], calendar: Calendar) -> Iterator[Problem]:
    seen: set[str] = set()
    for booking in calendar.bookings:
        if booking.task not in tasks:
            yield Problem(booking.task, "is in the calendar but is no task.")
        if booking.task in seen:
            yield Problem(booking.task, "stands twice in the calendar.")
        seen.add(booking.task)
    for key in tasks:
        if key not in seen:
            yield Problem(key, "is not in the calendar.")


def _when(task: Task, booking: Booking, workshop: Workshop) -> Iterator[Problem]:
    """It takes as long as it takes, and neither before now, nor before its machine or its parts are there."""
    done = next((done for done in workshop.settled if done.task == task.key), None)
    if done is not None:
        if (done.start, done.end, done.person) != (booking.start, booking.end, booking.person):
            yield Problem(task.key, "is settled and was moved.")
        return
    if booking.end - booking.start != task.minutes:
        yield Problem(task.key, f"takes {task.minutes} min, booked for {booking.end - booking.start} min.")
    stay = next(stay for stay in workshop.stays if stay.key == task.stay)
    for minute, words in ((workshop.now, "now"), (stay.earliest, "its machine is there"), (task.earliest, "its parts")):
        if booking.start < minute:
            yield Problem(task.key, f"starts at {booking.start}, before {words} ({minute}).")


def _who(task: Task, booking: Booking, workshop: Workshop) -> Iterator[Problem]:
    """Somebody who may and is at work the whole time; what is over or begun is as it was."""
    if any(done.task == task.key for done in workshop.settled):
        return
    if not task.skill:
        if booking.person:
            yield Problem(task.key, f"needs nobody, booked for '{booking.person}'.")
        return
    person: Person | None = next((p for p in workshop.people if p.key == booking.person), None)
    if person is None:
        yield Problem(task.key, f"is booked for '{booking.person}', who is not there.")
        return
    if task.skill not in person.skills:
        yield Problem(task.key, f"needs '{task.skill}', which {person.name} may not do.")
    if not any(begin <= booking.start and booking.end <= end for begin, end in person.hours):
        yield Problem(task.key, f"from {booking.start} to {booking.end} is not within the hours of {person.name}.")


def _what_before(task: Task, booking: Booking, tasks: dict[str, Task], booked: dict[str, Booking]) -> Iterator[Problem]:
    """What comes before is over, with its wait."""
    for before in task.after:
        if before in booked and booking.start < booked[before].end + tasks[before].wait:
            yield Problem(task.key, f"starts before '{before}' and its wait are over.")


def _kept(task: Task, booking: Booking, booked: dict[str, Booking], settled: set[str]) -> Iterator[Problem]:
    """No wait is too long, unless it was begun already; stations are kept until it is over."""
    over = booking.end + task.wait
    if task.ended_by in booked:
        over = booked[task.ended_by].end
        if task.key not in settled and (late := _over(task, booked)) > 0:
            yield Problem(task.key, f"waits {late} min longer than it may.")
    if task.stations and booking.until < over:
        yield Problem(task.key, f"leaves its station at {booking.until}, before {over}.")


def _one_thing_at_a_time(bookings: Iterable[Booking], settled: set[str]) -> Iterator[Problem]:
    by_person: dict[str, list[Booking]] = {}
    for booking in bookings:
        if booking.person and booking.end > booking.start:
            by_person.setdefault(booking.person, []).append(booking)
    for person, own in by_person.items():
        own.sort(key=lambda booking: booking.start)
        for one, two in pairwise(own):
            if two.start < one.end and not {one.task, two.task} <= settled:
                yield Problem(two.task, f"begins while '{person}' is at '{one.task}'.")


def _room(tasks: dict[str, Task], bookings: Iterable[Booking], workshop: Workshop) -> Iterator[Problem]:
    """No station holds more than it has places for."""
    changes: dict[str, list[tuple[int, int, str]]] = {station.key: [] for station in workshop.stations}
    for booking in bookings:
        for key, many in tasks[booking.task].stations:
            if booking.until > booking.start:
                changes.setdefault(key, []).append((booking.start, many, booking.task))
                changes[key].append((booking.until, -many, booking.task))
    places = {station.key: station.places for station in workshop.stations}
    settled = {booking.task for booking in workshop.settled}
    for key, events in changes.items():
        taken = 0
        for minute, many, task in sorted(events):
            taken += many
            if many > 0 and taken > places.get(key, 0) and task not in settled:
                yield Problem(task, f"finds station '{key}' full at {minute}: {taken} of {places.get(key, 0)} places.")


@dataclass(slots=True)
class _Holds:
    """The hold points of one machine while its tasks are followed in time."""

    stay: Stay
    tasks: dict[str, Task]
    bookings: list[Booking]
    released: set[str] = field(init=False)

    def __post_init__(self) -> None:
        self.released = set(self.stay.released)
        self.bookings = [b for b in self.bookings if self.tasks[b.task].stay == self.stay.key]

    def follow(self) -> Iterator[Problem]:
        """No work begins before what it needs can be released, and nothing breaks a hold while work relies on it.

        What a task breaks is broken from its start on; what it releases is released when it ends.
        """
        events = [(b.end, 0 if b.end > b.start else 2, n) for n, b in enumerate(self.bookings)]
        events += [(b.start, 3 if b.end > b.start else 1, n) for n, b in enumerate(self.bookings)]
        working: set[int] = set()
        for _, turn, number in sorted(events):
            moments = self.tasks[self.bookings[number].task].moments
            if turn in {0, 2}:
                working.discard(number)
                self.released |= _left(moments)
                continue
            yield from self._begin(moments)
            yield from self._breaks(moments, working)
            working.add(number)

    def _begin(self, moments: tuple[Moment, ...]) -> Iterator[Problem]:
        here = set(self.released)
        for moment in moments:
            for key in sorted(set(moment.needs) - here):
                yield Problem(f"{self.stay.key} {moment.operation}", f"begins while hold '{key}' stands.")
            here = (here - set(moment.breaks)) | set(moment.releases)

    def _breaks(self, moments: tuple[Moment, ...], working: set[int]) -> Iterator[Problem]:
        broken = {key for moment in moments for key in moment.breaks}
        for number in sorted(working):
            task = self.tasks[self.bookings[number].task]
            for key in sorted(broken & {key for moment in task.moments for key in moment.needs}):
                yield Problem(task.key, f"goes on while '{moments[0].operation}' breaks hold '{key}'.")
        self.released -= broken


def _left(moments: tuple[Moment, ...]) -> set[str]:
    """The holds that are released at the end of a task by what happened in it."""
    released: set[str] = set()
    for moment in moments:
        released = (released - set(moment.breaks)) | set(moment.releases)
    return released
