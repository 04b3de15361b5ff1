"""Chains of reasoning about open kettles, plain and spring lever. Source of each: common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.judgement.symptom import symptoms, trace
from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import COLD, Kind, found, likely, trouble

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement

PLAIN = Kind("open-kettle-plain-lever")
SPRING = Kind("open-kettle-spring-lever")
KETTLES = (PLAIN, SPRING)
RIGHT_ELEMENT = {PLAIN.key: "78 ohm", SPRING.key: "67 ohm"}
"""A little under volts squared over watts: 220 V and 600 W, 220 V and 700 W."""
HARDLY = 0.04

both = pytest.mark.parametrize("kind", KETTLES, ids=lambda kind: kind.key)


def before(judgement: Judgement, component: str) -> float:
    """Chance of trouble before anything was seen."""
    return 1.0 - judgement.odds[component].prior[0]


def hardly_moved(judgement: Judgement, component: str) -> bool:
    odds = judgement.odds[component]
    return max(abs(now - then) for now, then in zip(odds.p, odds.prior, strict=True)) < HARDLY


def blamed(kind: Kind, symptom: str, judgement: Judgement | None = None) -> list[str]:
    """Who is blamed for a trouble, the likeliest first."""
    seen = judgement if judgement is not None else kind.judged()
    return [suspect.component for suspect in trace(seen, symptom).suspects]


# ---------------------------------------------------------------- lever and cylinder


@both
def test_new_seals_torn_again_within_weeks_mean_the_bore_and_no_thicker_seal(kind: Kind) -> None:
    seen = kind.judged(told_seals_again="yes", last_reseal="within-2")
    assert seen.odds["sleeve"].likeliest == "scored"
    opened = kind.judged(
        *kind.opened("boiler_neck", "group_head"),
        released=COLD | {"lever_secured"},
        told_seals_again="yes",
        last_reseal="within-2",
    )
    by_hand = [key for key in kind.speaking(opened, "sleeve") if not key.startswith("told_")]
    assert {"bore_nail", "bore_round"} & set(by_hand[:2])
    assert "no thicker" in kind.sheet.treatment["reseal_piston"].advice


@both
def test_jerky_for_a_week_after_each_clean_is_geometry_or_mixed_parts_not_grease(kind: Kind) -> None:
    seen = kind.judged(told_after_clean="yes")
    suspects = blamed(kind, "Jerky for a week after each cleaning")
    assert suspects[0] in {"lever", "yoke", "piston_rod", "spring"}
    assert trouble(seen, "piston_rod") > before(seen, "piston_rod")
    assert likely(seen, "lever", "bent") > 2 * seen.odds["lever"].prior[-1]
    assert kind.history_odds(seen, "unknown_hands", "yes") > kind.history_odds(kind.judged(), "unknown_hands", "yes")
    assert hardly_moved(seen, "piston_seals")
    assert "grease is no cure" in kind.sheet.finding["told_after_clean"].caution
    if "spring_seats" in kind.sheet.component:
        assert trouble(seen, "spring") > before(seen, "spring")
        assert likely(seen, "spring_seats", "dry") <= seen.odds["spring_seats"].prior[1] + HARDLY


@both
def test_a_portafilter_that_pops_off_is_grease_and_grind_before_lugs(kind: Kind) -> None:
    seen = kind.judged(told_popped="yes")
    assert likely(seen, "bayonet_ring", "chipped") < 0.2
    square = kind.judged(told_popped="yes", lugs_look="square", portafilter_look="sound")
    assert likely(square, "bayonet_ring", "sound") > 0.8
    assert "degrease" in kind.sheet.finding["told_popped"].caution
    assert "No grease on it" in kind.sheet.treatment["replace_group_gasket"].advice


@both
def test_a_lever_with_play_and_good_coffee_is_bushes_and_can_wait(kind: Kind) -> None:
    seen = kind.judged(lever_play="droops", told_soft_lever="firm")
    assert trouble(seen, "pivot_pins") > before(seen, "pivot_pins")
    assert trouble(seen, "lever") > before(seen, "lever")
    assert likely(seen, "piston_seals", "torn") < seen.odds["piston_seals"].prior[-1]
    assert "worn" not in kind.sheet.component["lever"].must
    assert kind.sheet.component["lever"].leaving["worn"] < treatment_cost(
        kind.sheet.treatment["bush_lever"], kind.sheet
    )


@both
def test_a_lever_that_gives_way_is_the_pistons_rings_not_the_portafilters(kind: Kind) -> None:
    seen = kind.judged(told_soft_lever="gives-way")
    assert blamed(kind, "The lever gives way and little comes", seen)[0] == "piston_seals"
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert hardly_moved(seen, "group_gasket")


@both
def test_drips_that_stop_after_the_first_days_are_no_reason_to_strip(kind: Kind) -> None:
    on = kind.judged(told_spout_drip="goes-on", years_unused="2-to-10")
    first = kind.judged(told_spout_drip="first-days-only", years_unused="2-to-10")
    assert likely(first, "piston_seals", "torn") < 0.3 < likely(on, "piston_seals", "torn")
    assert "before it is taken apart" in kind.sheet.finding["told_spout_drip"].caution


def test_a_piston_let_go_by_its_circlip_knocks_and_the_clip_is_renewed_not_bent_back() -> None:
    seen = PLAIN.judged(told_knock="knocks")
    assert blamed(PLAIN, "The lever has a dead spot or knocks", seen)[0] == "piston_circlip"
    assert trouble(seen, "piston_circlip") > 0.7
    assert "not bent back" in PLAIN.sheet.treatment["replace_circlip"].advice
    assert "piston_circlip" not in SPRING.sheet.component


def test_the_plain_lever_comes_apart_by_hand_in_minutes_and_the_spring_does_not() -> None:
    plain, spring = (kind.sheet.unit["group_head"] for kind in KETTLES)
    assert plain.open_minutes[1] <= 3 < spring.open_minutes[1]
    assert "spring_released" in SPRING.sheet.unit
    assert "spring_released" not in PLAIN.sheet.unit
    assert "spring" in SPRING.sheet.component["spring"].does
    assert not any("spring" in part.does for part in PLAIN.sheet.component.values())


def test_a_shot_that_stalls_is_friction_as_well_as_spring() -> None:
    seen = SPRING.judged(told_shot="stalls-half-way", told_lever_feel="jerky")
    assert trouble(seen, "sleeve") > trouble(seen, "spring")
    assert "before a spring is ordered" in SPRING.sheet.finding["told_shot"].caution


# ---------------------------------------------------------------- heat and mains


@both
def test_a_trip_after_storage_with_the_right_resistance_is_damp_not_a_dead_element(kind: Kind) -> None:
    seen = kind.judged(
        kind.measured("element_resistance", RIGHT_ELEMENT[kind.key]),
        told_trips="at-once",
        years_unused="over-10",
        kept_damp="damp",
        dry_fired="no",
    )
    assert seen.odds["element"].likeliest == "damp"
    assert likely(seen, "element", "open") < 0.05
    assert trouble(seen, "element_terminals") > before(seen, "element_terminals")
    assert "before an element is ordered" in kind.sheet.treatment["bake_element"].advice


@both
def test_trips_now_and_then_with_a_good_element_are_a_leak_or_the_earth(kind: Kind) -> None:
    seen = kind.judged(
        found("element", "sound"), kind.measured("insulation_resistance", "100 Mohm"), told_trips="sometimes"
    )
    assert likely(seen, "element_gasket", "leaking") > seen.odds["element_gasket"].prior[-1] + 0.08
    assert trouble(seen, "earth_bond") > before(seen, "earth_bond")
    assert trouble(seen, "element_terminals") < before(seen, "element_terminals")


@both
def test_a_plug_of_another_country_asks_for_the_resistance_before_any_power(kind: Kind) -> None:
    foreign = kind.judged(plug_look="foreign-or-cracked", build_era="before-1970")
    low = kind.judged(
        kind.measured("element_resistance", "20 ohm"), plug_look="foreign-or-cracked", build_era="before-1970"
    )
    right = kind.judged(
        kind.measured("element_resistance", RIGHT_ELEMENT[kind.key]),
        plug_look="foreign-or-cracked",
        build_era="before-1970",
    )
    odds = [kind.history_odds(seen, "wrong_voltage_used", "yes") for seen in (right, foreign, low)]
    assert odds == sorted(odds)
    assert odds[0] < odds[2] / 2
    assert "before any power" in kind.sheet.finding["plug_look"].caution
    assert "element_resistance" in kind.sheet.hold["dead_electrics"].proofs


@both
def test_rapping_with_good_heat_is_scale_and_the_element_stays(kind: Kind) -> None:
    seen = kind.judged(told_rapping="rapping", told_heats="normally")
    assert likely(seen, "boiler_shell", "clean") < 0.05
    assert likely(seen, "element", "open") < 0.08
    assert blamed(kind, "Raps or sings while heating")[0] == "boiler_shell"
    assert "the element stays" in kind.sheet.treatment["descale_kettle"].advice


@both
def test_a_kettle_that_boils_on_has_a_welded_thermostat_and_is_not_powered_to_see(kind: Kind) -> None:
    seen = kind.judged(told_boils="boiled-on", thermostat_warmed="never-opens")
    assert likely(seen, "thermostat", "welded") > 0.9
    assert hardly_moved(seen, "element_gasket")
    assert "welded" in kind.sheet.component["thermostat"].must
    first = trace(kind.judged(released=COLD, told_boils="boiled-on"), "Boils on, or never gets hot enough")
    assert first.suspects[0].component == "thermostat"
    assert {step.key for step in first.steps} & {"thermostat_warmed", "thermostat_points"}
    assert all("first_power" not in kind.sheet.finding[key].needs for key in ("thermostat_warmed", "thermostat_points"))


@both
def test_lukewarm_coffee_is_a_drifted_thermostat_to_be_set_after_descaling(kind: Kind) -> None:
    seen = kind.judged(told_boils="stayed-cool")
    assert blamed(kind, "Boils on, or never gets hot enough", seen)[0] == "thermostat"
    assert seen.odds["thermostat"].likeliest == "drifted"
    ways = kind.sheet.treatment
    cheap, dear = (treatment_cost(ways[key], kind.sheet) for key in ("set_thermostat", "replace_thermostat"))
    assert cheap < dear
    assert "descale first" in ways["set_thermostat"].advice


@both
def test_a_kettle_forgotten_on_is_an_open_element_unless_the_cut_out_saved_it(kind: Kind) -> None:
    dry = kind.judged(told_heats="not-at-all", kettle_floor="warped-or-burnt", cutout_conducts="yes")
    assert kind.history_odds(dry, "dry_fired", "yes") > 0.8
    assert likely(dry, "element", "open") > 0.75
    saved = kind.judged(told_heats="not-at-all", kettle_floor="warped-or-burnt", cutout_conducts="no")
    assert likely(saved, "element", "open") < likely(dry, "element", "open")
    assert "can be undone" in kind.sheet.treatment["replace_cutout"].advice


@both
def test_two_cores_on_a_metal_kettle_leave_the_earth_in_doubt(kind: Kind) -> None:
    seen = kind.judged(flex_cores="two-core", build_era="before-1970")
    assert seen.odds["flex"].likeliest == "unsafe"
    assert likely(seen, "earth_bond", "broken") > 0.5


# ---------------------------------------------------------------- kettle


@both
def test_water_below_is_a_joint_first_and_seldom_a_hole(kind: Kind) -> None:
    seen = kind.judged(told_wet_below="damp-ring")
    assert set(blamed(kind, "Water under the machine", seen)[:2]) == {"element_gasket", "group_seal"}
    assert likely(seen, "boiler_shell", "holed") < 0.1
    assert trouble(kind.judged(brim_fill="runs"), "boiler_shell") > before(seen, "boiler_shell")


@both
def test_a_leak_after_the_carriage_is_photographed_and_claimed_before_any_tool(kind: Kind) -> None:
    fell = kind.judged(dropped_in_transit="dropped", brim_fill="damp-at-a-joint")
    carried = kind.judged(dropped_in_transit="no", brim_fill="damp-at-a-joint")
    assert likely(fell, "group_seal", "leaking") > likely(carried, "group_seal", "leaking")
    assert "claim" in kind.sheet.finding["brim_fill"].caution


@both
def test_a_kettle_past_saving_may_stay_as_a_thing_to_look_at_disabled_and_labelled(kind: Kind) -> None:
    ways = [
        way
        for way in kind.sheet.treatment.values()
        if any(fix.of == "boiler_shell" and "holed" in fix.from_ for fix in way.fixes)
    ]
    assert {way.way for way in ways} == {"repair", "replace"}
    said = " ".join(way.advice for way in ways)
    for words in ("display only", "element disabled", "never sold as working", "epoxy"):
        assert words in said


@both
def test_both_views_on_hot_acid_and_on_a_skin_of_scale_are_told(kind: Kind) -> None:
    advice = kind.sheet.treatment["descale_kettle"].advice
    assert "some pour it boiling" in advice
    assert "others stop at 60" in advice
    assert "lead" in advice
    assert "silicone" in kind.sheet.treatment["reseal_group"].advice
    assert any("retire" in words for words in kind.sheet.proving["first_waters"].cautions)


@both
def test_board_under_the_kettle_is_presumed_asbestos_before_the_kettle_is_lifted(kind: Kind) -> None:
    assert kind.judged(released=COLD).checks[0].key == "lagging_seen"
    assert kind.judged(lagging_seen="dust-or-flakes").odds["lagging"].likeliest == "shedding"
    assert "presumed_asbestos" in kind.sheet.unit["boiler_out"].needs
    assert "before the kettle is lifted" in kind.sheet.treatment["clear_lagging"].advice


@both
def test_a_machine_that_rocks_is_not_heated(kind: Kind) -> None:
    assert trouble(kind.judged(stands="rocks"), "feet") > 0.9
    assert "tips" in kind.sheet.finding["stands"].caution
    assert "stands_firm" in kind.sheet.proving


def test_rust_at_the_chips_leads_to_pits_and_the_owner_chooses_between_wax_and_new_enamel() -> None:
    rusty, whole = SPRING.judged(enamel_outside="rusting-chips"), SPRING.judged(enamel_outside="whole")
    assert rusty.odds["enamel"].likeliest == "rusting"
    assert likely(rusty, "boiler_shell", "pitted", "holed") > 1.5 * likely(whole, "boiler_shell", "pitted", "holed")
    ways = SPRING.sheet.treatment
    assert ways["wax_chips"].reversible
    assert not ways["enamel_anew"].reversible
    assert "one school" in ways["wax_chips"].advice
    assert "other school" in ways["enamel_anew"].advice
    assert "never sanded dry" in SPRING.sheet.finding["enamel_outside"].caution


def test_700_or_1100_watts_are_told_apart_by_resistance() -> None:
    plate = SPRING.judged(SPRING.measured("element_resistance", RIGHT_ELEMENT[SPRING.key]))
    later = SPRING.judged(SPRING.measured("element_resistance", "43 ohm"))
    assert SPRING.history_odds(later, "wrong_voltage_used", "yes") > SPRING.history_odds(
        plate, "wrong_voltage_used", "yes"
    )
    assert "700 and 1100 W" in SPRING.sheet.record["plate_and_stamps"].why


@both
def test_nothing_of_a_boiler_is_asked_about(kind: Kind) -> None:
    sheet = kind.sheet
    assert sheet.sheet.open_vessel
    assert sheet.sheet.boiler_limit_bar is None
    said = [finding.look for finding in sheet.finding.values()] + [part.name for part in sheet.component.values()]
    for word in ("pressurestat", "safety valve", "sight glass", "steam", "boiler cap", "vacuum"):
        assert not [words for words in said if word in words.lower()], word
    assert len(symptoms(sheet)) >= 10
