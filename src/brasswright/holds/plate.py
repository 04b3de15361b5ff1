"""What a corrected plate does to proofs and releases: those that lean on the plate have to be made again.

Whoever proved the element or released a hold before the correction had other volts or watts in mind. Nothing is
measured anew for it: the reading stays, the test is entered again against the limit as it is now, and the hold is
released anew.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.journal.entries import Replated, Withdrew

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime
    from uuid import UUID

    from brasswright.journal.entries import Entry
    from brasswright.journal.job import Job
    from brasswright.sheets.model import Sheet

__all__ = ["PREDICTION", "corrected_since", "leaning_holds", "leaning_tests"]

PREDICTION = "element_cold_resistance"
"""What a reading predicts whose limit follows from the plate."""
ALWAYS = "element_resistance"
"""The core's own test against the plate; it leans on the plate even where the sheet gives it no reading."""


def leaning_tests(sheet: Sheet) -> frozenset[str]:
    """Return the proving tests whose limit follows from the plate."""
    predicted = {key for key, reading in sheet.reading.items() if reading.predict == PREDICTION}
    return frozenset(key for key, test in sheet.proving.items() if key == ALWAYS or test.reading in predicted)


def leaning_holds(sheet: Sheet) -> frozenset[str]:
    """Return the hold points that such a test proves, and those that come after one of them."""
    tests = leaning_tests(sheet)
    found: set[str] = set()
    for key in sorted(sheet.hold, key=lambda each: sheet.hold[each].number):
        hold = sheet.hold[key]
        if tests.intersection(hold.proofs) or found.intersection(hold.after):
            found.add(key)
    return frozenset(found)


def corrected_since(job: Job, *, seq: int, at: datetime) -> bool:
    """Whether the plate was corrected, or a correction struck, later than this by journal order or by time."""
    known = {entry.id: entry for entry in job.entries}
    return any((entry.seq > seq or entry.at > at) and _about_plate(entry, known) for entry in job.entries)


def _about_plate(entry: Entry, known: Mapping[UUID, Entry]) -> bool:
    """Whether an entry corrects the plate, or strikes one that does, however often struck and restored."""
    while isinstance(entry.body, Withdrew):
        struck = known.get(entry.body.entry)
        if struck is None or struck.seq >= entry.seq:
            return False
        entry = struck
    return isinstance(entry.body, Replated)
