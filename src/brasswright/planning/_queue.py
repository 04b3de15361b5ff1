"""The tasks that are ready in each row of the dispatcher, with the soonest that each could start as far as is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from brasswright.planning._diary import Ints

__all__ = ["NOT_READY", "Queue"]

NOT_READY = np.iinfo(np.int64).max
_ORDER_BITS = 20
"""A key is start << bits | place in the row's order; up to a million tasks."""
_SLOTS = 16


class Queue:
    """Rows of slots, filled from the left: key, task, its place in the row's order, and its sort."""

    def __init__(self, rows: int, order: Ints, sort: Ints) -> None:
        """Begin empty; `order` is rows × tasks, `sort` the sort of each task."""
        self.order, self.sort = order, sort
        self.used = np.zeros(rows, dtype=np.int64)
        self.key = np.full((rows, _SLOTS), NOT_READY)
        self.task, self.rank, self.kind = (np.zeros((rows, _SLOTS), dtype=np.int64) for _ in range(3))

    def add(self, rows: Ints, tasks: Ints, start: Ints) -> None:
        """Add one task to each of the rows."""
        if not rows.size:
            return
        slot = self.used[rows]
        if slot.max() >= self.key.shape[1]:
            more = np.zeros_like(self.task)
            self.key = np.hstack([self.key, np.full_like(self.key, NOT_READY)])
            self.task, self.rank, self.kind = (np.hstack([old, more]) for old in (self.task, self.rank, self.kind))
        rank = self.order[rows, tasks]
        self.key[rows, slot] = (start << _ORDER_BITS) | rank
        self.task[rows, slot], self.rank[rows, slot], self.kind[rows, slot] = tasks, rank, self.sort[tasks]
        self.used[rows] += 1

    def drop(self, rows: Ints, slots: Ints) -> None:
        """Take one task out of each of the rows; the last one moves into its slot."""
        self.used[rows] -= 1
        last = self.used[rows]
        for part in (self.key, self.task, self.rank, self.kind):
            part[rows, slots] = part[rows, last]
        self.key[rows, last] = NOT_READY

    def first(self, rows: Ints) -> tuple[Ints, Ints, Ints]:
        """The slot, the task and the bound of the task that comes first in each of the rows."""
        slots = (self.key if rows.size == self.used.size else self.key[rows]).argmin(axis=1)
        key = self.key[rows, slots]
        return slots, self.task[rows, slots], np.where(key == NOT_READY, key, key >> _ORDER_BITS)

    def raise_to(self, rows: Ints, slots: Ints, start: Ints) -> None:
        """Raise the bound of one task in each of the rows."""
        self.key[rows, slots] = (start << _ORDER_BITS) | self.rank[rows, slots]

    def lift(self, rows: Ints, start: Ints) -> None:
        """Raise all bounds of the rows to what is given for each sort, rows × sorts."""
        most = int(self.used[rows].max()) if rows.size else 0
        part = (rows, slice(0, most)) if rows.size < self.used.size else (slice(None), slice(0, most))
        bound = np.take_along_axis(start << _ORDER_BITS, self.kind[part], axis=1) | self.rank[part]
        key = self.key[part]
        self.key[part] = np.where(key == NOT_READY, key, np.maximum(key, bound))
