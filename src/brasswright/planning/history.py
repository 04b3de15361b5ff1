"""What is behind us when a job is planned again: finished work keeps its id, begun work stays in the plan."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from brasswright.planning.by_hand import bought_for
from brasswright.planning.model import Operation

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.job import Job, Work
    from brasswright.planning.model import Kind, Option, Piece, Problem

__all__ = ["begun", "behind_us", "mark"]

_KINDS: dict[str, Kind] = {
    "hold": "hold",
    "record": "record",
    "open": "open",
    "remove": "remove",
    "treat": "treat",
    "refit": "refit",
    "close": "close",
    "test": "test",
}


def behind_us(job: Job, problem: Problem) -> tuple[Operation, ...]:
    """The finished work of the journal as operations, in the order in which it was started."""
    done = sorted((work for work in job.work.values() if work.finished), key=lambda work: work.started.seq)
    return tuple(replace(_told(work, problem), state="finished", spent_minutes=work.minutes) for work in done)


def begun(job: Job, operations: Iterable[Operation], problem: Problem) -> tuple[Operation, ...]:
    """Work that was started, is not finished, and that this plan would not have asked for: it stays in front."""
    there = {operation.id for operation in operations}
    going = sorted((work for work in job.work.values() if not work.finished), key=lambda work: work.started.seq)
    return tuple(
        replace(_told(work, problem), state="started", why="Begun before this plan: finish it, or enter it as stopped.")
        for work in going
        if work.operation not in there
    )


def mark(job: Job, operations: Iterable[Operation]) -> tuple[Operation, ...]:
    """Mark the operations whose work has begun and is not finished."""
    going = {work.operation for work in job.work.values() if not work.finished}
    return tuple(replace(op, state="started") if op.id in going else op for op in operations)


def _told(work: Work, problem: Problem) -> Operation:
    """An operation as its entry tells it, with minutes and purchases looked up where they are still known."""
    body = work.started.body
    kind, _, rest = work.operation.partition(":")
    key = rest.split(":")[0]
    told = Operation(
        id=work.operation,
        title=body.title,
        kind=_KINDS.get(kind, "by hand"),
        acts=body.acts,
        components=body.components,
    )
    option = next((option for option in problem.options if option.id == key), None)
    piece = next((piece for piece in problem.pieces if piece.id == key), None)
    if kind == "treat" and option is not None:
        return _step(told, option, rest.split(":")[1:])
    if kind in {"open", "remove", "close", "refit"} and piece is not None:
        return _handled(told, piece, back=kind in {"close", "refit"})
    extra = next((extra for extra in problem.extras if extra.id == work.operation), None)
    if extra is not None:
        return replace(told, minutes=extra.minutes, parts=bought_for(extra))
    test = next((test for test in problem.tests if kind == "test" and test.id == key), None)
    return told if test is None else replace(told, minutes=test.minutes)


def _step(told: Operation, option: Option, number: list[str]) -> Operation:
    place = int(number[0]) - 1 if number and number[0].isdigit() else 0
    step = option.steps[min(place, len(option.steps) - 1)]
    parts = option.parts if place == 0 else ()
    return replace(told, minutes=step.minutes, parts=parts, treatment=option.id, station=step.station, zone=option.zone)


def _handled(told: Operation, piece: Piece, *, back: bool) -> Operation:
    if back:
        return replace(told, minutes=piece.on_minutes, parts=piece.consumes, zone=piece.zone)
    return replace(told, minutes=piece.off_minutes, zone=piece.zone)
