"""How often a piece of work was finished, and when the last full round of several steps ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brasswright.journal.entries import Stopped
    from brasswright.journal.job import Job, Noted

__all__ = ["ended", "finished", "numbered", "rounds"]


def finished(job: Job, operation: str) -> bool:
    """Whether this operation's work is entered as finished."""
    work = job.work.get(operation)
    return work is not None and work.finished


def rounds(job: Job, operation: str) -> int:
    """How often this operation was finished, counting its repetitions `:2`, `:3` and so on.

    The next one is named after that: the plain id the first time, then with a number.
    """
    count = 0
    while finished(job, numbered(operation, count)):
        count += 1
    return count


def numbered(operation: str, done: int) -> str:
    """Return the id of the next round of an operation that was done `done` times.

    >>> numbered("remove:piston", 0), numbered("remove:piston", 1)
    ('remove:piston', 'remove:piston:2')
    """
    return operation if done == 0 else f"{operation}:{done + 1}"


def ended(job: Job, steps: Sequence[str]) -> Noted[Stopped] | None:
    """Return the entry that ended the last full round of these steps; None where there was none."""
    done = min((rounds(job, step) for step in steps), default=0)
    if not done:
        return None
    stops = [job.work[numbered(step, done - 1)].stopped for step in steps]
    return max((stop for stop in stops if stop is not None), key=lambda stop: stop.seq, default=None)
