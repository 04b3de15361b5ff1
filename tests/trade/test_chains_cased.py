"""Chains of the cased plain-lever machine. Source of each: common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.judgement.symptom import trace
from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import COLD, Kind, found, likely, trouble
from tests.trade.test_prior_classes import CLASSES

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement

CASED = Kind("cased-plain-lever")
RIGHT_ELEMENT = "47.5 ohm"
"""A little under 220 V squared over 1000 W."""
HARDLY = 0.04


def before(judgement: Judgement, component: str) -> float:
    """Chance of trouble before anything was seen."""
    return 1.0 - judgement.odds[component].prior[0]


def hardly_moved(judgement: Judgement, component: str) -> bool:
    odds = judgement.odds[component]
    return max(abs(now - then) for now, then in zip(odds.p, odds.prior, strict=True)) < HARDLY


def cost(treatment: str) -> float:
    """What a treatment is reckoned to cost."""
    return treatment_cost(CASED.sheet.treatment[treatment], CASED.sheet)


# ---------------------------------------------------------------- pressure


def test_pressure_past_the_mark_is_tube_or_contacts_and_no_pressurestat_is_bought_yet() -> None:
    seen = CASED.judged(told_pressure="past-the-mark")
    assert {suspect.component for suspect in trace(seen, "Pressure wanders or climbs past the mark").suspects[:2]} == {
        "pressurestat_tube",
        "pressurestat_switch",
    }
    assert hardly_moved(seen, "element")
    opened = CASED.judged(*CASED.opened("base_plate"), told_pressure="past-the-mark", released=COLD)
    assert "tube_water" in CASED.speaking(opened, "pressurestat_tube")[:3]
    assert cost("clear_tube") < cost("replace_pressurestat") / 3
    assert "clear its tube first" in CASED.sheet.treatment["replace_pressurestat"].advice
    assert "cheap snap switch" in CASED.sheet.treatment["replace_pressurestat"].advice


def test_a_valve_that_kept_silent_is_suspect_too() -> None:
    seen = CASED.judged(told_pressure="past-the-mark", told_valve_silent="kept-silent")
    assert likely(seen, "safety_valve", "stuck") > 0.6
    assert "stuck" in CASED.sheet.component["safety_valve"].must


def test_pressure_without_steam_is_air_and_the_setting_stays_alone() -> None:
    seen = CASED.judged(told_false_pressure="yes")
    assert trouble(seen, "vacuum_breaker") > before(seen, "vacuum_breaker") + 0.2
    assert hardly_moved(seen, "pressurestat_body")
    assert "bleed first" in CASED.sheet.finding["told_false_pressure"].caution


def test_limits_are_those_of_a_boiler_for_1_8_bar() -> None:
    assert CASED.sheet.sheet.boiler_limit_bar == pytest.approx(1.8)
    assert CASED.sheet.proving["safety_valve_bench"].at_most == "1.8 bar"
    assert not CASED.sheet.sheet.open_vessel


# ---------------------------------------------------------------- group and lever


def test_water_at_the_vent_on_every_pull_is_piston_seals_and_first_pulls_only_is_waiting() -> None:
    every = CASED.judged(told_vent_water="every-pull", years_unused="2-to-10")
    first = CASED.judged(told_vent_water="first-pulls-only", years_unused="2-to-10")
    assert every.odds["piston_seals"].likeliest == "torn"
    assert hardly_moved(every, "group_gasket") or likely(every, "group_gasket", "crumbled") < 0.4
    assert likely(first, "piston_seals", "torn") < 0.3
    assert "wait before stripping" in CASED.sheet.finding["told_vent_water"].caution


def test_water_round_the_rod_is_the_rod_seal_and_the_portafilter_has_no_part_in_it() -> None:
    seen = CASED.judged(told_rod_water="runs")
    assert seen.odds["rod_seal"].likeliest == "torn"
    assert trace(seen, "Water at the top of the group").suspects[0].component == "rod_seal"
    assert "no part" in CASED.sheet.finding["told_rod_water"].caution


def test_a_lever_that_drops_away_is_seals_and_is_measured_with_a_pull_scale() -> None:
    seen = CASED.judged(told_spongy="drops-away")
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert "hand_pressure" in CASED.sheet.reading
    assert not {"spring", "spring_seats", "spring_released"} & (set(CASED.sheet.component) | set(CASED.sheet.unit))


def test_seals_torn_within_weeks_are_the_bore() -> None:
    seen = CASED.judged(told_seals_again="yes", last_reseal="within-2")
    assert seen.odds["sleeve"].likeliest == "scored"
    assert "no thicker" in CASED.sheet.treatment["reseal_piston"].advice


# ---------------------------------------------------------------- case, lagging, sight glass


def test_lagging_is_looked_for_early_and_stops_the_work_before_the_case_is_moved() -> None:
    looks = [check.key for check in CASED.judged(released=COLD).checks if not check.key.startswith("told_")]
    assert "lagging_seen" in looks[:2]
    seen = CASED.judged(lagging_seen="dust-or-flakes")
    assert seen.odds["lagging"].likeliest == "shedding"
    case = CASED.sheet.unit["case_off"]
    assert "presumed_asbestos" in case.needs
    assert "lagging" in case.does
    assert "white or grey" in case.do_not_force
    caution = CASED.sheet.finding["lagging_seen"].caution
    assert "no brush" in caution
    assert "no heat" in caution


def reached(key: str) -> set[str]:
    """Everything that has to be open before a unit or component, whichever way in is taken where there is one."""
    entry = CASED.sheet.unit.get(key) or CASED.sheet.component[key]
    own = {clause[0] for clause in entry.access if len(clause) == 1}
    return own | {deeper for way in own for deeper in reached(way)}


def test_cap_then_washer_then_plate_then_case_then_glass_end_then_boiler_end() -> None:
    order = ["boiler_neck", "cap_washer", "top_cover", "case_off", "pipe_at_glass", "pipe_at_boiler"]
    for number, key in enumerate(order):
        assert set(order[:number]) <= reached(key), key
        assert not set(order[number + 1 :]) & reached(key), key
    assert "pipe_at_boiler" in reached("boiler_out")
    assert "pipe_at_glass" in reached("glass_glands")
    assert "blocks" in CASED.sheet.component["sight_glass"].do_not_force


def test_a_level_that_stands_still_is_the_glass_or_its_pipe() -> None:
    seen = CASED.judged(glass_tilt="stands-still", glass_clear="clearly")
    assert trouble(seen, "glass_pipe") > 2 * before(seen, "glass_pipe")
    assert "not a level" in CASED.sheet.proving["level_over_element"].cautions[0]


def test_a_leak_on_filling_after_an_unmarked_carriage_is_pipe_or_joint_and_a_claim() -> None:
    fell = CASED.judged(dropped_in_transit="dropped", cold_fill="runs")
    carried = CASED.judged(dropped_in_transit="no", cold_fill="runs")
    assert likely(fell, "glass_pipe", "cracked") > likely(carried, "glass_pipe", "cracked") + 0.3
    assert likely(fell, "group_seal", "leaking") > likely(carried, "group_seal", "leaking") + 0.1
    caution = CASED.sheet.finding["cold_fill"].caution
    assert "stop, photograph, claim" in caution


# ---------------------------------------------------------------- heat and mains


def test_a_trip_after_storage_with_the_right_ohms_is_damp() -> None:
    seen = CASED.judged(
        CASED.measured("element_resistance", RIGHT_ELEMENT),
        told_trips="at-once",
        years_unused="over-10",
        kept_damp="damp",
    )
    assert seen.odds["element"].likeliest == "damp"
    assert likely(seen, "element", "open") < 0.05


def test_trips_now_and_then_with_a_good_element_are_a_leak_or_the_earth() -> None:
    good = (found("element", "sound"), CASED.measured("insulation_resistance", "100 Mohm"))
    seen = CASED.judged(*good, told_trips="sometimes")
    assert likely(seen, "flange_gasket", "leaking") > seen.odds["flange_gasket"].prior[-1] + 0.1
    assert trouble(seen, "earth_bond") > before(seen, "earth_bond")


def test_a_third_of_the_ohms_is_an_element_for_another_mains_whatever_the_plug_says() -> None:
    seen = CASED.judged(CASED.measured("element_resistance", "14.5 ohm"), build_era="before-1970")
    assert likely(seen, "element_voltage", "another") > 0.9
    right = CASED.judged(CASED.measured("element_resistance", RIGHT_ELEMENT), build_era="before-1970")
    assert likely(right, "element_voltage", "another") < 0.05


def test_rapping_with_good_steam_is_scale_and_the_element_stays() -> None:
    seen = CASED.judged(told_rapping="rapping", told_heats="normally")
    assert likely(seen, "boiler_shell", "clean") < 0.05
    assert "the element stays" in CASED.sheet.finding["told_rapping"].caution


def test_both_views_on_the_worn_cup_plate_are_told() -> None:
    ways = CASED.sheet.treatment
    assert "history" in ways["wax_plate"].advice
    assert ways["wax_plate"].reversible
    assert not ways["finish_plate"].reversible


@pytest.mark.parametrize(
    ("component", "condition", "word"),
    [
        ("piston_seals", "hard", "nearly always"),
        ("group_gasket", "hard", "nearly always"),
        ("flange_gasket", "hard", "nearly always"),
        ("boiler_shell", "scaled", "nearly always"),
        ("boiler_shell", "holed", "rarely"),
        ("safety_valve", "weeping", "more often than not"),
        ("safety_valve", "stuck", "often"),
        ("boiler_cap", "worn", "more often than not"),
        ("glass_seals", "hard", "more often than not"),
        ("sight_glass", "clouded", "more often than not"),
        ("glass_pipe", "narrowed", "often"),
        ("glass_pipe", "cracked", "now and then"),
        ("pressurestat_tube", "narrowed", "often"),
        ("pressurestat_switch", "welded", "now and then"),
        ("element", "damp", "more often than not"),
        ("lagging", "shedding", "now and then"),
        ("trim_washer", "dented", "often"),
        ("top_plate", "scuffed", "more often than not"),
        ("pivot_pins", "worn", "more often than not"),
        ("wiring", "brittle", "more often than not"),
    ],
)
def test_a_part_is_as_often_bad_as_the_trade_says(component: str, condition: str, word: str) -> None:
    states = CASED.sheet.component[component].states
    share = likely(CASED.judged(), component, *states[states.index(condition) :])
    low, high = CLASSES[word]
    assert low <= share <= high, f"{component} at least {condition}: {share:.2f}, the trade says {word}"
