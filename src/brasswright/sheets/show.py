"""A sheet read back in sentences: every number with what it says, where it comes from and what it is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.sheets.found import parents
from brasswright.sheets.places import EntryPath

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from brasswright.sheets.model import (
        Cause,
        Component,
        Finding,
        Level,
        Part,
        Proving,
        Reading,
        Sheet,
        Treatment,
        Triple,
        Unit,
    )

__all__ = ["Said", "said", "sentences"]


@dataclass(frozen=True, slots=True)
class Said:
    """One sentence about one entry, with the key of its source."""

    path: EntryPath
    words: str
    source: str


def sentences(sheet: Sheet) -> Iterator[str]:
    """Yield every number of a sheet as a sentence with its source and trust."""
    for one in said(sheet):
        source = sheet.source[one.source]
        yield f"{one.words} ({source.text}; worth about {source.trust:g} finished jobs)"


def said(sheet: Sheet) -> Iterator[Said]:
    """Yield the sentences with entry and source: histories, ways in, components, questions, readings, work, tests."""
    money = sheet.sheet.currency
    for key, history in sheet.history.items():
        shares = _shares(dict(zip(history.states, history.usual, strict=True)))
        yield Said(("history", key), f"{history.ask} Usually {shares} of 100 machines.", history.source)
    for key, unit in sheet.unit.items():
        yield Said(("unit", key), _unit(unit, money), unit.source)
    for key, part in sheet.component.items():
        yield from _component(key, part, sheet)
    for key, finding in sheet.finding.items():
        yield from _finding(key, finding, sheet)
    for key, reading in sheet.reading.items():
        yield from _reading(key, reading, sheet)
    for key, treatment in sheet.treatment.items():
        yield from _treatment(key, treatment, sheet)
    for key, test in sheet.proving.items():
        yield Said(("proving", key), _test(test), test.source)


def _of_100(chance: float) -> str:
    """Write a chance as a count of a hundred."""
    return f"{round(100 * chance, 4):g}"


def _shares(row: Mapping[str, float]) -> str:
    """Write a row: "sound in 80, scaled in 20"."""
    return ", ".join(f"{name.replace('_', ' ')} in {_of_100(chance)}" for name, chance in row.items())


def _minutes(triple: Triple) -> str:
    """Write minutes: low to high, likely."""
    return f"{triple[0]:g} to {triple[2]:g} minutes, likely {triple[1]:g}"


def _time(minutes: float) -> str:
    """Write a time in the unit people would say it in.

    >>> _time(1), _time(45), _time(720), _time(7200)
    ('1 minute', '45 minutes', '12 hours', '5 days')
    """
    for size, unit, least in ((1440, "day", 2880), (60, "hour", 120)):
        if minutes >= least and minutes % size == 0:
            return f"{minutes / size:g} {unit}s"
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def _unit(unit: Unit, money: str) -> str:
    """Say what opening costs."""
    words = f"To open '{unit.name}': {_minutes(unit.open_minutes)}; to close it: {_minutes(unit.close_minutes)}."
    if unit.risk_cost:
        words += f" What breaks on the way in costs {unit.risk_cost:g} {money} on average."
    for used in unit.consumes:
        words += f" Each time it uses up {used.name}, {used.cost:g} {money}."
    return words


def _component(key: str, part: Component, sheet: Sheet) -> Iterator[Said]:
    """Say what goes wrong with a component, why, and what it costs."""
    path: EntryPath = ("component", key)
    name, money = f"'{part.name}'", sheet.sheet.currency
    if part.alone is not None:
        row = _shares(dict(zip(part.states, part.alone, strict=True)))
        none = "With none of its causes" if part.causes else "As a rule"
        yield Said(path, f"{none}, {name} is {row} of 100 machines.", part.source)
    for place, cause in enumerate(part.causes):
        words = f"By itself, {_cause(cause, sheet)} leaves {name} {_shares(cause.gives)} of 100 machines"
        yield Said((*path, "causes", place), f"{words}{_via(cause)}.", cause.source or part.source)
    for state, cost in part.leaving.items():
        words = f"Sent home {state}, {name} costs {cost:g} {money} later, on average."
        yield Said((*path, "leaving"), words, part.source)
    if part.must:
        words = f"{name} is put right whatever the owner wishes if {' or '.join(part.must)}."
        yield Said((*path, "must"), words, part.source)
    if any(part.remove_minutes) or any(part.refit_minutes):
        words = f"To take off {name}: {_minutes(part.remove_minutes)}; to put back: {_minutes(part.refit_minutes)}."
        yield Said(path, words, part.source)
    if part.supply is not None:
        yield Said((*path, "supply"), _part(part.supply, money), part.supply.source or part.source)


def _cause(cause: Cause, sheet: Sheet) -> str:
    """Name a cause: "'stored wet'", "'years idle' (over ten)", "'Sleeve' (pitted)"."""
    if cause.of in sheet.component:
        return f"'{sheet.component[cause.of].name}' ({cause.is_})"
    states = parents(sheet)[cause.of]
    words = cause.of.replace("_", " ")
    plain = len(states) == 2 and cause.is_ == "yes"
    return f"'{words}'" if plain else f"'{words}' ({cause.is_.replace('_', ' ')})"


def _via(cause: Cause) -> str:
    """Add how a cause works, where that is told."""
    return f", {cause.via}" if cause.via else ""


def _finding(key: str, finding: Finding, sheet: Sheet) -> Iterator[Said]:
    """Say what is answered when nothing is wrong, and what each condition makes people answer."""
    path: EntryPath = ("finding", key)
    look = f"'{finding.look}'"
    for answer, chance in finding.false_alarm.items():
        words = f"With nothing wrong, {look} is still answered '{answer}' in {_of_100(chance)} of 100 machines."
        yield Said((*path, "false_alarm"), words, finding.source)
    yield from _shown(path, finding.shows, look, finding.source, sheet)
    yield Said(path, f"{look} takes {_time(finding.minutes)}.", finding.source)


def _shown(path: EntryPath, shows: tuple[Cause, ...], look: str, source: str, sheet: Sheet) -> Iterator[Said]:
    """Say what each condition shows by itself."""
    for place, cause in enumerate(shows):
        row = ", ".join(f"'{name}' in {_of_100(chance)}" for name, chance in cause.gives.items())
        words = f"By itself, {_cause(cause, sheet)} gives {look} {row} of 100 machines{_via(cause)}."
        yield Said((*path, "shows", place), words, cause.source or source)


def _reading(key: str, reading: Reading, sheet: Sheet) -> Iterator[Said]:
    """Say what each level reads like and which conditions show it."""
    path: EntryPath = ("reading", key)
    for place, level in enumerate(reading.levels):
        yield Said((*path, "levels", place), f"'{reading.ask}': {_level(level, reading)}.", reading.source)
    for name, chance in reading.false_alarm.items():
        words = f"With nothing wrong, '{reading.ask}' still reads '{name}' in {_of_100(chance)} of 100 machines."
        yield Said((*path, "false_alarm"), words, reading.source)
    yield from _shown(path, reading.shows, f"'{reading.ask}'", reading.source, sheet)
    words = f"'{reading.ask}' takes {_time(reading.minutes)}; plausible from {' to '.join(reading.plausible)}."
    yield Said(path, words, reading.source)


def _level(level: Level, reading: Reading) -> str:
    """Say what one level reads like; a spread of s is a factor of e to the s, two times out of three."""
    about = level.centre or f"{level.times:g} times what {(reading.predict or '').replace('_', ' ')} gives"
    words = (
        f"'{level.name}' reads about {about}, two times out of three within a factor of {math.exp(level.spread):.3g}"
    )
    for chance, shown in ((level.over_range, "over range"), (level.below_resolution, "below resolution")):
        if chance:
            words += f", and '{shown}' in {_of_100(chance)} of 100 machines"
    return words


def _treatment(key: str, treatment: Treatment, sheet: Sheet) -> Iterator[Said]:
    """Say what a treatment puts right, how long it takes, what it needs and how often it does not hold."""
    path: EntryPath = ("treatment", key)
    for place, fix in enumerate(treatment.fixes):
        name = sheet.component[fix.of].name
        words = f"'{treatment.name}' ({treatment.way}) takes '{name}' from {' or '.join(fix.from_)} to {fix.leaves}"
        words += f"; it does not hold in {_of_100(fix.residual)} of 100 machines."
        yield Said((*path, "fixes", place), words, treatment.source)
    for place, step in enumerate(treatment.steps):
        words = f"{step.do}: {_minutes(step.minutes)}"
        words += f", then {_time(step.wait_minutes)} by itself" if step.wait_minutes else ""
        words += f", {_time(step.wait_max)} at most" if step.wait_max is not None else ""
        yield Said((*path, "steps", place), f"{words}.", treatment.source)
    for place, part in enumerate(treatment.parts):
        yield Said((*path, "parts", place), _part(part, sheet.sheet.currency), part.source or treatment.source)


def _part(part: Part, money: str) -> str:
    """Say what a part costs and how long it takes to get."""
    low, likely, high = part.cost
    soon, usual, late = part.lead_days
    return (
        f"{part.name[:1].upper()}{part.name[1:]} ({part.had}): {low:g} to {high:g} {money}, likely {likely:g}; "
        f"in {soon:g} to {late:g} days, likely {usual:g}."
    )


def _test(test: Proving) -> str:
    """Say what a proving test asks for and by which standard."""
    wait = f", then {_time(test.wait_minutes)} by itself" if test.wait_minutes else ""
    return f"Proving, '{test.name}': {test.limit_words} ({test.standard}). It takes {_minutes(test.minutes)}{wait}."
