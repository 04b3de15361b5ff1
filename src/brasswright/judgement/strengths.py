"""Every strength of a sheet as one numbered row, and a sheet with some of its rows learned anew.

A row is a share of states "by itself": the usual shares of a history, a component's conditions with none of its causes,
what one cause does, what one condition shows, how often a question says something with nothing behind it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from brasswright.judgement.compile import Table, node_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from brasswright.journal.learnt import Strength
    from brasswright.judgement.compile import Role
    from brasswright.sheets.model import Cause, Sheet

__all__ = ["HISTORIES", "Row", "Strengths", "strengths_of", "with_rows"]

HISTORIES = "histories"
"""Name of the group that the usual shares of histories make; every other group is a zone."""
SAME = 1e-9
"""Two chances that lie no further apart are the same number."""
RowKind = Literal["usual", "alone", "causes", "false_alarm", "shows"]


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its place in the sheet, whose states it shares out, and in which state of which parent it speaks.

    `parent` is empty and `at` is 0 for rows that speak always. `group` is the zone of the component it is about.
    """

    place: str
    child: str
    states: tuple[str, ...]
    kind: RowKind
    group: str
    parent: str = ""
    at: int = 0


@dataclass(frozen=True, eq=False)
class Strengths:
    """All rows of a sheet: `chances` has one line for each, padded with zeros; `trust` is their worth in jobs."""

    rows: tuple[Row, ...]
    chances: Table
    trust: Table

    def named(self, line: int, chances: Table) -> dict[str, float]:
        """Return one line by the names of its states."""
        return {state: float(chance) for state, chance in zip(self.rows[line].states, chances[line], strict=False)}


def strengths_of(sheet: Sheet) -> Strengths:
    """Return every strength of a sheet; components without numbers have none."""
    told = list(_rows(sheet))
    widest = max((len(row.states) for row, _, _ in told), default=1)
    chances = np.zeros((len(told), widest))
    for line, (row, shares, _) in enumerate(told):
        chances[line, : len(row.states)] = shares
    trust = np.array([sheet.source[source].trust for _, _, source in told])
    return Strengths(tuple(row for row, _, _ in told), chances, trust)


Told = tuple[Row, tuple[float, ...], str]


def _rows(sheet: Sheet) -> Iterator[Told]:
    for key, history in sheet.history.items():
        row = Row(f"history.{key}.usual", node_of("history", key), history.states, "usual", HISTORIES)
        yield row, _shared(history.usual), history.source
    for key, part in sheet.component.items():
        if part.alone is None:
            continue
        child = node_of("component", key)
        row = Row(f"component.{key}.alone", child, part.states, "alone", part.zone)
        yield row, _shared(part.alone), part.source
        yield from _caused(sheet, ("component", key, "causes"), part.states, part.causes, part.zone)
    for key, finding in sheet.finding.items():
        yield from _shown(sheet, "finding", key, finding.answers)
    for key, reading in sheet.reading.items():
        yield from _shown(sheet, "reading", key, tuple(level.name for level in reading.levels))


def _shown(sheet: Sheet, role: Role, key: str, states: tuple[str, ...]) -> Iterator[Told]:
    entry = sheet.finding[key] if role == "finding" else sheet.reading[key]
    row = Row(f"{role}.{key}.false_alarm", node_of(role, key), states, "false_alarm", entry.zone)
    yield row, _rest_to_best(states, entry.false_alarm), entry.source
    yield from _caused(sheet, (role, key, "shows"), states, entry.shows, entry.zone)


def _caused(
    sheet: Sheet, path: tuple[Role, str, RowKind], states: tuple[str, ...], causes: Iterable[Cause], zone: str
) -> Iterator[Told]:
    role, key, kind = path
    own = getattr(sheet, role)[key].source
    for cause in causes:
        history = sheet.history.get(cause.of)
        parent = node_of("history" if history is not None else "component", cause.of)
        ladder = history.states if history is not None else sheet.component[cause.of].states
        about = zone if history is not None or kind == "causes" else sheet.component[cause.of].zone
        place = f"{role}.{key}.{kind}.{cause.of}.{cause.is_}"
        row = Row(place, node_of(role, key), states, kind, about, parent, ladder.index(cause.is_))
        yield row, _rest_to_best(states, cause.gives), cause.source or own


def _shared(shares: tuple[float, ...]) -> tuple[float, ...]:
    whole = math.fsum(shares)
    return tuple(share / whole for share in shares)


def _rest_to_best(states: tuple[str, ...], gives: Mapping[str, float]) -> tuple[float, ...]:
    worse = tuple(gives.get(state, 0.0) for state in states[1:])
    return (max(1.0 - math.fsum(worse), 0.0), *worse)


def with_rows(sheet: Sheet, rows: Iterable[Strength]) -> tuple[Sheet, tuple[str, ...]]:
    """Return the sheet with learned rows in place of its own, and the places that do not fit and were left alone.

    A learned row fits where the sheet still has that place with the very numbers the row was learned against.
    """
    own = strengths_of(sheet)
    lines = {row.place: line for line, row in enumerate(own.rows)}
    taken: dict[str, Mapping[str, float]] = {}
    unfit: list[str] = []
    for learned in rows:
        line = lines.get(learned.place)
        if (
            line is None
            or not _same(own.named(line, own.chances), learned.had)
            or set(learned.had) != set(learned.learnt)
        ):
            unfit.append(learned.place)
        else:
            taken[learned.place] = learned.learnt
    return (_replaced(sheet, taken) if taken else sheet), tuple(unfit)


def _same(now: Mapping[str, float], then: Mapping[str, float]) -> bool:
    return set(now) == set(then) and all(abs(now[state] - then[state]) <= SAME for state in now)


def _replaced(sheet: Sheet, taken: Mapping[str, Mapping[str, float]]) -> Sheet:
    changed: dict[str, dict[str, dict[str, Any]]] = {}
    for place in taken:
        role, key = place.split(".")[:2]
        changed.setdefault(role, {}).setdefault(key, {})
    tables: dict[str, Any] = {}
    for role, keys in changed.items():
        table = dict(getattr(sheet, role))
        for key in keys:
            table[key] = _entry(table[key], f"{role}.{key}", taken)
        tables[role] = table
    return sheet.model_copy(update=tables)


def _entry(entry: Any, path: str, taken: Mapping[str, Mapping[str, float]]) -> Any:  # noqa: ANN401 - four sorts of entry
    """Return a history, component, finding or reading with its learned rows."""
    update: dict[str, Any] = {}
    for whole in ("usual", "alone"):
        row = taken.get(f"{path}.{whole}")
        if row is not None:
            update[whole] = tuple(row[state] for state in entry.states)
    alarm = taken.get(f"{path}.false_alarm")
    if alarm is not None:
        update["false_alarm"] = _worse(alarm, entry)
    for kind in ("causes", "shows"):
        if hasattr(entry, kind):
            causes = tuple(_cause(cause, f"{path}.{kind}", taken, entry) for cause in getattr(entry, kind))
            if any(new is not old for new, old in zip(causes, getattr(entry, kind), strict=True)):
                update[kind] = causes
    return entry.model_copy(update=update)


def _cause(cause: Cause, path: str, taken: Mapping[str, Mapping[str, float]], entry: Any) -> Cause:  # noqa: ANN401
    row = taken.get(f"{path}.{cause.of}.{cause.is_}")
    return cause if row is None else cause.model_copy(update={"gives": _worse(row, entry)})


def _worse(row: Mapping[str, float], entry: Any) -> dict[str, float]:  # noqa: ANN401 - component, finding or reading
    ladder = getattr(entry, "states", None) or getattr(entry, "answers", None) or [one.name for one in entry.levels]
    return {state: row[state] for state in ladder[1:] if row[state] > 0.0}
