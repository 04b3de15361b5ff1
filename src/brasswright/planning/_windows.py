"""A calendar as a CP-SAT model, whole or in a window: the one file of the calendar that knows the solver.

In a window only some tasks are free; all others stand as they are and only take away people and places. Closed hours
are fixed intervals among a person's work: a start chosen out of many separate domains takes the solver far longer. One
variable a person and task says who does it; counting people would give calendars that nobody can staff.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from brasswright.planning.calendar_model import Booking, Calendar
from brasswright.planning.hours import joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from brasswright.planning.calendar_model import Aim, Person, Span, Task, Workshop

__all__ = ["Answer", "Limit", "Window"]


@dataclass(frozen=True, slots=True)
class Limit:
    """When the solver stops: deterministic seconds, so that the same question gets the same answer; and its seed.

    `linear`: how much of the model it also sees as linear inequalities; none is quickest in windows.
    """

    effort: float
    seed: int = 0
    linear: int = 0


@dataclass(frozen=True, slots=True)
class Answer:
    """The best calendar found, or None; the least that any could cost; whether that was reached."""

    calendar: Calendar | None
    bound: int
    proven: bool


class Window:
    """The model of a calendar in which only the tasks in `free` may change; `incumbent` is its hint, complete."""

    def __init__(self, workshop: Workshop, incumbent: Calendar, aim: Aim, free: frozenset[str]) -> None:
        """Build variables and constraints."""
        self.workshop, self.incumbent, self.aim = workshop, incumbent, aim
        self.tasks = {task.key: task for task in workshop.tasks}
        self.booked = incumbent.by_task()
        settled = {booking.task for booking in workshop.settled}
        self.free = [task for task in workshop.tasks if task.key in free and task.key not in settled]
        self.names = {task.key for task in self.free}
        self.cp = cp_model.CpModel()
        self.horizon = self._horizon()
        self.start: dict[str, cp_model.IntVar] = {}
        self.does: dict[tuple[str, str], cp_model.IntVar] = {}
        self.work: dict[str, list[cp_model.IntervalVar]] = {person.key: [] for person in workshop.people}
        self.stays = {stay.key: stay for stay in workshop.stays}
        for task in self.free:
            self._start(task)
        self._order()
        self._people()
        self._stations()
        self.cost: list[tuple[int, cp_model.IntVar]] = []
        self.constant = 0
        self._ends()

    def _horizon(self) -> int:
        """As far as the incumbent goes and a little on: nothing better lies beyond, but a window may end later."""
        last = max((b.until for b in self.booked.values()), default=0)
        last = max([last, *(b.end + self.tasks[b.task].wait for b in self.booked.values())])
        return min(max(self.workshop.known_until, last), last + 7 * 1440)

    def _start(self, task: Task) -> None:
        low = max(self.workshop.now, task.earliest, self.stays[task.stay].earliest)
        start = self.cp.new_int_var(low, max(low, self.horizon - task.minutes), task.key)
        self.start[task.key] = start
        self.cp.add_hint(start, self.booked[task.key].start)
        if not task.skill:
            return
        able = [person for person in self.workshop.people if task.skill in person.skills]
        for person in able:
            mine = self.cp.new_bool_var(f"{task.key} {person.key}") if len(able) > 1 else self.cp.new_constant(1)
            self.does[task.key, person.key] = mine
            if len(able) > 1:
                self.cp.add_hint(mine, self.booked[task.key].person == person.key)
            interval = self.cp.new_optional_fixed_size_interval_var(start, task.minutes, mine, f"{task.key} by")
            self.work[person.key].append(interval)
        self.cp.add_exactly_one(self.does[task.key, person.key] for person in able)

    def _order(self) -> None:
        for task in self.workshop.tasks:
            for before in task.after:
                if task.key in self.names or before in self.names:
                    gap = self.tasks[before].minutes + self.tasks[before].wait
                    self.cp.add(self._at(task.key) >= self._at(before) + gap)
            ending = task.ended_by
            if ending and task.wait_max is not None and {task.key, ending} & self.names:
                slack = max(task.wait_max, self._over(task))
                self.cp.add(self._at(ending) <= self._at(task.key) + task.minutes + slack)

    def _over(self, task: Task) -> int:
        """The wait that stands now: what waits too long already may not wait longer still."""
        return self.booked[task.ended_by].start - self.booked[task.key].end

    def _at(self, key: str) -> cp_model.IntVar | int:
        return self.start[key] if key in self.start else self.booked[key].start

    def _people(self) -> None:
        taken: dict[str, list[Span]] = {}
        for booking in self.booked.values():
            if booking.task not in self.names and booking.person:
                taken.setdefault(booking.person, []).append((booking.start, booking.end))
        for person in self.workshop.people:
            if self.work[person.key]:
                busy = _busy(person, taken.get(person.key, ()), self.horizon)
                fixed = [self.cp.new_fixed_size_interval_var(begin, end - begin, "busy") for begin, end in busy]
                self.cp.add_no_overlap([*self.work[person.key], *fixed])

    def _stations(self) -> None:
        for station in self.workshop.stations:
            held, many, free = [], [], False
            for task in self.workshop.tasks:
                takes = sum(places for key, places in task.stations if key == station.key)
                if not takes:
                    continue
                free |= bool({task.key, task.ended_by} & self.names)
                held.append(self._hold(task))
                many.append(takes)
            if free and station.places == 1:
                self.cp.add_no_overlap(held)
            elif free:
                self.cp.add_cumulative(held, many, station.places)

    def _hold(self, task: Task) -> cp_model.IntervalVar:
        """From the start until the wait is over; with a task that ends it, until that is done."""
        start = self._at(task.key)
        if not task.ended_by:
            if task.key not in self.names:
                held = self.booked[task.key]
                return self.cp.new_fixed_size_interval_var(held.start, held.until - held.start, task.key)
            return self.cp.new_fixed_size_interval_var(start, task.minutes + task.wait, task.key)
        end = self._at(task.ended_by) + self.tasks[task.ended_by].minutes
        long = self.cp.new_int_var(0, self.horizon + 1, f"{task.key} held")
        self.cp.add_hint(long, self.booked[task.ended_by].end - self.booked[task.key].start)
        return self.cp.new_interval_var(start, long, end, task.key)

    def _ends(self) -> None:
        """The objective: how late, how long, how late the last, and what is on another day."""
        last = self.cp.new_int_var(0, self.horizon * 2, "last") if self.aim.last else None
        for stay in self.workshop.stays:
            own = [task for task in self.workshop.tasks if task.stay == stay.key]
            if not own:
                continue
            now = max(self.booked[task.key].end + task.wait for task in own)
            if not any(task.key in self.names for task in own):
                late = max(0, now - stay.due) if stay.due is not None else 0
                self.constant += self.aim.flow * now + self.aim.late * stay.weight * late
                if last is not None:
                    self.cp.add(last >= now)
                continue
            done = self.cp.new_int_var(0, self.horizon * 2, f"{stay.key} done")
            self.cp.add_hint(done, now)
            for task in own:
                self.cp.add(done >= self._at(task.key) + task.minutes + task.wait)
            self.cost.append((self.aim.flow, done))
            if stay.due is not None:
                late_by = self.cp.new_int_var(0, self.horizon * 2, f"{stay.key} late")
                self.cp.add(late_by >= done - stay.due)
                self.cp.add_hint(late_by, max(0, now - stay.due))
                self.cost.append((self.aim.late * stay.weight, late_by))
            if last is not None:
                self.cp.add(last >= done)
        if last is not None:
            self.cost.append((self.aim.last, last))

    def keep_days(self, before: Calendar) -> None:
        """Charge for each free task that starts on another local day than it did."""
        old, days = before.by_task(), self.workshop.days
        for task in self.free:
            if task.key not in old:
                continue
            day = bisect_right(days, old[task.key].start)
            low = days[day - 1] if day else 0
            high = days[day] if day < len(days) else self.horizon + 1
            away = self.cp.new_bool_var(f"{task.key} moved")
            self.cp.add(self.start[task.key] >= low).only_enforce_if(~away)
            self.cp.add(self.start[task.key] < high).only_enforce_if(~away)
            self.cp.add_hint(away, not low <= self.booked[task.key].start < high)
            self.cost.append((self.aim.moved, away))

    def solve(self, limit: Limit, *, found: Callable[[], bool] = lambda: True) -> Answer:
        """Solve within a limit; `found` is asked at each solution whether to go on."""
        self.cp.minimize(
            cp_model.LinearExpr.weighted_sum([var for _, var in self.cost], [price for price, _ in self.cost])
            + self.constant
        )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = limit.linear
        solver.parameters.random_seed = limit.seed
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_deterministic_time = limit.effort
        status = solver.solve(self.cp, _Watch(found))
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return Answer(None, 0, proven=False)
        bound = int(-(-solver.best_objective_bound // 1))
        return Answer(self._calendar(solver), bound, proven=status == cp_model.OPTIMAL)

    def _calendar(self, solver: cp_model.CpSolver) -> Calendar:
        new = dict(self.booked)
        for task in self.free:
            start = solver.value(self.start[task.key])
            who = [p.key for p in self.workshop.people if self._chosen(solver, task.key, p.key)]
            end = start + task.minutes
            new[task.key] = Booking(task.key, start, end, end + task.wait, who[0] if who else "")
        for task in self.workshop.tasks:
            if task.ended_by:
                old = new[task.key]
                new[task.key] = Booking(old.task, old.start, old.end, new[task.ended_by].end, old.person)
        place = {task.key: number for number, task in enumerate(self.workshop.tasks)}
        return Calendar(tuple(sorted(new.values(), key=lambda b: (b.start, place[b.task]))))

    def _chosen(self, solver: cp_model.CpSolver, task: str, person: str) -> bool:
        return (task, person) in self.does and solver.boolean_value(self.does[task, person])


class _Watch(cp_model.CpSolverSolutionCallback):
    """Stops the search at a solution when nobody waits for it any more."""

    def __init__(self, go_on: Callable[[], bool]) -> None:
        super().__init__()
        self._go_on = go_on

    def on_solution_callback(self) -> None:
        """Ask whether to go on."""
        if not self._go_on():
            self.stop_search()


def _busy(person: Person, taken: Iterable[Span], horizon: int) -> tuple[Span, ...]:
    """When a person is closed or has other work, up to the horizon."""
    closed: list[Span] = []
    last = 0
    for begin, end in person.hours:
        if begin > last:
            closed.append((last, begin))
        last = end
        if last > horizon:
            break
    closed.append((last, max(last, horizon) + 7 * 1440))
    return joined((*closed, *taken))
