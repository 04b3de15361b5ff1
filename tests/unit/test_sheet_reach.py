"""Reach: the cheapest way in equals the best of all subsets; the walk-round asks in order and skips what is absent."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from brasswright.sheets.load import load_sheet
from brasswright.sheets.model import Clauses, Sheet, Unit
from brasswright.sheets.reach import opening_minutes, opening_path, questions_by_zone, reachable

SLICE = load_sheet(Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml").sheet
NAMES = tuple("abcdef")


def sheet_of(units: dict[str, tuple[Clauses, int]]) -> Sheet:
    """The slice with other units, and without components that would be reached through its own."""
    made = {
        key: Unit(
            name=key, access=access, open_minutes=(minutes, minutes, minutes), close_minutes=(0, 0, 0), source="bench"
        )
        for key, (access, minutes) in units.items()
    }
    return SLICE.model_copy(update={"unit": made, "component": {}})


def opens(chosen: tuple[str, ...], sheet: Sheet) -> bool:
    """Whether a set can be opened one after the other."""
    open_: set[str] = set()
    while more := {key for key in chosen if key not in open_ and reachable(sheet.unit[key].access, open_)}:
        open_ |= more
    return len(open_) == len(chosen)


def best(clauses: Clauses, sheet: Sheet) -> float | None:
    """The least minutes over all sets that open and reach, by trying every one."""
    costs = [
        sum(opening_minutes(sheet, key) for key in chosen)
        for size in range(len(sheet.unit) + 1)
        for chosen in combinations(sheet.unit, size)
        if reachable(clauses, chosen) and opens(chosen, sheet)
    ]
    return min(costs, default=None)


clause = st.lists(st.sampled_from(NAMES), min_size=1, max_size=2, unique=True).map(tuple)
access = st.lists(clause, max_size=2).map(tuple)
units = st.fixed_dictionaries({name: st.tuples(access, st.integers(1, 9)) for name in NAMES})


@given(units, access)
def test_the_cheapest_way_in_is_the_best_of_all_sets(
    given_units: dict[str, tuple[Clauses, int]], goal: Clauses
) -> None:
    sheet = sheet_of(given_units)
    path = opening_path(goal, sheet)
    least = best(goal, sheet)
    if least is None:
        assert path is None
        return
    assert path is not None
    assert sum(opening_minutes(sheet, key) for key in path) == least
    for place, key in enumerate(path):
        assert reachable(sheet.unit[key].access, path[:place])


@given(units, access, st.sets(st.sampled_from(NAMES)))
def test_opening_more_beforehand_never_costs_more(
    given_units: dict[str, tuple[Clauses, int]], goal: Clauses, open_: set[str]
) -> None:
    sheet = sheet_of(given_units)
    before = opening_path(goal, sheet)
    after = opening_path(goal, sheet, open_)
    if before is not None:
        assert after is not None
        minutes = [sum(opening_minutes(sheet, key) for key in path) for path in (before, after)]
        assert minutes[1] <= minutes[0]


def test_the_sleeve_is_reached_through_group_and_piston() -> None:
    assert opening_path((("sleeve",),), SLICE) == ("group_top", "piston_seals", "sleeve")
    assert opening_path((("sleeve",),), SLICE, {"group_top", "piston_seals", "sleeve"}) == ()
    assert opening_path((("attic",),), SLICE) is None


def test_the_walk_round_goes_outside_in_and_asks_the_first_question_first() -> None:
    walk = dict(questions_by_zone(SLICE))
    assert list(walk) == ["outside", "group", "under_case", "inside"]
    assert walk["under_case"][0] == ("finding", "fibres_seen")
    assert sum(len(asked) for asked in walk.values()) == len(SLICE.finding) + len(SLICE.reading)


def test_nobody_is_asked_about_what_is_not_there() -> None:
    asked = {key for _, here in questions_by_zone(SLICE, absent={"lagging", "spring"}) for _, key in here}
    assert "fibres_seen" not in asked
    assert "spring_length" not in asked
    assert "lever_return" in asked, "it still speaks of the sleeve"
