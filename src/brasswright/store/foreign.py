"""What came from elsewhere: entries brought by a bundle; nothing among them releases a hold until somebody adopts it.

A person's name in a bundle says nothing about who that is here. So every entry that a bundle brought is foreign, by its
number, until a named person of this workshop adopts the job up to there: its releases do not count, nor do its
strikings of work, mishaps, tests and readings, which could put a release back in force. The adoption is a setting in
the workshop's own journal: key `adopted:JOB`, value the last adopted number, entered by the adopter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from sqlalchemy import select

from brasswright.errors import EntryRefused
from brasswright.journal.draft import Draft
from brasswright.journal.entries import (
    Disturbed,
    Measured,
    Proved,
    Released,
    Replated,
    Set,
    Sized,
    Started,
    Unknown,
    Withdrew,
)
from brasswright.journal.replay import replay
from brasswright.store.engine import reading
from brasswright.store.schema import brought

if TYPE_CHECKING:
    from brasswright.store.store import Store

__all__ = ["Foreign", "adopt", "adopted_key", "foreign", "set_aside"]

PERSON = "person."
WEIGHTY = (Started, Disturbed, Proved, Measured, Replated, Withdrew, Unknown)
"""What a striking may take back to make a hold point look released. Striking a release only puts the hold up again."""


@dataclass(frozen=True, slots=True)
class Foreign:
    """Foreign entries of a job that nobody here has adopted: who made them, the releases and strikings among them.

    `strikes` are those that take back what may have broken a release or a proof. `sizes` are not of this workshop's own
    measuring: they do not count in its dimension book.
    """

    people: tuple[str, ...] = ()
    releases: tuple[UUID, ...] = ()
    strikes: tuple[UUID, ...] = ()
    sizes: tuple[UUID, ...] = ()
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
    entries = store.read(job)
    weighty = {entry.id for entry in entries if isinstance(entry.body, WEIGHTY)}
    listed = [e for e in entries if e.seq > adopted and any(first <= e.seq <= last for first, last in ranges)]
    return Foreign(
        people=tuple(sorted({entry.by for entry in listed})),
        releases=tuple(entry.id for entry in listed if isinstance(entry.body, Released)),
        strikes=tuple(e.id for e in listed if isinstance(e.body, Withdrew) and e.body.entry in weighty),
        sizes=tuple(entry.id for entry in listed if isinstance(entry.body, Sized)),
        last=max((entry.seq for entry in listed), default=0),
    )


def _brought(store: Store, job: UUID) -> tuple[tuple[int, int], ...]:
    with reading(store.engine) as connection:
        found = connection.execute(select(brought.c.first, brought.c.last).where(brought.c.job == str(job)))
        return tuple((row.first, row.last) for row in found)


def set_aside(store: Store, job: UUID) -> frozenset[UUID]:
    """Return the releases and strikings of a job that do not count here."""
    there = foreign(store, job)
    return frozenset((*there.releases, *there.strikes))


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
