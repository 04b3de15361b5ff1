"""Who is free when, and which place at which station, in all rows of the dispatcher at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from brasswright.errors import PlanRefused

if TYPE_CHECKING:
    from brasswright.planning.calendar_model import Workshop

__all__ = ["Diary", "Ints", "Long"]

Ints: TypeAlias = npt.NDArray[np.int64]
Long: TypeAlias = tuple[Ints, Ints]
"""Minutes that work is planned to take, which must fit into one span of hours, and that it really takes."""
_EVER = 1 << 40
"""Later than any minute of an axis."""
_PAGES = 4
"""Reservations ahead that a person's page begins with; it grows."""


class Diary:
    """People as columns, those with the fewest skills first, and behind them nobody, who is always there.

    A column is free from `free` on, in its hours, but for the reservations ahead, of which `next` begins first. A
    station's places are each free from one minute on.
    """

    def __init__(self, workshop: Workshop, rows: int) -> None:
        """Lay out hours, skills and stations; every row begins empty."""
        people = sorted(range(len(workshop.people)), key=lambda n: (len(workshop.people[n].skills), n))
        self.workshop = workshop
        self.who = np.array([*people, -1], dtype=np.int64)
        self.keys = [*(workshop.people[n].key for n in people), ""]
        hours = [np.array(workshop.people[n].hours, dtype=np.int64).reshape(-1, 2) for n in people]
        hours = [np.vstack([part, [[_EVER, 2 * _EVER]]]) for part in hours]
        hours.append(np.array([[0, _EVER], [_EVER, 2 * _EVER]]))
        self.first = np.cumsum([0, *(len(part) for part in hours[:-1])])
        self.begin, self.finish = (np.concatenate([part[:, side] for part in hours]) for side in (0, 1))
        shift = np.repeat(np.arange(len(hours)), [len(part) for part in hours]) * 4 * _EVER
        self.sought = self.finish + shift
        done = [np.cumsum(part[:, 1] - part[:, 0]) for part in hours]
        self.worked = np.concatenate(done) + shift
        self.before = np.concatenate([part - (h[:, 1] - h[:, 0]) for part, h in zip(done, hours, strict=True)])
        skills = [*(workshop.people[n].skills for n in people), frozenset({""})]
        self.may = np.array([[task.skill in known for known in skills] for task in workshop.tasks], dtype=bool)
        self.free = np.zeros((rows, len(skills)), dtype=np.int64)
        self.booked = np.zeros((rows, len(skills), _PAGES, 2), dtype=np.int64)
        self.next = np.full((rows, len(skills)), _EVER)
        self._stations(workshop, rows)

    def _stations(self, workshop: Workshop, rows: int) -> None:
        widest = max((station.places for station in workshop.stations), default=1)
        self.places = np.zeros((rows, len(workshop.stations) + 1, max(1, widest)), dtype=np.int64)
        for number, station in enumerate(workshop.stations):
            self.places[:, number, station.places :] = _EVER
        found = {station.key: number for number, station in enumerate(workshop.stations)}
        most = max((len(task.stations) for task in workshop.tasks), default=0)
        self.at = np.full((len(workshop.tasks), most), len(workshop.stations), dtype=np.int64)
        self.many = np.ones((len(workshop.tasks), most), dtype=np.int64)
        for number, task in enumerate(workshop.tasks):
            for use, (key, many) in enumerate(task.stations):
                self.at[number, use], self.many[number, use] = found[key], many
        self.nowhere = len(workshop.stations)

    def column(self, person: str) -> int:
        """The column of a person; that of nobody for one who is not there."""
        return self.keys.index(person) if person in self.keys else len(self.keys) - 1

    def named(self, columns: Ints) -> Ints:
        """Places in the workshop's people, -1 for nobody."""
        named: Ints = self.who[columns]
        return named

    def station_free(self, rows: Ints, tasks: Ints) -> Ints:
        """From when on the places that a task takes are free in each row."""
        found = np.zeros(rows.size, dtype=np.int64)
        for use in range(self.at.shape[1]):
            some = np.flatnonzero(self.at[tasks, use] < self.nowhere)
            if some.size:
                t = tasks[some]
                places = np.sort(self.places[rows[some], self.at[t, use]], axis=1)
                found[some] = np.maximum(found[some], places[np.arange(some.size), self.many[t, use] - 1])
        return found

    def take(self, rows: Ints, tasks: Ints, until: Ints) -> None:
        """Take the places of a task, those free first, until a minute."""
        for use in range(self.at.shape[1]):
            some = np.flatnonzero(self.at[tasks, use] < self.nowhere)
            if not some.size:
                continue
            r, station = rows[some], self.at[tasks[some], use]
            places = np.sort(self.places[r, station], axis=1)
            mine = np.arange(places.shape[1]) < self.many[tasks[some], use][:, None]
            self.places[r, station] = np.where(mine, until[some][:, None], places)

    def work(self, rows: Ints, columns: Ints, end: Ints) -> None:
        """Let people be free again from a minute on; nobody always is."""
        some = columns < self.free.shape[1] - 1
        rows, columns, end = rows[some], columns[some], end[some]
        self.free[rows, columns] = end
        ahead = self.booked[rows, columns]
        self.next[rows, columns] = np.where(ahead[:, :, 1] > end[:, None], ahead[:, :, 0], _EVER).min(axis=1)

    def reserve(self, rows: Ints, columns: Ints, start: Ints, end: Ints) -> None:
        """Keep people from other work between two minutes ahead."""
        some = columns < self.free.shape[1] - 1
        rows, columns, start, end = rows[some], columns[some], start[some], end[some]
        over = self.booked[rows, columns, :, 1] <= self.free[rows, columns][:, None]
        if not over.any(axis=1).all():
            self.booked = np.concatenate([self.booked, np.zeros_like(self.booked)], axis=2)
            over = self.booked[rows, columns, :, 1] <= self.free[rows, columns][:, None]
        page = over.argmax(axis=1)
        self.booked[rows, columns, page, 0], self.booked[rows, columns, page, 1] = start, end
        self.next[rows, columns] = np.minimum(self.next[rows, columns], start)

    def soonest(
        self, rows: Ints, tasks: Ints, begin: Ints, long: Long, *, busy: tuple[Ints, Ints] | None = None
    ) -> tuple[Ints, Ints]:
        """The soonest start of a task in each row by anybody who may do it, and that column.

        `busy`: a column in each row that is not free before another minute, whatever the diary says. Raises
        `PlanRefused` for a task that fits nowhere in the hours that are known.
        """
        found, best = self.bound(rows, tasks, begin, long, busy=busy)
        if found.size and found.max() >= _EVER:
            task = self.workshop.tasks[int(tasks[found.argmax()])]
            raise PlanRefused(
                f"'{task.title}' of {task.stay} fits nowhere in the hours that are known. "
                "Look at who has the skill, the longest span of their hours, closed days, and how far hours are known."
            )
        return found, best

    def bound(
        self, rows: Ints, tasks: Ints, begin: Ints, long: Long, *, busy: tuple[Ints, Ints] | None = None
    ) -> tuple[Ints, Ints]:
        """As `soonest`, with a start beyond all minutes where a task fits nowhere."""
        free = self.free[rows]
        if busy is not None:
            each, (column, until) = np.arange(rows.size), busy
            free[each, column] = np.maximum(free[each, column], until)
        row, column = np.nonzero(self.may[tasks])
        starts = np.full(free.shape, 2 * _EVER)
        begin = np.maximum(begin[row], free[row, column])
        starts[row, column] = self._fits(rows[row], column, begin, _at(long, row))
        best = starts.argmin(axis=1)
        found: Ints = starts[np.arange(rows.size), best]
        return found, best

    def over(self, columns: Ints, start: Ints, minutes: Ints) -> Ints:
        """When work of so many minutes is over that begins within hours; it rests while they are closed."""
        span = np.searchsorted(self.sought, start + columns * 4 * _EVER, side="right")
        done = self.before[span] + start - self.begin[span] + minutes
        last = np.searchsorted(self.worked, done + columns * 4 * _EVER, side="left")
        end: Ints = self.begin[last] + done - self.before[last]
        return np.where(minutes > 0, end, start)

    def _fits(self, rows: Ints, columns: Ints, start: Ints, long: Long) -> Ints:
        """Push starts until the planned minutes fit into one span of hours, and the real ones past reservations."""
        todo = np.arange(start.size)
        planned, real = long
        while todo.size:
            r, c, want = rows[todo], columns[todo], start[todo]
            span = np.searchsorted(self.sought, want + c * 4 * _EVER, side="right")
            at = np.maximum(want, self.begin[span])
            short = at + planned[todo] > self.finish[span]
            at = np.where(short, self.begin[np.minimum(span + 1, self.begin.size - 1)], at)
            end = at + planned[todo] if real is planned else self.over(c, at, real[todo])
            near = np.flatnonzero(end > self.next[r, c])
            again = short
            if near.size:
                ahead = self.booked[r[near], c[near]]
                clash = (ahead[:, :, 0] < end[near, None]) & (ahead[:, :, 1] > at[near, None])
                past = np.where(clash, ahead[:, :, 1], 0).max(axis=1)
                again[near] |= past > at[near]
                at[near] = np.maximum(at[near], past)
            start[todo] = at
            todo = todo[again]
            todo = todo[start[todo] < _EVER]
        return start


def _at(long: Long, places: Ints) -> Long:
    """The same minutes at some places; where plan and reality are one array, they stay one."""
    planned, real = long
    some = planned[places]
    return some, some if real is planned else real[places]
