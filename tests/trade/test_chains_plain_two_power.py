"""Chains of the small plain-lever machine with two powers and no pressurestat. Source: common practice, no source."""

from __future__ import annotations

import pytest

from brasswright.journal.entries import Answered
from brasswright.sheets.losses import treatment_cost
from tests.trade.jobs import COLD, Kind, found, likely, trouble

PLAIN = Kind("small-plain-lever")
TWO = Kind("small-plain-lever-two-power")
RIGHT_ELEMENT = "47.2 ohm"
"""What both windings of the usual plate (220 V, 200 and 800 W) read cold together."""
BENCH = COLD | {"lever_secured", "presumed_asbestos"}


def before(component: str) -> float:
    """Chance of trouble with nothing known."""
    return trouble(TWO.judged(), component)


def test_there_is_no_pressurestat_no_gauge_no_spring_and_nothing_that_speaks_of_them() -> None:
    gone = {"pressurestat_body", "pressurestat_switch", "pressurestat_tube", "boiler_gauge", "spring", "group_seal"}
    assert not gone & set(TWO.sheet.component)
    core = {proof for hold in TWO.sheet.hold.values() for proof in hold.proofs}
    asked = [words.look for words in TWO.sheet.finding.values()] + [one.ask for one in TWO.sheet.reading.values()]
    asked += [one.where + one.circuit for one in TWO.sheet.reading.values()]
    asked += [step.do for way in TWO.sheet.treatment.values() for step in way.steps]
    asked += [one.ask for key, one in TWO.sheet.proving.items() if key not in core]
    for words in asked:
        assert "pressurestat" not in words.lower(), words
        assert "spring" not in words.lower(), words
        assert "case" not in words.lower().split(), words


def test_the_sleeve_is_unscrewed_with_its_key_before_the_piston_comes_out() -> None:
    head = TWO.sheet.unit["group_head"]
    assert "key made for its slots" in head.do_not_force
    assert head.risk_cost > 4 * PLAIN.sheet.unit["group_head"].risk_cost
    assert head.open_minutes[1] > 2 * PLAIN.sheet.unit["group_head"].open_minutes[1]
    assert ("group_head",) in TWO.sheet.component["piston"].access
    assert ("group_head",) in TWO.sheet.component["piston_seals"].access
    assert TWO.sheet.record["sleeve_depth"].before == "group_head"
    assert "group_off" not in TWO.sheet.unit


def test_heat_on_high_only_is_the_low_winding_before_the_switch_and_not_the_whole_element() -> None:
    seen = TWO.judged(told_low="always-on-high", told_heats="normally")
    assert likely(seen, "low_winding", "open") > 2 * before("low_winding")
    assert likely(seen, "low_winding", "open") > likely(seen, "element", "open")
    opened = TWO.judged(*TWO.opened("base_plate"), told_low="always-on-high", released=COLD)
    assert "winding_share" in TWO.speaking(opened, "low_winding")[:2]


def test_the_share_of_the_windings_tells_the_dead_one_on_every_mains() -> None:
    open_low = TWO.judged(TWO.measured("winding_share", "over range"), told_heats="normally")
    assert likely(open_low, "low_winding", "open") > 0.8
    right = TWO.judged(TWO.measured("winding_share", "25 %"))
    assert likely(right, "low_winding", "open") < 0.02
    assert likely(right, "element_voltage", "another") == pytest.approx(before("element_voltage"), abs=0.03)


def test_low_that_climbs_on_is_the_switch_and_ends_at_the_supply() -> None:
    seen = TWO.judged(trial_low="climbs-on")
    assert likely(seen, "main_switch", "burnt") > 2 * likely(TWO.judged(), "main_switch", "burnt")
    assert likely(seen, "low_winding", "open") == pytest.approx(before("low_winding"), abs=0.02)
    assert "off at the supply" in TWO.sheet.finding["trial_low"].caution


def test_a_valve_that_blew_on_high_did_its_work() -> None:
    asked = TWO.sheet.finding["told_low"]
    assert "did its work" in asked.caution
    seen = TWO.judged(told_low="always-on-high")
    assert likely(seen, "safety_valve", "stuck") == pytest.approx(
        likely(TWO.judged(), "safety_valve", "stuck"), abs=0.02
    )


def test_the_hand_is_the_cut_out_and_the_plan_says_so() -> None:
    cycle = TWO.sheet.proving["heat_cycle_one"]
    assert any("no pressurestat" in caution for caution in cycle.cautions)
    assert TWO.sheet.proving["low_power_holds"].during == "heat_cycle_one"
    assert TWO.sheet.proving["low_power_holds"].reading == "low_pressure"


def test_water_at_the_vent_may_come_past_the_sleeve_but_mostly_comes_past_the_lips() -> None:
    seen = TWO.judged(told_vent_water="every-pull")
    assert seen.odds["piston_seals"].likeliest == "torn"
    assert likely(seen, "sleeve_seal", "leaking") > likely(TWO.judged(), "sleeve_seal", "leaking")
    new = TWO.judged(found("piston_seals", "sound"), found("sleeve", "smooth"), told_vent_water="every-pull")
    assert likely(new, "sleeve_seal", "leaking") > 0.6


def test_new_seals_torn_again_are_the_bore_and_the_sleeve_is_measured_once_out() -> None:
    seen = TWO.judged(told_seals_again="yes", last_reseal="within-2")
    assert seen.odds["sleeve"].likeliest == "scored"
    out = TWO.judged(*TWO.opened("group_head"), told_seals_again="yes", last_reseal="within-2", released=BENCH)
    assert {"bore_nail", "bore_round"} & set(TWO.speaking(out, "sleeve")[:3])


def test_a_plug_for_here_on_a_machine_of_the_fifties_is_measured_before_any_power() -> None:
    seen = TWO.judged(
        *TWO.opened("base_plate"), build_era="before-1970", plate_volts="no-plate-or-scratched", released=COLD
    )
    assert "element_resistance" in TWO.speaking(seen, "element_voltage")[:2]
    third = TWO.judged(TWO.measured("element_resistance", "15.2 ohm"), build_era="before-1970")
    assert likely(third, "element_voltage", "another") > 0.9
    right = TWO.judged(TWO.measured("element_resistance", RIGHT_ELEMENT), build_era="before-1970")
    assert likely(right, "element_voltage", "another") < 0.05


def test_five_quarters_of_the_ohms_is_one_winding_and_not_another_mains() -> None:
    seen = TWO.judged(TWO.measured("element_resistance", "59 ohm"))
    assert likely(seen, "low_winding", "open") > 0.7
    assert likely(seen, "element_voltage", "another") < 0.25
    settled = TWO.judged(TWO.measured("element_resistance", "59 ohm"), TWO.measured("winding_share", "over range"))
    assert likely(settled, "low_winding", "open") > 0.9
    assert likely(settled, "element_voltage", "another") < 0.25


def test_an_open_low_winding_can_stay_where_a_regulator_that_comes_out_again_holds_the_heat() -> None:
    ways = TWO.sheet.treatment
    cheap, dear = (treatment_cost(ways[key], TWO.sheet) for key in ("regulator_for_low", "replace_element"))
    assert cheap < dear
    assert ways["regulator_for_low"].reversible
    assert "not how the machine was" in ways["regulator_for_low"].advice


@pytest.mark.parametrize("question", ["told_spongy", "told_rod_water", "told_popped", "base_twists", "skin_look"])
def test_what_is_the_same_machine_reads_the_same(question: str) -> None:
    answer = TWO.sheet.finding[question].answers[-1]
    shown = {cause.of for cause in TWO.sheet.finding[question].shows if cause.of in TWO.sheet.component}
    said = Answered(question=question, answer=answer)
    for component in shown:
        ours, later = (trouble(kind.judged(said), component) for kind in (TWO, PLAIN))
        assert ours == pytest.approx(later, abs=0.05), component
