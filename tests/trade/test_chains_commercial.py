"""Chains of reasoning on commercial spring-lever machines: one group on a dipper, two groups on heat exchangers.

Source of every chain: common practice, no source. Expectations are qualitative: "leads", "hardly moves", "goes up".
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.judgement.symptom import trace
from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import COLD, HOME, Kind, found, likely, trouble

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement

PAIR = Kind("commercial-two-group-exchanger")
SINGLE = Kind("commercial-one-group-dipper")
SHORT = Kind("commercial-one-group-exchanger")
PAIR_DIPPER = Kind("commercial-two-group-dipper")
ALL = (PAIR, SINGLE, SHORT, PAIR_DIPPER)
HARDLY = 0.04
"""Odds that move less than this hardly moved."""
PLATE_OHMS = {PAIR: "41 ohm", SINGLE: "24.2 ohm"}
"""What the element of the plate reads cold: 380 V, 3500 W on a star of three rods, and 220 V, 2000 W."""

each_kind = pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.key)
either = pytest.mark.parametrize("kind", [PAIR, SINGLE], ids=lambda kind: kind.key)


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


def before(judgement: Judgement, component: str) -> float:
    """Chance of trouble before anything was seen."""
    return 1.0 - judgement.odds[component].prior[0]


def suspects(symptom: str, judgement: Judgement) -> list[str]:
    """Who may be at fault for a trouble, most likely first."""
    return [suspect.component for suspect in trace(judgement, symptom).suspects]


# ---------------------------------------------------------------- the exchanger


def test_a_level_that_creeps_with_no_tap_open_is_an_exchanger_and_not_the_filling_valve() -> None:
    seen = PAIR.judged(told_level_creeps="always")
    split = likely(seen, "heat_exchanger", "cracked") + likely(seen, "heat_exchanger_right", "cracked")
    assert most_moved(seen, 2) == {"heat_exchanger", "heat_exchanger_right"}
    assert split > 4 * (likely(seen, "fill_valve", "passing") - seen.odds["fill_valve"].prior[-1])
    assert likely(seen, "heat_exchanger", "cracked") > likely(seen, "fill_valve", "passing")
    assert "do not chase the filling valve" in PAIR.sheet.finding["told_level_creeps"].caution


def test_one_group_that_overfills_has_one_exchanger_to_blame() -> None:
    seen = SHORT.judged(told_level_creeps="always")
    assert likely(seen, "heat_exchanger", "cracked") > 0.5
    assert suspects("The boiler overfills with no tap open", seen)[0] == "heat_exchanger"


def test_the_first_look_at_an_overfilling_boiler_is_the_level_with_the_filling_line_shut() -> None:
    seen = PAIR.judged(released=COLD, told_level_creeps="always")
    steps = trace(seen, "The boiler overfills with no tap open").steps
    looks = [step.key for step in steps if step.kind != "open"]
    assert looks[0] == "creeps_with_filling_shut"
    stands = PAIR.judged(told_level_creeps="always", creeps_with_filling_shut="stands")
    assert likely(stands, "heat_exchanger", "cracked") < 0.1
    assert likely(stands, "fill_valve", "passing") > stands.odds["fill_valve"].prior[-1]
    climbs = PAIR.judged(told_level_creeps="always", creeps_with_filling_shut="climbs")
    assert likely(climbs, "heat_exchanger", "cracked") + likely(climbs, "heat_exchanger_right", "cracked") > 0.95


def test_feed_on_one_exchanger_at_a_time_tells_which() -> None:
    seen = PAIR.judged(told_level_creeps="always", exchanger_drip="dry", exchanger_drip_right="runs")
    assert likely(seen, "heat_exchanger_right", "cracked") > 0.95
    assert likely(seen, "heat_exchanger", "cracked") < 0.1


def test_a_cracked_exchanger_is_brazed_replaced_or_retired_before_it_works_again() -> None:
    assert "cracked" in PAIR.sheet.component["heat_exchanger"].must
    ways = {
        key
        for key, way in PAIR.sheet.treatment.items()
        if any(fix.of == "heat_exchanger" and "cracked" in fix.from_ for fix in way.fixes)
    }
    assert ways == {"braze_exchanger", "replace_exchanger", "retire_exchanger"}
    assert all(any(step.skill == "send-out" for step in PAIR.sheet.treatment[way].steps) for way in ways)


def test_frost_splits_the_exchanger_before_the_boiler() -> None:
    seen = PAIR.judged(frost="yes")
    for side in ("heat_exchanger", "heat_exchanger_right"):
        assert likely(seen, side, "cracked") > 2 * likely(seen, "boiler_shell", "holed")
        assert likely(seen, side, "cracked") > 4 * seen.odds[side].prior[-1]
    assert "leaves the exchanger full" in PAIR.sheet.component["heat_exchanger"].do_not_force


def test_the_boilers_own_pressure_test_is_not_the_exchangers() -> None:
    test = PAIR.sheet.proving["exchanger_alone"]
    assert any("hides it" in caution for caution in test.cautions)
    assert "exchanger_alone" not in SINGLE.sheet.proving
    assert "heat_exchanger" not in SINGLE.sheet.component
    assert "dipper_tube" not in PAIR.sheet.component


# ---------------------------------------------------------------- never opened: studs, bolts, rings


@each_kind
def test_never_opened_for_forty_years_is_sheared_studs_and_rotten_bolts(kind: Kind) -> None:
    never, opened = kind.judged(never_opened="never"), kind.judged(never_opened="opened")
    for component, worst in (("group_studs", "sheared"), ("boiler_bolts", "wasted")):
        assert likely(never, component, worst) > likely(opened, component, worst)
        assert trouble(never, component) > 0.6
    assert all(trouble(never, key) >= trouble(opened, key) - 1e-9 for key in never.odds)
    assert "half as much time again" in kind.sheet.finding["stud_look"].caution


@each_kind
def test_heat_and_oil_come_before_the_first_turn(kind: Kind) -> None:
    for unit in ("group_off", "boiler_open"):
        words = kind.sheet.unit[unit].do_not_force.lower()
        assert "before the first turn" in words
        assert "oil" in words
    assert "never wrung" in kind.sheet.unit["group_off"].do_not_force
    assert kind.sheet.unit["group_off"].risk_cost > HOME.sheet.unit["group_off"].risk_cost
    assert kind.sheet.unit["boiler_open"].open_minutes[2] > 2 * HOME.sheet.unit["boiler_open"].open_minutes[2]


@each_kind
def test_old_rings_and_gaskets_are_presumed_asbestos(kind: Kind) -> None:
    for ring in ("flange_gasket", "group_seal", "boiler_pipes", "group_gasket", "lagging"):
        assert kind.sheet.component[ring].presumed_asbestos, ring
    for unit in ("group_off", "boiler_open", "case_off", "boiler_out"):
        assert "presumed_asbestos" in kind.sheet.unit[unit].needs, unit


@each_kind
def test_rusted_end_bolts_are_all_renewed_before_any_pressure(kind: Kind) -> None:
    seen = kind.judged(bolt_rust="rusted")
    assert likely(seen, "boiler_bolts", "rusted", "wasted") > 0.9
    assert set(kind.sheet.component["boiler_bolts"].must) == {"rusted", "wasted"}
    assert "before any pressure" in kind.sheet.finding["bolt_rust"].caution
    assert kind.sheet.treatment["replace_bolts"].advice.startswith("All of them")
    bolts = kind.sheet.component["boiler_bolts"].supply
    assert bolts is not None
    assert bolts.lead_days[1] < 10
    assert kind.sheet.finding["bolt_rust"].ask_first


@each_kind
def test_lagging_and_gas_are_looked_for_before_everything_else(kind: Kind) -> None:
    first = kind.judged(released=COLD)
    looks = [check.key for check in first.checks if check.key in kind.sheet.finding]
    seen = [key for key in looks if kind.sheet.finding[key].zone != "story"]
    assert set(seen[:2]) == {"gas_seen", "lagging_seen"}
    assert "touch nothing" in kind.sheet.finding["lagging_seen"].where
    assert "nothing is turned" in kind.sheet.finding["gas_seen"].where
    assert {"lagging", "cover"} <= set(kind.sheet.unit["case_off"].does)


# ---------------------------------------------------------------- pressure and heat


@either
def test_pressure_past_the_mark_is_tube_or_contacts_not_the_element(kind: Kind) -> None:
    seen = kind.judged(told_pressure="past-the-mark")
    assert most_moved(seen, 2) == {"pressurestat_tube", "pressurestat_switch"}
    assert hardly_moved(seen, "element")
    assert hardly_moved(seen, "pressurestat_body")
    dry = kind.judged(told_pressure="past-the-mark", tube_water="none")
    assert likely(dry, "pressurestat_tube", "blocked") > 0.9
    assert "clear its tube first" in kind.sheet.treatment["replace_pressurestat"].advice


@either
def test_a_trip_after_storage_with_the_right_ohms_is_damp_not_a_dead_element(kind: Kind) -> None:
    seen = kind.judged(
        kind.measured("element_resistance", PLATE_OHMS[kind]),
        told_trips="at-once",
        years_unused="over-10",
        kept_damp="damp",
    )
    assert seen.odds["element"].likeliest == "damp"
    assert likely(seen, "element", "open") < 0.05
    dry, new = (treatment_cost(kind.sheet.treatment[key], kind.sheet) for key in ("bake_element", "replace_element"))
    assert dry < new
    assert "before an element is ordered" in kind.sheet.treatment["bake_element"].advice


@either
def test_trips_now_and_then_with_a_good_element_are_a_leak_or_the_earth(kind: Kind) -> None:
    seen = kind.judged(
        found("element", "sound"), kind.measured("insulation_resistance", "100 Mohm"), told_trips="sometimes"
    )
    assert likely(seen, "flange_gasket", "leaking") > seen.odds["flange_gasket"].prior[-1] + 0.1
    assert trouble(seen, "earth_bond") > before(seen, "earth_bond")


def test_a_third_of_the_ohms_tells_of_another_supply_and_not_of_a_bad_element() -> None:
    seen = PAIR.judged(PAIR.measured("element_resistance", "13.8 ohm"))
    right = PAIR.judged(PAIR.measured("element_resistance", PLATE_OHMS[PAIR]))
    assert PAIR.history_odds(seen, "supply_changed", "yes") > PAIR.history_odds(right, "supply_changed", "yes") + 0.2
    assert trouble(seen, "element") < before(seen, "element") + HARDLY
    assert trouble(seen, "main_switch") > before(right, "main_switch")
    assert "dead_electrics" in PAIR.sheet.hold["first_power"].after


def test_one_rod_that_differs_still_heats_slowly_and_is_an_open_rod() -> None:
    seen = PAIR.judged(rods_alike="one-differs")
    assert likely(seen, "element", "open") > 0.6
    assert "per rod" in PAIR.sheet.finding["rods_alike"].caution


@either
def test_loud_rapping_with_good_steam_is_scale_and_the_element_stays(kind: Kind) -> None:
    seen = kind.judged(told_rapping="rapping", told_heats="normally")
    assert likely(seen, "boiler_shell", "clean") < 0.05
    assert likely(seen, "element", "open") < 0.05
    assert "the element stays" in kind.sheet.finding["told_rapping"].caution


@either
def test_gas_is_for_licensed_people_and_never_left_unproved(kind: Kind) -> None:
    seen = kind.judged(gas_seen="open-pipe-or-burner")
    assert likely(seen, "gas_train", "unproved", "leaking") > 0.85
    assert trouble(seen, "flame_guard") > 0.4
    for part in ("gas_train", "flame_guard"):
        assert set(kind.sheet.component[part].must) == set(kind.sheet.component[part].states[1:])
        for way in kind.sheet.treatment.values():
            if any(fix.of == part for fix in way.fixes):
                assert all(step.skill == "send-out" for step in way.steps), way.name
    assert trouble(kind.judged(gas_seen="none"), "gas_train") < 0.03


# ---------------------------------------------------------------- two groups


def test_water_at_the_left_vent_is_the_left_seals() -> None:
    seen = PAIR.judged(told_vent_water="every-pull", told_vent_water_right="no")
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert likely(seen, "piston_seals_right", "torn") < seen.odds["piston_seals_right"].prior[-1]
    assert hardly_moved(seen, "group_gasket")


def test_new_seals_torn_again_on_one_side_are_that_sides_bore() -> None:
    seen = PAIR.judged(told_seals_again_right="yes")
    assert most_moved(seen, 1) == {"sleeve_right"}
    assert likely(seen, "sleeve_right", "scored") > 0.4
    assert hardly_moved(seen, "sleeve")
    assert "thicker seals make it worse" in PAIR.sheet.finding["told_seals_again_right"].caution


def test_weak_pressure_on_one_side_only_is_that_sides_spring() -> None:
    seen = PAIR.judged(
        PAIR.measured("brew_pressure", "6.0 bar"),
        PAIR.measured("brew_pressure_right", "8.9 bar"),
        lips_look="supple",
        bore_nail="nothing",
    )
    assert trouble(seen, "spring") > 0.7
    assert trouble(seen, "spring_right") < before(seen, "spring_right")


def test_one_group_that_starves_is_its_jet_and_both_are_the_feed() -> None:
    left = PAIR.judged(told_starved="dry-at-the-second-pull", told_starved_right="full", told_all_slow="no")
    assert most_moved(left, 1) == {"group_jet"}
    assert trouble(left, "group_jet_right") < before(left, "group_jet_right")
    assert hardly_moved(left, "spring")
    assert trouble(left, "piston_seals") < before(left, "piston_seals") + HARDLY
    everything = PAIR.judged(told_all_slow="hardly-at-all")
    assert most_moved(everything, 1) == {"feed_strainer"}


def test_a_short_fill_in_one_pull_is_weighed_with_the_portafilter_locked() -> None:
    seen = PAIR.judged(PAIR.measured("fill_share", "40 %"), PAIR.measured("fill_share_right", "96 %"))
    assert likely(seen, "group_jet", "blocked", "narrowed") > 0.8
    assert trouble(seen, "group_jet_right") < 0.2
    for reading in ("fill_share", "fill_share_right"):
        assert "Never with an empty basket" in PAIR.sheet.reading[reading].caution


def test_every_treatment_of_the_left_group_is_there_for_the_right() -> None:
    sheet = PAIR.sheet
    left = {key for key in sheet.component if f"{key}_right" in sheet.component}
    for key, way in sheet.treatment.items():
        if way.fixes and all(fix.of in left for fix in way.fixes):
            assert f"{key}_right" in sheet.treatment, key
    assert {"left", "right"} <= {way.name.split()[0].lower() for way in sheet.treatment.values()}


def test_jerky_only_in_the_week_after_each_clean_is_geometry_and_no_want_of_grease() -> None:
    seen = SINGLE.judged(told_jerky_after_clean="yes")
    assert most_moved(seen, 1) <= {"spring_seats", "yoke", "lever"}
    assert trouble(seen, "yoke") > before(seen, "yoke")
    assert likely(seen, "spring_seats", "scored") > seen.odds["spring_seats"].prior[-1] + 0.1
    assert "more grease is no cure" in SINGLE.sheet.finding["told_jerky_after_clean"].caution


@either
def test_a_portafilter_that_popped_off_is_degreased_first_and_then_the_lugs(kind: Kind) -> None:
    seen = kind.judged(told_popped="yes", lugs_look="square", portafilter_look="sound")
    assert likely(seen, "bayonet_ring", "sound") > 0.7
    words = kind.sheet.finding["told_popped"].caution.lower()
    assert words.index("degrease") < words.index("choked") < words.index("lugs")


# ---------------------------------------------------------------- water, carriage, place


@either
def test_a_feed_pipe_that_grows_hot_is_the_check_valve(kind: Kind) -> None:
    seen = kind.judged(told_hot_feed="hot-or-emptied")
    assert most_moved(seen, 1) == {"check_valve"}
    assert likely(seen, "check_valve", "sticks-open") > 0.5
    assert hardly_moved(seen, "fill_valve")


def test_steam_at_a_dipper_group_is_a_split_dipper_once_the_level_is_right() -> None:
    seen = SINGLE.judged(told_steam_at_group="always")
    assert most_moved(seen, 1) == {"dipper_tube"}
    assert "level first" in SINGLE.sheet.finding["told_steam_at_group"].caution


@each_kind
def test_a_leak_on_filling_under_an_unmarked_pallet_is_pipes_that_moved_and_a_claim(kind: Kind) -> None:
    fell = kind.judged(dropped_in_transit="dropped", cold_filled="runs")
    carried = kind.judged(dropped_in_transit="no", cold_filled="runs")
    assert likely(fell, "boiler_pipes", "cracked") > likely(carried, "boiler_pipes", "cracked")
    assert "boiler_pipes" in most_moved(fell, 2)
    words = kind.sheet.finding["cold_filled"].caution
    assert words.index("photograph") < words.index("claim") < words.index("before any tool")


@either
def test_a_boiler_that_moves_in_its_cradle_hangs_on_its_pipes(kind: Kind) -> None:
    seen = kind.judged(cradle_look="moves")
    assert likely(seen, "boiler_cradle", "loose") > 0.8
    assert trouble(seen, "boiler_pipes") > before(seen, "boiler_pipes")


@each_kind
def test_two_people_lift_and_nothing_is_tipped(kind: Kind) -> None:
    assert "Two people" in kind.sheet.unit["base_plate"].do_not_force
    assert "Two people" in kind.sheet.unit["boiler_out"].do_not_force
    where = [finding.where.lower() for finding in kind.sheet.finding.values()]
    assert not any("tilt" in words or "on its side" in words for words in where)
    assert not any("tilt the machine" in finding.look.lower() for finding in kind.sheet.finding.values())


@each_kind
def test_a_cafe_asks_for_a_scheme_and_a_competent_person_and_local_law_decides(kind: Kind) -> None:
    test = kind.sheet.proving["place_of_work"]
    said = " ".join((test.ask, test.limit_words, *test.cautions))
    assert all(words in said for words in ("written scheme", "competent person", "law of that place", "may not sign"))


@each_kind
def test_a_boiler_beyond_repair_is_kept_for_display_disabled_and_labelled(kind: Kind) -> None:
    words = kind.sheet.treatment["replace_shell"].advice
    assert all(said in words for said in ("display", "disabled", "labelled", "never sold as working"))


@each_kind
def test_where_the_trade_disagrees_both_views_stand(kind: Kind) -> None:
    ways = kind.sheet.treatment
    assert "other view" in ways["descale_hot_drum"].advice
    assert "descale_bath" in ways
    assert "others refuse it on a survivor" in ways["coat_frame"].advice
    assert "treat_base" in ways
    assert "Soft-soldered old pipes hold lead" in ways["renew_pipes"].advice
    assert "reseat_unions" in ways
