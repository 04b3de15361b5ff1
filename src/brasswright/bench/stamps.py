"""Every way in which a short stamped date can be read: week and year, month and year, letters, whole dates."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from brasswright.errors import ImpossibleValue
from brasswright.tables import constant, rows

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Read", "Reading", "long_year", "stamp_readings", "stamp_years"]

_WEEKS: Final = (1, 53)
_MONTHS: Final = (1, 12)
_LONGEST: Final = 16
_FILLER: Final = re.compile(r"[\s./\-_]+")
_ROMAN: Final = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read one code: how it was laid out, the year, first and last day as year-month-day."""

    component: str
    code: str
    layout: str
    year: int
    first_day: str
    last_day: str

    @property
    def in_words(self) -> str:
        """The reading in a phrase."""
        whose = f"{self.component} {self.code}" if self.component else self.code
        return f"{whose} as {self.layout}: {self.year}, {self.first_day} to {self.last_day}"


@dataclass(frozen=True, slots=True)
class Read:
    """All readings of one code, oldest first, and the ways that cannot be, with the reason."""

    readings: tuple[Reading, ...]
    rejected: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Try:
    """One layout tried: years that fit its digits, and the week, month or day it names."""

    layout: str
    year: str
    week: int | None = None
    month: int | None = None
    day: int | None = None


def long_year(year: int) -> bool:
    """Return whether a year has 53 weeks by ISO 8601."""
    return date(year, 12, 28).isocalendar().week == _WEEKS[1]


def stamp_years(*, code: str, first_year: int | None = None, last_year: int | None = None) -> tuple[int, ...]:
    """Return all years a code can mean, each once, oldest first.

    >>> stamp_years(code="E5", last_year=2026)
    (1974, 1994, 2014)
    """
    read = stamp_readings(code=code, first_year=first_year, last_year=last_year)
    return tuple(dict.fromkeys(one.year for one in read.readings))


def stamp_readings(
    *, code: str, component: str = "", first_year: int | None = None, last_year: int | None = None
) -> Read:
    """Return every reading of a code between two years, and what cannot be.

    Layouts: year and week or month in either order, with one, two or four digits for the year; a whole date; a Roman
    month and a year; a month letter and two digits; the two-character code of a 20-year cycle. Weeks are counted by
    ISO 8601. Refuses a code in which no layout is found.
    """
    tidy = " ".join(code.upper().split())
    if not tidy or len(tidy) > _LONGEST:
        raise ImpossibleValue("That is no date code.", got=f"'{code}'", allowed=f"1 to {_LONGEST} characters")
    edges = (
        int(constant("datecode_first_year")) if first_year is None else first_year,
        int(constant("datecode_last_year")) if last_year is None else last_year,
    )
    readings: list[Reading] = []
    rejected: list[str] = []
    tries = tuple(dict.fromkeys((*_digits(tidy), *_letters(tidy))))
    for one in tries:
        reason = _reason(one)
        years = () if reason else _years(one.year, edges)
        spans = [(year, span) for year in years if (span := _span(one, year)) is not None]
        readings += [
            Reading(component, code.strip(), one.layout, year, first.isoformat(), last.isoformat())
            for year, (first, last) in spans
        ]
        if not spans:
            rejected.append(f"{code.strip()} as {one.layout}: {reason or _no_year(one, years, edges)}")
    if not tries:
        rejected.append(f"{code.strip()}: no layout fits; part a name from its code by a colon, as in motor: 1987")
    return Read(tuple(sorted(set(readings), key=lambda r: (r.first_day, r.last_day, r.layout))), tuple(rejected))


def _digits(tidy: str) -> Iterator[_Try]:
    """Yield the layouts of a code made of figures, filler and perhaps a mark for the week."""
    marked = re.sub(r"\b(?:WEEK|WK|KW|W)\s*(?=\d)|(?<=\d)W(?=\d)", " ", tidy)
    only_week = marked != tidy
    parts = [part for part in _FILLER.split(marked) if part]
    if not parts or not all(part.isdecimal() for part in parts):
        return
    joined = "".join(parts)
    if len(parts) > 2 or (len(parts) == 1 and len(joined) in {6, 8}):
        yield from _whole_dates(joined if len(parts) == 1 else "".join(part.zfill(2) for part in parts))
    pairs = [(parts[0], parts[1])] if len(parts) == 2 else _cuts(joined) if len(parts) == 1 else []
    for left, right in pairs:
        for layout, year, other in ((f"{_y(left)}, {{}}", left, right), (f"{{}}, {_y(right)}", right, left)):
            if len(year) in {1, 2, 4} and len(other) <= 2 and (len(year) > 1 or len(other) == 2 or len(parts) == 2):
                yield _Try(layout.format("week"), year, week=int(other))
                if not only_week:
                    yield _Try(layout.format("month"), year, month=int(other))
    if len(parts) == 1 and len(joined) == 4 and not only_week:
        yield _Try("whole year", joined)


def _y(year: str) -> str:
    """Return the words for a year of so many digits."""
    return {1: "last digit of the year", 2: "two-digit year"}.get(len(year), "year")


def _cuts(joined: str) -> list[tuple[str, str]]:
    """Return the two halves of a code written in one piece."""
    cuts = {3: (1, 2), 4: (2,), 6: (2, 4)}.get(len(joined), ())
    return [(joined[:cut], joined[cut:]) for cut in cuts]


def _whole_dates(joined: str) -> Iterator[_Try]:
    """Yield the orders of a day, a month and a year."""
    if len(joined) == 6:
        a, b, c = joined[:2], joined[2:4], joined[4:]
        yield _Try("day, month, two-digit year", c, month=int(b), day=int(a))
        yield _Try("month, day, two-digit year", c, month=int(a), day=int(b))
        yield _Try("two-digit year, month, day", a, month=int(b), day=int(c))
    elif len(joined) == 8:
        yield _Try("day, month, year", joined[4:], month=int(joined[2:4]), day=int(joined[:2]))
        yield _Try("month, day, year", joined[4:], month=int(joined[:2]), day=int(joined[2:4]))
        yield _Try("year, month, day", joined[:4], month=int(joined[4:6]), day=int(joined[6:]))


def _letters(tidy: str) -> Iterator[_Try]:
    """Yield the layouts of a code with a letter: the 20-year cycle, a month letter, a Roman month."""
    bare = _FILLER.sub("", tidy)
    cycle = {row["character"]: row for row in rows("datecode_letters") if row["stands_for"] == "year"}
    months = {row["character"]: row for row in rows("datecode_letters") if row["stands_for"] == "month"}
    if len(bare) == 2 and bare[0] in cycle and bare[1] in months:
        yield _Try(
            "letter of a 20-year cycle, month", f"cycle {cycle[bare[0]]['value']}", month=int(months[bare[1]]["value"])
        )
    lettered = re.fullmatch(r"([A-HJ-M]|I)(\d\d)|(\d\d)([A-HJ-M]|I)", bare)
    if lettered:
        letter, year = lettered[1] or lettered[4], lettered[2] or lettered[3]
        for alphabet, layout in (
            ("ABCDEFGHIJKL", "month letter A to L"),
            ("ABCDEFGHJKLM", "month letter A to M, no I"),
        ):
            if letter in alphabet:
                yield _Try(f"{layout}, two-digit year", year, month=alphabet.index(letter) + 1)
    roman = re.fullmatch(r"([IVX]+)(\d{2}|\d{4})|(\d{2}|\d{4})([IVX]+)", bare)
    if roman and (name := roman[1] or roman[4]) in _ROMAN:
        year = roman[2] or roman[3]
        yield _Try(f"Roman month, {_y(year)}", year, month=_ROMAN.index(name) + 1)


def _reason(one: _Try) -> str:
    """Return why a layout can be in no year, or nothing."""
    if one.week is not None and not _WEEKS[0] <= one.week <= _WEEKS[1]:
        return f"there is no week {one.week}"
    if one.month is not None and not _MONTHS[0] <= one.month <= _MONTHS[1]:
        return f"there is no month {one.month}"
    if one.month is not None and one.day is not None and not 1 <= one.day <= _month_days(one.month, leap=True):
        return f"month {one.month} has no day {one.day}"
    return ""


def _month_days(month: int, *, leap: bool) -> int:
    """Return the days of a month."""
    return calendar.monthrange(2000 if leap else 2001, month)[1]


def _years(text: str, edges: tuple[int, int]) -> tuple[int, ...]:
    """Return the years between the edges that end in those digits, or that a letter of the cycle names."""
    low, high = edges
    if text.startswith("cycle "):
        base, step = int(text.removeprefix("cycle ")), int(constant("datecode_cycle_years"))
        low = max(low, int(constant("datecode_cycle_first_year")))
        return tuple(year for year in range(low, high + 1) if (year - base) % step == 0)
    modulus = 10 ** len(text)
    return tuple(year for year in range(low, high + 1) if year % modulus == int(text))


def _span(one: _Try, year: int) -> tuple[date, date] | None:
    """Return the first and last day of a layout in a year, or None where that year has no such week or day."""
    if one.week is not None:
        if one.week == _WEEKS[1] and not long_year(year):
            return None
        first = date.fromisocalendar(year, one.week, 1)
        return first, first + timedelta(days=6)
    if one.month is None:
        return date(year, 1, 1), date(year, 12, 31)
    length = _month_days(one.month, leap=calendar.isleap(year))
    if one.day is None:
        return date(year, one.month, 1), date(year, one.month, length)
    return None if one.day > length else (date(year, one.month, one.day),) * 2


def _no_year(one: _Try, years: tuple[int, ...], edges: tuple[int, int]) -> str:
    """Return why no year is left."""
    if years and one.week is not None:
        return f"{', '.join(str(year) for year in years)} had no week {one.week} by ISO 8601"
    if years:
        return f"{', '.join(str(year) for year in years)} had no such day"
    return f"no such year from {edges[0]} to {edges[1]}"
