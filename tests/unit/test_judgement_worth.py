"""Losses, worth of checks, and where a person may be sent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from brasswright.journal.entries import Answered, Moved, Started, Stopped, Swept
from brasswright.judgement.opinion import judge
from brasswright.judgement.way_in import open_now, way_in
from brasswright.sheets.load import load_sheet
from brasswright.sheets.losses import losses, treatment_cost
from tests.builders import answered, arrived, job_of
from tests.networks import sheet, small_sheet
from tests.trade.jobs import HOME

SLICE = load_sheet(Path("tests/golden/sheets/slice.toml")).sheet
ALL_HOLDS = frozenset(SLICE.hold)


def test_losses_of_the_small_sheet_by_hand() -> None:
    table = losses(small_sheet(), labour_rate=60.0)
    # At 60 an hour a minute costs 1: descaling 20, brazing 120.
    assert table["shell"].leave == (0.0, 40.0, 400.0)
    assert table["shell"].put_right == pytest.approx((20.0, 20.0, 120.0 + 0.1 * 400.0))
    assert table["seam"].put_right == (120.0, 120.0)


def test_taking_off_counts_and_parts_count() -> None:
    treatment = SLICE.treatment["new_flex"]
    flex = SLICE.component["flex"]
    minutes = 15 + flex.remove_minutes[1] + flex.refit_minutes[1]
    assert treatment_cost(treatment, SLICE, labour_rate=60.0) == pytest.approx(minutes + 14)


def test_what_must_be_put_right_is_never_cheaper_left() -> None:
    for key, loss in losses(SLICE).items():
        for state in SLICE.component[key].must:
            place = loss.states.index(state)
            assert loss.put_right is not None
            assert loss.leave[place] >= 2 * loss.put_right[place]


def test_a_part_that_nothing_mends_has_one_action() -> None:
    badge = sheet(component={"badge": {"name": "Badge", "states": ["there", "lost"], "alone": [0.5, 0.5]}})
    assert losses(badge)["badge"].actions == ((0.0, 0.0),)
    assert judge(badge, job_of(arrived())).checks == ()


def test_checks_come_within_reach_first_then_by_worth_a_minute() -> None:
    checks = judge(SLICE, job_of(arrived()), released=ALL_HOLDS).checks
    marks = [(bool(check.opens), -check.per_minute) for check in checks]
    assert marks == sorted(marks)
    assert any(check.opens for check in checks)
    for check in checks:
        assert check.worth > 0
        assert check.per_minute == pytest.approx(check.worth / check.minutes)


def test_no_check_is_proposed_past_a_hold_point() -> None:
    nothing = judge(SLICE, job_of(arrived()))
    for check in nothing.checks:
        own = SLICE.finding.get(check.key) or SLICE.reading.get(check.key)
        assert own is None or not own.needs
        assert check.opens == ()  # every cover of this machine is guarded
    assert {"insulation", "earth_look", "sheath_look"} <= set(nothing.behind_holds)
    isolated = judge(SLICE, job_of(arrived()), released=frozenset({"isolated"}))
    assert {check.key for check in nothing.checks} < {check.key for check in isolated.checks}
    assert "sheath_look" in isolated.behind_holds
    assert judge(SLICE, job_of(arrived()), released=ALL_HOLDS).behind_holds == ()


def test_a_zone_speaks_for_its_questions_unless_they_come_before_any_opening() -> None:
    look: dict[str, Any] = {"look": "Wet?", "answers": ["dry", "wet"], "minutes": 1}
    shows = [{"of": "part", "is": "bad", "gives": {"wet": 0.9}}]
    inside = sheet(
        zone={"hollow": {"name": "Hollow", "order": 2, "needs": ["isolated"], "access": [["lid"]]}},
        unit={"lid": {"name": "Lid", "open_minutes": [1, 2, 3], "close_minutes": [1, 2, 3]}},
        component={"part": {"name": "Part", "states": ["good", "bad"], "alone": [0.6, 0.4], "leaving": {"bad": 99}}},
        finding={
            "later": look | {"zone": "hollow", "shows": shows},
            "before": look | {"zone": "hollow", "shows": shows, "ask_first": True},
        },
        treatment={
            "mend": {
                "name": "Mend",
                "way": "in place",
                "fixes": [{"of": "part", "from": ["bad"], "leaves": "good"}],
                "steps": [{"do": "Mend", "minutes": [30, 60, 90]}],
            }
        },
    )
    before = judge(inside, job_of(arrived()))
    assert [check.key for check in before.checks] == ["before"]
    assert before.behind_holds == ("later",)
    (first, second) = judge(inside, job_of(arrived()), released=frozenset({"isolated"})).checks
    assert (first.key, first.opens, first.minutes) == ("before", (), 1.0)
    assert (second.key, second.opens, second.minutes) == ("later", ("lid",), 3.0)
    assert first.worth == pytest.approx(second.worth)


def test_what_is_answered_swept_or_measured_is_not_asked_again() -> None:
    keys = {check.key for check in judge(small_sheet(), job_of(arrived())).checks}
    assert "trail" in keys
    for body in (
        answered("trail", "none"),
        Answered(question="trail", aside="not sure"),
        Swept(zone="z", questions=("trail",)),
    ):
        assert "trail" not in {check.key for check in judge(small_sheet(), job_of(arrived(), body)).checks}


def test_what_could_not_be_seen_is_asked_again_once_work_went_on() -> None:
    unseen = Answered(question="trail", aside="cannot see yet")
    assert "trail" not in {check.key for check in judge(small_sheet(), job_of(arrived(), unseen)).checks}
    went_on = Moved(component="seam", to="tray 3")
    assert "trail" in {check.key for check in judge(small_sheet(), job_of(arrived(), unseen, went_on)).checks}


def test_the_way_in_names_what_to_open_and_what_guards_it() -> None:
    way = way_in(SLICE, (("boiler_end",),), frozenset())
    assert way is not None
    assert way.opens[-1] == "boiler_end"
    assert {"isolated", "cold_vented"} <= way.holds
    assert way.minutes >= SLICE.unit["boiler_end"].open_minutes[1]
    assert way_in(SLICE, (("boiler_end",),), frozenset({"boiler_end"})) is not None
    assert way_in(SLICE, (("nowhere",),), frozenset()) is None


def test_a_part_presumed_to_hold_asbestos_stands_in_the_way_though_its_sheet_says_no_more() -> None:
    key, part = next((key, part) for key, part in SLICE.component.items() if not part.access)
    told = [part.model_copy(update={"does": (), "presumed_asbestos": presumed}) for presumed in (False, True)]
    sheets = (SLICE.model_copy(update={"component": {**SLICE.component, key: each}}) for each in told)
    plain, guarded = (way_in(sheet, ((key,),), frozenset()) for sheet in sheets)
    assert plain is not None
    assert guarded is not None
    assert guarded.holds - plain.holds == {"isolated", "presumed_asbestos"}


def test_open_now_follows_the_work_and_the_trays() -> None:
    def done(operation: str) -> tuple[Started, Stopped]:
        return Started(operation=operation, title="work"), Stopped(operation=operation, finished=True)

    opened = job_of(arrived(), *done("open:group_top"), *done("remove:spring"), Moved(component="sleeve", to="tray 2"))
    assert open_now(opened, SLICE) == {"group_top", "spring", "sleeve"}
    shut = job_of(
        arrived(),
        *done("open:group_top"),
        Moved(component="sleeve", to="tray 2"),
        *done("refit:sleeve"),
        *done("close:group_top"),
    )
    assert open_now(shut, SLICE) == frozenset()
    back = job_of(
        arrived(), Moved(component="sleeve", to="tray 2"), Moved(component="sleeve", to="back on the machine")
    )
    assert open_now(back, SLICE) == frozenset()


def test_a_check_costs_its_minutes_at_the_labour_rate_and_what_its_opening_uses_up() -> None:
    home = HOME.sheet
    checks = judge(home, job_of(arrived()), released=frozenset(home.hold), labour_rate=60.0).checks
    for check in checks:
        opened = [home.unit.get(key) or home.component[key] for key in check.opens]
        used = sum(thing.cost for entry in opened for thing in entry.consumes)
        assert check.cost == pytest.approx(check.minutes + used)
        assert check.per_money == pytest.approx(check.worth / check.cost)
    assert any(check.cost > check.minutes for check in checks)
