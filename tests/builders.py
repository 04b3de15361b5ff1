"""Small things that many tests need: a day in the invented workshop, entries in a sealed journal, a drawn picture."""

from __future__ import annotations

import hashlib
import io
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import UUID

from PIL import Image

from brasswright.journal.chain import START, Place, seal
from brasswright.journal.draft import Draft
from brasswright.journal.entries import Answered, Arrived, Machine, Photographed, Set, Unknown
from brasswright.journal.replay import replay

if TYPE_CHECKING:
    from brasswright.journal.chain import Sealed
    from brasswright.journal.entries import Body, Entry
    from brasswright.journal.job import Job

__all__ = [
    "JOB",
    "NOON",
    "OTHER_JOB",
    "SHEET",
    "SHEET_SHA256",
    "answered",
    "arrived",
    "draft",
    "job_of",
    "journal",
    "numbered",
    "photographed",
    "picture",
    "sealed",
    "setting",
]

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
JOB = UUID("7e000000-0000-4000-8000-000000000001")
OTHER_JOB = UUID("7e000000-0000-4000-8000-000000000002")
SHEET = b"[sheet]\nkey = 'tern_quay_trial'\n"
SHEET_SHA256 = hashlib.sha256(SHEET).hexdigest()


def numbered(number: int) -> UUID:
    """The id that the entry of this number gets in a journal built here."""
    return UUID(int=number)


def arrived(**changes: Any) -> Arrived:
    """A machine that came in a crate; `changes` name other fields."""
    told: dict[str, Any] = {
        "number": 1,
        "machine": Machine(description="home spring-lever machine", year=1962),
        "sheet": "tern_quay_trial",
        "sheet_sha256": SHEET_SHA256,
    }
    return Arrived(**(told | changes))


def answered(question: str = "flex_look", answer: str | None = "sound", **changes: Any) -> Answered:
    """A question with one answer."""
    return Answered(question=question, answer=answer, **changes)


def setting(key: str = "name", value: str | float | None = "Tern Quay Bench") -> Set:
    """A setting of the workshop."""
    return Set(key=key, value=value)


def photographed(sha256: str, **changes: Any) -> Photographed:
    """A photograph of the nameplate."""
    told: dict[str, Any] = {"sha256": sha256, "media_type": "image/png", "bytes": 100, "title": "nameplate"}
    return Photographed(**(told | changes))


def draft(body: Body | Unknown, number: int = 1, *, at: datetime = NOON, by: str = "Ines") -> Draft:
    """A draft with the id `numbered(number)`."""
    return Draft(id=numbered(number), at=at, by=by, body=body)


def sealed(*bodies: Body | Unknown, job: UUID = JOB, by: str = "Ines") -> tuple[Sealed, ...]:
    """Bodies sealed into a journal, one a minute from noon, ids `numbered(1)`, `numbered(2)` and so on."""
    prev, made = START, []
    for number, body in enumerate(bodies, 1):
        moment = NOON + timedelta(minutes=number)
        line = seal(draft(body, number, at=moment, by=by), Place(job, number, prev, moment))
        made.append(line)
        prev = line.entry.digest
    return tuple(made)


def journal(*bodies: Body | Unknown, job: UUID = JOB, by: str = "Ines") -> tuple[Entry, ...]:
    """The entries of `sealed`."""
    return tuple(line.entry for line in sealed(*bodies, job=job, by=by))


def job_of(*bodies: Body | Unknown) -> Job:
    """The job that these bodies, entered in this order, give."""
    return replay(journal(*bodies))


def picture(colour: str = "peru", *, size: tuple[int, int] = (40, 30), kind: str = "PNG", **options: Any) -> bytes:
    """A drawn picture: one colour with a darker corner, so that turning it shows."""
    canvas = Image.new("RGB", size, colour)
    canvas.paste("black", (0, 0, size[0] // 4, size[1] // 4))
    out = io.BytesIO()
    canvas.save(out, kind, **options)
    return out.getvalue()
