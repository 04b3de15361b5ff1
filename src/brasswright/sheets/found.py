"""What a check of a sheet finds, before file and line are known; and a walk over all effects of a sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.sheets.model import Cause
from brasswright.sheets.places import EntryPath

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.sheets.model import Clauses, Sheet

__all__ = ["Effect", "Found", "accesses", "effects", "parents"]


@dataclass(frozen=True, slots=True)
class Found:
    """One thing wrong (or, with `warning`, doubtful): where in the sheet, in words, and what to do."""

    path: EntryPath
    what: str
    remedy: str = ""
    warning: bool = False


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that is brought about: a component's condition, a finding's answer, a reading's level.

    `ladder` is best first; `field` is the name of its list of causes.
    """

    path: EntryPath
    ladder: tuple[str, ...]
    causes: tuple[Cause, ...]
    field: str


def effects(sheet: Sheet) -> Iterator[Effect]:
    """Go over all components, findings and readings."""
    for key, part in sheet.component.items():
        yield Effect(("component", key), part.states, part.causes, "causes")
    for key, finding in sheet.finding.items():
        yield Effect(("finding", key), finding.answers, finding.shows, "shows")
    for key, reading in sheet.reading.items():
        yield Effect(("reading", key), tuple(level.name for level in reading.levels), reading.shows, "shows")


def parents(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Return the states of everything that may be a cause: components, and histories of other names."""
    states = {key: history.states for key, history in sheet.history.items()}
    return states | {key: part.states for key, part in sheet.component.items()}


def accesses(sheet: Sheet) -> Iterator[tuple[EntryPath, Clauses]]:
    """Go over everything that is reached through something."""
    for kind in ("zone", "unit", "component", "finding", "reading", "treatment"):
        for key, entry in getattr(sheet, kind).items():
            yield (kind, key), entry.access
