"""The dispatcher: many calendars of one workshop at once, one a row, by giving free people the next task in turn.

Of all tasks that are ready, the one that can start earliest is booked; among equals, the row's order decides. Nobody
idles while something could begin. Rows differ in their order (planning), in minutes and in the day parts come (the risk
of a date), and in which tasks may not come earlier than before (planning again): the code is the same.

A task's possible start only moves later while others are booked, so a start worked out earlier is a lower bound. Each
round takes every row's best bound, works that one task out, and books it if the bound was exact. What ends a wait is
booked together with what begins it, so that no bath stands longer than it may.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brasswright.errors import PlanRefused
from brasswright.planning._diary import Diary, Ints, Long
from brasswright.planning._queue import NOT_READY, Queue
from brasswright.planning.calendar_model import Booking, Calendar, Workshop

__all__ = ["Booked", "Rows", "dispatch"]

_UNBOOKED = -2


@dataclass(frozen=True, slots=True)
class Rows:
    """What the rows differ in, each an array rows × tasks in the workshop's order of tasks.

    `order`: the lower, the sooner among equals. `minutes` of work, and `earliest` starts, if other than the tasks' own:
    then a task begins where its planned minutes fit, and what it takes longer rests over breaks and nights.
    """

    order: Ints
    minutes: Ints | None = None
    earliest: Ints | None = None


@dataclass(frozen=True, slots=True)
class Booked:
    """The calendars that came out, each an array rows × tasks; `person` is the place in the workshop's people or -1."""

    workshop: Workshop
    start: Ints
    end: Ints
    until: Ints
    person: Ints

    def calendar(self, row: int) -> Calendar:
        """One row as a calendar."""
        people = [*(person.key for person in self.workshop.people), ""]
        columns = zip(
            self.workshop.tasks,
            *(column[row].tolist() for column in (self.start, self.end, self.until, self.person)),
            strict=True,
        )
        given = {booking.task: booking.person for booking in self.workshop.settled}
        found = [
            Booking(task.key, start, end, until, given.get(task.key, people[who]))
            for task, start, end, until, who in columns
        ]
        place = {task.key: number for number, task in enumerate(self.workshop.tasks)}
        return Calendar(tuple(sorted(found, key=lambda b: (b.start, place[b.task]))))

    def done(self) -> dict[str, Ints]:
        """For each stay with tasks, the minute at which it is done, by row."""
        found: dict[str, Ints] = {}
        for number, task in enumerate(self.workshop.tasks):
            done = self.end[:, number] + task.wait
            found[task.stay] = np.maximum(found[task.stay], done) if task.stay in found else done
        return found


def dispatch(workshop: Workshop, rows: Rows) -> Booked:
    """Book every task in every row.

    Raises `PlanRefused` when a task can nowhere be placed within the hours that are known; what is wrong with a
    workshop in itself is better asked of the checker beforehand.
    """
    board = _Board(workshop, rows)
    board.settle()
    while board.turn():
        pass
    return Booked(workshop, board.start, board.end, board.until, board.person)


class _Board:
    """The state of all rows while they are filled."""

    def __init__(self, workshop: Workshop, rows: Rows) -> None:
        count, tasks = rows.order.shape[0], workshop.tasks
        place = {task.key: number for number, task in enumerate(tasks)}
        stays = {stay.key: stay for stay in workshop.stays}
        own = np.array([max(workshop.now, t.earliest, stays[t.stay].earliest) for t in tasks], dtype=np.int64)
        self.workshop, self.place = workshop, place
        self.ready = np.tile(own, (count, 1)) if rows.earliest is None else np.maximum(own, rows.earliest)
        self.planned = np.array([task.minutes for task in tasks], dtype=np.int64)
        self.real = None if rows.minutes is None else rows.minutes.astype(np.int64)
        self.wait = np.array([task.wait for task in tasks], dtype=np.int64)
        self.latest = np.array([NOT_READY >> 1 if t.wait_max is None else t.wait_max for t in tasks], dtype=np.int64)
        self.taker = np.array([place[t.ended_by] if t.ended_by else -1 for t in tasks], dtype=np.int64)
        later: list[list[int]] = [[] for _ in tasks]
        for number, task in enumerate(tasks):
            for before in task.after:
                later[place[before]].append(number)
        self.after = np.full((len(tasks), max(map(len, later), default=0)), -1, dtype=np.int64)
        for number, found in enumerate(later):
            self.after[number, : len(found)] = found
        self.missing = np.tile(np.array([len(task.after) for task in tasks], dtype=np.int64), (count, 1))
        taken = np.zeros(len(tasks), dtype=bool)
        taken[self.taker[self.taker >= 0]] = True
        self.taken = taken
        self.rank = np.argsort(np.argsort(rows.order, axis=1, kind="stable"), axis=1).astype(np.int64)
        self.left = np.full(count, len(tasks))
        self.start, self.end, self.until = (np.zeros((count, len(tasks)), dtype=np.int64) for _ in range(3))
        self.person = np.full((count, len(tasks)), _UNBOOKED, dtype=np.int64)
        self.diary = Diary(workshop, count)
        self._alike()
        self.queue = Queue(count, self.rank, self.sort)

    def _alike(self) -> None:
        """Sort tasks by what they need; the shortest of each sort gives a bound for all of them."""
        sorts: dict[object, list[int]] = {}
        for number, task in enumerate(self.workshop.tasks):
            if not self.taken[number]:
                sorts.setdefault((task.skill, task.stations), []).append(number)
        least = self.planned if self.real is None else np.minimum(self.planned, self.real.min(axis=0))
        self.model = np.array([sort[0] for sort in sorts.values()], dtype=np.int64)
        self.least = np.array([least[sort].min() for sort in sorts.values()], dtype=np.int64)
        self.sort = np.zeros(len(self.workshop.tasks), dtype=np.int64)
        for number, sort in enumerate(sorts.values()):
            self.sort[sort] = number

    def _lift(self, rows: Ints) -> None:
        """Raise the bounds of all ready tasks to what the people and stations still allow their sort."""
        sorts = self.model.size
        r, model = np.repeat(rows, sorts), np.tile(self.model, rows.size)
        begin = self.diary.station_free(r, model)
        least = np.tile(self.least, rows.size)
        start, _ = self.diary.bound(r, model, begin, (least, least))
        self.queue.lift(rows, start.reshape(rows.size, sorts))

    def settle(self) -> None:
        """Enter what is settled: it holds its person and its stations, and whoever ends its wait is booked."""
        every = np.arange(self.left.size)
        settled = {booking.task: booking for booking in self.workshop.settled}
        self.person[:, [self.place[key] for key in settled]] = -1
        who = {key: np.full(every.size, self.diary.column(booking.person)) for key, booking in settled.items()}
        for key, booking in settled.items():
            start, end = (np.full(every.size, at) for at in (booking.start, booking.end))
            self.diary.reserve(every, who[key], start, end)
        for booking in sorted(settled.values(), key=lambda b: b.start):
            task = np.full(every.size, self.place[booking.task])
            start, end, until = (np.full(every.size, at) for at in (booking.start, booking.end, booking.until))
            taker = self.workshop.tasks[task[0]].ended_by
            if taker and taker not in settled:
                until = self._take_out(np.full(every.size, self.place[taker]), end + self.wait[task])
            self.diary.take(every, task, until)
            self._enter(every, task, [start, end, until], who[booking.task])
        for number, first in enumerate(self.workshop.tasks):
            if not first.after and first.key not in settled:
                self._open(every, np.full(every.size, number))

    def _take_out(self, taker: Ints, low: Ints) -> Ints:
        """Book what ends a wait that has begun as soon as it can be; return until when."""
        every = np.arange(taker.size)
        long = self._long(every, taker)
        start, who = self.diary.soonest(every, taker, np.maximum(low, self.ready[every, taker]), long)
        end = self._over(who, start, long)
        self.diary.reserve(every, who, start, end)
        self._enter(every, taker, [start, end, end + self.wait[taker]], who)
        return end

    def turn(self) -> bool:
        """Work out every row's best task once; book those whose bound was exact. False when all is booked."""
        open_rows = np.flatnonzero(self.left)
        if not open_rows.size:
            return False
        places, best, bound = self.queue.first(open_rows)
        if bound.max() == NOT_READY:
            raise PlanRefused("Some tasks wait for each other; nothing is left that could begin.")
        start, who, ending = self._soonest(open_rows, best)
        exact = start == bound
        stale = ~exact
        self.queue.raise_to(open_rows[stale], places[stale], start[stale])
        if exact.any():
            rows = open_rows[exact]
            self.queue.drop(rows, places[exact])
            self._book(rows, best[exact], start[exact], who[exact], [part[exact] for part in ending])
            self._lift(rows)
        return True

    def _open(self, rows: Ints, tasks: Ints) -> None:
        """Make one task in each row ready, unless it ends another's wait."""
        plain = ~self.taken[tasks]
        rows, tasks = rows[plain], tasks[plain]
        self.queue.add(rows, tasks, self.ready[rows, tasks])

    def _long(self, rows: Ints, tasks: Ints) -> Long:
        planned = self.planned[tasks]
        return planned, planned if self.real is None else self.real[rows, tasks]

    def _over(self, who: Ints, start: Ints, long: Long) -> Ints:
        return start + long[0] if self.real is None else self.diary.over(who, start, long[1])

    def _soonest(self, rows: Ints, tasks: Ints) -> tuple[Ints, Ints, list[Ints]]:
        """The soonest start of one task in each row, by whom, and when and by whom its wait is ended (or -1).

        Whether a wait can be ended in time is judged by planned minutes: nobody knows the real ones beforehand.
        """
        begin = np.maximum(self.ready[rows, tasks], self.diary.station_free(rows, tasks))
        start, who = self.diary.soonest(rows, tasks, begin, self._long(rows, tasks))
        by, at = np.full(rows.size, -1, dtype=np.int64), np.zeros(rows.size, dtype=np.int64)
        held = waiting = np.flatnonzero(self.taker[tasks] >= 0)
        while waiting.size:
            r, t = rows[waiting], tasks[waiting]
            ends = start[waiting] + self.planned[t]
            at[waiting], by[waiting] = self._ended(r, t, (who[waiting], ends), real=False)
            over = at[waiting] - ends - self.latest[t]
            waiting, over = waiting[over > 0], over[over > 0]
            if waiting.size:
                r, t, late = rows[waiting], tasks[waiting], start[waiting] + over
                start[waiting], who[waiting] = self.diary.soonest(r, t, late, self._long(r, t))
        if held.size and self.real is not None:
            r, t = rows[held], tasks[held]
            ends = self._over(who[held], start[held], self._long(r, t))
            at[held], by[held] = self._ended(r, t, (who[held], ends), real=True)
        return start, who, [at, by]

    def _ended(self, rows: Ints, tasks: Ints, busy: tuple[Ints, Ints], *, real: bool) -> tuple[Ints, Ints]:
        """When and by whom waits are ended that begin when somebody, `busy` until then, has ended the work."""
        taker = self.taker[tasks]
        low = np.maximum(busy[1] + self.wait[tasks], self.ready[rows, taker])
        planned = self.planned[taker]
        long = self._long(rows, taker) if real else (planned, planned)
        return self.diary.soonest(rows, taker, low, long, busy=busy)

    def _book(self, rows: Ints, tasks: Ints, start: Ints, who: Ints, ending: list[Ints]) -> None:
        end = self._over(who, start, self._long(rows, tasks))
        until = end + self.wait[tasks]
        at, by = ending
        held = by >= 0
        taker = self.taker[tasks]
        until[held] = self._over(by[held], at[held], self._long(rows[held], taker[held]))
        self.diary.take(rows, tasks, until)
        self.diary.work(rows, who, end)
        self._enter(rows, tasks, [start, end, until], who)
        if held.any():
            r, t, stop = rows[held], taker[held], until[held]
            self.diary.reserve(r, by[held], at[held], stop)
            self._enter(r, t, [at[held], stop, stop + self.wait[t]], by[held])

    def _enter(self, rows: Ints, tasks: Ints, times: list[Ints], who: Ints) -> None:
        start, end, until = times
        self.start[rows, tasks], self.end[rows, tasks], self.until[rows, tasks] = start, end, until
        self.person[rows, tasks] = self.diary.named(who)
        self.left[rows] -= 1
        done = end + self.wait[tasks]
        for side in range(self.after.shape[1]):
            some = self.after[tasks, side] >= 0
            r, later = rows[some], self.after[tasks[some], side]
            self.ready[r, later] = np.maximum(self.ready[r, later], done[some])
            self.missing[r, later] -= 1
            free = (self.missing[r, later] == 0) & (self.person[r, later] == _UNBOOKED)
            self._open(r[free], later[free])
