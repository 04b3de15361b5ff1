"""Chains of the small plain-lever machine, with pressurestat and with two powers. Source: common practice, no source.

Cause up, red herring not; the first look among the first checks; what not to do or buy yet in the sheet's own words.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.judgement.bundle import bundles
from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import COLD, Kind, found, likely, trouble

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement

PLAIN = Kind("small-plain-lever")
HARDLY = 0.04
"""Odds that move less than this hardly moved."""
RIGHT_ELEMENT = "51.6 ohm"
"""What the element of the usual plate (230 V, 1000 W) reads cold."""
BENCH = COLD | {"lever_secured", "presumed_asbestos"}


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


def moved(judgement: Judgement, component: str) -> float:
    """How much more often a component is in trouble than before."""
    return trouble(judgement, component) - (1.0 - judgement.odds[component].prior[0])


def cost(treatment: str) -> float:
    """What a treatment is reckoned to cost."""
    return treatment_cost(PLAIN.sheet.treatment[treatment], PLAIN.sheet)


# ---------------------------------------------------------------- pressure and heat


def test_pressure_past_the_mark_is_tube_or_contacts_not_the_element() -> None:
    seen = PLAIN.judged(told_pressure="past-the-mark")
    assert most_moved(seen, 2) == {"pressurestat_tube", "pressurestat_switch"}
    assert hardly_moved(seen, "element")
    assert hardly_moved(seen, "pressurestat_body")
    opened = PLAIN.judged(*PLAIN.opened("base_plate"), told_pressure="past-the-mark", released=COLD)
    assert "tube_water" in PLAIN.speaking(opened, "pressurestat_tube")[:3]


def test_no_water_at_the_tube_nut_means_clear_it_before_a_pressurestat_is_bought() -> None:
    seen = PLAIN.judged(told_pressure="past-the-mark", tube_water="none")
    assert likely(seen, "pressurestat_tube", "blocked") > 0.9
    assert cost("clear_tube") < cost("replace_snap_switch") * 2 < cost("replace_pressurestat")
    assert "clear its tube first" in PLAIN.sheet.treatment["replace_pressurestat"].advice


def test_a_valve_that_kept_silent_is_suspect_too() -> None:
    seen = PLAIN.judged(told_pressure="past-the-mark", told_valve_silent="kept-silent")
    assert likely(seen, "safety_valve", "stuck") > 0.6


def test_pressure_without_steam_is_air_and_the_setting_stays_alone() -> None:
    seen = PLAIN.judged(told_false_pressure="yes")
    assert "vacuum_breaker" in most_moved(seen, 1)
    assert hardly_moved(seen, "pressurestat_body")
    asked = PLAIN.sheet.finding["told_false_pressure"]
    assert "bleed first" in asked.caution
    assert "leave the pressurestat's screw alone" in asked.caution


def test_rapping_with_good_steam_is_scale_and_the_element_stays() -> None:
    seen = PLAIN.judged(told_rapping="rapping", told_heats="normally")
    assert likely(seen, "boiler_shell", "clean") < 0.05
    assert likely(seen, "element", "open") < 0.05
    assert "the element stays" in PLAIN.sheet.finding["told_rapping"].caution


def test_a_trip_after_storage_with_the_right_ohms_is_damp_and_no_element_is_ordered() -> None:
    seen = PLAIN.judged(
        PLAIN.measured("element_resistance", RIGHT_ELEMENT),
        told_trips="at-once",
        years_unused="over-10",
        kept_damp="damp",
    )
    assert seen.odds["element"].likeliest == "damp"
    assert likely(seen, "element", "open") < 0.05
    assert moved(seen, "element_terminals") > 0
    assert cost("bake_element") < cost("replace_element")
    assert "before one is ordered" in PLAIN.sheet.treatment["replace_element"].advice


def test_trips_now_and_then_with_a_good_element_are_a_drip_or_the_earth() -> None:
    good = (found("element", "sound"), PLAIN.measured("insulation_resistance", "100 Mohm"))
    seen = PLAIN.judged(*good, told_trips="sometimes")
    assert likely(seen, "element_gasket", "leaking") > seen.odds["element_gasket"].prior[-1] + 0.1
    assert moved(seen, "earth_bond") > 0
    below = PLAIN.judged(*good, *PLAIN.opened("base_plate"), told_trips="sometimes", released=COLD)
    leak_or_earth = PLAIN.speaking(below, "element_gasket", "earth_bond")[:4]
    assert {"base_inside", "element_trail", "drip_under", "cold_fill"} & set(leak_or_earth)


def test_half_or_double_the_heat_is_arithmetic_and_not_a_worn_element() -> None:
    for told in ("twice-as-long", "half-as-long"):
        seen = PLAIN.judged(told_heat_time=told)
        assert "element_voltage" in most_moved(seen, 1), told
        assert moved(seen, "element") < moved(seen, "element_voltage") / 3, told
    caution = PLAIN.sheet.finding["told_heat_time"].caution
    assert "volts squared over watts" in caution
    assert "per rod" in caution


def test_a_plug_for_here_on_an_old_machine_without_history_is_measured_before_any_power() -> None:
    before = PLAIN.judged()
    seen = PLAIN.judged(build_era="before-1970", plate_volts="no-plate-or-scratched")
    assert likely(seen, "element_voltage", "another") > 1.5 * likely(before, "element_voltage", "another")
    opened = PLAIN.judged(
        *PLAIN.opened("base_plate"), build_era="before-1970", plate_volts="no-plate-or-scratched", released=COLD
    )
    assert "element_resistance" in PLAIN.speaking(opened, "element_voltage")[:2]
    sheet = PLAIN.sheet
    assert "element_resistance" in sheet.hold["dead_electrics"].proofs
    assert "dead_electrics" in sheet.hold["first_power"].after
    assert "power" in sheet.hold["first_power"].guards
    assert "measured first" in sheet.finding["plate_volts"].caution


def test_a_third_of_the_ohms_is_an_element_for_125_volts_whatever_the_plug_says() -> None:
    third = PLAIN.measured("element_resistance", "15.2 ohm")
    seen = PLAIN.judged(third, build_era="before-1970", plate_volts="no-plate-or-scratched")
    assert likely(seen, "element_voltage", "another") > 0.95
    assert likely(seen, "element", "open") < 0.05
    right = PLAIN.judged(PLAIN.measured("element_resistance", RIGHT_ELEMENT), build_era="before-1970")
    assert likely(right, "element_voltage", "another") < 0.05
    assert PLAIN.sheet.component["element_voltage"].must == ("another",)


def test_another_element_or_an_earthed_transformer_both_views_are_told() -> None:
    ways = PLAIN.sheet.treatment
    assert "transformer" in ways["element_for_this_mains"].advice
    assert "lose the earth" in ways["earthed_transformer"].advice
    assert {fix.of for fix in ways["earthed_transformer"].fixes} == {"element_voltage"}


def test_an_open_element_reads_over_range_and_is_not_taken_for_another_mains() -> None:
    seen = PLAIN.judged(PLAIN.measured("element_resistance", "over range"), told_heats="not-at-all")
    assert likely(seen, "element", "open") > 0.9
    assert moved(seen, "element_voltage") < 0.06


# ---------------------------------------------------------------- group and lever


def test_water_at_the_vent_on_every_pull_is_piston_seals_not_the_group_gasket() -> None:
    seen = PLAIN.judged(told_vent_water="every-pull")
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert hardly_moved(seen, "group_gasket")


def test_a_vent_that_stops_after_a_few_pulls_following_idle_months_is_waited_out() -> None:
    every = PLAIN.judged(told_vent_water="every-pull", years_unused="2-to-10")
    first = PLAIN.judged(told_vent_water="first-pulls-only", years_unused="2-to-10")
    assert likely(first, "piston_seals", "torn") < 0.35 < likely(every, "piston_seals", "torn")
    assert "wait before stripping" in PLAIN.sheet.finding["told_vent_water"].caution


def test_water_at_the_top_of_the_rod_is_the_rod_seal_and_its_ring() -> None:
    seen = PLAIN.judged(told_rod_water="runs")
    assert "rod_seal" in most_moved(seen, 1)
    assert hardly_moved(seen, "bayonet_ring")
    assert "portafilter gasket has no part" in PLAIN.sheet.finding["told_rod_water"].caution


def test_new_seals_torn_again_are_the_bore_and_no_thicker_seals_are_bought() -> None:
    seen = PLAIN.judged(told_seals_again="yes", last_reseal="within-2")
    assert seen.odds["sleeve"].likeliest == "scored"
    opened = PLAIN.judged(*PLAIN.opened("group_head"), released=BENCH, told_seals_again="yes", last_reseal="within-2")
    assert {"bore_nail", "bore_round"} & set(PLAIN.speaking(opened, "sleeve")[:3])
    assert "no thicker seals" in PLAIN.sheet.treatment["reseal_piston"].advice


def test_a_portafilter_that_popped_is_degreased_before_the_lugs_are_blamed() -> None:
    seen = PLAIN.judged(told_popped="yes")
    assert likely(seen, "bayonet_ring", "chipped") < 0.2
    square = PLAIN.judged(told_popped="yes", lugs_look="square", portafilter_look="sound")
    assert likely(square, "bayonet_ring", "sound") > 0.8
    assert "degrease" in PLAIN.sheet.finding["told_popped"].caution


def test_a_drooping_lever_with_good_shots_is_an_advisory() -> None:
    seen = PLAIN.judged(lever_play="droops", told_spongy="firm-all-the-way")
    assert trouble(seen, "pivot_pins") > 0.7
    assert moved(seen, "piston_seals") < 0
    lever = PLAIN.sheet.component["lever"]
    assert "worn" not in lever.must
    assert lever.leaving["worn"] < cost("bush_lever")
    assert "can wait" in PLAIN.sheet.finding["lever_play"].caution


def test_a_spongy_lever_that_drops_away_is_piston_seals_not_the_pins() -> None:
    seen = PLAIN.judged(told_spongy="drops-away")
    assert "piston_seals" in most_moved(seen, 1)
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert hardly_moved(seen, "pivot_pins")
    assert hardly_moved(seen, "group_gasket")


def test_too_little_pressure_from_a_full_pull_is_lost_past_the_seals_or_in_the_bore() -> None:
    short = PLAIN.measured("hand_pressure", "6.0 bar")
    leaks = PLAIN.judged(short, PLAIN.measured("lever_sinks", "28 mm"))
    stands = PLAIN.judged(short, PLAIN.measured("lever_sinks", "0.6 mm"))
    assert likely(leaks, "piston_seals", "torn") > 0.6 > likely(stands, "piston_seals", "torn")
    assert likely(stands, "sleeve", "scaled") > stands.odds["sleeve"].prior[1]


def test_a_full_pull_that_gives_nine_bar_clears_seals_and_bore() -> None:
    seen = PLAIN.judged(PLAIN.measured("hand_pressure", "9.1 bar"), PLAIN.measured("lever_sinks", "0.7 mm"))
    assert likely(seen, "piston_seals", "torn") < 0.1
    assert likely(seen, "sleeve", "scored") < seen.odds["sleeve"].prior[-1] / 2


def test_a_lever_bound_when_cold_and_empty_is_pins_before_seals() -> None:
    seen = PLAIN.judged(PLAIN.measured("drag_cold", "12 kgf"))
    assert likely(seen, "pivot_pins", "seized") > 3 * seen.odds["pivot_pins"].prior[-1]
    assert "whittled" in PLAIN.sheet.reading["drag_cold"].caution


def test_a_base_that_twists_on_locking_is_the_ring_nut_not_the_group() -> None:
    seen = PLAIN.judged(base_twists="turns-a-little")
    assert "ring_nut" in most_moved(seen, 1)
    assert likely(seen, "ring_nut", "loose") > 0.85
    assert hardly_moved(seen, "group_bolts")
    assert hardly_moved(seen, "bayonet_ring")
    assert cost("renew_ring_washers") < cost("replace_ring_nut")
    assert "hammer and drift" in PLAIN.sheet.component["ring_nut"].do_not_force


def test_a_plastic_ring_that_split_is_replaced_after_counting_threads() -> None:
    seen = PLAIN.judged(base_twists="swivels", ring_look="split-or-odd-thread")
    assert seen.odds["ring_nut"].likeliest == "cracked"
    assert "cracked" in PLAIN.sheet.component["ring_nut"].must
    assert "count threads" in PLAIN.sheet.treatment["replace_ring_nut"].advice
    assert PLAIN.sheet.record["ring_thread"].before == "ring_nut"


def test_a_raised_lever_that_brings_no_water_is_scaled_ports_not_the_seals() -> None:
    seen = PLAIN.judged(told_no_water="none", hard_water="hard")
    assert "group_body" in most_moved(seen, 1)
    assert hardly_moved(seen, "piston_seals")
    assert "not drilled" in PLAIN.sheet.finding["told_no_water"].caution


# ---------------------------------------------------------------- boiler and looks


def test_a_run_under_the_base_is_the_element_gasket_long_before_the_boiler() -> None:
    seen = PLAIN.judged(drip_under="old-run", element_trail="trail")
    assert likely(seen, "element_gasket", "leaking") > 0.7
    assert likely(seen, "boiler_shell", "holed") < 0.1
    assert moved(seen, "element_terminals") > 0


def test_a_leak_on_filling_after_a_fall_is_a_moved_joint_and_a_claim() -> None:
    fell = PLAIN.judged(dropped_in_transit="dropped", cold_fill="runs")
    carried = PLAIN.judged(dropped_in_transit="no", cold_fill="runs")
    assert likely(fell, "group_seal", "leaking") > likely(carried, "group_seal", "leaking") + 0.1
    assert "claim" in PLAIN.sheet.finding["cold_fill"].caution


def test_a_coppery_skin_that_flakes_is_varnish_and_the_layer_is_agreed_first() -> None:
    seen = PLAIN.judged(skin_look="flakes-off")
    assert "varnish" in most_moved(seen, 1)
    assert likely(seen, "varnish", "peeling") > 2 * likely(seen, "plating", "peeling")
    strip = PLAIN.sheet.treatment["strip_varnish"]
    assert "agreed with the owner" in strip.advice
    assert "Three layers" in strip.advice
    assert not strip.reversible
    assert PLAIN.sheet.treatment["wax_varnish"].reversible
    assert "target layer first" in PLAIN.sheet.treatment["replate"].advice


def test_where_the_trade_disagrees_about_acid_both_views_are_told() -> None:
    ways = PLAIN.sheet.treatment
    bath, inside = ways["descale_bath"].advice, ways["descale_in_place"].advice
    assert "some dip chromed boilers" in bath
    assert "others keep every acid off" in bath
    assert "boiling" in inside
    assert "35 to 60 degrees" in inside


def test_where_the_trade_disagrees_about_silicone_on_slow_pins_both_views_are_told() -> None:
    advice = PLAIN.sheet.treatment["replace_pins"].advice
    assert "thin film of silicone is what many give" in advice
    assert "others say" in advice


def test_the_lever_is_never_moved_dry_loose_or_under_pressure_to_measure_its_drag() -> None:
    reading = PLAIN.sheet.reading["drag_cold"]
    assert {"isolated", "cold_vented", "lever_secured"} <= set(reading.needs)
    assert "wetted" in reading.circuit
    assert "portafilter locked" in reading.circuit


def test_a_rusted_group_bolt_is_renewed_before_any_pressure() -> None:
    seen = PLAIN.judged(group_bolt_look="rusted")
    assert likely(seen, "group_bolts", "rusted", "wasted") > 0.8
    assert set(PLAIN.sheet.component["group_bolts"].must) == {"rusted", "wasted"}
    assert "before any pressure" in PLAIN.sheet.treatment["replace_group_bolts"].advice


# ---------------------------------------------------------------- how it comes apart


def test_pins_then_nuts_then_the_piston_is_pushed_down_and_no_spring_is_anywhere() -> None:
    sheet = PLAIN.sheet
    assert sheet.component["pivot_pins"].access == ()
    assert sheet.component["rod_nuts"].access == (("pivot_pins",),)
    assert sheet.unit["group_head"].access == (("rod_nuts",),)
    assert "pushed down" in sheet.unit["group_head"].do_not_force
    acts = [entry.does for kind in (sheet.unit, sheet.component, sheet.proving) for entry in kind.values()]
    assert not any("spring" in does for does in acts)
    assert "lever" in sheet.unit["group_head"].does
    assert "lever_secured" in sheet.unit["group_head"].needs
    assert "lever" in sheet.hold["lever_secured"].guards


def test_the_element_comes_out_after_the_ring_nut_let_the_boiler_go() -> None:
    sheet = PLAIN.sheet
    assert ("ring_nut",) in sheet.unit["boiler_out"].access
    assert ("boiler_out",) in sheet.component["element"].access
    assert sheet.unit["boiler_open"].access == (("element",),)


def test_the_neck_is_worth_opening_early() -> None:
    ways = bundles(PLAIN.judged(released=COLD))
    assert ("boiler_neck",) in [way.opens for way in ways[:3]]
