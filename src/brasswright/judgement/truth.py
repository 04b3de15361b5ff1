"""What a finished job tells: what was known before its strip-down, what that found, what was seen meanwhile.

Strip-down begins with the first `found` entry: the odds just before it are what is held against the truth. What was
seen counts as long as no treatment had begun, because afterwards it speaks of another condition. A component counts as
found until a treatment of it began.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.journal.entries import Answered, Found, Identified, Measured, Started, Swept, Withdrew
from brasswright.journal.job import Job
from brasswright.journal.replay import replay

if TYPE_CHECKING:
    from brasswright.journal.entries import Entry
    from brasswright.sheets.model import Sheet

__all__ = ["Finished", "finished_job"]

SEEN = (Answered, Swept, Measured)


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished job: as it stood `before` strip-down, and with its `truth`; the sheet it is pinned to."""

    number: int
    before: Job
    truth: Job
    sheet: str = ""
    sheet_sha256: str = ""


def finished_job(number: int, job: Job, sheet: Sheet) -> Finished | None:
    """Return what a job teaches by the sheet it is pinned to, or None where nothing was found in it."""
    standing = [entry for entry in job.entries if entry.id not in job.struck]
    first = next((entry.seq for entry in standing if isinstance(entry.body, Found)), None)
    if first is None:
        return None
    begun = _begun(standing, sheet)
    earliest = min(begun.values(), default=None)
    told = [entry for entry in standing if _tells(entry, begun, earliest)]
    before = replay((entry for entry in job.entries if entry.seq < first), set_aside=job.set_aside)
    return Finished(number, before, replay(told, set_aside=job.set_aside), job.sheet, job.sheet_sha256)


def _begun(entries: list[Entry], sheet: Sheet) -> dict[str, int]:
    """Return for each component the number of the entry at which a treatment of it began."""
    begun: dict[str, int] = {}
    for entry in entries:
        body = entry.body
        if isinstance(body, Started) and body.operation.startswith("treat:"):
            treatment = sheet.treatment.get(body.operation.split(":")[1])
            for key in (fix.of for fix in treatment.fixes) if treatment is not None else body.components:
                begun.setdefault(key, entry.seq)
    return begun


def _tells(entry: Entry, begun: dict[str, int], earliest: int | None) -> bool:
    """Whether an entry still speaks of the machine as it came."""
    body = entry.body
    if isinstance(body, Withdrew):
        return False
    if isinstance(body, Found | Identified):
        return entry.seq < begun.get(body.component, entry.seq + 1)
    return not isinstance(body, SEEN) or earliest is None or entry.seq < earliest
