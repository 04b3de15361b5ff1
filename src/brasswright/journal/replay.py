"""From a journal to the state of a job: pure, total, the same whether read at once or in pieces.

`replay` folds entries in order. An entry that is struck (`withdrew`) is left out, as if it had never been made;
striking the striking brings it back. Any sequence of entries gives a job: what makes no sense is kept among the entries
and changes nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.journal.entries import Withdrew
from brasswright.journal.fold import Fold
from brasswright.journal.job import Job

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from uuid import UUID

    from brasswright.journal.entries import Entry

__all__ = ["replay", "resume", "struck_by"]

NOBODY: frozenset[UUID] = frozenset()


def replay(entries: Iterable[Entry], *, set_aside: frozenset[UUID] = NOBODY) -> Job:
    """Fold a whole journal into a job.

    `set_aside` names releases and strikings that do not count here, for example those that came with a bundle and that
    nobody of this workshop has adopted.
    """
    return resume(Job(set_aside=set_aside), entries)


def resume(job: Job, entries: Iterable[Entry]) -> Job:
    """Fold further entries into a job: `resume(replay(a), b)` equals `replay(a + b)`."""
    further = tuple(entries)
    whole = job.entries + further
    if not any(isinstance(entry.body, Withdrew) for entry in further):
        fold = Fold(job)
        pending: Sequence[Entry] = further
    else:
        fold = Fold(Job(struck=struck_by(whole, set_aside=job.set_aside), set_aside=job.set_aside))
        pending = whole
    for entry in pending:
        fold.take(entry)
    return fold.job(whole)


def struck_by(entries: Sequence[Entry], *, set_aside: frozenset[UUID] = NOBODY) -> frozenset[UUID]:
    """Return the ids of all struck entries: those named by a later `withdrew` that counts and is not struck itself."""
    first: dict[UUID, int] = {}
    for place, entry in enumerate(entries):
        first.setdefault(entry.id, place)
    struck: set[UUID] = set()
    for place in range(len(entries) - 1, -1, -1):
        body = entries[place].body
        counts = entries[place].id not in struck and entries[place].id not in set_aside
        if isinstance(body, Withdrew) and counts and first.get(body.entry, place) < place:
            struck.add(body.entry)
    return frozenset(struck)
