"""Do the numbers of a sheet hang together: shares that add up, rows within one, ladders that never run backwards?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from brasswright.errors import BrasswrightError
from brasswright.sheets.found import Found, effects, parents
from brasswright.units import dimension_of, parse

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from brasswright.sheets.found import Effect
    from brasswright.sheets.model import Cause, Level, Proving, Reading, Record, Sheet
    from brasswright.sheets.places import EntryPath

__all__ = ["PREDICTIONS", "numbers", "reaches"]

PREDICTIONS = {"element_cold_resistance": ("rated_voltage_v", "rated_power_w")}
"""What a reading may be predicted from, and what the sheet's head must say for it."""

_TRIPLES = ("open_minutes", "close_minutes", "remove_minutes", "refit_minutes", "minutes", "cost", "lead_days")
_CLOSE = 1e-6
_NO_EFFECT = 1e-9


def numbers(sheet: Sheet) -> Iterator[Found]:
    """Find shares, rows, triples, levels and limits that cannot be."""
    yield from _shares(sheet)
    for effect in effects(sheet):
        yield from _rows(effect)
        yield from _backwards(effect, parents(sheet))
    yield from _alarms(sheet)
    yield from _triples(sheet)
    for key, reading in sheet.reading.items():
        yield from _reading(("reading", key), reading, sheet)
    for key, test in sheet.proving.items():
        yield from _limits(("proving", key), test)


def _shares(sheet: Sheet) -> Iterator[Found]:
    """Find `usual` and `alone` of the wrong length or not adding up to one."""
    told = [(("history", key, "usual"), history.usual, history.states) for key, history in sheet.history.items()]
    for key, part in sheet.component.items():
        if part.alone is not None:
            told.append((("component", key, "alone"), part.alone, part.states))
        elif part.causes:
            yield Found(
                ("component", key),
                "it has causes and no `alone`.",
                "Add `alone`, the share of each condition with none of the causes; or leave the causes out.",
            )
    for path, row, states in told:
        if len(row) != len(states):
            what = f"{len(row)} numbers for {len(states)} states."
            yield Found(path, what, f"Give one number each for {', '.join(states)}.")
        elif not math.isclose(sum(row), 1.0, abs_tol=_CLOSE):
            yield Found(path, f"the numbers add up to {sum(row):g}, not to 1.", "Change them until they add up to 1.")


def _rows(effect: Effect) -> Iterator[Found]:
    """Find a cause that gives more than all."""
    for place, cause in enumerate(effect.causes):
        yield from _within((*effect.path, effect.field, place, "gives"), cause.gives)


def _alarms(sheet: Sheet) -> Iterator[Found]:
    """Find false alarms that add up to more than all."""
    for kind in ("finding", "reading"):
        for key, entry in getattr(sheet, kind).items():
            yield from _within((kind, key, "false_alarm"), entry.false_alarm)


def _within(path: EntryPath, row: Mapping[str, float]) -> Iterator[Found]:
    """Find a row above one."""
    total = sum(row.values())
    if total > 1 + _CLOSE:
        yield Found(
            path,
            f"{' + '.join(f'{value:g}' for value in row.values())} is {total:g}, above 1.",
            "One cause gives one effect at a time: the numbers of a line add up to 1 at most.",
        )


def reaches(gives: Mapping[str, float], ladder: Sequence[str]) -> tuple[float, ...]:
    """Return the chance that a cause brings a ladder to each step or worse, best first.

    >>> reaches({"scaled": 0.25, "holed": 0.5}, ("sound", "scaled", "holed"))
    (1.0, 0.75, 0.5)
    """
    return (1.0, *(sum(gives.get(step, 0.0) for step in ladder[place:]) for place in range(1, len(ladder))))


def _backwards(effect: Effect, states: Mapping[str, tuple[str, ...]]) -> Iterator[Found]:
    """Find a worse state of a cause that gives a better effect; a state that is not given does nothing."""
    for of in dict.fromkeys(cause.of for cause in effect.causes):
        rows = {cause.is_: (place, cause) for place, cause in enumerate(effect.causes) if cause.of == of}
        milder: Cause | None = None
        for state in states.get(of, ()):
            place, cause = rows.get(state, (None, None))
            if milder is not None and _falls(milder, cause, effect.ladder):
                at = place if place is not None else rows[milder.is_][0]
                yield _running_back((*effect.path, effect.field, at), effect, milder, state)
            milder = cause if cause is not None else milder


def _falls(milder: Cause, worse: Cause | None, ladder: Sequence[str]) -> bool:
    """Whether the worse state reaches some step less often than the milder one."""
    after = reaches(worse.gives if worse is not None else {}, ladder)
    return any(b < a - _NO_EFFECT for a, b in zip(reaches(milder.gives, ladder), after, strict=True))


def _running_back(path: EntryPath, effect: Effect, milder: Cause, state: str) -> Found:
    """Say which two states of a cause run backwards."""
    return Found(
        path,
        f"{milder.of} '{state}' is worse than '{milder.is_}' and gives a better result "
        f"(on the way {' > '.join(effect.ladder)}).",
        f"Give '{state}' at least what '{milder.is_}' gives, at each step or worse; or change the order of the ladder.",
    )


def _triples(sheet: Sheet) -> Iterator[Found]:
    """Find low, likely, high that fall or lie below nought."""
    for kind in ("unit", "component", "treatment", "proving"):
        for key, entry in getattr(sheet, kind).items():
            yield from _triple((kind, key), entry)
            for inner in ("steps", "parts"):
                for place, item in enumerate(getattr(entry, inner, ())):
                    yield from _triple((kind, key, inner, place), item)
            supply = getattr(entry, "supply", None)
            if supply is not None:
                yield from _triple((kind, key, "supply"), supply)


def _triple(path: EntryPath, entry: Record) -> Iterator[Found]:
    """Find one falling triple."""
    for name in _TRIPLES:
        value = getattr(entry, name, None)
        if isinstance(value, tuple) and not 0 <= value[0] <= value[1] <= value[2]:
            said = ", ".join(f"{number:g}" for number in value)
            yield Found((*path, name), f"[{said}] falls or lies below 0.", "Give low, likely, high in that order.")
    wait, most = getattr(entry, "wait_minutes", 0.0), getattr(entry, "wait_max", None)
    if most is not None and most < wait:
        yield Found((*path, "wait_max"), f"{most:g} is below the {wait:g} minutes it has to wait.", "Give more.")


def _reading(path: EntryPath, reading: Reading, sheet: Sheet) -> Iterator[Found]:
    """Find levels without a centre, texts that are no quantity, and predictions that cannot be made."""
    try:
        dimension = dimension_of(reading.unit)
    except BrasswrightError as refused:
        yield Found((*path, "unit"), str(refused.what), refused.allowed)
        return
    for place, level in enumerate(reading.levels):
        yield from _level((*path, "levels", place), level, dimension, predicted=reading.predict is not None)
    low, high = (_si(text, dimension) for text in reading.plausible)
    for text, value in zip(reading.plausible, (low, high), strict=True):
        if isinstance(value, Found):
            yield Found((*path, "plausible"), f"'{text}': {value.what}", value.remedy)
    if isinstance(low, float) and isinstance(high, float) and low >= high:
        yield Found((*path, "plausible"), "the lower end is not below the upper.", "Give the lower end first.")
    if reading.predict is not None:
        yield from _prediction((*path, "predict"), reading.predict, sheet)


def _level(path: EntryPath, level: Level, dimension: str, *, predicted: bool) -> Iterator[Found]:
    """Find what is wrong with one level."""
    if (level.centre is None) == (level.times is None):
        what = "a level needs either `centre` or `times`, not both and not neither."
        yield Found(path, what, 'Write centre = "0.2 ohm", or times = 1.0 of what is predicted.')
    if level.times is not None and not predicted:
        yield Found((*path, "times"), "`times` of what? The reading predicts nothing.", "Add `predict`, or a `centre`.")
    if level.centre is not None:
        value = _si(level.centre, dimension)
        if isinstance(value, Found):
            yield Found((*path, "centre"), value.what, value.remedy)
        elif value <= 0:
            yield Found((*path, "centre"), f"'{level.centre}' is not above 0.", "Levels spread by ratios: give more.")
    if level.over_range + level.below_resolution > 1 + _CLOSE:
        yield Found(path, "`over_range` and `below_resolution` together are above 1.", "Lower one of them.")


def _prediction(path: EntryPath, predict: str, sheet: Sheet) -> Iterator[Found]:
    """Find an unknown prediction, or one without what it stands on."""
    wants = PREDICTIONS.get(predict)
    if wants is None:
        yield Found(path, f"unknown prediction '{predict}'.", f"Known: {', '.join(PREDICTIONS)}.")
        return
    for name in wants:
        if getattr(sheet.sheet, name) is None:
            yield Found(path, f"it needs '{name}' in the [sheet] table.", "Add it: machines of this kind usually.")


def _si(text: str, dimension: str) -> float | Found:
    """Return a text with a unit in SI, or why it is none."""
    try:
        value = parse(text, dimension=dimension).value
    except BrasswrightError as refused:
        return Found((), refused.what, refused.remedy or f"Allowed: {refused.allowed}.")
    if value is None:
        return Found((), f"'{text}' gives no number.", "Give a number with a unit.")
    return value


def _limits(path: EntryPath, test: Proving) -> Iterator[Found]:
    """Find limits of a proving test that are no quantity, or stand the wrong way round."""
    said = {name: getattr(test, name) for name in ("at_most", "at_least", "fails_above", "fails_below")}
    given = {name: text for name, text in said.items() if text is not None}
    if not given:
        return
    if not test.quantity:
        yield Found(path, "a limit without a quantity.", 'Add quantity = "resistance", or another quantity.')
        return
    values: dict[str, float] = {}
    for name, text in given.items():
        try:
            value = _si(text, test.quantity)
        except ValueError as refused:
            value = Found((), str(refused))
        if isinstance(value, Found):
            yield Found((*path, name), value.what, value.remedy)
        else:
            values[name] = value
    for lower, upper in (("at_least", "at_most"), ("fails_below", "at_least"), ("at_most", "fails_above")):
        if lower in values and upper in values and values[lower] > values[upper]:
            yield Found((*path, lower), f"`{lower}` is above `{upper}`.", "Swap them or correct one.")
