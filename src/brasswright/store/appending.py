"""Appending drafts to a journal: every rule that a batch must keep, then all of it or nothing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from brasswright.errors import Clash, EntryRefused, NotFound
from brasswright.journal.chain import Place, seal
from brasswright.journal.codec import load
from brasswright.journal.draft import Draft
from brasswright.journal.entries import Arrived, Photographed, Proved, Released, Resheeted, Withdrew
from brasswright.journal.subjects import clashing
from brasswright.store.rows import add, head_of, known_ids, number_taken, texts_after

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Connection

    from brasswright.journal.entries import Body, Entry, Unknown
    from brasswright.store.rows import Head
    from brasswright.store.shelf import Shelf

__all__ = ["SLACK", "WORKSHOP_JOURNAL", "Batch", "append", "files_are_here", "look_over"]

WORKSHOP_JOURNAL = UUID("b2a55000-0000-4000-8000-000000000000")
"""The job id under which every workshop keeps the journal of its own people, prices, settings and holidays."""

SLACK = timedelta(minutes=2)
"""How far a tablet's clock may run ahead of ours before its entries count as dated in the future."""


@dataclass(frozen=True, slots=True)
class Batch:
    """What is to be appended: to which job, what, seen up to which number, at which moment."""

    job: UUID
    drafts: tuple[Draft, ...]
    expect_seq: int | None
    now: datetime


def look_over(batch: Batch) -> None:
    """Refuse what can be refused without the database: another job, the future, a doubled id.

    Raises:
        EntryRefused: names the draft.
    """
    seen: dict[UUID, Draft] = {}
    for number, draft in enumerate(batch.drafts, 1):
        where = _place(batch, number)
        if draft.job is not None and draft.job != batch.job:
            what = "This entry is for another job."
            raise EntryRefused(what, where=where, got=draft.job, allowed=str(batch.job), remedy="Nothing was entered.")
        if draft.at > batch.now + SLACK:
            raise EntryRefused(
                "This entry is dated in the future.",
                where=where,
                got=draft.at.isoformat(),
                allowed=f"up to {batch.now.isoformat(timespec='seconds')}",
                remedy="Correct the date, or the clock of the computer; nothing was entered.",
            )
        if draft.id in seen and seen[draft.id] != draft:
            what = "Two different entries of this batch have one id."
            raise EntryRefused(what, where=where, remedy="Give each its own; nothing was entered.")
        seen[draft.id] = draft


def _place(batch: Batch, number: int) -> str:
    return f"entry {number} of {len(batch.drafts)} ({batch.drafts[number - 1].id})"


def files_are_here(batch: Batch, photographs: Shelf, pinned: Shelf) -> None:
    """Refuse an entry that names a photograph or sheet that is not kept here.

    Raises:
        EntryRefused: names the draft and the file.
    """
    for number, draft in enumerate(batch.drafts, 1):
        match draft.body:
            case Photographed(sha256=sha256):
                shelf = photographs
            case Arrived(sheet_sha256=sha256) | Resheeted(sheet_sha256=sha256):
                shelf = pinned
            case _:
                continue
        if not shelf.has(sha256):
            what = f"The {shelf.noun} it names is not kept here."
            remedy = f"Keep the {shelf.noun} first; nothing was entered."
            raise EntryRefused(what, where=_place(batch, number), got=sha256, remedy=remedy)


def append(connection: Connection, batch: Batch) -> tuple[Entry, ...]:
    """Append a batch inside a writing transaction and return its entries in order.

    A draft whose id is stored already gives the stored entry. With `expect_seq`, drafts are placed after what others
    entered in between, unless they are about the same subject.

    Raises:
        Clash: names the subject and the entry in between.
        EntryRefused: an id used for something else, a number taken, an entry cited that is not in this job.
        NotFound: there is no such job, and the batch does not begin with the machine's arrival.
    """
    head = head_of(connection, batch.job)
    known = known_ids(connection, [draft.id for draft in batch.drafts])
    stored = {draft.id: _stored(draft, known[draft.id].text, batch.job) for draft in batch.drafts if draft.id in known}
    fresh = list({draft.id: draft for draft in batch.drafts if draft.id not in stored}.values())
    _begins_with_arrival(connection, batch, fresh, head)
    _cites_what_is_there(connection, batch.job, fresh)
    _no_clash(connection, batch, fresh, head)
    lines = []
    seq, prev = head.seq, head.digest
    for draft in fresh:
        seq += 1
        line = seal(draft, Place(batch.job, seq, prev, batch.now))
        prev = line.entry.digest
        stored[draft.id] = line.entry
        lines.append((line.entry, line.text))
    if lines:
        add(connection, lines, known=head.known)
    return tuple(stored[draft.id] for draft in batch.drafts)


def _stored(draft: Draft, text: str, job: UUID) -> Entry:
    entry = load(text)
    if (entry.job, entry.at, entry.by, entry.body) != (job, draft.at, draft.by, draft.body):
        raise EntryRefused(
            "This id is already used by another entry.",
            where=str(draft.id),
            got=f"job {entry.job}, entry {entry.seq}",
            remedy="Make a new id for a new entry; nothing was entered.",
        )
    return entry


def _begins_with_arrival(connection: Connection, batch: Batch, fresh: Sequence[Draft], head: Head) -> None:
    own = batch.job == WORKSHOP_JOURNAL
    for number, draft in enumerate(fresh):
        arrives = isinstance(draft.body, Arrived)
        if arrives and own:
            raise EntryRefused("The workshop's own journal takes no machine.", where=str(draft.id))
        if number == 0 and not head.known and not own and not arrives:
            remedy = "Enter the machine's arrival first; nothing was entered."
            raise NotFound("There is no such job here.", got=batch.job, remedy=remedy)
        if isinstance(draft.body, Arrived) and number_taken(connection, draft.body.number, batch.job):
            what = f"Number {draft.body.number} belongs to another job."
            raise EntryRefused(what, where=str(draft.id), remedy="Take the next free number; nothing was entered.")


def _cited(body: Body | Unknown) -> tuple[UUID, ...]:
    match body:
        case Withdrew():
            return (body.entry,)
        case Released():
            return body.proofs
        case Proved(reading_entry=UUID() as reading):
            return (reading,)
        case _:
            return ()


def _cites_what_is_there(connection: Connection, job: UUID, fresh: Sequence[Draft]) -> None:
    cited = {each for draft in fresh for each in _cited(draft.body)}
    if not cited:
        return
    here = {each for each, row in known_ids(connection, cited).items() if row.job == str(job)}
    for draft in fresh:
        missing = [str(each) for each in _cited(draft.body) if each not in here]
        if missing:
            raise EntryRefused(
                "It names an entry that this job does not have.",
                where=str(draft.id),
                got=", ".join(missing),
                remedy="Name an earlier entry of this job; nothing was entered.",
            )
        here.add(draft.id)


def _no_clash(connection: Connection, batch: Batch, fresh: Sequence[Draft], head: Head) -> None:
    if batch.expect_seq is None or batch.expect_seq == head.seq or not fresh:
        return
    if not 0 <= batch.expect_seq < head.seq:
        what = f"The journal ends at entry {head.seq}."
        raise EntryRefused(what, got=f"entry {batch.expect_seq} as the last one seen", remedy="Read the job again.")
    own = {draft.id for draft in batch.drafts}
    since = [load(text) for text in texts_after(connection, batch.job, batch.expect_seq)]
    between = [entry for entry in since if entry.id not in own]
    written = [*(entry.body for entry in between), *(draft.body for draft in fresh)]
    struck = [body.entry for body in written if isinstance(body, Withdrew)]
    earlier = {each: load(row.text).body for each, row in known_ids(connection, struck).items()}
    for draft in fresh:
        for entry in between:
            on = clashing(draft.body, entry.body, earlier)
            if on:
                raise Clash(
                    f"{entry.by or 'Somebody'} entered something on the same subject in between.",
                    where=f"entry {entry.seq} ({entry.id})",
                    got=", ".join(sorted(on)),
                    remedy="Read the job again, then enter it again if it still holds; nothing was entered.",
                )
