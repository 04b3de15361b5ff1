"""Working time as spans on the calendar's axis of minutes, and back to the clock.

A week is written as people say it: a day's name and its times. Days become spans one by one in the workshop's time
zone, so that 08:30 stays 08:30 when the clock is changed, while minutes on the axis stay minutes: a span over a change
of the clock is as long as it really lasts.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from brasswright.planning.calendar_model import Span

__all__ = ["DAYS", "Axis", "Hours", "joined", "week", "without", "worked"]

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
"""Days of the week, the first one Monday."""
_MINUTE = timedelta(minutes=1)

Hours = tuple[tuple[tuple[time, time], ...], ...]
"""For each day of the week, Monday first, from when to when somebody works."""


@dataclass(frozen=True, slots=True)
class Axis:
    """The axis of minutes: minute 0 is local midnight of `first` in `zone`; hours are known for `length` days."""

    first: date
    zone: ZoneInfo
    length: int = 366

    def minute(self, at: datetime) -> int:
        """The minute on the axis of an aware moment, rounded down."""
        if at.tzinfo is None:
            raise ImpossibleValue("A moment in a calendar needs its time zone.", got=at)
        return (at - self._origin()) // _MINUTE

    def moment(self, minute: int) -> datetime:
        """The moment of a minute on the axis, as the clock in the workshop shows it."""
        return (self._origin() + minute * _MINUTE).astimezone(self.zone)

    def days(self) -> tuple[int, ...]:
        """The minutes at which local days begin."""
        return tuple(self._at(self.first + timedelta(days=day), time()) for day in range(self.length + 1))

    def hours(self, plan: Hours, *, closed: Collection[date] = ()) -> tuple[Span, ...]:
        """The spans in which somebody with this week works, on all days but those that are closed."""
        spans: list[Span] = []
        for day in (self.first + timedelta(days=number) for number in range(self.length)):
            if day in closed:
                continue
            for begin, end in plan[day.weekday()]:
                until = self._at(day, end) if end > begin else self._at(day + timedelta(days=1), end)
                spans.append((self._at(day, begin), until))
        return joined(spans)

    def _origin(self) -> datetime:
        return datetime.combine(self.first, time(), self.zone).astimezone(UTC)

    def _at(self, day: date, clock: time) -> int:
        return self.minute(datetime.combine(day, clock, self.zone).astimezone(UTC))


def week(said: Mapping[str, Iterable[str]]) -> Hours:
    """Read a week such as {"mon": ["08:30-12:30", "13:15-17:15"]}; days left out are free.

    A time that ends before it begins goes on past midnight. Raises `ImpossibleValue` for an unknown day, a time that
    cannot be read, and times of a day that overlap.

    >>> week({"fri": ["08:30-12:00"]})[4]
    ((datetime.time(8, 30), datetime.time(12, 0)),)
    """
    for name in said:
        if name not in DAYS:
            raise ImpossibleValue("There is no such day.", got=name, allowed=", ".join(DAYS))
    return tuple(tuple(sorted(_times(name, said.get(name, ())))) for name in DAYS)


def _times(day: str, blocks: Iterable[str]) -> list[tuple[time, time]]:
    read = sorted(_block(day, block) for block in blocks)
    for (_, end), (begin, _) in pairwise(read):
        if begin < end:
            raise ImpossibleValue("Hours of one day overlap.", where=day, got=f"{end:%H:%M} after {begin:%H:%M}")
    return read


def _block(day: str, block: str) -> tuple[time, time]:
    begin, _, end = block.partition("-")
    try:
        read = time.fromisoformat(begin.strip()), time.fromisoformat(end.strip())
    except ValueError:
        read = time(), time()
    if read[0] == read[1]:
        raise ImpossibleValue("Hours cannot be read.", where=day, got=block, allowed="such as 08:30-12:30")
    return read


def joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The same minutes as few spans in order; empty ones fall away.

    >>> joined([(5, 9), (0, 3), (3, 4), (7, 12)])
    ((0, 4), (5, 12))
    """
    found: list[Span] = []
    for begin, end in sorted(spans):
        if end <= begin:
            continue
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return tuple(found)


def without(spans: Iterable[Span], away: Iterable[Span]) -> tuple[Span, ...]:
    """What is left of some spans when others are taken out: an afternoon off, a day away.

    >>> without([(0, 10), (20, 30)], [(8, 22), (25, 26)])
    ((0, 8), (22, 25), (26, 30))
    """
    left = list(joined(spans))
    for begin, end in joined(away):
        left = [part for low, high in left for part in ((low, min(high, begin)), (max(low, end), high))]
        left = [(low, high) for low, high in left if low < high]
    return tuple(left)


def worked(spans: tuple[Span, ...], begin: int, end: int) -> int:
    """How many working minutes lie between two minutes of the axis.

    >>> worked(((0, 10), (20, 30)), 5, 22)
    7
    """
    first = max(0, bisect_right(spans, (begin, begin)) - 1)
    return sum(max(0, min(high, end) - max(low, begin)) for low, high in spans[first:] if low < end)
