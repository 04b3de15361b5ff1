"""From a choice to operations on the slice sheet: order, holds, tests, work by hand, and planning again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brasswright.errors import PlanRefused
from brasswright.journal.entries import Added, Chose, Disturbed, Found, Moved, Started
from brasswright.journal.job import Job
from brasswright.planning.check import problems
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.planning.weave import Weave, guards
from brasswright.reckoning.problem import build
from tests.builders import arrived, job_of
from tests.unit.planning_bench import (
    PRICES,
    done,
    everything_proved,
    odds,
    plan_of,
    position,
    problem_of,
    slice_sheet,
    works,
)

ELEMENT = {"element": {"open": 1.0}}


def test_pieces_go_back_in_the_reverse_order_of_coming_off() -> None:
    ids = works(plan_of(**ELEMENT))
    off = [op.split(":")[1] for op in ids if op.startswith(("open:", "remove:"))]
    on = [op.split(":")[1] for op in ids if op.startswith(("close:", "refit:"))]
    assert off.index("case_lifted") < off.index("boiler_end") < off.index("element")
    assert on == off[::-1]


def test_what_comes_off_is_recorded_first() -> None:
    plan = plan_of(**ELEMENT)
    assert position(plan, "record:wiring_sketch") < position(plan, "open:boiler_end")
    assert "record:wiring_sketch" in plan.operations[position(plan, "open:boiler_end")].after


def test_every_guarded_operation_stands_behind_the_release_of_its_holds() -> None:
    sheet = slice_sheet()
    plan = plan_of(boiler_shell={"holed": 1.0}, piston_seals={"torn": 1.0}, lagging={"crumbling": 1.0})
    released: set[str] = set()
    for op in plan.operations:
        assert set(guards(op.acts, sheet)) <= released, op.id
        broken = {key for key, hold in sheet.hold.items() if set(op.acts) & set(hold.broken_by)}
        released -= broken
        if op.kind == "hold":
            released.add(op.id.split(":")[1])


def test_the_first_power_comes_after_holds_one_to_eight_and_the_release_last() -> None:
    plan = plan_of(**ELEMENT)
    first = position(plan, "hold:first_power")
    powered = [i for i, op in enumerate(plan.operations) if "power" in op.acts]
    assert first < powered[0]
    for key, hold in slice_sheet().hold.items():
        if hold.number < 9:
            assert position(plan, f"hold:{key}") < first, key
    assert plan.operations[-1].id == "hold:release"


def test_after_the_first_powered_test_isolation_and_water_level_are_due_again() -> None:
    plan = plan_of()
    one, two = position(plan, "test:heat_cycle_one"), position(plan, "test:heat_cycle_two")
    assert one < position(plan, "hold:isolated:2") < position(plan, "test:level_over_element:2") < two


def test_the_cold_pressure_test_is_done_while_the_case_is_still_off() -> None:
    plan = plan_of(**ELEMENT)
    pressure = position(plan, "test:air_free_cold_pressure")
    assert position(plan, "close:boiler_end") < pressure < position(plan, "close:case_lifted")


def test_the_valve_is_tested_while_it_lies_on_the_bench() -> None:
    plan = plan_of()
    assert position(plan, "remove:safety_valve") < position(plan, "test:safety_valve_bench")
    assert position(plan, "test:safety_valve_bench") < position(plan, "refit:safety_valve")


def test_clearance_is_bought_before_anything_presumed_to_hold_asbestos_is_touched() -> None:
    plan = plan_of(lagging={"crumbling": 1.0})
    bought = [i for i, op in enumerate(plan.operations) if any(p.item == "asbestos_clearance" for p in op.parts)]
    touching = [i for i, op in enumerate(plan.operations) if "lagging" in op.acts]
    assert len(bought) == 1
    assert bought[0] < touching[0]
    assert plan.operations[bought[0]].id.startswith("hold:presumed_asbestos")


def test_a_released_machine_with_nothing_done_asks_for_nothing() -> None:
    assert [op.id for op in plan_of(job_of(*everything_proved())).operations if op.state == "planned"] == []


@pytest.mark.parametrize(
    ("acts", "due"),
    [
        (("nip",), {"leak_down"}),
        (("leak",), {"flex_and_plug_visual", "earth_continuity", "insulation_resistance", "element_resistance"}),
    ],
)
def test_a_small_disturbance_asks_for_small_tests_only(acts: tuple[str, ...], due: set[str]) -> None:
    job = job_of(*everything_proved(), Disturbed(acts=acts, words="on the bench"))
    tests = {op.id.split(":")[1] for op in plan_of(job).operations if op.kind == "test" and op.state == "planned"}
    assert due <= tests
    assert "air_free_cold_pressure" not in tests
    assert "heat_cycle_one" not in tests


def test_wiring_work_makes_the_electrical_tests_due_and_not_the_pressure_test() -> None:
    job = job_of(*everything_proved(), Chose(treatment="new_earth_bond", decision="do"))
    tests = {op.id.split(":")[1] for op in plan_of(job).operations if op.kind == "test" and op.state == "planned"}
    assert {"earth_continuity", "insulation_resistance", "electrical_retest_hot"} <= tests
    assert "air_free_cold_pressure" not in tests


def test_a_test_of_this_machine_is_due_only_after_what_it_checks() -> None:
    sheet = slice_sheet()
    rinse = sheet.proving["leak_down"].model_copy(update={"broken_by": ("descale",), "does": ("fill",), "after": ()})
    sheet = sheet.model_copy(update={"proving": {**sheet.proving, "rinse": rinse}})
    for wrong, due in (({}, False), ({"boiler_shell": {"holed": 1.0}}, True)):
        problem = build(sheet, Job(), odds(**wrong), PRICES)
        plan = expand(problem, choose(problem), Job(), sheet)
        assert any(op.id == "test:rinse" for op in plan.operations) is due
        assert problems(plan, problem, sheet, released=frozenset(), proved=frozenset()) == ()
        if due:
            assert position(plan, "treat:braze_boiler:2") < position(plan, "test:rinse")


def test_a_machine_for_display_is_never_powered() -> None:
    plan = plan_of(job_of(arrived(use="display")), case={"holed": 1.0}, **ELEMENT)
    assert not any("power" in op.acts or op.kind == "test" for op in plan.operations)
    assert any("display only" in words for words in plan.warnings)


def test_work_added_by_hand_comes_behind_what_it_names_and_survives_another_choice() -> None:
    mine = Added(
        operation="polish_dome", title="Polish the dome", minutes=(10.0, 20.0, 40.0), after=("remove:element",)
    )
    late = Added(operation="shake_it", title="Shake it", minutes=(1.0, 1.0, 1.0), after=("test:leak_down",))
    plan = plan_of(job_of(mine, late), **ELEMENT)
    assert position(plan, "remove:element") < position(plan, "polish_dome") < position(plan, "refit:element")
    assert position(plan, "test:leak_down") < position(plan, "shake_it") < position(plan, "hold:release")
    other = plan_of(job_of(mine, late))
    assert position(other, "polish_dome") < position(other, "hold:release")
    assert any("Polish the dome" in words for words in other.warnings)


def test_struck_work_by_hand_is_gone() -> None:
    mine = Added(operation="polish_dome", title="Polish the dome", minutes=(10.0, 20.0, 40.0), struck=True)
    assert "polish_dome" not in works(plan_of(job_of(mine)))


def test_work_by_hand_that_disturbs_a_joint_is_followed_by_its_test_before_power() -> None:
    nip = Added(
        operation="nip_gland", title="Nip the gland", minutes=(1.0, 2.0, 4.0), does=("nip",), after=("test:leak_down",)
    )
    plan = plan_of(job_of(nip))
    again = position(plan, "test:leak_down:2")
    assert position(plan, "nip_gland") < again < position(plan, "test:heat_cycle_one")


def test_finished_work_stays_and_is_not_planned_again() -> None:
    first = plan_of(**ELEMENT)
    cut = position(first, "treat:new_element:1") + 1
    job = job_of(*done(first.operations[:cut]))
    plan = plan_of(job, **ELEMENT)
    behind = [op.id for op in plan.operations if op.state == "finished"]
    assert "treat:new_element:1" in behind
    planned = [op.id for op in plan.operations if op.state == "planned"]
    assert "open:case_lifted" not in planned
    assert {"refit:element", "close:boiler_end", "close:case_lifted", "hold:release"} <= set(planned)
    assert not [op for op in planned if op.startswith("treat:new_element")]


def test_a_part_that_failed_again_starts_a_second_round_under_new_names() -> None:
    first = plan_of(**ELEMENT)
    job = job_of(*done(first.operations), Found(component="element", condition="open"))
    planned = [op.id for op in plan_of(job, **ELEMENT).operations if op.state == "planned"]
    assert {"open:case_lifted:2", "remove:element:2", "treat:new_element:1:2", "refit:element:2"} <= set(planned)


def test_begun_work_stays_in_the_plan_though_nothing_asks_for_it() -> None:
    job = job_of(Started(operation="remove:spring", title="Take off: Spring", acts=("spring",), components=("spring",)))
    begun = [op for op in plan_of(job).operations if op.state == "started"]
    assert [op.id for op in begun] == ["remove:spring"]


def test_a_part_lying_in_a_tray_only_has_to_go_back() -> None:
    ids = works(plan_of(job_of(Moved(component="flex", to="tray two"))))
    assert "remove:flex" not in ids
    assert "refit:flex" in ids
    assert "refit:flex" not in works(plan_of(job_of(Moved(component="flex", to="back on the machine"))))


def test_operations_know_what_to_buy_and_the_plan_lists_it() -> None:
    plan = plan_of(**ELEMENT)
    step = plan.operations[position(plan, "treat:new_element:1")]
    assert [part.item for part in step.parts] == ["element_with_washer"]
    assert {"element_with_washer", "flange_gasket"} <= {part.item for part in plan.parts}


def test_long_soaks_begin_before_short_work() -> None:
    plan = plan_of(boiler_shell={"holed": 1.0}, piston_seals={"torn": 1.0})
    assert position(plan, "treat:braze_boiler:1") < position(plan, "treat:reseal_piston:1")


def test_a_treatment_under_power_comes_behind_first_power_and_its_cover_closes_behind_it() -> None:
    problem = problem_of(job_of(Chose(treatment="new_earth_bond", decision="do")))
    hot = tuple(
        replace(option, steps=tuple(replace(step, acts=("power", "heat")) for step in option.steps))
        if option.id == "new_earth_bond"
        else option
        for option in problem.options
    )
    problem = replace(problem, options=hot)
    plan = expand(problem, choose(problem), Job(), slice_sheet())
    work = position(plan, "treat:new_earth_bond:1")
    assert position(plan, "hold:first_power") < work < position(plan, "close:case_lifted")
    assert problems(plan, problem, slice_sheet(), released=frozenset(), proved=frozenset()) == ()


def test_holds_that_wait_for_each_other_are_refused_by_name() -> None:
    sheet = slice_sheet()
    circle = {"isolated": sheet.hold["isolated"].model_copy(update={"after": ("release",)})}
    weave = Weave(sheet.model_copy(update={"hold": {**sheet.hold, **circle}}), set(), set())
    with pytest.raises(PlanRefused, match="wait for each other"):
        weave.release("release")
