"""The last day to give notice: no reading forgotten, the earliest first, nothing guessed."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.counting import COUNTS, count_readings
from brasswright.bench.notice import notice
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity
from brasswright.tables import rows

DAYS = st.dates(date(1990, 1, 1), date(2100, 12, 31))
FREE = st.frozensets(st.integers(0, 40), max_size=8)
RULES = [(row["law"], row["event"]) for row in rows("notice_rules")]
ROAD = "road, international (CMR)"


def holidays(delivered: date, after: frozenset[int]) -> frozenset[date]:
    return frozenset(delivered + timedelta(days=n) for n in after)


@given(DAYS, st.integers(0, 60), st.sampled_from(COUNTS), FREE)
def test_readings_rise_and_none_ends_before_every_day_was_counted(
    delivered: date, days: int, count: str, after: frozenset[int]
) -> None:
    readings = count_readings(delivered=delivered, days=days, count=count, holidays=holidays(delivered, after))
    ends = [date.fromisoformat(one.last_day) for one in readings]
    assert ends == sorted(ends)
    assert ends[0] >= delivered + timedelta(days=days)


@given(DAYS, st.integers(1, 60), FREE)
def test_as_numpy_counts_business_days(delivered: date, days: int, after: frozenset[int]) -> None:
    free = holidays(delivered, after)
    readings = {one.counting: one.last_day for one in count_readings(
        delivered=delivered, days=days, count="business days", holidays=free
    )}  # fmt: skip
    for words, mask in (
        ("Saturdays, Sundays and holidays left out", "1111100"),
        ("Saturdays counted, Sundays and holidays left out", "1111110"),
    ):
        start = np.busday_offset(
            np.datetime64(delivered), 0, roll="backward", weekmask=mask, holidays=sorted(free - {delivered})
        )
        end = np.busday_offset(start, days, weekmask=mask, holidays=sorted(free - {delivered}))
        assert readings[words] == str(end)


@given(DAYS, st.integers(1, 60), st.sampled_from(COUNTS), FREE, st.integers(1, 40))
def test_another_holiday_never_ends_a_reading_sooner(
    delivered: date, days: int, count: str, after: frozenset[int], more: int
) -> None:
    few, many = (
        count_readings(delivered=delivered, days=days, count=count, holidays=holidays(delivered, one))
        for one in (after, after | {more})
    )
    assert few[0].last_day <= many[0].last_day


@pytest.mark.parametrize(("law", "event"), RULES)
def test_every_rule_answers_for_its_event(law: str, event: str) -> None:
    terms = 7.0 if law == "contract terms" else None
    said = notice(law=law, event=event, delivered="2026-03-02", asked_on="2026-03-02", contract_days=terms)
    assert said.meaning.startswith(f"{law}, {event}")
    assert said.form
    if said.last_day is None:
        assert "at once" in said.meaning
        assert "at once" in said.standing
    else:
        assert said.cautious_day is not None
        assert said.cautious_day <= said.last_day == said.readings[0].last_day


def test_terms_of_a_contract_are_typed_and_never_guessed() -> None:
    with pytest.raises(ImpossibleValue, match="nothing is guessed"):
        notice(law="contract terms", delivered="2026-03-02")
    with pytest.raises(ImpossibleValue, match="has its own"):
        notice(law=ROAD, delivered="2026-03-02", contract_days=3.0)
    with pytest.raises(ImpossibleValue, match="whole number"):
        notice(law="contract terms", delivered="2026-03-02", contract_days=2.5)
    with pytest.raises(OutsideValidity):
        notice(law="contract terms", delivered="2026-03-02", contract_days=0.0)
    with pytest.raises(NotFound, match="business days"):
        notice(law="contract terms", delivered="2026-03-02", contract_days=3.0, contract_count="fortnights")
    said = notice(law="contract terms", delivered="2026-03-02", contract_days=3.0, contract_count="business days")
    assert (said.last_day, said.cautious_day) == ("2026-03-05", "2026-03-04")
    assert any("cautious day" in note for note in said.warnings)


@pytest.mark.parametrize(
    ("asked", "words"),
    [("2026-03-02", "8 days left"), ("2026-03-10", "today is the last day"), ("2026-03-12", "2 days past")],
)
def test_how_many_days_are_left(asked: str, words: str) -> None:
    assert words in notice(law=ROAD, delivered="2026-03-02", asked_on=asked).standing


@pytest.mark.parametrize("day", ["3/2/2026", "02.03.2026", "2026-02-30", "tomorrow", ""])
def test_a_day_written_another_way_is_refused(day: str) -> None:
    with pytest.raises(ImpossibleValue, match="year-month-day"):
        notice(law=ROAD, delivered=day)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="before the delivery"):
        notice(law=ROAD, delivered="2026-03-02", asked_on="2026-03-01")
    with pytest.raises(ImpossibleValue, match="out of reach"):
        notice(law=ROAD, delivered="1962-03-02")
    with pytest.raises(ImpossibleValue, match="holidays"):
        notice(law=ROAD, delivered="2026-03-02", holidays="Easter")
    with pytest.raises(NotFound, match="Montreal"):
        notice(law="common sense", delivered="2026-03-02")
    with pytest.raises(NotFound, match="at once"):
        notice(law="Italy (c.c. 1698)", delivered="2026-03-02", event="delay")


def test_what_the_rule_leaves_open_is_said() -> None:
    road = notice(law=ROAD, delivered="2026-03-02").warnings
    assert any("No holidays" in note for note in road)
    assert any("arrive by then" in note for note in road)
    german = notice(law="Germany, freight (HGB 438)", delivered="2026-03-02", event="seen damage").warnings
    assert any("from memory" in note for note in german)
    assert any("still there" in note for note in german)
    assert not any("arrive by then" in note for note in notice(
        law="Germany, freight (HGB 438)", delivered="2026-03-02"
    ).warnings)  # fmt: skip
