"""Chains of reasoning that restorers know, as expectations of the home spring-lever sheet: cause up, red herring not.

Source of every chain: common practice, no source. Expectations are qualitative: "leads", "hardly moves", "goes up".
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import (
    COLD,
    found,
    history_odds,
    judged,
    likely,
    measured,
    opened,
    sheet,
    speaking,
    trouble,
)

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement

HARDLY = 0.04
"""Odds that move less than this hardly moved."""
RIGHT_ELEMENT = "52.5 ohm"
"""What the element of the plate (230 V, 1000 W) reads cold."""


def hardly_moved(judgement: Judgement, component: str) -> bool:
    """Whether evidence left a component about as it was before."""
    odds = judgement.odds[component]
    return max(abs(now - before) for now, before in zip(odds.p, odds.prior, strict=True)) < HARDLY


def most_moved(judgement: Judgement, among: int) -> set[str]:
    """The components whose odds moved furthest to the worse."""
    trend = {
        key: sum(abs(a - b) for a, b in zip(odds.p, odds.prior, strict=True)) * (odds.p[0] < odds.prior[0])
        for key, odds in judgement.odds.items()
    }
    return set(sorted(trend, key=trend.__getitem__, reverse=True)[:among])


# ---------------------------------------------------------------- pressure


def test_pressure_past_the_mark_is_tube_or_contacts_not_the_element() -> None:
    seen = judged(told_pressure="past-the-mark")
    assert most_moved(seen, 2) == {"pressurestat_tube", "pressurestat_switch"}
    assert likely(seen, "pressurestat_tube", "blocked") > likely(seen, "pressurestat_switch", "welded")
    assert hardly_moved(seen, "element")
    assert hardly_moved(seen, "pressurestat_body")


def test_no_water_at_the_tube_nut_means_clear_the_tube_and_buy_nothing() -> None:
    seen = judged(told_pressure="past-the-mark", tube_water="none")
    assert likely(seen, "pressurestat_tube", "blocked") > 0.9
    assert hardly_moved(seen, "pressurestat_switch")
    assert hardly_moved(seen, "pressurestat_body")
    ways = sheet().treatment
    assert treatment_cost(ways["clear_tube"], sheet()) < treatment_cost(ways["replace_pressurestat"], sheet()) / 3
    assert "clear its tube first" in ways["replace_pressurestat"].advice


def test_water_at_the_tube_nut_turns_suspicion_to_the_contacts_and_a_cheap_switch() -> None:
    seen = judged(told_pressure="past-the-mark", tube_water="runs")
    assert likely(seen, "pressurestat_switch", "welded") > 0.4 > likely(seen, "pressurestat_tube", "blocked")
    ways = sheet().treatment
    cheap, dear = (treatment_cost(ways[key], sheet()) for key in ("replace_snap_switch", "replace_pressurestat"))
    assert cheap < dear / 2


def test_a_valve_that_kept_silent_at_over_pressure_is_suspect() -> None:
    seen = judged(told_pressure="past-the-mark", told_valve_silent="kept-silent")
    assert likely(seen, "safety_valve", "stuck") > 0.7
    assert "stuck" in sheet().component["safety_valve"].must


def test_early_pressure_without_steam_is_air_not_the_pressurestat() -> None:
    seen = judged(told_false_pressure="yes")
    assert "vacuum_breaker" in most_moved(seen, 1)
    assert seen.odds["vacuum_breaker"].likeliest != "sound"
    assert hardly_moved(seen, "pressurestat_body")
    assert hardly_moved(seen, "pressurestat_switch")


def test_a_hiss_that_never_ends_is_valve_breaker_or_cap_and_not_the_heat() -> None:
    seen = judged(told_hiss="all-the-time")
    assert most_moved(seen, 2) == {"safety_valve", "vacuum_breaker"}
    assert hardly_moved(seen, "element")


# ---------------------------------------------------------------- group and lever


def test_water_at_the_vent_on_every_pull_is_piston_seals_not_the_group_gasket() -> None:
    seen = judged(told_vent_water="every-pull")
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert hardly_moved(seen, "group_gasket")


def test_a_vent_that_weeps_only_at_first_after_months_idle_is_no_reason_to_strip() -> None:
    every = judged(told_vent_water="every-pull", years_unused="2-to-10")
    first = judged(told_vent_water="first-pulls-only", years_unused="2-to-10")
    assert likely(first, "piston_seals", "torn") < 0.3 < likely(every, "piston_seals", "torn")
    assert "wait" in sheet().finding["told_vent_water"].caution


def test_water_round_the_rod_is_the_rod_seal_not_the_group_gasket() -> None:
    seen = judged(told_rod_water="runs")
    assert "rod_seal" in most_moved(seen, 1)
    assert seen.odds["rod_seal"].likeliest == "torn"
    assert likely(seen, "group_gasket", "crumbled") - seen.odds["group_gasket"].prior[-1] < HARDLY


def test_new_seals_torn_within_weeks_mean_the_bore() -> None:
    seen = judged(told_seals_again="yes", last_reseal="within-2")
    assert seen.odds["sleeve"].likeliest == "scored"
    assert likely(seen, "spring", "broken") < 0.05
    opened_up = judged(
        *opened("group_head"),
        released=COLD | {"lever_secured"},
        told_seals_again="yes",
        last_reseal="within-2",
    )
    assert "bore_nail" in speaking(opened_up, "sleeve")[:3]


def test_a_jerky_lever_is_bore_and_seats_not_a_weak_spring() -> None:
    seen = judged(told_lever_feel="jerky")
    assert {"sleeve", "spring_seats"} <= most_moved(seen, 3)
    assert hardly_moved(seen, "spring")


def test_a_shot_that_stalls_is_friction_as_well_as_spring() -> None:
    seen = judged(told_shot="stalls-half-way", told_lever_feel="jerky")
    assert trouble(seen, "sleeve") > trouble(seen, "spring")
    free = judged(told_shot="stalls-half-way", bore_nail="nothing")
    assert likely(free, "spring", "tired") > likely(seen, "spring", "tired")


def test_a_measured_spring_settles_what_the_stalling_shot_could_not() -> None:
    seen = judged(measured("spring_length", "88 %"), told_shot="stalls-half-way")
    assert likely(seen, "spring", "tired") > 0.85
    full = judged(measured("spring_length", "98 %"), told_shot="stalls-half-way")
    assert likely(full, "spring", "sound") > 0.8
    assert trouble(full, "sleeve") > trouble(seen, "sleeve")


def test_a_portafilter_that_popped_off_is_not_yet_the_lugs() -> None:
    seen = judged(told_popped="yes")
    assert likely(seen, "bayonet_ring", "chipped") < 0.2
    square = judged(told_popped="yes", lugs_look="square", portafilter_look="sound")
    assert likely(square, "bayonet_ring", "sound") > 0.8
    assert likely(square, "portafilter", "sound") > 0.8
    assert "degrease" in sheet().finding["told_popped"].caution


def test_a_lever_that_droops_with_good_shots_is_bushes_and_can_wait() -> None:
    seen = judged(lever_play="droops", told_shot="to-the-end")
    assert trouble(seen, "pivot_pins") > 0.7
    assert trouble(seen, "lever") > seen_before(seen, "lever")
    assert trouble(seen, "spring") < seen_before(seen, "spring")
    assert "worn" not in sheet().component["lever"].must
    assert sheet().component["lever"].leaving["worn"] < treatment_cost(sheet().treatment["bush_lever"], sheet())


def seen_before(judgement: Judgement, component: str) -> float:
    """Chance of trouble before anything was seen."""
    return 1.0 - judgement.odds[component].prior[0]


# ---------------------------------------------------------------- heat and wiring


def test_a_trip_after_storage_with_the_right_resistance_is_damp_not_a_dead_element() -> None:
    seen = judged(
        measured("element_resistance", RIGHT_ELEMENT),
        told_trips="at-once",
        years_unused="over-10",
        kept_damp="damp",
    )
    assert seen.odds["element"].likeliest == "damp"
    assert likely(seen, "element", "open") < 0.05
    assert trouble(seen, "element_terminals") > seen_before(seen, "element_terminals")
    dry, new = (treatment_cost(sheet().treatment[key], sheet()) for key in ("bake_element", "replace_element"))
    assert dry < new
    assert "before an element is ordered" in sheet().treatment["bake_element"].advice


def test_trips_now_and_then_with_a_good_element_are_a_leak_or_the_earth() -> None:
    seen = judged(found("element", "sound"), measured("insulation_resistance", "100 Mohm"), told_trips="sometimes")
    assert likely(seen, "flange_gasket", "leaking") > seen.odds["flange_gasket"].prior[-1] + 0.1
    assert trouble(seen, "earth_bond") > seen_before(seen, "earth_bond")
    assert trouble(seen, "element_terminals") < seen_before(seen, "element_terminals")


def test_an_element_that_never_heated_again_after_running_dry_is_open_unless_the_cut_out_went() -> None:
    dry = judged(told_heats="not-at-all", dry_fired="yes", cutout_conducts="yes")
    assert likely(dry, "element", "open") > 0.8
    tripped = judged(told_heats="not-at-all", dry_fired="yes", cutout_conducts="no")
    assert likely(tripped, "element", "open") < likely(dry, "element", "open")


def test_no_heat_at_all_leaves_four_suspects_and_a_resistance_over_range_one() -> None:
    assert "pins_conduct" in speaking(judged(released=COLD, told_heats="not-at-all"), "element")[:2]
    seen = judged(told_heats="not-at-all")
    suspects = ("element", "thermal_cutout", "main_switch", "element_terminals")
    assert set(suspects) <= most_moved(seen, 4) | {"element_terminals"}
    settled = judged(measured("element_resistance", "over range"), told_heats="not-at-all")
    assert likely(settled, "element", "open") > 0.9
    assert trouble(settled, "thermal_cutout") < trouble(seen, "thermal_cutout")
    assert trouble(settled, "main_switch") < trouble(seen, "main_switch")


def test_a_quarter_of_the_resistance_tells_of_another_mains_voltage() -> None:
    seen = judged(measured("element_resistance", "14.8 ohm"), plug_look="foreign-or-cracked")
    before = judged(plug_look="foreign-or-cracked")
    assert history_odds(seen, "wrong_voltage_used", "yes") > history_odds(before, "wrong_voltage_used", "yes")
    right = judged(measured("element_resistance", RIGHT_ELEMENT), plug_look="foreign-or-cracked")
    assert history_odds(right, "wrong_voltage_used", "yes") < history_odds(before, "wrong_voltage_used", "yes")
    assert "element_resistance" in sheet().hold["dead_electrics"].proofs
    assert "dead_electrics" in sheet().hold["first_power"].after


def test_rapping_with_good_heat_is_scale_and_the_element_stays() -> None:
    seen = judged(told_rapping="rapping", told_heats="normally")
    assert likely(seen, "boiler_shell", "clean") < 0.05
    assert likely(seen, "element", "open") < 0.05
    assert "the element stays" in sheet().finding["told_rapping"].caution


def test_two_cores_on_a_metal_machine_leave_the_earth_in_doubt() -> None:
    seen = judged(flex_cores="two-core", build_era="before-1970")
    assert seen.odds["flex"].likeliest == "unsafe"
    assert likely(seen, "earth_bond", "broken") > 0.5
    assert {"rusty", "broken"} <= set(sheet().component["earth_bond"].must)


# ---------------------------------------------------------------- boiler


def test_never_opened_is_worse_not_better() -> None:
    never, before = judged(never_opened="never"), judged(never_opened="opened")
    assert trouble(never, "boiler_bolts") > trouble(before, "boiler_bolts")
    assert all(trouble(never, key) >= trouble(before, key) - 1e-9 for key in never.odds)


def test_rusted_flange_bolts_are_renewed_before_any_pressure() -> None:
    seen = judged(bolt_rust="rusted")
    assert likely(seen, "boiler_bolts", "rusted", "wasted") > 0.85
    assert set(sheet().component["boiler_bolts"].must) == {"rusted", "wasted"}
    assert likely(seen, "flange_gasket", "leaking") > seen.odds["flange_gasket"].prior[-1]
    assert "before any pressure" in sheet().treatment["replace_bolts"].advice


def test_lagging_is_looked_for_before_everything_else_and_holds_the_case() -> None:
    first = judged(released=COLD)
    assert first.checks[0].key == "lagging_seen"
    seen = judged(lagging_seen="dust-or-flakes")
    assert seen.odds["lagging"].likeliest == "shedding"
    case = sheet().unit["case_off"]
    assert "lagging" in case.does
    assert "presumed_asbestos" in case.needs
    assert set(sheet().hold["presumed_asbestos"].guards) & set(case.does)


def test_a_leak_on_filling_after_a_fall_is_a_moved_joint_and_a_claim() -> None:
    fell = judged(dropped_in_transit="dropped", cold_fill="runs")
    carried = judged(dropped_in_transit="no", cold_fill="runs")
    assert likely(fell, "group_seal", "leaking") > likely(carried, "group_seal", "leaking") + 0.1
    assert "group_seal" in most_moved(fell, 2)
    assert "claim" in sheet().finding["cold_fill"].caution


def test_water_left_in_and_soft_green_pits_mean_a_pitted_shell_to_be_mapped() -> None:
    seen = judged(stored_wet="yes", neck_colour="soft-or-green-pits")
    assert likely(seen, "boiler_shell", "pitted", "holed") > 0.7
    assert likely(seen, "piston", "pitted") > seen.odds["piston"].prior[1]


def test_pink_that_wipes_off_is_harmless() -> None:
    wipes = judged(neck_colour="wipes-off")
    stays = judged(neck_colour="soft-or-green-pits")
    assert likely(wipes, "boiler_shell", "pitted", "holed") < 0.4 < likely(stays, "boiler_shell", "pitted", "holed")


def test_milk_crust_leads_to_a_blocked_tip_and_perhaps_the_tube_not_to_the_tap() -> None:
    seen = judged(milk_crust="crust-inside")
    assert "wand_tip" in most_moved(seen, 1)
    assert trouble(seen, "pressurestat_tube") > seen_before(seen, "pressurestat_tube")
    assert hardly_moved(seen, "steam_tap")


def test_a_single_drip_at_the_glass_at_first_heat_is_usual() -> None:
    one, on = judged(trial_glass="one-drip-then-dry"), judged(trial_glass="goes-on")
    assert likely(one, "glass_seals", "leaking") < 0.1
    assert likely(on, "glass_seals", "leaking") > 0.6
