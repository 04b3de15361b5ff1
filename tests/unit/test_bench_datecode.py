"""Date codes: every reading, no impossible one, and what several of them say together."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.datecode import datecode
from brasswright.bench.stamps import stamp_readings, stamp_years
from brasswright.errors import ImpossibleValue, OutsideValidity

DAYS = st.dates(date(1946, 1, 1), date(2025, 12, 31))


@pytest.mark.parametrize(
    ("code", "years"),
    [
        ("3662", (1962,)),
        ("6236", (1962,)),
        ("0962", (1962,)),
        ("1112", (1911, 1912, 2011, 2012)),
        ("1962", (1962,)),
        ("KW 36/62", (1962,)),
        ("36-62", (1962,)),
        ("XI 62", (1962,)),
        ("E62", (1962,)),
        ("62E", (1962,)),
        ("09/1962", (1962,)),
        ("17.09.62", (1962,)),
        ("19620917", (1962,)),
        ("GASKET", ()),
        ("9999", ()),
        ("62.3.1.4", ()),
    ],
)
def test_years_of_a_code(code: str, years: tuple[int, ...]) -> None:
    assert stamp_years(code=code, first_year=1900, last_year=2019) == years


def test_week_and_month_and_both_orders_are_all_given() -> None:
    layouts = {(one.layout, one.year) for one in stamp_readings(code="1112", last_year=2026).readings}
    assert layouts == {
        (f"two-digit year, {unit}", 2011) for unit in ("week", "month")
    } | {(f"{unit}, two-digit year", 2012) for unit in ("week", "month")}  # fmt: skip


def test_a_month_letter_is_read_with_and_without_i() -> None:
    firsts = {one.first_day for one in stamp_readings(code="J62", last_year=2026).readings}
    assert firsts == {"1962-09-01", "1962-10-01"}


def test_a_mark_for_the_week_shuts_out_the_month() -> None:
    assert {one.layout for one in stamp_readings(code="W11 62", last_year=2026).readings} == {"week, two-digit year"}


@given(
    DAYS, st.sampled_from(["{y:02d}{w:02d}", "{w:02d}{y:02d}", "{w:02d}/{y:02d}", "{g}-{w:02d}", "W{w:02d} {y:02d}"])
)
def test_the_week_that_was_stamped_is_among_the_readings(day: date, layout: str) -> None:
    iso = day.isocalendar()
    code = layout.format(y=iso.year % 100, w=iso.week, g=iso.year)
    spans = [(one.first_day, one.last_day) for one in stamp_readings(code=code).readings if "week" in one.layout]
    assert any(first <= day.isoformat() <= last for first, last in spans)


@given(DAYS, st.sampled_from(["{d:%m%y}", "{d:%y%m}", "{d:%m/%Y}", "{d:%d%m%y}", "{d:%y%m%d}", "{d:%d.%m.%Y}"]))
def test_the_day_that_was_stamped_is_among_the_readings(day: date, layout: str) -> None:
    readings = stamp_readings(code=layout.format(d=day)).readings
    assert any(one.first_day <= day.isoformat() <= one.last_day for one in readings)


@given(st.text(alphabet="0123456789ABEHNOXWI /.-", min_size=1, max_size=10), st.integers(1930, 2029))
def test_more_years_never_take_a_reading_away(code: str, last: int) -> None:
    if not code.strip():
        return
    few, all_of_them = (set(stamp_readings(code=code, last_year=year).readings) for year in (last, 2029))
    assert few <= all_of_them
    for one in all_of_them:
        assert date.fromisoformat(one.first_day) <= date.fromisoformat(one.last_day)


class TestSeveralTogether:
    def test_the_newest_that_agrees_starts_the_interval(self) -> None:
        said = datecode(code="element 3662; pressurestat 41/62", not_after_year=2026, shelf_years=1.0)
        assert len(said.build) == 1
        assert said.build[0].startswith("1962-10-08 to 1963-09-")
        assert said.replaced == said.older == ()

    def test_a_later_component_is_flagged_and_an_older_one_too(self) -> None:
        said = datecode(code="element 3662; pressurestat 41/62; motor 5/87; flex 1955", not_after_year=2026)
        assert len(said.replaced) == 1
        assert "motor 5/87 is later in every reading" in said.replaced[0]
        assert len(said.older) == 1
        assert "flex 1955 is older" in said.older[0]

    def test_a_letter_is_settled_by_company(self) -> None:
        said = datecode(code="capacitor E5; valve 2094; switch 94/31", not_after_year=2026)
        assert len(said.build) == 1
        assert said.build[0].startswith("1994-08-01")
        assert said.years[0] == "capacitor E5: 1974, 1994, 2014"

    def test_equal_claims_are_all_given(self) -> None:
        said = datecode(code="capacitor E5; fan E6", not_after_year=2026)
        assert [one[:4] for one in said.build] == ["1974", "1994", "2014"]
        assert "nothing here decides" in said.meaning

    def test_codes_that_never_meet_give_no_interval(self) -> None:
        said = datecode(code="element 3662; motor 5/87", not_after_year=2026)
        assert said.build == ()
        assert "no build interval" in said.meaning

    def test_one_code_alone_dates_no_machine(self) -> None:
        said = datecode(code="element: 3662", not_after_year=2026)
        assert said.build == ()
        assert "not by one" in said.meaning
        assert said.readings[0].component == "element"

    def test_two_of_six_is_a_guess(self) -> None:
        said = datecode(code="a 3662; b 4162; c 5/70; d 5/78; e 5/87; f 5/95", not_after_year=2026)
        assert "guess" in said.meaning

    @given(st.integers(1946, 2020), st.floats(0.0, 3.0), st.floats(0.0, 3.0))
    def test_longer_on_the_shelf_never_fits_fewer(self, year: int, shelf: float, more: float) -> None:
        code = f"a 10/{year}; b 40/{year}; c 10/{year + 2}"
        short, long = (datecode(code=code, shelf_years=years) for years in (shelf, shelf + more))
        assert len(long.replaced) <= len(short.replaced) or not short.build

    @given(DAYS, st.integers(0, 300), st.integers(0, 300))
    def test_the_true_day_of_building_is_in_an_interval(self, built: date, first: int, second: int) -> None:
        stamped = [(built - timedelta(days=lag)).isocalendar() for lag in (first, second)]
        code = "; ".join(f"c{n}: week {iso.week}/{iso.year}" for n, iso in enumerate(stamped))
        (interval,) = datecode(code=code, shelf_years=1.0).build
        # a component bears its whole week: one stamped in the week of building may begin some days before
        assert interval[:10] <= built.isoformat() <= interval[14:24]


@pytest.mark.parametrize("code", ["", " ; ", "x" * 40, "a 3662; a 3662"])
def test_what_is_no_code_is_refused(code: str) -> None:
    with pytest.raises(ImpossibleValue):
        datecode(code=code)


def test_years_that_cannot_be_are_refused() -> None:
    with pytest.raises(ImpossibleValue, match="after the last"):
        datecode(code="3662", not_before_year=2000, not_after_year=1990)
    with pytest.raises(ImpossibleValue, match="whole number"):
        datecode(code="3662", not_after_year=1990.5)
    with pytest.raises(OutsideValidity):
        datecode(code="3662", not_after_year=1700)


def test_what_was_left_open_is_said() -> None:
    assert any("future" in note for note in datecode(code="3662").warnings)
    assert any("memory" in note for note in datecode(code="E5", not_after_year=2026).warnings)
    assert any("a week either side" in note for note in datecode(code="3662", not_after_year=2026).warnings)
