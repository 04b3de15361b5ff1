"""Hours: weeks as people say them, closed days, and days on which the clock is changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from brasswright.errors import ImpossibleValue
from brasswright.planning.hours import DAYS, Axis, week

LISBON = ZoneInfo("Europe/Lisbon")
MORNINGS = week({day: ["08:30-12:30"] for day in DAYS})


def test_a_week_becomes_spans_and_closed_days_fall_away() -> None:
    axis = Axis(date(2026, 1, 5), LISBON, 7)  # a Monday
    plan = week({"mon": ["13:15-17:15", "08:30-12:30"], "wed": ["09:00-10:00"]})
    assert axis.hours(plan) == ((510, 750), (795, 1035), (2 * 1440 + 540, 2 * 1440 + 600))
    assert axis.hours(plan, closed={date(2026, 1, 5)}) == ((2 * 1440 + 540, 2 * 1440 + 600),)


# By EU Directive 2000/84/EC the clock goes on at 01:00 UTC on the last Sunday of March and back on that of October.
@pytest.mark.parametrize(("sunday", "length"), [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25)])
def test_the_day_of_a_change_is_shorter_or_longer_and_mornings_stay_mornings(sunday: date, length: int) -> None:
    axis = Axis(sunday - timedelta(days=1), LISBON, 3)
    days = axis.days()
    assert days[2] - days[1] == length * 60
    spans = axis.hours(MORNINGS)
    assert [axis.moment(begin).strftime("%H:%M") for begin, _ in spans] == ["08:30"] * 3
    assert [end - begin for begin, end in spans] == [240] * 3


@pytest.mark.parametrize(("sunday", "worked"), [(date(2026, 3, 29), 2), (date(2026, 10, 25), 4)])
def test_a_night_shift_over_a_change_lasts_as_long_as_it_lasts(sunday: date, worked: int) -> None:
    axis = Axis(sunday, LISBON, 1)
    ((begin, end),) = axis.hours(week({"sun": ["00:00-03:00"]}))
    assert end - begin == worked * 60


def test_a_shift_past_midnight_goes_on() -> None:
    axis = Axis(date(2026, 1, 5), LISBON, 2)
    assert axis.hours(week({"mon": ["22:00-02:00"]})) == ((1320, 1560),)


def test_moments_come_back() -> None:
    axis = Axis(date(2026, 3, 1), LISBON)
    for minute in (0, 1439, 40_000, 40_380, 60_000):
        assert axis.minute(axis.moment(minute)) == minute
    assert axis.minute(datetime(2026, 3, 30, 8, 30, tzinfo=UTC)) == 29 * 1440 + 510
    with pytest.raises(ImpossibleValue, match="time zone"):
        axis.minute(datetime(2026, 3, 1, 8, 30))  # noqa: DTZ001 - that is the mistake


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"monday": ["08:30-12:30"]}, "no such day"),
        ({"mon": ["08:30"]}, "cannot be read"),
        ({"mon": ["half past eight-12:30"]}, "cannot be read"),
        ({"mon": ["08:30-08:30"]}, "cannot be read"),
        ({"mon": ["08:30-12:30", "12:00-13:00"]}, "overlap"),
    ],
)
def test_hours_that_cannot_be_read_are_refused(said: dict[str, list[str]], words: str) -> None:
    with pytest.raises(ImpossibleValue, match=words):
        week(said)
