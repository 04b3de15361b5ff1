"""Learn from the workshop's finished jobs, adopt what was learned or take it back, and say how good the odds were.

A job is finished when something was found in it at strip-down and it is over: its release was given, it was handed
over, or it was sent. A job brought by a bundle teaches only once a person of this workshop has adopted it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import uuid4

from brasswright.errors import EntryRefused, NotFound
from brasswright.journal.entries import Found, Learnt
from brasswright.journal.job import Job, Noted
from brasswright.judgement.cases import Reader
from brasswright.judgement.learn import Learning
from brasswright.judgement.learn import learn as learn_from
from brasswright.judgement.strengths import with_rows
from brasswright.judgement.truth import Finished, finished_job
from brasswright.sheets import load
from brasswright.sheets.model import Sheet
from brasswright.store import Draft
from brasswright.store.foreign import foreign
from brasswright.workshop.receive import sheet_named
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.judgement.scores import Called
    from brasswright.workshop.folder import Workshop

__all__ = ["Lessons", "Taught", "adopt", "called", "is_over", "kinds", "lessons", "take_back", "taught"]

RELEASE = "release"
MACHINE = "machine"
NOT_ADOPTED = "It came from elsewhere and nobody here has adopted it."
NOT_OVER = "It is not over: neither released, handed over nor sent."


@dataclass(frozen=True, eq=False)
class Lessons:
    """Finished jobs of the workshop, with when strip-down began, and jobs with something found that do not count."""

    jobs: tuple[Finished, ...] = ()
    began: dict[int, datetime] = field(default_factory=dict)
    left_out: tuple[tuple[int, str, str], ...] = ()

    def of(self, key: str) -> tuple[Finished, ...]:
        """Return the finished jobs pinned to sheets of this key."""
        return tuple(job for job in self.jobs if job.sheet == key)


@dataclass(frozen=True, eq=False)
class Taught:
    """What the finished jobs of one kind of machine teach, and the learning that is in force for it, if any."""

    sheet: Sheet
    sheet_sha256: str
    learning: Learning
    in_force: Noted[Learnt] | None


def is_over(job: Job) -> bool:
    """Whether a job is over: released, handed over, or its machine sent.

    A `sent` entry counts when it names the machine: papers are sent as well.
    """
    handed = any("hand_over" in deed.acts for deed in job.deeds)
    sent = any(MACHINE in noted.body.what.lower() for noted in job.sent)
    return RELEASE in job.released or handed or sent


def lessons(workshop: Workshop) -> Lessons:
    """Read every journal and return the finished jobs."""
    sheets: dict[str, Sheet] = {}
    found: list[Finished] = []
    began: dict[int, datetime] = {}
    left_out: list[tuple[int, str, str]] = []
    for row in workshop.store.jobs():
        job = workshop.store.job(row.uuid)
        if not job.found:
            continue
        if foreign(workshop.store, row.uuid).last:
            left_out.append((row.number, job.sheet, NOT_ADOPTED))
        elif not is_over(job):
            left_out.append((row.number, job.sheet, NOT_OVER))
        else:
            if job.sheet_sha256 not in sheets:
                sheets[job.sheet_sha256] = load.from_bytes(workshop.store.sheet(job.sheet_sha256)).sheet
            one = finished_job(row.number, job, sheets[job.sheet_sha256])
            if one is not None:
                found.append(one)
                began[row.number] = _began(job)
    return Lessons(tuple(found), began, tuple(left_out))


def _began(job: Job) -> datetime:
    return next(e.recorded_at for e in job.entries if isinstance(e.body, Found) and e.id not in job.struck)


def kinds(read: Lessons) -> tuple[str, ...]:
    """Return the keys of the sheets that finished jobs are pinned to."""
    return tuple(sorted({job.sheet for job in read.jobs}))


def taught(workshop: Workshop, key: str) -> Taught:
    """Return what finished jobs teach about one kind of machine, by the sheet that a new job would be pinned to.

    Where there is no such sheet any more, the one that the newest finished job is pinned to serves.

    Raises:
        NotFound: no sheet of that key here, and no finished job of it either.
    """
    read = lessons(workshop)
    sheet, sha256 = _sheet_for(workshop, key, read)
    learning = learn_from(sheet, read.of(key))
    own = tuple((number, why) for number, of, why in read.left_out if of == key)
    learning = replace(learning, left_out=(*learning.left_out, *own))
    return Taught(sheet, sha256, learning, workshop.workshop_journal().learnt.get(key))


def _sheet_for(workshop: Workshop, key: str, read: Lessons) -> tuple[Sheet, str]:
    try:
        named = sheet_named(workshop, key)
    except NotFound:
        own = read.of(key)
        if not own:
            raise
        loaded = load.from_bytes(workshop.store.sheet(own[-1].sheet_sha256))
        return loaded.sheet, loaded.sha256
    return named.sheet, named.sha256


def adopt(workshop: Workshop, what: Taught, *, by: str, words: str = "") -> Noted[Learnt]:
    """Enter the adopted rows in the workshop's own journal; from now on odds of this kind of machine rest on them.

    Raises:
        EntryRefused: nothing that was learned judges better, or `by` is nobody of this workshop.
    """
    if not what.learning.rows:
        raise EntryRefused(
            "Nothing that was learned judges better than the sheet's own numbers, so nothing is adopted.",
            where=what.learning.sheet,
            got=f"{len(what.learning.jobs)} finished jobs",
            remedy="Learn again when more jobs are finished.",
        )
    return _entered(workshop, what.learning.entry(what.sheet_sha256, words), by)


def take_back(workshop: Workshop, key: str, *, by: str, words: str = "") -> Noted[Learnt]:
    """Let the sheet's own numbers hold again for this kind of machine.

    Raises:
        EntryRefused: nothing was adopted for it, or `by` is nobody of this workshop.
    """
    now = workshop.workshop_journal().learnt
    if key not in now:
        allowed = ", ".join(now) or "nothing is adopted"
        raise EntryRefused("Nothing learned is in force for this kind of machine.", got=key, allowed=allowed)
    return _entered(workshop, Learnt(sheet=key, sheet_sha256=now[key].body.sheet_sha256, words=words), by)


def _entered(workshop: Workshop, body: Learnt, by: str) -> Noted[Learnt]:
    people = read_settings(workshop).people
    if by not in people:
        known = ", ".join(people) or "nobody yet"
        raise EntryRefused("Who decides this is nobody of this workshop.", got=by or "no name", allowed=known)
    draft = Draft(id=uuid4(), at=workshop.clock(), by=by, body=body)
    entry = workshop.store.append(workshop.store.journal_of_workshop, [draft])[0]
    return Noted(body, entry.id, entry.seq, entry.at, entry.by)


def called(workshop: Workshop, key: str = "") -> tuple[Called, ...]:
    """Return the odds of every part found in finished jobs, as they stood just before strip-down.

    They are worked out by the sheet that each job is pinned to, with the learning that was in force at that moment.
    """
    read = lessons(workshop)
    taught_then = tuple(_learnings(workshop.workshop_journal()))
    readers: dict[tuple[str, str], Reader] = {}
    found: list[Called] = []
    for job in read.jobs:
        if key and job.sheet != key:
            continue
        then = [one for one in taught_then if one.body.sheet == job.sheet and one.at < read.began[job.number]]
        body = then[-1].body if then else None
        mark = (job.sheet_sha256, str(then[-1].id) if then else "")
        if mark not in readers:
            sheet = load.from_bytes(workshop.store.sheet(job.sheet_sha256)).sheet
            readers[mark] = Reader(with_rows(sheet, body.rows)[0] if body is not None else sheet)
        found += readers[mark].called(job)
    return tuple(found)


def _learnings(own: Job) -> Iterator[Noted[Learnt]]:
    """Go over every learning ever adopted or taken back and not struck, dated by when it was recorded."""
    for entry in own.entries:
        if isinstance(entry.body, Learnt) and entry.id not in own.struck:
            yield Noted(entry.body, entry.id, entry.seq, entry.recorded_at, entry.by)
