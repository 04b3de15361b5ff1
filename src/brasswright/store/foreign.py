"""What came from elsewhere: entries brought by a bundle, whose releases do not count until somebody here adopts them.

A person's name in a bundle says nothing about who that is here. So every entry that a bundle brought is foreign, by its
number, until a named person of this workshop adopts the job up to there. The adoption is a setting in the workshop's
own journal: key `adopted:JOB`, value the last adopted number, entered by the adopter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from sqlalchemy import select

from brasswright.errors import EntryRefused
from brasswright.journal.draft import Draft
from brasswright.journal.entries import Released, Set
from brasswright.journal.replay import replay
from brasswright.store.engine import reading
from brasswright.store.schema import brought

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.entries import Entry
    from brasswright.store.store import Store

__all__ = ["Foreign", "adopt", "adopted_key", "foreign", "set_aside"]

PERSON = "person."


@dataclass(frozen=True, slots=True)
class Foreign:
    """Foreign entries of a job that nobody here has adopted: who made them, and the releases among them."""

    people: tuple[str, ...] = ()
    releases: tuple[UUID, ...] = ()
    last: int = 0


def adopted_key(job: UUID) -> str:
    """Return the workshop setting that says up to which entry a job's foreign entries are adopted."""
    return f"adopted:{job}"


def foreign(store: Store, job: UUID) -> Foreign:
    """Return what is foreign in a job and not adopted."""
    ranges = _brought(store, job)
    if not ranges:
        return Foreign()
    noted = replay(store.read(store.journal_of_workshop)).settings.get(adopted_key(job))
    adopted = noted.body.value if noted is not None and isinstance(noted.body.value, int) else 0
    return _foreign_among(
        entry
        for entry in store.read(job)
        if entry.seq > adopted and any(first <= entry.seq <= last for first, last in ranges)
    )


def _foreign_among(entries: Iterable[Entry]) -> Foreign:
    listed = tuple(entries)
    return Foreign(
        people=tuple(sorted({entry.by for entry in listed})),
        releases=tuple(entry.id for entry in listed if isinstance(entry.body, Released)),
        last=max((entry.seq for entry in listed), default=0),
    )


def _brought(store: Store, job: UUID) -> tuple[tuple[int, int], ...]:
    with reading(store.engine) as connection:
        found = connection.execute(select(brought.c.first, brought.c.last).where(brought.c.job == str(job)))
        return tuple((row.first, row.last) for row in found)


def set_aside(store: Store, job: UUID) -> frozenset[UUID]:
    """Return the releases of a job that do not count here."""
    return frozenset(foreign(store, job).releases)


def adopt(store: Store, job: UUID, *, by: str, words: str = "") -> Foreign:
    """Adopt all foreign entries a job has now, and return them; `by` is the person here who answers for it.

    Raises:
        EntryRefused: `by` is nobody of this workshop.
        NotFound: there is no such job.
    """
    store.read(job)
    people = _people(store)
    if not by or (people and by not in people):
        raise EntryRefused(
            "Only a named person of this workshop can adopt what came from elsewhere.",
            got=by or "nobody",
            allowed=", ".join(sorted(people)) or "a name",
        )
    there = foreign(store, job)
    if there.last:
        body = Set(key=adopted_key(job), value=there.last, words=words)
        store.append(store.journal_of_workshop, [Draft(id=uuid4(), at=store.clock(), by=by, body=body)])
    return there


def _people(store: Store) -> frozenset[str]:
    settings = replay(store.read(store.journal_of_workshop)).settings
    named = [(key, noted.body.value) for key, noted in settings.items() if key.startswith(PERSON)]
    keys = {key.removeprefix(PERSON) for key, value in named if value is not None}
    return frozenset(keys | {str(value) for _, value in named if value is not None})
