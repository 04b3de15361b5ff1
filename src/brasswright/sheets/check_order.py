"""Does a sheet go round in circles, and does everything that can go wrong have a way to be put right?"""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from typing import TYPE_CHECKING

from brasswright.sheets.found import Found, effects
from brasswright.sheets.reach import reachable

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from brasswright.sheets.model import Component, Fix, Sheet
    from brasswright.sheets.places import EntryPath

__all__ = ["order"]


def order(sheet: Sheet) -> Iterator[Found]:
    """Find circles, clashes of order, conditions that nothing puts right, and doubtful gaps."""
    yield from _circle("component", _causes_of(sheet), "causes")
    yield from _circle("proving", {key: (*test.after, *test.follows) for key, test in sheet.proving.items()}, "after")
    yield from _shut_for_ever(sheet)
    yield from _zones(sheet)
    yield from _fixes(sheet)
    for key, part in sheet.component.items():
        yield from _untreated(key, part, sheet)
    yield from _doubts(sheet)


def _causes_of(sheet: Sheet) -> dict[str, tuple[str, ...]]:
    """Return which components bring about conditions of each component."""
    return {
        key: tuple(cause.of for cause in part.causes if cause.of in sheet.component)
        for key, part in sheet.component.items()
    }


def _circle(kind: str, before: Mapping[str, tuple[str, ...]], field: str) -> Iterator[Found]:
    """Find one circle, named in full, at the member that is described last."""
    try:
        TopologicalSorter(before).prepare()
    except CycleError as circle:
        members = tuple(circle.args[1])
        last = max(members, key=list(before).index)
        yield Found(
            (kind, last, field),
            f"it goes round in a circle: {' -> '.join(members)}.",
            "Leave out the weakest of these links, or say it the other way round.",
        )


def _shut_for_ever(sheet: Sheet) -> Iterator[Found]:
    """Find units and components that can never be opened, because each waits for another of them."""
    shut = {("unit", key): unit.access for key, unit in sheet.unit.items()}
    shut |= {("component", key): part.access for key, part in sheet.component.items()}
    known = {key for _, key in shut}
    open_: frozenset[str] = frozenset()
    while True:
        now = {path for path, access in shut.items() if reachable(access, open_)}
        if not now:
            break
        open_ |= {key for _, key in now}
        shut = {path: access for path, access in shut.items() if path not in now}
    for path, access in shut.items():
        waits = [clause for clause in access if not open_.intersection(clause)]
        if all(known.issuperset(clause) for clause in waits):
            words = " and ".join(" or ".join(clause) for clause in waits)
            yield Found(
                (*path, "access"),
                f"circular access: '{path[1]}' waits for {words}, which cannot be opened before it.",
                "Name what is opened from outside first.",
            )


def _zones(sheet: Sheet) -> Iterator[Found]:
    """Find two zones at one place of the walk-round, and zones in which nothing is."""
    first: dict[int, str] = {}
    for key, zone in sheet.zone.items():
        if zone.order in first:
            what = f"order {zone.order} is that of zone '{first[zone.order]}' already."
            yield Found(("zone", key, "order"), what, "Give each zone its own place, outside to inside.")
        first.setdefault(zone.order, key)
    used = {entry.zone for kind in ("component", "finding", "reading") for entry in getattr(sheet, kind).values()}
    for key in sheet.zone:
        if key not in used:
            yield Found(("zone", key), "nothing lies in this zone.", "Use it or take it out.", warning=True)


def _fixes(sheet: Sheet) -> Iterator[Found]:
    """Find treatments that leave a component no better than it was."""
    for key, treatment in sheet.treatment.items():
        for place, fix in enumerate(treatment.fixes):
            part = sheet.component.get(fix.of)
            if part is not None:
                yield from _no_better(("treatment", key, "fixes", place), fix, part)


def _no_better(path: EntryPath, fix: Fix, part: Component) -> Iterator[Found]:
    """Find the conditions that a treatment does not improve."""
    if fix.leaves not in part.states:
        return
    for state in fix.from_:
        if state in part.states and part.states.index(fix.leaves) >= part.states.index(state):
            yield Found(
                path,
                f"it takes {fix.of} from '{state}' to '{fix.leaves}', which is no better.",
                f"States stand best first: {', '.join(part.states)}.",
            )


def _untreated(key: str, part: Component, sheet: Sheet) -> Iterator[Found]:
    """Find conditions that no treatment takes away; a component without numbers may go without."""
    treated = {
        state
        for treatment in sheet.treatment.values()
        for fix in treatment.fixes
        if fix.of == key
        for state in fix.from_
    }
    for state in part.states[1:]:
        if state in treated:
            continue
        if state in part.must:
            what = f"'{state}' must be put right, and no treatment does."
            yield Found(("component", key, "must"), what, f'Add a [treatment.NAME] with from = ["{state}"].')
        elif part.alone is not None:
            what = f"no treatment puts '{state}' right."
            yield Found(("component", key), what, f'Add a [treatment.NAME] that fixes {key} from = ["{state}"].')


def _doubts(sheet: Sheet) -> Iterator[Found]:
    """Find what is allowed and probably not meant."""
    asked = {cause.of for effect in effects(sheet) if effect.field == "shows" for cause in effect.causes}
    caused = {cause.of for effect in effects(sheet) for cause in effect.causes}
    for key, part in sheet.component.items():
        if part.alone is not None and key not in asked:
            remedy = "Add a finding or reading that shows it, or its odds stay guesses."
            yield Found(("component", key), "nobody asks about it.", remedy, warning=True)
        costs = [part.leaving.get(state, 0.0) for state in part.states]
        if any(b < a for a, b in pairwise(costs)):
            remedy = "Leaving a worse condition rarely costs less."
            yield Found(("component", key, "leaving"), "the costs fall.", remedy, warning=True)
    for key in sheet.history:
        if key not in caused:
            yield Found(("history", key), "it causes nothing.", "Use it or do not ask it.", warning=True)
    for kind in ("finding", "reading"):
        for key, entry in getattr(sheet, kind).items():
            if not entry.shows:
                yield Found((kind, key), "it shows nothing.", "Say which condition it speaks of.", warning=True)
