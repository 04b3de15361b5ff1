"""Enter things in a job's journal: one, or a whole JSON Lines file, all or nothing, the bad line named."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

from brasswright.errors import BrasswrightError, EntryRefused, NeedsConfirmation
from brasswright.journal.entries import Entry
from brasswright.journal.replay import replay, resume
from brasswright.store import Draft
from brasswright.store.appending import SLACK
from brasswright.workshop.drafting import Around, complete
from brasswright.workshop.folder import OpenJob, Workshop
from brasswright.workshop.planning import operation_fields
from brasswright.workshop.rules import check_body
from brasswright.workshop.settings import Settings, read_settings

if TYPE_CHECKING:
    from brasswright.journal.job import Job

__all__ = ["Line", "line_from", "not_ahead", "note", "note_lines", "read_lines"]


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to enter: its fields with their kind, who, when, its id if the client made one, and where it stood."""

    fields: Mapping[str, Any]
    by: str = ""
    at: datetime | None = None
    id: UUID = field(default_factory=uuid4)
    where: str = ""


def line_from(text: str, where: str) -> Line:
    """Read one thing to enter from JSON.

    Raises:
        EntryRefused: it is no JSON object, or its time or id cannot be read.
    """
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
        EntryRefused: the file or one of its lines cannot be read, or it holds no line; the line is named.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise EntryRefused(f"The file cannot be read: {error.strerror}.", where=str(path)) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = raw.count(b"\n", 0, error.start) + 1
        where = f"{path.name}, line {number}"
        remedy = "Save it as UTF-8, or fetch the file again if it is cut off; nothing was entered."
        raise EntryRefused("This line is no text in UTF-8.", where=where, remedy=remedy) from None
    numbered = enumerate(text.split("\n"), 1)
    lines = tuple(line_from(line, f"{path.name}, line {number}") for number, line in numbered if line.strip())
    if not lines:
        raise EntryRefused("The file holds no line; nothing was entered.", where=str(path))
    return lines


def _person(by: str, people: Mapping[str, str]) -> str:
    """Return the person's key; one person alone need not be named."""
    if not by and len(people) == 1:
        return next(iter(people))
    if by not in people:
        raise EntryRefused(
            "Who enters this is nobody of this workshop.",
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


def not_ahead(at: datetime, now: datetime) -> datetime:
    """Return the moment, unless it lies in the future by more than a clock may run ahead.

    Raises:
        EntryRefused: it does.
    """
    if at > now + SLACK:
        remedy = "Correct the date, or the clock of the computer; nothing was entered."
        until = f"up to {now.isoformat(timespec='seconds')}"
        raise EntryRefused("This is in the future.", got=at.isoformat(), allowed=until, remedy=remedy)
    return at


@dataclass(slots=True)
class _Batch:
    """Lines on their way into one journal: the job as the lines so far leave it, the photographs they brought."""

    workshop: Workshop
    opened: OpenJob
    settings: Settings
    beside: Path
    now: datetime
    pictures: dict[str, bytes] = field(default_factory=dict)

    def take(self, line: Line) -> Draft:
        """Complete and check one line, and move the job on by it.

        A line that was sent before is completed from the job as it was then, so that the store knows it again.
        """
        fields = dict(line.fields)
        _for_this_job(str(fields.pop("job", "")), self.opened)
        stored = next((entry for entry in self.opened.job.entries if entry.id == line.id), None)
        opened = self.opened if stored is None else _before(self.opened, stored)
        at = not_ahead(line.at or (stored.at if stored else self.now), self.now)
        by = _person(line.by, self.settings.people)
        plan = operation_fields(self.workshop, opened)
        currency = self.settings.prices.currency
        body = complete(fields, Around(opened.job, opened.sheet, plan, currency, self.beside, self.pictures))
        check_body(body, opened.job, opened.sheet)
        draft = Draft(id=line.id, at=at, by=by, body=body)
        if stored is None:
            job = resume(self.opened.job, [_provisional(draft, self.opened.id, self.opened.job, self.now)])
            self.opened = replace(self.opened, job=job)
        return draft


def _before(opened: OpenJob, entry: Entry) -> OpenJob:
    return replace(opened, job=replay(opened.job.entries[: entry.seq - 1], set_aside=opened.job.set_aside))


def _for_this_job(named: str, opened: OpenJob) -> None:
    if named and named not in {str(opened.id), str(opened.number)}:
        raise EntryRefused(
            "This entry is for another job.",
            got=named,
            allowed=f"{opened.number} or {opened.id}",
            remedy="Enter it there; nothing was entered.",
        )


def note_lines(
    workshop: Workshop, opened: OpenJob, lines: Iterable[Line], *, beside: Path = Path()
) -> tuple[Entry, ...]:
    """Enter all of these lines in the job's journal, or none of them.

    Each line is completed and checked against the state the lines before it lead to. `beside` is the folder that names
    of photographs are relative to. Lines sent before give the entries they became.

    Raises:
        EntryRefused: a line that cannot be taken; its place is named and nothing is entered.
        HeldWork: work or a test whose hold point stands.
        NeedsConfirmation: a reading far from anything plausible that was not marked `confirmed`.
        Clash: somebody else entered something on the same subject in between.
    """
    batch = _Batch(workshop, opened, read_settings(workshop), beside, workshop.clock())
    drafts = []
    for line in lines:
        try:
            drafts.append(batch.take(line))
        except BrasswrightError as refusal:
            if not line.where:
                raise
            named = NeedsConfirmation if isinstance(refusal, NeedsConfirmation) else EntryRefused
            raise named(str(refusal), where=line.where, remedy="Nothing was entered.") from refusal
    for cleaned in batch.pictures.values():
        workshop.store.photographs.put(cleaned)
    return tuple(workshop.store.append(opened.id, drafts, expect_seq=opened.job.seq))


def note(workshop: Workshop, opened: OpenJob, lines: Sequence[Line]) -> tuple[Entry, ...]:
    """Enter one or a few things that belong together, as a page or a command does."""
    return note_lines(workshop, opened, lines)
