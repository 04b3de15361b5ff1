"""P3: the calendar of made-up workshops: first valid plan, after search and windows, beside what else one could do.

Run: python -m benchmarks.p3_calendar [--quick]. Beside it, on the same workshops: the best of five list rules that
book one task after the other, and one model of everything given to the solver cold, with as long as we took. A bound is
given only where it was proven, in this run or before (`OPTIMA`). Prints figures, judges nothing.
"""

from __future__ import annotations

import argparse
import statistics
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from brasswright.planning._windows import Limit, Window
from brasswright.planning.calendar_check import problems
from brasswright.planning.calendar_model import Aim, Booking, Calendar, Stay, Workshop, cost
from brasswright.planning.calendar_search import Effort, finishes, first_calendar, search
from brasswright.planning.improve import Rounds, improve
from tests.properties.calendar_shops import shop

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.planning.calendar_model import Person, Task

__all__ = ["main"]

AIM = Aim()
OPTIMA = {0: 421520, 1: 582115, 2: 627090, 3: 193320, 4: 373960}
"""Points of the proven optimum for eight machines, by seed; 5 s to 150 s of the solver each."""
EFFORTS = {1: (2, 2), 2: (2, 4), 4: (3, 6), 8: (4, 16), 16: (4, 16), 32: (4, 8)}
"""Rounds of the search and windows, by machines."""
RULES: dict[str, Callable[[Workshop, str], float]] = {
    "soonest promise": lambda w, key: _stay(w, key).due or 0,
    "promise by weight": lambda w, key: (_stay(w, key).due or 0) / _stay(w, key).weight,
    "first come": lambda w, key: _stay(w, key).earliest,
    "most work": lambda w, key: -sum(task.minutes for task in w.tasks if task.stay == key),
    "least work": lambda w, key: sum(task.minutes for task in w.tasks if task.stay == key),
}


def _stay(workshop: Workshop, key: str) -> Stay:
    return next(stay for stay in workshop.stays if stay.key == key)


@dataclass(slots=True)
class Serial:
    """A list rule: machine after machine, each task as soon as it fits beside what is booked already, gaps included."""

    workshop: Workshop
    busy: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    held: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    done: dict[str, Booking] = field(default_factory=dict)

    def book(self, order: list[str]) -> Calendar:
        """Book all tasks of one stay after those of another."""
        tasks = {task.key: task for task in self.workshop.tasks}
        ended = {task.ended_by for task in self.workshop.tasks if task.ended_by}
        for stay in order:
            for task in self.workshop.tasks:
                if task.stay == stay and task.key not in ended:
                    self._task(task, tasks)
        return Calendar(tuple(sorted(self.done.values(), key=lambda b: b.start)))

    def _task(self, task: Task, tasks: dict[str, Task]) -> None:
        ready = max([task.earliest, _stay(self.workshop, task.stay).earliest])
        at = max([ready, *(self.done[key].end + tasks[key].wait for key in task.after)])
        while True:
            start, person = self._person(task, at)
            end = start + task.minutes
            until, out = end + task.wait, None
            if task.ended_by:
                taker = tasks[task.ended_by]
                out = self._person(taker, end + task.wait)
                until = out[0] + taker.minutes
                if task.wait_max is not None and out[0] > end + task.wait_max:
                    at = start + out[0] - end - task.wait_max
                    continue
            full = self._full(task, start, until)
            if full is None:
                break
            at = full
        self._enter(Booking(task.key, start, end, until, person), task)
        if out is not None:
            self._enter(Booking(task.ended_by, out[0], until, until, out[1]), tasks[task.ended_by])

    def _enter(self, booking: Booking, task: Task) -> None:
        self.done[task.key] = booking
        self.busy.setdefault(booking.person, []).append((booking.start, booking.end))
        for key, _ in task.stations:
            self.held.setdefault(key, []).append((booking.start, booking.until))

    def _person(self, task: Task, at: int) -> tuple[int, str]:
        able = [person for person in self.workshop.people if task.skill in person.skills]
        return min((self._gap(person, task.minutes, at), person.key) for person in able)

    def _gap(self, person: Person, minutes: int, at: int) -> int:
        taken = sorted(self.busy.get(person.key, ()))
        for begin, end in person.hours:
            start = max(begin, at)
            for low, high in taken:
                if low < start + minutes and high > start:
                    start = high
            if start + minutes <= end:
                return start
        message = "beyond the hours that are known"
        raise ValueError(message)

    def _full(self, task: Task, start: int, until: int) -> int | None:
        places = {station.key: station.places for station in self.workshop.stations}
        for key, _ in task.stations:
            over = [(low, high) for low, high in self.held.get(key, ()) if low < until and high > start]
            moments = [start, *(low for low, _ in over if low > start)]
            if any(sum(low <= moment < high for low, high in over) >= places[key] for moment in moments):
                return min(high for _, high in over)
        return None


def listed(workshop: Workshop) -> int:
    """The points of the best list rule, checked."""
    found = []
    for rule in RULES.values():
        calendar = Serial(workshop).book(sorted((s.key for s in workshop.stays), key=lambda k: rule(workshop, k)))
        if problems(workshop, calendar):
            print("   a list rule's calendar does not pass the checker:", problems(workshop, calendar)[0])
        found.append(cost(workshop, calendar, AIM).points)
    return min(found)


def cold(workshop: Workshop, horizon: Calendar, seconds: float) -> str:
    """One model of everything, no hint, as many seconds as we took."""
    window = Window(workshop, horizon, AIM, frozenset(task.key for task in workshop.tasks))
    window.cp.clear_hints()  # type: ignore[no-untyped-call]
    window.cp.minimize(
        cp_model.LinearExpr.weighted_sum([var for _, var in window.cost], [price for price, _ in window.cost])
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(window.cp)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return "nothing found"
    return f"{solver.objective_value:.0f}{' proven' if status == cp_model.OPTIMAL else ''}"


def one(machines: int, seed: int) -> tuple[float, float, float, float]:
    """Print one workshop; return seconds to the first plan and in all, points over the list rule's, and over first."""
    workshop = shop(machines, seed)
    start = time.perf_counter()
    first = first_calendar(workshop, AIM)
    soon = time.perf_counter() - start
    rounds, windows = EFFORTS[machines]
    found = search(workshop, AIM, effort=Effort(seed, rounds=rounds, rows=100 if machines < 32 else 80))
    best = improve(workshop, found, AIM, rounds=Rounds(seed, count=windows))
    took = time.perf_counter() - start
    assert not problems(workshop, best)  # noqa: S101 - a figure of an unsound calendar is none
    points, rule = cost(workshop, best, AIM).points, listed(workshop)
    optimum = OPTIMA.get(seed) if machines == 8 else None
    gap = f"; {points / optimum - 1:.2%} over the proven optimum {optimum}" if optimum else ""
    print(
        f"  seed {seed}, {len(workshop.tasks)} tasks: first plan {soon * 1e3:.0f} ms, "
        f"{cost(workshop, first, AIM).points} points; after {took:.1f} s {points}{gap}; best list rule {rule}; "
        f"one model, cold, {took:.1f} s: {cold(workshop, first, took)}"
    )
    return soon, took, points / rule, points / cost(workshop, first, AIM).points


def proof(machines: int, seed: int) -> None:
    """Print what the whole model proves from our calendar on, in this run."""
    workshop = shop(machines, seed)
    best = improve(workshop, first_calendar(workshop, AIM), AIM, rounds=Rounds(seed, count=4))
    start = time.perf_counter()
    window = Window(workshop, best, AIM, frozenset(task.key for task in workshop.tasks))
    answer = window.solve(Limit(2.0))
    points = cost(workshop, answer.calendar or best, AIM).points
    said = "optimum" if answer.proven else f"bound {answer.bound}, gap {1 - answer.bound / points:.1%},"
    print(f"  {machines} machines, seed {seed}: {points}, {said} proven in {time.perf_counter() - start:.1f} s")


def dates(machines: int, samples: int) -> None:
    """Print how long the risk of every date takes."""
    workshop = shop(machines, 0)
    calendar = first_calendar(workshop, AIM)
    longer = np.random.default_rng(0).lognormal(0.0, 0.3, (samples, len(workshop.tasks)))
    minutes = np.rint(longer * [task.minutes for task in workshop.tasks]).astype(np.int64)
    start = time.perf_counter()
    finishes(workshop, calendar, minutes=minutes)
    print(f"  dates of {machines} machines, {samples} samples: {time.perf_counter() - start:.2f} s")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one seed, small sizes")
    quick = parser.parse_args().quick
    first_calendar(shop(1, 0), AIM)
    for machines in (1, 4, 8) if quick else (1, 2, 4, 8, 16, 32):
        print(f"{machines} machines")
        rows = [one(machines, seed) for seed in range(1 if quick else 5)]
        soon, took, rule, gain = (statistics.median(column) for column in zip(*rows, strict=True))
        print(
            f"  median: first plan {soon * 1e3:.0f} ms; in all {took:.1f} s, "
            f"{rule:.3f} of the best list rule, {gain:.3f} of our first plan"
        )
    for machines in (1, 2, 4):
        proof(machines, 0)
    dates(16, 200 if quick else 1000)


if __name__ == "__main__":
    main()
