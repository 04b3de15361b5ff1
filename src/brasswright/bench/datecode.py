"""Stamped date codes: every year they can mean, and when several components together say the machine was built."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.stamps import Reading, stamp_readings
from brasswright.bench.validity import within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INSTRUMENT", "DatecodeResult", "datecode"]

_EDGES: Final = (1850.0, 2150.0)
_SHELF: Final = (0.0, 10.0)
_DAYS_A_YEAR: Final = 365.2425
_MOST: Final = 40
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class DatecodeResult:
    """All readings of all codes, the years of each, what cannot be, and the build intervals that fit most codes."""

    years: tuple[str, ...]
    readings: tuple[Reading, ...]
    rejected: tuple[str, ...]
    build: tuple[str, ...]
    replaced: tuple[str, ...]
    older: tuple[str, ...]
    meaning: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Window:
    """One build interval: first and last day, and the codes that fit every day of it."""

    first: date
    last: date
    members: frozenset[str]


def datecode(
    *,
    code: str,
    not_before_year: float | None = None,
    not_after_year: float | None = None,
    shelf_years: float | None = None,
) -> DatecodeResult:
    """What date codes stamped on components can mean, never one year where several fit.

    Symbols: f, l first and last day of a reading, s shelf time; a component so stamped was built in between f and
    l + s. The build intervals are all spans of days that most codes fit; two codes at least.
    Valid for two to eight figures, and letters of the 20-year cycle or of the month; years 1850 to 2150; weeks by ISO
    8601. Source: iso-8601; iec-60062 (letters from memory); common-practice for the shelf time.

    >>> datecode(code="E5", not_after_year=2026).years
    ('E5: 1974, 1994, 2014',)
    >>> datecode(code="element 3662; pressurestat 4162; motor 1987", not_after_year=2026).replaced
    ('built 1962 to 1964: motor 1987 is later in every reading (1987)',)
    """
    edges = _years(not_before_year, not_after_year)
    shelf = _single("shelf_years", constant("datecode_shelf_years") if shelf_years is None else shelf_years, _SHELF)
    read = {
        name: stamp_readings(code=stamped, component=component, first_year=edges[0], last_year=edges[1])
        for name, component, stamped in _named(code)
    }
    by_name = {name: one.readings for name, one in read.items()}
    windows = _windows(by_name, timedelta(days=shelf * _DAYS_A_YEAR))
    many = sum(bool(readings) for readings in by_name.values())
    return DatecodeResult(
        years=tuple(f"{name}: {_year_list(readings) or 'none'}" for name, readings in by_name.items()),
        readings=tuple(reading for readings in by_name.values() for reading in readings),
        rejected=tuple(reason for one in read.values() for reason in one.rejected),
        build=tuple(_interval(window, many) for window in windows),
        replaced=tuple(line for window in windows for line in _outside(window, by_name, later=True)),
        older=tuple(line for window in windows for line in _outside(window, by_name, later=False)),
        meaning=_meaning(by_name, windows),
        warnings=_warnings(by_name, not_after_year),
    )


def _single(name: str, value: float, edges: tuple[float, float]) -> float:
    """Return one figure checked; many at once are refused, as years cannot be spread."""
    got = within(name, value, low=edges[0], high=edges[1], source="common-practice")
    if got.ndim:
        raise ImpossibleValue("One figure is asked here, without uncertainty.", where=name)
    return float(got)


def _years(low: float | None, high: float | None) -> tuple[int, int]:
    """Return the first and last year taken, checked."""
    edges = []
    for name, given, usual in (
        ("not_before_year", low, "datecode_first_year"),
        ("not_after_year", high, "datecode_last_year"),
    ):
        year = _single(name, constant(usual) if given is None else given, _EDGES)
        if year != int(year):
            raise ImpossibleValue("A year is a whole number.", where=name, got=year)
        edges.append(int(year))
    if edges[0] > edges[1]:
        raise ImpossibleValue("The first year lies after the last.", got=f"{edges[0]} to {edges[1]}")
    return edges[0], edges[1]


def _named(code: str) -> list[tuple[str, str, str]]:
    """Return name as shown, component and code of each piece between semicolons; "motor 8423" names the component."""
    found: list[tuple[str, str, str]] = []
    for piece in (" ".join(part.split()) for part in code.split(";")):
        if not piece:
            continue
        component, stamped = _component(piece)
        shown = f"{component} {stamped}".strip()
        if shown in {name for name, *_ in found}:
            raise ImpossibleValue(
                "The same component and code stand twice.", got=f"'{shown}'", remedy="Number them: valve 1, valve 2."
            )
        found.append((shown, component, stamped))
    if not found or len(found) > _MOST:
        raise ImpossibleValue("A code is asked.", got=f"'{code}'", allowed="such as 'element 3662; motor E5'")
    return found


def _component(piece: str) -> tuple[str, str]:
    """Return component and code; the component is the words before a colon, or those of small letters in front."""
    before, colon, after = piece.partition(":")
    if colon:
        return before.strip(), after.strip()
    parts = piece.split()
    while len(parts) > 1 and parts[0][-1].islower() and parts[0].lower() not in {"week", "wk", "kw", "w"}:
        parts = parts[1:]
    return " ".join(piece.split()[: len(piece.split()) - len(parts)]), " ".join(parts)


def _year_list(readings: tuple[Reading, ...]) -> str:
    """Return the years of some readings, each once."""
    return ", ".join(str(year) for year in sorted({one.year for one in readings}))


def _windows(by_name: Mapping[str, tuple[Reading, ...]], shelf: timedelta) -> tuple[_Window, ...]:
    """Return the spans of days on which most codes could have been built in; none where no two codes agree."""
    spans = [
        (name, date.fromisoformat(one.first_day), date.fromisoformat(one.last_day) + shelf)
        for name, readings in by_name.items()
        for one in readings
    ]
    edges = sorted({first for _, first, _ in spans} | {last + _DAY for *_, last in spans})
    found: list[_Window] = []
    for start, after in itertools.pairwise(edges):
        members = frozenset(name for name, first, last in spans if first <= start <= last)
        if found and found[-1].members == members and found[-1].last + _DAY == start:
            found[-1] = _Window(found[-1].first, after - _DAY, members)
        else:
            found.append(_Window(start, after - _DAY, members))
    most = max((len(window.members) for window in found), default=0)
    return tuple(window for window in found if len(window.members) == most) if most > 1 else ()


def _interval(window: _Window, many: int) -> str:
    """Return one build interval in words."""
    named = ", ".join(sorted(window.members))
    return f"{window.first} to {window.last}, by {len(window.members)} of {many} codes ({named})"


def _outside(window: _Window, by_name: Mapping[str, tuple[Reading, ...]], *, later: bool) -> tuple[str, ...]:
    """Return the codes that fit no day of an interval: those later than it in some or every reading, or the older."""
    found = []
    for name, readings in by_name.items():
        after = [date.fromisoformat(one.first_day) > window.last for one in readings]
        if name in window.members or not readings or any(after) != later:
            continue
        side = "later" if later else "older"
        how = f"{side} in every reading" if later == all(after) or not later else "later, or older, but never fits"
        found.append(f"built {_span_years(window)}: {name} is {how} ({_year_list(readings)})")
    return tuple(found)


def _span_years(window: _Window) -> str:
    """Return the years of an interval."""
    return (
        str(window.first.year)
        if window.first.year == window.last.year
        else f"{window.first.year} to {window.last.year}"
    )


def _meaning(by_name: Mapping[str, tuple[Reading, ...]], windows: tuple[_Window, ...]) -> str:
    """Return what the codes say together, in a sentence or two."""
    if len(by_name) == 1:
        ((name, readings),) = by_name.items()
        years = _year_list(readings)
        if not years:
            return f"{name} is no date in any layout tried: it may be a batch, type or order number."
        several = "one of these years" if "," in years else "this year, if it is a date at all"
        return f"{name} can mean {several}: {years}. Date the machine by several components, not by one."
    if not windows:
        return "No two codes could have been built in together: they give no build interval."
    if len(windows) > 1:
        return f"{len(windows)} build intervals fit equally many codes; nothing here decides between them."
    (window,) = windows
    fitting, many = len(window.members), sum(bool(readings) for readings in by_name.values())
    weak = "" if 2 * fitting > many else " Most codes do not fit it: take it as a guess."
    return f"Likely built {window.first} to {window.last}: {fitting} of {many} codes fit.{weak}"


def _warnings(by_name: Mapping[str, tuple[Reading, ...]], not_after_year: float | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    readings = [one for several in by_name.values() for one in several]
    if not_after_year is None:
        found.append("No last year was stated: readings may lie in the future. Give not_after_year.")
    if any("letter" in one.layout for one in readings):
        found.append("Letters are from memory, or common practice; makers had their own, some of ten years.")
    if any("week" in one.layout and one.year < constant("datecode_week_year") for one in readings):
        found.append("Weeks were counted in several ways before ISO 8601 was usual: allow a week either side.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="datecode",
    summary="stamped date codes: every year they can mean, the likely build interval of several, later replacements",
    inputs=(
        Input(
            "code", "code", "the code as stamped; several: 'element 3662; pressurestat 41/62; motor E5'",
            kind="words", required=True,
        ),
        Input(
            "not_before_year", "not_before_year", "earliest year it can be", dimension="count", unit="1",
            low=_EDGES[0], high=_EDGES[1],
        ),
        Input(
            "not_after_year", "not_after_year", "latest year it can be, such as this one", dimension="count", unit="1",
            low=_EDGES[0], high=_EDGES[1],
        ),
        Input(
            "shelf", "shelf_years", "years a component may have lain before it was built in", dimension="count",
            unit="1", low=_SHELF[0], high=_SHELF[1],
        ),
    ),
    outputs=(
        Output("years", "", "years: all that each code can mean"),
        Output("readings", "", "readings: component, code, layout, year, first and last day"),
        Output("rejected", "", "cannot be: layouts that give no date, and why"),
        Output("build", "", "likely build intervals: all that fit most codes"),
        Output("replaced", "", "later than the build interval: replaced since, or misread"),
        Output("older", "", "older than the build interval: old stock, a donor's, or misread"),
        Output("meaning", "", "meaning: what the codes say together"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="two to eight figures, letters of a 20-year cycle or a month, years 1850 to 2150; weeks by ISO 8601",
    example={"code": "element 3662; pressurestat 41/62; motor 1987", "not_after_year": "2026"},
    cautions=(
        "A code dates the component, not the machine; a figure may be a batch, type or order number.",
        "No date shows lagging or a gasket free of asbestos: a laboratory or a documented replacement does.",
        "Codes behind covers: only after the plug is out, proved dead, cold and vented.",
    ),
    sources=("iso-8601", "iec-60062", "gregorian-calendar", "common-practice"),
    call=datecode,
)  # fmt: skip
