"""Counting days from a delivery: all of them, without Sundays, without holidays, business days; and the last one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from brasswright.errors import ImpossibleValue, NotFound

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["COUNTS", "Counted", "calendar_days", "count_readings", "iso_day", "weekday"]

COUNTS: Final = ("all days", "no sundays or holidays", "no holidays", "business days")
_SATURDAY: Final = 6
_SUNDAY: Final = 7
_DAY: Final = timedelta(days=1)
_NAMES: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True)
class Counted:
    """One reading of a counting rule: the last day as year-month-day, its weekday, and how it was counted."""

    last_day: str
    weekday: str
    counting: str


def iso_day(text: str, *, name: str) -> date:
    """Return a day written year-month-day; refuses every other way, as 3/2 is two days."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise ImpossibleValue(
            "That is no day.", where=name, got=f"'{text}'", allowed="year-month-day, such as 2026-03-02"
        ) from None


def weekday(day: date) -> str:
    """Return the name of the day of the week."""
    return _NAMES[day.isoweekday() - 1]


def calendar_days(*, from_day: date, days: int) -> date:
    """Return the last of so many days, every one counted, the first being the day after `from_day`."""
    return from_day + days * _DAY


def count_readings(
    *, delivered: date, days: int, count: str, holidays: frozenset[date], sundays_doubtful: bool = False
) -> tuple[Counted, ...]:
    """Return every reading of a period, the earliest last day first; the day of delivery is not counted.

    A last day on a Saturday, Sunday or holiday rolls on in some laws: that reading is given last and never relied on.
    """
    if count not in COUNTS:
        raise NotFound(f"There is no way of counting '{count}'.", allowed=", ".join(COUNTS))
    rest: dict[str, Callable[[date], bool]] = {
        "Sundays and holidays left out": lambda d: d.isoweekday() == _SUNDAY or d in holidays,
        "holidays left out, Sundays counted": lambda d: d in holidays,
        "Saturdays counted, Sundays and holidays left out": lambda d: d.isoweekday() == _SUNDAY or d in holidays,
        "Saturdays, Sundays and holidays left out": lambda d: _closed(d, holidays),
        "every day counted": lambda _: False,
    }
    ways = {
        "all days": ("every day counted",),
        "no sundays or holidays": ("Sundays and holidays left out",),
        "no holidays": ("holidays left out, Sundays counted", *(("Sundays and holidays left out",) * sundays_doubtful)),
        "business days": (
            "Saturdays counted, Sundays and holidays left out",
            "Saturdays, Sundays and holidays left out",
        ),
    }[count]
    found = {way: _last(delivered, days, rest[way]) for way in ways}
    rolled = _rolled(min(found.values()), holidays)
    if days and rolled not in found.values():
        found["a last day on a Saturday, Sunday or holiday rolls on: not to be relied on"] = rolled
    return tuple(Counted(day.isoformat(), weekday(day), way) for way, day in sorted(found.items(), key=lambda w: w[1]))


def _closed(day: date, holidays: frozenset[date]) -> bool:
    """Return whether a day is a Saturday, a Sunday or a holiday."""
    return day.isoweekday() >= _SATURDAY or day in holidays


def _last(delivered: date, days: int, left_out: Callable[[date], bool]) -> date:
    """Return the last of so many days that count."""
    day, left = delivered, days
    while left:
        day += _DAY
        left -= not left_out(day)
    return day


def _rolled(day: date, holidays: frozenset[date]) -> date:
    """Return the day, or the next one that is neither Saturday, Sunday nor holiday."""
    while _closed(day, holidays):
        day += _DAY
    return day
