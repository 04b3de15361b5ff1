"""From the plan of one machine to tasks of the calendar: operations in sittings, waits with somebody to end them.

A plan has a hundred operations of a few minutes each; nobody moves between machines for every one of them. Operations
that stand next to each other in the plan and ask for the same skill and station become one sitting. The plan's order
can be followed, so sittings never wait for each other in a circle. Records and releases go with whatever stands beside
them.

What is made in the heat of another test stays in its sitting, waits included: nobody leaves a machine under power.
Before a machine is opened that was hot, it cools.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from brasswright.planning.calendar_model import Moment, Task
from brasswright.planning.model import Operation

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from brasswright.planning.model import Plan
    from brasswright.sheets.model import Hold, Sheet

__all__ = ["COOLING", "TAKE_OUT", "Sittings", "tasks_of"]

COOLING = 90
"""Minutes a hot machine stands before its envelope is opened. Common practice, no source; the hold point decides."""
TAKE_OUT = 5
"""Minutes to take something out of a bath or booth. Common practice, no source."""
_DAY = 1440
_WHOLE = frozenset({"power", "heat", "water_test"})
"""Acts that are not parted over two sittings."""


@dataclass(frozen=True, slots=True)
class Sittings:
    """How operations are put together.

    `longest`: minutes after which a sitting ends; what takes longer by itself is parted. `grid`: minutes are rounded up
    to it. `limited`: the stations that have to be waited for; any other is wherever the machine stands. `ordered`: when
    parts are ordered; they are there after their likely days.
    """

    limited: frozenset[str] = frozenset()
    ordered: int = 0
    longest: int = 90
    grid: int = 5


@dataclass(slots=True)
class _Sitting:
    """Operations that are being put together."""

    operations: list[Operation] = field(default_factory=list)
    minutes: float = 0.0
    skill: str = ""
    station: str = ""
    earliest: int = 0
    cools: bool = False

    def add(self, operation: Operation) -> None:
        last = self.operations[-1].wait_minutes if self.operations else 0.0
        self.minutes += last + _expected(operation)
        self.operations.append(operation)
        if not _neutral(operation):
            self.skill, self.station = self.skill or operation.skill, self.station or operation.station


def tasks_of(plan: Plan, sheet: Sheet, stay: str, sittings: Sittings | None = None) -> tuple[Task, ...]:
    """The tasks of one machine's plan that are still to be done, with holds as the checker follows them.

    Ids are the stay's and the first operation's; each task's moments name all its operations in order.
    """
    rule = sittings or Sittings()
    tasks: list[Task] = []
    last: dict[str, str] = {}
    hot = ""
    for sitting in _together(plan, sheet, rule):
        ids = {op.id for op in sitting.operations}
        after = [last[b] for op in sitting.operations for b in op.after if b in last and b not in ids]
        if sitting.cools and hot:
            cooled = Task(f"{hot} cools", stay, "Cools down", COOLING, skill="", after=(hot,))
            if cooled.key not in {task.key for task in tasks}:
                tasks.append(cooled)
            after.append(cooled.key)
        made = _tasks(sitting, stay, sheet, rule, tuple(dict.fromkeys(after)))
        tasks += made
        last.update(dict.fromkeys(ids, made[-1].key))
        if any("heat" in op.acts for op in sitting.operations):
            hot = made[-1].key
    return _direct(tasks)


def _together(plan: Plan, sheet: Sheet, rule: Sittings) -> Iterator[_Sitting]:
    """Go through the plan and end a sitting where the next operation does not belong to it."""
    sitting = _Sitting()
    for op in plan.operations:
        if op.state == "finished":
            continue
        days = max((part.days[1] for part in op.parts), default=0.0)
        parts = rule.ordered + math.ceil(days) * _DAY if days > 0 else 0
        cools = op.kind == "hold" and _cold(sheet.hold.get(op.id.split(":")[1]))
        if sitting.operations and (cools or not _belongs(sitting, op, sheet, rule, parts)):
            yield sitting
            sitting = _Sitting()
        sitting.add(op)
        sitting.earliest = max(sitting.earliest, parts)
        sitting.cools |= cools
    if sitting.operations:
        yield sitting


def _belongs(sitting: _Sitting, op: Operation, sheet: Sheet, rule: Sittings, parts: int) -> bool:
    before = sitting.operations[-1]
    test = sheet.proving.get(op.id.split(":")[1]) if op.kind == "test" and ":" in op.id else None
    if test is not None and test.during is not None:
        return any("power" in done.acts for done in sitting.operations)
    if before.wait_minutes or parts > sitting.earliest:
        return False
    if _neutral(op):
        return True
    same = sitting.skill in {"", op.skill} and sitting.station in {"", op.station}
    return same and sitting.minutes + _expected(op) <= rule.longest


def _neutral(op: Operation) -> bool:
    """Records and releases go with whatever stands beside them."""
    return op.kind in {"hold", "record"}


def _cold(hold: Hold | None) -> bool:
    """Whether a hold says that the machine is cold and without pressure: both break it, and it guards the opening."""
    return hold is not None and {"heat", "water_test"} <= set(hold.broken_by) and "opens_envelope" in hold.guards


def _expected(op: Operation) -> float:
    return sum(op.minutes) / 3


def _tasks(sitting: _Sitting, stay: str, sheet: Sheet, rule: Sittings, after: tuple[str, ...]) -> list[Task]:
    """A sitting as tasks: parted if it is too long, with somebody who ends a wait that may become too long."""
    ops, end = sitting.operations, sitting.operations[-1]
    titles = [op.title for op in ops if not _neutral(op)] or [op.title for op in ops]
    minutes = _rounded(sitting.minutes, rule.grid)
    whole = _WHOLE.intersection(act for op in ops for act in op.acts)
    count = 1 if whole or len(ops) > 1 else math.ceil(minutes / rule.longest)
    first = Task(
        key=f"{stay}/{ops[0].id}",
        stay=stay,
        title=titles[0] if len(titles) == 1 else f"{titles[0]}, and {len(titles) - 1} more",
        minutes=_rounded(minutes / count, rule.grid),
        skill=sitting.skill or "mechanical",
        stations=((sitting.station, 1),) if sitting.station in rule.limited else (),
        after=after,
        earliest=sitting.earliest,
        moments=tuple(_moment(op, sheet) for op in ops),
    )
    made = [first]
    for number in range(2, count + 1):
        more = replace(first, key=f"{first.key} part {number}", title=f"{first.title}, part {number}")
        made.append(replace(more, after=(made[-1].key,)))
    wait = _rounded(end.wait_minutes, rule.grid, least=0)
    made[-1] = replace(made[-1], wait=wait)
    return [*made[:-1], *_ended(made[-1], end, rule)]


def _ended(task: Task, end: Operation, rule: Sittings) -> tuple[Task, ...]:
    if end.wait_max is None:
        return (task,)
    out = f"{task.key} out"
    longest = max(task.wait, int(end.wait_max) // rule.grid * rule.grid)
    skill = "mechanical" if task.skill == "send-out" else task.skill
    ending = Task(out, task.stay, f"End the wait: {end.title}", TAKE_OUT, skill=skill, after=(task.key,))
    return replace(task, wait_max=longest, ended_by=out), ending


def _rounded(minutes: float, grid: int, *, least: int = 1) -> int:
    return max(least, math.ceil(round(minutes, 6) / grid)) * grid


def _moment(op: Operation, sheet: Sheet) -> Moment:
    """What an operation needs, breaks and releases, by the sheet alone."""
    acts = set(op.acts)
    undone = {key for key, test in sheet.proving.items() if acts.intersection(test.broken_by)}
    broken = {key for key, hold in sheet.hold.items() if acts & set(hold.broken_by) or undone & set(hold.proofs)}
    released = (op.id.split(":")[1],) if op.kind == "hold" else ()
    return Moment(op.id, op.holds, tuple(sorted(broken)), released)


def _direct(tasks: Iterable[Task]) -> tuple[Task, ...]:
    """The same tasks, without coming after what one comes after anyway."""
    behind: dict[str, frozenset[str]] = {}
    direct = []
    for task in tasks:
        far = frozenset[str]().union(*(behind[key] for key in task.after))
        behind[task.key] = far | set(task.after)
        direct.append(replace(task, after=tuple(key for key in task.after if key not in far)))
    return tuple(direct)
