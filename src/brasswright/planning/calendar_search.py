"""Calendars out of the dispatcher: the first one by a handful of rules, a better one by search, the risk of a date.

All of them run the same dispatcher; they differ in what its rows are. The search is by cross-entropy: rows draw how
urgent each stay is, the best tenth says where the next round draws. With the same seed, rows and rounds it gives the
same calendar on any machine, however fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from brasswright.planning.calendar_model import Aim, Calendar
from brasswright.planning.dispatch import Rows, dispatch

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.planning._diary import Ints
    from brasswright.planning.calendar_model import Workshop
    from brasswright.planning.dispatch import Booked

__all__ = ["Effort", "finishes", "first_calendar", "points", "search"]

Floats: TypeAlias = npt.NDArray[np.float64]
_ELITE = 0.1
"""Share of a round that says where the next one draws."""
_SPREAD = 0.2
"""How far the first round draws from the best rule, as a share of the way from the most to the least urgent."""
_REACH = 4.0
"""How many times nearer or farther than that single rows draw."""
_NO_PROMISE = 365 * 1440
"""How far ahead a stay without a promise is taken to be wanted, for its order only [min]."""
_KEPT = (0, 1440)
"""How much earlier than before a task may come, in the rows that keep to an old calendar [min]."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How long a search goes on: so many rounds of so many rows, drawn from one seed."""

    seed: int
    rounds: int = 4
    rows: int = 100


def first_calendar(workshop: Workshop, aim: Aim | None = None, before: Calendar | None = None) -> Calendar:
    """The best of a handful of rules: soonest promise, least slack, most work left, most weight, first come.

    With `before`, also the order of that calendar, and that order with no task earlier than it was.
    """
    aim = aim or Aim()
    rows = _rules(workshop)
    earliest = None
    if before is not None:
        rows, earliest = _kept(workshop, rows, before)
    booked = dispatch(workshop, Rows(rows, earliest=earliest))
    return booked.calendar(int(points(booked, aim, before).argmin()))


def search(
    workshop: Workshop,
    aim: Aim | None = None,
    *,
    effort: Effort,
    keep_going: Callable[[], bool] = lambda: True,
) -> Calendar:
    """The best calendar found with so much effort; the first calendar if none is better.

    `keep_going` is asked before each round; the best so far is returned as soon as it says no.
    """
    aim, random = aim or Aim(), np.random.default_rng(effort.seed)
    booked = dispatch(workshop, Rows(_rules(workshop)))
    reached = points(booked, aim)
    rule = int(reached.argmin())
    least, best = int(reached.min()), booked.calendar(rule)
    stays, tail = _stay_of(workshop), _scaled(-_tails(workshop))
    centre = _scaled(_urgency(workshop)[rule])
    spread = np.full(centre.size, _SPREAD)
    for _ in range(effort.rounds):
        if not keep_going():
            break
        reach = _REACH ** random.uniform(-1.0, 1.0, (effort.rows, 1))
        drawn = centre + reach * spread * random.standard_normal((effort.rows, centre.size))
        mix = random.uniform(0.0, 0.4, (effort.rows, 1))
        booked = dispatch(workshop, Rows(_places(drawn[:, stays] + mix * tail)))
        reached = points(booked, aim)
        elite = drawn[np.argsort(reached, kind="stable")[: max(2, int(effort.rows * _ELITE))]]
        centre = 0.3 * centre + 0.7 * elite.mean(axis=0)
        spread = 0.3 * spread + 0.7 * elite.std(axis=0)
        if reached.min() < least:
            least, best = int(reached.min()), booked.calendar(int(reached.argmin()))
    return best


def finishes(workshop: Workshop, calendar: Calendar, *, minutes: Ints, earliest: Ints | None = None) -> dict[str, Ints]:
    """For each stay, when it is done in each sample, if whoever is free always takes the task that was planned first.

    `minutes` of work and `earliest` starts are samples × tasks, in the workshop's order of tasks.
    """
    start = {booking.task: booking.start for booking in calendar.bookings}
    order = np.array([start[task.key] for task in workshop.tasks])
    return dispatch(workshop, Rows(np.tile(order, (minutes.shape[0], 1)), minutes, earliest)).done()


def points(booked: Booked, aim: Aim, before: Calendar | None = None) -> Ints:
    """What each row costs."""
    stays = {stay.key: stay for stay in booked.workshop.stays}
    total = np.zeros(booked.start.shape[0], dtype=np.int64)
    last = np.zeros_like(total)
    for key, done in booked.done().items():
        stay = stays[key]
        total += aim.flow * done
        if stay.due is not None:
            total += aim.late * stay.weight * np.maximum(0, done - stay.due)
        last = np.maximum(last, done)
    total += aim.last * last
    return total if before is None or not aim.moved else total + aim.moved * _moved(booked, before)


def _moved(booked: Booked, before: Calendar) -> Ints:
    old = before.by_task()
    known = np.array([task.key in old for task in booked.workshop.tasks], dtype=bool)
    starts = np.array([old[task.key].start if task.key in old else 0 for task in booked.workshop.tasks])
    days = np.array(booked.workshop.days)
    there, here = (np.searchsorted(days, at, side="right") for at in (starts, booked.start))
    count: Ints = ((here != there) & known).sum(axis=1)
    return count


def _stay_of(workshop: Workshop) -> Ints:
    place = {stay.key: number for number, stay in enumerate(workshop.stays)}
    return np.array([place[task.stay] for task in workshop.tasks], dtype=np.int64)


def _tails(workshop: Workshop) -> Floats:
    """The longest way from each task's start to the end of its stay, in minutes of work and wait."""
    later: dict[str, list[str]] = {}
    for task in workshop.tasks:
        for before in task.after:
            later.setdefault(before, []).append(task.key)
    own = {task.key: task.minutes + task.wait for task in workshop.tasks}
    left: dict[str, int] = {}
    waiting = [task.key for task in workshop.tasks]
    while waiting:
        key = waiting[-1]
        missing = [name for name in later.get(key, ()) if name not in left]
        if missing:
            waiting += missing
            continue
        left[waiting.pop()] = own[key] + max((left[name] for name in later.get(key, ())), default=0)
    return np.array([left[task.key] for task in workshop.tasks], dtype=np.float64)


def _urgency(workshop: Workshop) -> Floats:
    """Rules × stays: the lower, the more urgent."""
    stays = _stay_of(workshop)
    work = np.bincount(stays, [task.minutes for task in workshop.tasks], len(workshop.stays))
    due = np.array([stay.due if stay.due is not None else stay.earliest + _NO_PROMISE for stay in workshop.stays])
    longest = np.zeros(len(workshop.stays))
    np.maximum.at(longest, stays, _tails(workshop))
    weight = np.array([max(1, stay.weight) for stay in workshop.stays])
    come = np.array([stay.earliest for stay in workshop.stays])
    return np.array([due, due - longest - 2 * work, -work * weight, due / weight, come], dtype=np.float64)


def _rules(workshop: Workshop) -> Ints:
    stays, tail = _stay_of(workshop), _scaled(-_tails(workshop))
    return _places(np.array([_scaled(rule)[stays] + 0.05 * tail for rule in _urgency(workshop)]))


def _kept(workshop: Workshop, rows: Ints, before: Calendar) -> tuple[Ints, Ints]:
    """The rules, the old order, and the old order with starts that come at most so much earlier than before."""
    old = before.by_task()
    start = np.array([old[task.key].start if task.key in old else _NO_PROMISE for task in workshop.tasks])
    floor = np.array([old[task.key].start if task.key in old else 0 for task in workshop.tasks])
    order = np.vstack([rows, *(start for _ in range(1 + len(_KEPT)))])
    earliest = np.zeros_like(order)
    for back, row in zip(_KEPT, range(len(rows) + 1, len(order)), strict=True):
        earliest[row] = np.maximum(0, floor - back)
    return order, earliest


def _scaled(values: Floats) -> Floats:
    low, high = values.min(), values.max()
    scaled: Floats = (values - low) / max(1.0, high - low)
    return scaled


def _places(values: Floats) -> Ints:
    return np.argsort(np.argsort(values, axis=1, kind="stable"), axis=1, kind="stable").astype(np.int64)
