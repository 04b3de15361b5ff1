"""What an operation does to the machine by its id, and what was done: from the sheet, whatever an entry says.

An entry that leaves an act out must not slip past the hold that guards it, nor leave standing what the act undoes; a
journal from elsewhere may hold such entries. So acts are taken from the sheet and from the entry, both.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from brasswright.journal.job import Deed, Job
    from brasswright.sheets.model import Sheet

__all__ = ["acts_of", "deeds_of"]

BACK = frozenset({"close", "refit"})
NOT_BACK = frozenset({"cover"})
"""Nothing is uncovered by closing."""


def acts_of(operation: str, job: Job, sheet: Sheet) -> tuple[str, ...] | None:
    """Return what an operation does by its id ("open:case", "treat:reseal:2"); None where nobody has said."""
    if operation in job.added:
        return job.added[operation].body.does
    verb, _, rest = operation.partition(":")
    key, _, tail = rest.partition(":")
    match verb:
        case "open" | "close" if key in sheet.unit:
            acts: tuple[str, ...] = sheet.unit[key].does
        case "remove" | "refit" if key in sheet.component:
            part = sheet.component[key]
            acts = (*part.does, *(("lagging",) if part.presumed_asbestos else ()))
        case "treat" if key in sheet.treatment:
            acts = _step(tail, key, sheet)
        case "test" if key in sheet.proving:
            acts = sheet.proving[key].does
        case "record" | "hold":
            acts = ()
        case _:
            return None
    return tuple(dict.fromkeys(act for act in acts if verb not in BACK or act not in NOT_BACK))


def _step(tail: str, treatment: str, sheet: Sheet) -> tuple[str, ...]:
    """Return the acts of one step; of all steps where its number is not given."""
    steps = sheet.treatment[treatment].steps
    number = tail.partition(":")[0]
    if number.isdigit() and 1 <= int(number) <= len(steps):
        return steps[int(number) - 1].does
    return tuple(act for step in steps for act in step.does)


def deeds_of(job: Job, sheet: Sheet) -> tuple[Deed, ...]:
    """Return what was done, each deed with the acts the sheet knows of beside those entered, in journal order."""
    return tuple(
        replace(deed, acts=tuple(dict.fromkeys((*deed.acts, *(acts_of(deed.operation, job, sheet) or ())))))
        if deed.operation
        else deed
        for deed in job.deeds
    )
