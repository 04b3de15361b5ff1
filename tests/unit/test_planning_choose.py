"""Choosing on the slice sheet: what binds, what a person decides, what is shown apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brasswright.errors import NotFound, PlanRefused
from brasswright.journal.entries import Chose, Identified, Priced, Started
from brasswright.planning.choose import also, choose
from brasswright.planning.model import Decision, Problem
from tests.builders import job_of
from tests.properties.planning_problems import option, piece
from tests.unit.planning_bench import problem_of


def test_a_sound_machine_asks_for_no_treatment() -> None:
    choice = choose(problem_of())
    assert choice.treatments == ()
    assert choice.marginals == ()
    assert choice.money_minor == choice.shown.tests_minor + choice.shown.access_minor


def test_the_valve_comes_off_for_its_test_even_when_nothing_is_wrong() -> None:
    choice = choose(problem_of())
    assert "safety_valve" in choice.off
    assert "Safety valve on the test bench".lower() in dict(choice.why_off)["safety_valve"].lower()


def test_what_must_be_put_right_is_done_whatever_was_decided_and_that_is_said() -> None:
    job = job_of(Chose(treatment="new_flex", decision="leave", reason="the owner likes the old one"))
    choice = choose(problem_of(job, flex={"cracked": 1.0}))
    assert "new_flex" in choice.treatments
    assert any("new three-core flex" in words and "not followed" in words for words in choice.warnings)


def test_a_decision_to_leave_is_honoured_where_nothing_binds() -> None:
    wrong = {"piston_seals": {"hard": 1.0}}
    assert "reseal_piston" in choose(problem_of(sleeve={"pitted": 1.0}, piston_seals={"torn": 1.0})).treatments
    job = job_of(Chose(treatment="new_element", decision="leave"))
    dried = choose(problem_of(job, element={"damp": 1.0}))
    assert "new_element" not in dried.treatments
    asked = choose(problem_of(job_of(Chose(treatment="reseal_piston", decision="do")), **wrong))
    assert "reseal_piston" in asked.treatments
    left = choose(problem_of(job_of(Chose(treatment="reseal_piston", decision="leave")), **wrong))
    assert "piston_seals.hard" in left.left
    assert left.risk_minor >= 4000


def test_a_decision_to_do_is_honoured_though_nothing_is_known_to_be_wrong() -> None:
    choice = choose(problem_of(job_of(Chose(treatment="reseal_piston", decision="do"))))
    assert choice.treatments == ("reseal_piston",)
    assert {"group_top", "piston_seals"} <= set(choice.off)


def test_a_later_word_that_the_plan_decides_takes_the_decision_back() -> None:
    job = job_of(Chose(treatment="new_spring", decision="do"), Chose(treatment="new_spring", decision="open"))
    assert choose(problem_of(job)).treatments == ()


def test_two_ways_asked_for_at_once_are_both_done() -> None:
    job = job_of(Chose(treatment="polish_sleeve", decision="do"), Chose(treatment="reline_sleeve", decision="do"))
    assert {"polish_sleeve", "reline_sleeve"} <= set(choose(problem_of(job, sleeve={"scored": 1.0})).treatments)


def test_begun_work_is_finished_though_it_was_decided_to_leave_it() -> None:
    job = job_of(
        Started(operation="treat:new_spring:1", title="Seat the new spring"),
        Chose(treatment="new_spring", decision="leave"),
    )
    assert "new_spring" in choose(problem_of(job)).treatments


def test_a_decision_about_an_unknown_treatment_is_named() -> None:
    job = job_of(Chose(treatment="gild_the_case", decision="do"))
    assert any("gild_the_case" in words for words in choose(problem_of(job)).warnings)


def test_conditions_likely_together_bind_though_each_alone_would_not() -> None:
    job = job_of(Chose(treatment="new_safety_valve", decision="leave"))
    apart = choose(problem_of(job, safety_valve={"leaking": 0.2}))
    together = choose(problem_of(job, safety_valve={"leaking": 0.3, "stuck": 0.3}))
    assert "new_safety_valve" not in apart.treatments
    assert any("not ruled out" in words for words in apart.warnings)
    assert "new_safety_valve" in together.treatments


def test_what_is_left_open_on_a_shelf_piece_is_not_put_off_until_a_first_power_that_never_comes() -> None:
    left = problem_of(job_of(Chose(treatment="new_safety_valve", decision="leave")), safety_valve={"leaking": 0.2})
    assert any("before first power" in words for words in choose(left).warnings)
    shelf = choose(replace(left, ends="display only")).warnings
    assert any("before the machine leaves" in words for words in shelf)
    assert not any("first power" in words for words in shelf)


def test_money_and_risk_are_apart_and_a_suspicion_left_costs_its_share() -> None:
    sound = choose(problem_of())
    left = choose(problem_of(case={"rusted": 0.5}))
    assert left.money_minor == sound.money_minor
    assert left.risk_minor - sound.risk_minor == 750


def test_a_second_fault_behind_the_same_opening_pays_the_opening_once() -> None:
    boiler, element = {"holed": 1.0}, {"open": 1.0}
    alone = [choose(problem_of(boiler_shell=boiler)), choose(problem_of(element=element))]
    both = choose(problem_of(boiler_shell=boiler, element=element))
    bare = choose(problem_of())
    assert both.money_minor + bare.money_minor < alone[0].money_minor + alone[1].money_minor


def test_the_margin_of_a_component_is_what_it_adds_to_the_whole() -> None:
    problem = problem_of(boiler_shell={"holed": 1.0}, element={"open": 1.0})
    choice = choose(problem)
    without = choose(problem_of(boiler_shell={"holed": 1.0}))
    margin = {found.subject: found.money_minor for found in choice.marginals}
    assert margin["element"] == choice.money_minor - without.money_minor


def test_also_prices_one_treatment_more_while_the_way_is_open() -> None:
    problem = problem_of(sleeve={"pitted": 1.0}, piston_seals={"torn": 1.0}, spring={"tired": 0.1})
    choice = choose(problem)
    assert "new_spring" not in choice.treatments
    more = also(problem, choice, "new_spring")
    alone = choose(problem_of(job_of(Chose(treatment="new_spring", decision="do")))).money_minor
    assert 0 < more.money_minor < alone - choose(problem_of()).money_minor
    assert more.risk_minor < 0
    with pytest.raises(NotFound):
        also(problem, choice, "gild_the_case")


def test_presumed_asbestos_is_cleared_before_it_is_disturbed_and_paid_once() -> None:
    hard = choose(problem_of(job_of(Chose(treatment="new_group_gasket", decision="do"))))
    assert hard.clears
    assert hard.shown.clearance_minor == 16000
    assert not choose(problem_of()).clears


def test_a_missing_part_is_brought_and_refitted() -> None:
    job = job_of(Identified(component="safety_valve", presence="missing"))
    choice = choose(problem_of(job))
    assert "new_safety_valve" in choice.treatments
    assert "safety_valve" not in choice.off


def test_an_absent_part_is_in_nobodys_way_and_has_no_faults() -> None:
    job = job_of(Identified(component="lagging", presence="absent"))
    problem = problem_of(job, lagging={"crumbling": 1.0})
    assert all(fault.component != "lagging" for fault in problem.faults)


def test_a_price_by_hand_is_used_and_one_in_another_currency_is_not() -> None:
    mine = Priced(item="new_spring", low_minor=100, likely_minor=100, high_minor=100, currency="EUR")
    asked = Chose(treatment="new_spring", decision="do")
    usual = choose(problem_of(job_of(asked))).shown.treatments_minor
    cheap = choose(problem_of(job_of(asked, mine))).shown.treatments_minor
    assert usual - cheap == pytest.approx((2500 + 4000 + 9000) / 3 - 100, abs=1)
    foreign = Priced(item="new_spring", low_minor=1, likely_minor=1, high_minor=1, currency="SEK")
    choice = choose(problem_of(job_of(asked, foreign)))
    assert choice.shown.treatments_minor == usual
    assert any("SEK" in words for words in choice.warnings)


def test_what_no_treatment_puts_right_is_said_and_not_hidden() -> None:
    choice = choose(problem_of(spring={"broken": 1.0}))
    assert choice.unmended == ()
    bare = problem_of(spring={"broken": 1.0})
    bare = Problem(bare.pieces, bare.faults, tuple(o for o in bare.options if o.id != "new_spring"))
    lost = choose(bare)
    assert lost.unmended == ("spring.broken",)
    assert any("secured, not for use" in words for words in lost.warnings)


def test_work_asked_for_behind_a_way_that_nothing_opens_is_refused() -> None:
    shut = (piece("pin", (("yoke",),)), piece("yoke", (("pin",),)))
    problem = Problem(shut, (), (option("turn", (), 10, ("pin",)),))
    assert choose(problem).treatments == ()
    with pytest.raises(PlanRefused, match="cannot be reached"):
        choose(Problem(shut, (), problem.options, decisions=(Decision("turn", "do"),)))


def test_the_same_problem_gives_the_same_choice() -> None:
    wrong = {"flex": {"cracked": 0.4}, "element": {"damp": 0.5, "open": 0.2}, "sleeve": {"scored": 0.6}}
    assert choose(problem_of(**wrong)) == choose(problem_of(**wrong))
