"""Are all names in a sheet names of something? Every reference, with the nearest name as remedy."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from brasswright.sheets.found import Found, accesses, effects, parents
from brasswright.sheets.schema import KINDS, nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from brasswright.sheets.found import Effect
    from brasswright.sheets.model import Sheet
    from brasswright.sheets.places import EntryPath

__all__ = ["names"]


def names(sheet: Sheet) -> Iterator[Found]:
    """Find every name that stands for nothing, and names that stand for two things."""
    yield from _twice(sheet)
    yield from _sources(sheet)
    yield from _zones_and_holds(sheet)
    yield from _access(sheet)
    for effect in effects(sheet):
        yield from _causes(effect, sheet)
    yield from _ladders(sheet)
    yield from _treatments(sheet)
    yield from _prompts_and_tests(sheet)


def _unknown(path: EntryPath, word: str, known: Iterable[str], kind: str) -> Iterator[Found]:
    """Find a name that is not among those known."""
    names_known = tuple(known)
    if word not in names_known:
        yield Found(path, f"unknown {kind} '{word}'.", nearest(word, names_known))


def _twice(sheet: Sheet) -> Iterator[Found]:
    """Find names that an answer or an access could mean in two ways."""
    for one, other in (("unit", "component"), ("history", "finding"), ("history", "component")):
        for key in getattr(sheet, one):
            if key in getattr(sheet, other):
                yield Found(
                    (one, key),
                    f"a {one} and a {other} are both called '{key}', and a journal could not tell them apart.",
                    f"Rename one of them, such as '{key}_off'.",
                )


def _sources(sheet: Sheet) -> Iterator[Found]:
    """Find sources that nobody describes, in every table and its lists."""
    for kind in KINDS:
        for key, entry in getattr(sheet, kind).items():
            yield from _source((kind, key), entry, sheet)
            for inner in ("causes", "shows", "parts"):
                for place, item in enumerate(getattr(entry, inner, ())):
                    yield from _source((kind, key, inner, place), item, sheet)
            supply = getattr(entry, "supply", None)
            if supply is not None:
                yield from _source((kind, key, "supply"), supply, sheet)


def _source(path: EntryPath, entry: object, sheet: Sheet) -> Iterator[Found]:
    """Find one unknown source."""
    source = getattr(entry, "source", None)
    if isinstance(source, str):
        yield from _unknown((*path, "source"), source, sheet.source, "source")


def _zones_and_holds(sheet: Sheet) -> Iterator[Found]:
    """Find unknown zones and hold points."""
    for kind in ("component", "finding", "reading"):
        for key, entry in getattr(sheet, kind).items():
            yield from _unknown((kind, key, "zone"), entry.zone, sheet.zone, "zone")
    for kind in ("zone", "unit", "finding", "reading", "proving"):
        for key, entry in getattr(sheet, kind).items():
            for hold in entry.needs:
                yield from _unknown((kind, key, "needs"), hold, sheet.hold, "hold point")


def _access(sheet: Sheet) -> Iterator[Found]:
    """Find access through things that are neither unit nor component, and clauses without a way."""
    known = (*sheet.unit, *sheet.component)
    for path, clauses in accesses(sheet):
        for clause in clauses:
            if not clause:
                yield Found((*path, "access"), "a clause names no way in.", "Name what must be open, or take it out.")
            for name in clause:
                yield from _unknown((*path, "access"), name, known, "unit or component")


def _causes(effect: Effect, sheet: Sheet) -> Iterator[Found]:
    """Find unknown causes, unknown states of them, effects that are no effect, and causes given twice."""
    known = parents(sheet)
    for place, cause in enumerate(effect.causes):
        path = (*effect.path, effect.field, place)
        yield from _unknown((*path, "of"), cause.of, known, "history or component")
        states = known.get(cause.of)
        if states is not None:
            yield from _unknown((*path, "is"), cause.is_, states, f"state of {cause.of}")
            if cause.is_ == states[0]:
                yield Found(
                    (*path, "is"),
                    f"'{cause.is_}' is the best state of {cause.of} and causes nothing.",
                    "Put what happens anyway into `alone` or `false_alarm`.",
                )
        yield from _worse((*path, "gives"), cause.gives, effect.ladder)
    times = Counter((cause.of, cause.is_) for cause in effect.causes)
    for (of, state), count in times.items():
        if count > 1:
            what = f"'{of}' is '{state}' is given {count} times."
            yield Found((*effect.path, effect.field), what, "Keep one line for each state of a cause.")


def _worse(path: EntryPath, said: Iterable[str], ladder: tuple[str, ...]) -> Iterator[Found]:
    """Find names that are not on a ladder, or its best step, which needs no cause."""
    for name in said:
        yield from _unknown((*path, name), name, ladder, "step")
        if name == ladder[0]:
            yield Found(
                (*path, name),
                f"'{name}' is the best step; nothing brings it about.",
                "Say only what becomes worse; the rest stays as it was.",
            )


def _ladders(sheet: Sheet) -> Iterator[Found]:
    """Find steps named twice, and words about steps that are not there."""
    for key, history in sheet.history.items():
        yield from _repeated(("history", key, "states"), history.states)
        for name in history.words:
            yield from _unknown(("history", key, "words", name), name, history.states, "state")
    for effect in effects(sheet):
        yield from _repeated(effect.path, effect.ladder)
    for key, part in sheet.component.items():
        yield from _worse(("component", key, "leaving"), part.leaving, part.states)
        for name in part.must:
            yield from _worse(("component", key, "must"), (name,), part.states)
    for key, finding in sheet.finding.items():
        yield from _worse(("finding", key, "false_alarm"), finding.false_alarm, finding.answers)
    for key, reading in sheet.reading.items():
        levels = tuple(level.name for level in reading.levels)
        yield from _worse(("reading", key, "false_alarm"), reading.false_alarm, levels)


def _repeated(path: EntryPath, ladder: tuple[str, ...]) -> Iterator[Found]:
    """Find a step named twice."""
    for name, count in Counter(ladder).items():
        if count > 1:
            yield Found(path, f"'{name}' is named {count} times.", "Each step has its own name.")


def _treatments(sheet: Sheet) -> Iterator[Found]:
    """Find treatments of unknown components and conditions."""
    for key, treatment in sheet.treatment.items():
        for place, fix in enumerate(treatment.fixes):
            path: EntryPath = ("treatment", key, "fixes", place)
            part = sheet.component.get(fix.of)
            if part is None:
                yield from _unknown((*path, "of"), fix.of, sheet.component, "component")
                continue
            for state in fix.from_:
                yield from _unknown((*path, "from"), state, part.states, f"state of {fix.of}")
            yield from _unknown((*path, "leaves"), fix.leaves, part.states, f"state of {fix.of}")
        for name in treatment.off:
            yield from _unknown(("treatment", key, "off"), name, sheet.component, "component")


def _sessions(key: str, sheet: Sheet) -> Iterator[Found]:
    """Find a test made during another that is not there, is not under power, or that does something of its own."""
    test = sheet.proving[key]
    if test.during is None:
        return
    where = ("proving", key, "during")
    yield from _unknown(where, test.during, sheet.proving, "proving test")
    session = sheet.proving.get(test.during)
    if session is not None and "power" not in session.does:
        yield Found(where, f"'{test.during}' is not made under power.", "Name a test that does power.")
    if test.does or test.needs:
        yield Found(where, "a test made during another does and needs nothing of its own.", "Take does and needs out.")


def _prompts_and_tests(sheet: Sheet) -> Iterator[Found]:
    """Find prompts about things that are not there, and tests that follow or read nothing."""
    for key, prompt in sheet.record.items():
        yield from _unknown(
            ("record", key, "before"), prompt.before, (*sheet.unit, *sheet.component), "unit or component"
        )
        if prompt.kind == "choice" and not prompt.choices:
            yield Found(("record", key), "a choice without choices.", 'Add choices = ["...", "..."].')
    for key, test in sheet.proving.items():
        if test.reading is not None:
            yield from _unknown(("proving", key, "reading"), test.reading, sheet.reading, "reading")
        for field, names in (("after", test.after), ("follows", test.follows)):
            for name in names:
                yield from _unknown(("proving", key, field), name, sheet.proving, "proving test")
        yield from _sessions(key, sheet)
    for key, hold in sheet.hold.items():
        for name in hold.proofs:
            yield from _unknown(("hold", key, "proofs"), name, sheet.proving, "proving test")
        for name in hold.after:
            yield from _unknown(("hold", key, "after"), name, sheet.hold, "hold point")
