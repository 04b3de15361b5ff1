"""Enter things in a job's journal: one, or a whole JSON Lines file, all or nothing, the bad line named."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

from brasswright.errors import BrasswrightError, EntryRefused, NeedsConfirmation
from brasswright.journal.entries import Entry
from brasswright.journal.replay import resume
from brasswright.store import Draft
from brasswright.workshop.drafting import Around, complete
from brasswright.workshop.planning import operation_fields
from brasswright.workshop.rules import check_body
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from brasswright.journal.job import Job
    from brasswright.workshop.folder import OpenJob, Workshop

__all__ = ["Line", "note", "note_lines", "read_lines"]

AHEAD = timedelta(minutes=5)
"""How far a clock may run ahead before an entry counts as in the future."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to enter: its fields with their kind, who, when, its id if the client made one, and where it stood."""

    fields: Mapping[str, Any]
    by: str = ""
    at: datetime | None = None
    id: UUID = field(default_factory=uuid4)
    where: str = ""


def _line(text: str, where: str) -> Line:
    """Read one line of JSON."""
    try:
        fields = json.loads(text)
        if not isinstance(fields, dict):
            raise EntryRefused("A line holds one JSON object.", where=where, got=text[:60])
        at = datetime.fromisoformat(str(fields.pop("at"))) if "at" in fields else None
        identity = UUID(str(fields.pop("id"))) if "id" in fields else uuid4()
    except ValueError as error:
        remedy = "The file may be cut off; nothing was entered."
        raise EntryRefused(f"This line cannot be read: {error}.", where=where, got=text[:60], remedy=remedy) from None
    if at is not None and at.tzinfo is None:
        raise EntryRefused("The time needs its offset from UTC.", where=where, got=at.isoformat())
    return Line(fields, by=str(fields.pop("by", "")), at=at, id=identity, where=where)


def read_lines(path: Path) -> tuple[Line, ...]:
    """Read a JSON Lines file; blank lines are passed over.

    Raises:
        EntryRefused: the file or one of its lines cannot be read; the line is named.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise EntryRefused(f"The file cannot be read: {error}.", where=str(path)) from None
    numbered = enumerate(text.splitlines(), 1)
    return tuple(_line(line, f"{path.name}, line {number}") for number, line in numbered if line.strip())


def _person(by: str, people: Mapping[str, str], where: str) -> str:
    """Return the person's key; one person alone need not be named."""
    if not by and len(people) == 1:
        return next(iter(people))
    if by not in people:
        raise EntryRefused(
            "Who enters this is nobody of this workshop.",
            where=where,
            got=by or "no name",
            allowed=", ".join(people) or "nobody yet",
            remedy="Add the person: brasswright set person.KEY=NAME.",
        )
    return by


def _provisional(draft: Draft, job_id: UUID, job: Job, recorded: datetime) -> Entry:
    """Return the draft as an entry would look, to see the state it leads to before anything is stored."""
    return Entry(
        id=draft.id,
        job=job_id,
        seq=job.seq + 1,
        at=draft.at,
        recorded_at=recorded,
        by=draft.by,
        body=draft.body,
        prev=job.head,
        digest=job.head,
    )


def _not_ahead(at: datetime, now: datetime, where: str) -> datetime:
    if at > now + AHEAD:
        raise EntryRefused(
            "This is in the future.", where=where, got=at.isoformat(), allowed=f"up to {now.isoformat()}"
        )
    return at


def note_lines(
    workshop: Workshop, opened: OpenJob, lines: Iterable[Line], *, beside: Path = Path()
) -> tuple[Entry, ...]:
    """Enter all of these lines in the job's journal, or none of them.

    Each line is completed and checked against the state the lines before it lead to. `beside` is the folder that names
    of photographs are relative to.

    Raises:
        EntryRefused: a line that cannot be taken; its place is named and nothing is entered.
        NeedsConfirmation: a reading far from anything plausible that was not marked `confirmed`.
        Clash: somebody else entered something on the same subject in between.
    """
    people = read_settings(workshop).people
    now = workshop.clock()
    job, drafts = opened.job, []
    for line in lines:
        try:
            at = _not_ahead(line.at or now, now, "")
            around = Around(job, opened.sheet, workshop.store, operation_fields(workshop, opened), beside)
            body = complete(line.fields, around)
            check_body(body, job, opened.sheet)
            draft = Draft(id=line.id, at=at, by=_person(line.by, people, ""), body=body)
        except NeedsConfirmation as doubt:
            raise NeedsConfirmation(str(doubt), where=line.where) from None
        except BrasswrightError as refusal:
            if not line.where:
                raise
            raise EntryRefused(str(refusal), where=line.where, remedy="Nothing was entered.") from refusal
        job = resume(job, [_provisional(draft, opened.id, job, now)])
        drafts.append(draft)
    return tuple(workshop.store.append(opened.id, drafts, expect_seq=opened.job.seq))


def note(workshop: Workshop, opened: OpenJob, lines: Sequence[Line]) -> tuple[Entry, ...]:
    """Enter one or a few things that belong together, as a page or a command does."""
    return note_lines(workshop, opened, lines)
