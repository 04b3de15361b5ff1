"""The fold itself: one small step a kind, on a job that is being built."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from brasswright.journal.entries import (
    Added,
    Answered,
    Approved,
    Arrived,
    Chose,
    Declined,
    Disturbed,
    Entry,
    Fixed,
    Found,
    Identified,
    Issued,
    Learnt,
    Measured,
    Moved,
    Photographed,
    Priced,
    Proved,
    Released,
    Remarked,
    Replated,
    Resheeted,
    Sent,
    Set,
    Sized,
    Started,
    Stopped,
    Swept,
    Unknown,
    Withdrew,
)
from brasswright.journal.job import Deed, Job, Noted, Sweep, Work

if TYPE_CHECKING:
    from collections.abc import Mapping
    from uuid import UUID

__all__ = ["Fold"]

Step = Callable[["Fold", Any, Noted[Any]], None]

OPEN_ASIDES = ("not sure", "cannot see yet")


class Fold:
    """A job being built: the mappings of a job, open for writing until `job` closes them."""

    def __init__(self, job: Job) -> None:
        """Start from a job; it is left as it is."""
        self.struck: frozenset[UUID] = job.struck
        self.set_aside: frozenset[UUID] = job.set_aside
        self.arrived = job.arrived
        self.sheet, self.sheet_sha256 = job.sheet, job.sheet_sha256
        self.head, self.seq = job.head, job.seq
        self.answers = dict(job.answers)
        self.sweeps = dict(job.sweeps)
        self.readings = dict(job.readings)
        self.presence = dict(job.presence)
        self.fixed = dict(job.fixed)
        self.found = dict(job.found)
        self.choices = dict(job.choices)
        self.added = dict(job.added)
        self.prices = dict(job.prices)
        self.released = dict(job.released)
        self.proved = dict(job.proved)
        self.moved = dict(job.moved)
        self.work = dict(job.work)
        self.settings = dict(job.settings)
        self.learnt = dict(job.learnt)
        self.photographs = list(job.photographs)
        self.remarks = list(job.remarks)
        self.sizes = list(job.sizes)
        self.plates = list(job.plates)
        self.deeds = list(job.deeds)
        self.issued = list(job.issued)
        self.approvals = list(job.approvals)
        self.sent = list(job.sent)
        self.unread = list(job.unread)

    def take(self, entry: Entry) -> None:
        """Take in one entry; a struck one only moves the head."""
        self.head, self.seq = entry.digest, entry.seq
        if entry.id in self.struck:
            return
        body = entry.body
        if isinstance(body, Unknown):
            self.unread.append(entry)
            return
        STEPS[type(body)](self, body, Noted(body, entry.id, entry.seq, entry.at, entry.by))

    def job(self, entries: tuple[Entry, ...]) -> Job:
        """Close the fold: the job over these entries."""
        return Job(
            arrived=self.arrived,
            sheet=self.sheet,
            sheet_sha256=self.sheet_sha256,
            answers=MappingProxyType(self.answers),
            sweeps=MappingProxyType(self.sweeps),
            readings=MappingProxyType(self.readings),
            presence=MappingProxyType(self.presence),
            fixed=MappingProxyType(self.fixed),
            found=MappingProxyType(self.found),
            choices=MappingProxyType(self.choices),
            added=MappingProxyType(self.added),
            prices=MappingProxyType(self.prices),
            released=MappingProxyType(self.released),
            proved=MappingProxyType(self.proved),
            moved=MappingProxyType(self.moved),
            work=MappingProxyType(self.work),
            settings=MappingProxyType(self.settings),
            learnt=MappingProxyType(self.learnt),
            photographs=tuple(self.photographs),
            remarks=tuple(self.remarks),
            sizes=tuple(self.sizes),
            plates=tuple(self.plates),
            deeds=tuple(self.deeds),
            issued=tuple(self.issued),
            approvals=tuple(self.approvals),
            sent=tuple(self.sent),
            unread=tuple(self.unread),
            struck=self.struck,
            set_aside=self.set_aside,
            entries=entries,
            head=self.head,
            seq=self.seq,
        )


def _arrived(fold: Fold, body: Arrived, noted: Noted[Arrived]) -> None:
    fold.arrived = noted
    fold.sheet, fold.sheet_sha256 = body.sheet, body.sheet_sha256


def _resheeted(fold: Fold, body: Resheeted, _: Noted[Resheeted]) -> None:
    fold.sheet, fold.sheet_sha256 = body.sheet, body.sheet_sha256


def _answered(fold: Fold, body: Answered, noted: Noted[Answered]) -> None:
    fold.answers[body.question] = noted
    fold.sweeps.pop(body.question, None)


def _swept(fold: Fold, body: Swept, noted: Noted[Swept]) -> None:
    for question in body.questions:
        single = fold.answers.get(question)
        if single is None or single.body.aside in OPEN_ASIDES:
            fold.sweeps[question] = Sweep(question, body.zone, noted.id, noted.seq, noted.at, noted.by)


def _fixed(fold: Fold, body: Fixed, noted: Noted[Fixed]) -> None:
    _keep_or_drop(fold.fixed, body.component, noted, keep=body.condition is not None)


def _chose(fold: Fold, body: Chose, noted: Noted[Chose]) -> None:
    _keep_or_drop(fold.choices, body.treatment, noted, keep=body.decision != "open")


def _added(fold: Fold, body: Added, noted: Noted[Added]) -> None:
    _keep_or_drop(fold.added, body.operation, noted, keep=not body.struck)


def _learnt(fold: Fold, body: Learnt, noted: Noted[Learnt]) -> None:
    _keep_or_drop(fold.learnt, body.sheet, noted, keep=bool(body.rows))


def _keep_or_drop(shelf: dict[str, Any], key: str, noted: Noted[Any], *, keep: bool) -> None:
    if keep:
        shelf[key] = noted
    else:
        shelf.pop(key, None)


def _released(fold: Fold, body: Released, noted: Noted[Released]) -> None:
    if noted.id not in fold.set_aside:
        fold.released[body.hold] = noted


def _disturbed(fold: Fold, body: Disturbed, noted: Noted[Disturbed]) -> None:
    fold.deeds.append(Deed(body.acts, (), body.words, noted.id, noted.seq, noted.at, noted.by))


def _started(fold: Fold, body: Started, noted: Noted[Started]) -> None:
    earlier = fold.work.get(body.operation)
    fold.work[body.operation] = Work(body.operation, noted, minutes=earlier.minutes if earlier else 0.0)
    deed = Deed(body.acts, body.components, body.title, noted.id, noted.seq, noted.at, noted.by, body.done_while)
    fold.deeds.append(replace(deed, operation=body.operation))


def _stopped(fold: Fold, body: Stopped, noted: Noted[Stopped]) -> None:
    """End the work; a second stop without a start in between corrects the first. Work never started is left alone."""
    work = fold.work.get(body.operation)
    if work is None:
        return
    corrected = work.stopped.body.minutes or 0.0 if work.stopped else 0.0
    minutes = max(0.0, work.minutes - corrected) + (body.minutes or 0.0)
    fold.work[body.operation] = Work(body.operation, work.started, noted, minutes, body.finished)


def _withdrew(_: Fold, __: Withdrew, ___: Noted[Withdrew]) -> None:
    """Striking is settled before folding; the entry itself leaves nothing else."""


def _by(shelf: Callable[[Fold], dict[str, Any]], key: str) -> Step:
    """The step that keeps the latest entry of each subject."""

    def keep(fold: Fold, body: Any, noted: Noted[Any]) -> None:  # noqa: ANN401 - one step for many kinds
        shelf(fold)[getattr(body, key)] = noted

    return keep


def _onto(pile: Callable[[Fold], list[Any]]) -> Step:
    """The step that keeps every entry, in order."""

    def lay(fold: Fold, _: Any, noted: Noted[Any]) -> None:  # noqa: ANN401 - one step for many kinds
        pile(fold).append(noted)

    return lay


STEPS: Mapping[type, Step] = MappingProxyType(
    {
        Arrived: _arrived,
        Answered: _answered,
        Swept: _swept,
        Measured: _by(lambda fold: fold.readings, "reading"),
        Photographed: _onto(lambda fold: fold.photographs),
        Remarked: _onto(lambda fold: fold.remarks),
        Identified: _by(lambda fold: fold.presence, "component"),
        Fixed: _fixed,
        Found: _by(lambda fold: fold.found, "component"),
        Chose: _chose,
        Added: _added,
        Priced: _by(lambda fold: fold.prices, "item"),
        Released: _released,
        Disturbed: _disturbed,
        Started: _started,
        Stopped: _stopped,
        Moved: _by(lambda fold: fold.moved, "component"),
        Proved: _by(lambda fold: fold.proved, "test"),
        Issued: _onto(lambda fold: fold.issued),
        Approved: _onto(lambda fold: fold.approvals),
        Declined: _onto(lambda fold: fold.approvals),
        Resheeted: _resheeted,
        Sent: _onto(lambda fold: fold.sent),
        Sized: _onto(lambda fold: fold.sizes),
        Replated: _onto(lambda fold: fold.plates),
        Set: _by(lambda fold: fold.settings, "key"),
        Learnt: _learnt,
        Withdrew: _withdrew,
    }
)
