"""Hold points, case by case: what releases one, what breaks it, what a proof must carry."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from brasswright.bench.element import cold_resistance_band_ohm
from brasswright.errors import HeldWork
from brasswright.holds.points import (
    needed,
    refuse_unless_told,
    release_problems,
    released_holds,
    stand,
    standing_before,
)
from brasswright.holds.proofs import proof_gap
from brasswright.holds.verdicts import FromPlate, judged
from brasswright.journal.entries import Disturbed, Measured, Proved, Released, Started
from brasswright.journal.replay import replay
from brasswright.sheets.load import load_sheet
from tests.builders import arrived, job_of, journal, numbered

if TYPE_CHECKING:
    from brasswright.journal.job import Job

SHEET = load_sheet(
    """
[sheet]
key = "earth-only"
name = "Earth only"
version = 1
describes = "a machine with one reading"
currency = "EUR"
price_year = 2026

[zone.outside]
name = "Outside"
order = 1

[component.case]
name = "Case"
zone = "outside"
states = ["sound", "dented"]
source = "bench"
""",
    name="earth-only",
).sheet


def released(key: str) -> Released:
    return Released(hold=key, statements=SHEET.hold[key].statements)


def proved(test: str, **changes: Any) -> Proved:
    asks = SHEET.proving[test]
    told = {"outcome": "passed", "instrument": asks.instrument, "circuit": asks.circuit} | changes
    return Proved(test=test, **told)


def whole(*after: Any) -> Job:
    """Everything proved and released in order, then `after`."""
    return job_of(arrived(), *(proved(test) for test in SHEET.proving), *(released(key) for key in SHEET.hold), *after)


def test_ten_hold_points_in_the_order_of_the_safety_rules() -> None:
    assert [state.number for state in stand(job_of(arrived()), SHEET).values()] == list(range(1, 11))


def test_with_nothing_entered_every_hold_stands_and_says_what_it_wants() -> None:
    states = stand(job_of(arrived()), SHEET)
    assert all(state.status == "stands" and state.wants for state in states.values())


def test_proved_and_released_in_order_everything_is_released() -> None:
    assert released_holds(whole(), SHEET) == set(SHEET.hold)


@pytest.mark.parametrize(
    ("act", "broken", "kept"),
    [
        ("wiring", {"dead_electrics", "first_power", "release"}, {"cold_pressure", "safety_valve"}),
        ("descale", {"dead_electrics", "release"}, {"cold_pressure", "lever_secured"}),
        ("leak", {"dead_electrics", "release"}, {"lever_secured", "safety_valve"}),
        ("opens_envelope", {"cold_pressure", "water_over_element"}, {"dead_electrics", "safety_valve"}),
        ("valve", {"safety_valve"}, {"dead_electrics", "isolated"}),
        ("spring", {"lever_secured"}, {"cold_pressure", "dead_electrics"}),
        ("power", {"isolated", "cold_vented", "water_over_element"}, {"safety_valve"}),
    ],
)
def test_a_disturbance_breaks_what_it_must_and_no_more(act: str, broken: set[str], kept: set[str]) -> None:
    # source: common practice, no source (which work undoes which test)
    states = stand(whole(Disturbed(acts=(act,), words="it happened")), SHEET)
    assert broken <= {key for key, state in states.items() if state.status == "broken"}
    own = {key for key in kept if states[key].broken_by is None}
    assert own == kept


def test_nipping_a_gland_asks_for_the_leak_down_again_and_for_a_new_release() -> None:
    nipped = Disturbed(acts=("nip",), words="gland nipped at first heat")
    wants = " ".join(stand(whole(nipped), SHEET)["cold_pressure"].wants)
    assert "Leak-down" in wants
    assert "Cold water pressure, no air" not in wants
    retested = whole(nipped, proved("leak_down"))
    assert not stand(retested, SHEET)["cold_pressure"].released
    again = whole(nipped, proved("leak_down"), released("cold_pressure"))
    assert stand(again, SHEET)["cold_pressure"].released


def test_half_the_statements_release_nothing() -> None:
    half = Released(hold="isolated", statements=SHEET.hold["isolated"].statements[:-1])
    state = stand(job_of(arrived(), half), SHEET)["isolated"]
    assert state.status == "stands"
    assert state.wants == (f"say: {SHEET.hold['isolated'].statements[-1]}",)


def test_a_multimeter_does_not_prove_the_earth() -> None:
    job = whole(proved("earth_continuity", instrument="multimeter 2"), released("dead_electrics"))
    state = stand(job, SHEET)["dead_electrics"]
    assert not state.released
    assert "low-ohm tester" in " ".join(state.wants)


def test_insulation_without_its_circuit_state_proves_nothing() -> None:
    job = whole(proved("insulation_resistance", circuit=""), released("dead_electrics"))
    assert "circuit state is not given" in " ".join(stand(job, SHEET)["dead_electrics"].wants)


def test_a_proof_entered_after_the_release_does_not_release_by_itself() -> None:
    tests = SHEET.hold["safety_valve"].proofs
    early = job_of(arrived(), released("safety_valve"), *(proved(test) for test in tests))
    assert not stand(early, SHEET)["safety_valve"].released


def test_what_was_done_while_a_hold_stood_proves_nothing() -> None:
    job = whole(proved("safety_valve_bench", done_while=("isolated",)), released("safety_valve"))
    assert not stand(job, SHEET)["safety_valve"].released


def test_work_done_anyway_is_shown_with_the_hold() -> None:
    opened = Started(operation="open:case", title="Case off", acts=("cover",), done_while=("isolated",))
    assert stand(job_of(arrived(), opened), SHEET)["isolated"].done_while == ("Case off",)


def test_a_disturbance_entered_later_but_dated_earlier_still_breaks() -> None:
    entries = list(journal(arrived(), released("isolated"), Disturbed(acts=("power",), words="tried at the socket")))
    entries[2] = entries[2].model_copy(update={"at": entries[1].at - timedelta(hours=3)})
    assert stand(replay(entries), SHEET)["isolated"].status == "broken"


def test_a_disturbance_dated_later_but_entered_earlier_breaks_too() -> None:
    entries = list(journal(arrived(), Disturbed(acts=("power",), words="tried at the socket"), released("isolated")))
    assert stand(replay(entries), SHEET)["isolated"].released
    entries[1] = entries[1].model_copy(update={"at": entries[2].at + timedelta(minutes=30)})
    assert stand(replay(entries), SHEET)["isolated"].status == "broken"


def test_a_reading_of_the_wrong_instrument_does_not_carry_its_test() -> None:
    sheet = SHEET.model_copy(
        update={
            "proving": SHEET.proving
            | {"earth_continuity": SHEET.proving["earth_continuity"].model_copy(update={"reading": "earth"})}
        }
    )
    reading = Measured(reading="earth", text="0.08 ohm", value=0.08, unit="ohm", instrument_kind="multimeter")
    claim = Proved(test="earth_continuity", outcome="passed", reading_entry=numbered(2))
    job = job_of(arrived(), reading, claim)
    assert "takes low-ohm tester" in " ".join(stand(job, sheet)["dead_electrics"].wants)


def test_starting_held_work_is_refused_naming_what_would_release_it() -> None:
    with pytest.raises(HeldWork) as refusal:
        refuse_unless_told("Case off", standing_before(("cover",), (), job_of(arrived()), SHEET), ())
    assert "hold 1, Isolated and proved dead" in str(refusal.value)
    assert "plug is out" in str(refusal.value)


def test_first_power_needs_the_eight_holds_before_it() -> None:
    assert set(needed(("power",), SHEET)) >= {"first_power"}
    assert SHEET.hold["first_power"].after == tuple(key for key in SHEET.hold if SHEET.hold[key].number < 9)


def test_a_release_is_refused_with_every_reason() -> None:
    problems = release_problems(Released(hold="dead_electrics"), job_of(arrived()), SHEET)
    words = " ".join(str(problem) for problem in problems)
    assert "Isolated and proved dead" in words
    assert "Protective earth continuity" in words
    assert "low-ohm tester, not with a multimeter" in words


def test_an_unknown_hold_is_named() -> None:
    assert "no such hold point" in str(release_problems(Released(hold="wish"), job_of(arrived()), SHEET)[0])


def test_a_claimed_pass_is_held_against_its_own_reading() -> None:
    proving = SHEET.proving["insulation_resistance"].model_copy(update={"reading": "insulation"})
    sheet = SHEET.model_copy(update={"proving": SHEET.proving | {"insulation_resistance": proving}})
    reading = Measured(
        reading="insulation",
        text="0.6 Mohm",
        value=0.6e6,
        sigma=0.01e6,
        unit="Mohm",
        instrument="tester 3",
        instrument_kind="insulation tester",
        circuit="all closed",
        test_voltage_v=500.0,
    )
    claim = Proved(test="insulation_resistance", outcome="passed", reading_entry=numbered(2))
    wants = " ".join(stand(job_of(arrived(), reading, claim), sheet)["dead_electrics"].wants)
    # source: DIN VDE 0701-0702, 1.0 Mohm class I, 0.3 Mohm with heating elements on
    assert "investigate" in wants


def test_a_reading_without_uncertainty_takes_the_usual_error_of_its_instrument() -> None:
    proving = SHEET.proving["earth_continuity"].model_copy(update={"reading": "earth"})
    reading = Measured(
        reading="earth",
        text="0.29 ohm",
        value=0.29,
        unit="ohm",
        instrument="low-ohm tester 1",
        instrument_kind="low-ohm tester",
        circuit="unplugged",
    )
    verdict = judged(proving, reading)
    # source: DIN VDE 0701-0702, 0.3 ohm; guard band by JCGM 106:2012, 8.3.2
    assert verdict is not None
    assert verdict.outcome == "not shown"


def test_between_two_limits_the_worse_verdict_counts() -> None:
    band = SHEET.proving["leak_down"].model_copy(
        update={"at_least": "0.9 bar", "at_most": "1.2 bar", "instrument": "", "circuit": ""}
    )
    reading = Measured(
        reading="cut_out", text="1.5 bar", value=150_000.0, sigma=500.0, unit="bar", instrument="reference gauge 1"
    )
    outcomes = [judged(band, reading.model_copy(update={"value": value})) for value in (105_000.0, 150_000.0, 60_000.0)]
    # source: common practice, no source (a cut-out between 0.9 and 1.2 bar)
    assert [found.outcome for found in outcomes if found] == ["passed", "failed", "failed"]


@pytest.mark.parametrize(
    ("ohms", "outcome"), [(48.4, "passed"), (24.2, "failed"), (96.8, "failed"), (44.8, "investigate")]
)
def test_an_element_is_held_against_its_own_plate(ohms: float, outcome: str) -> None:
    # source: IEC 60335-1, clause 10.1, table 1 (from memory): 900 W to 1050 W for 1000 W; R = U^2 / P
    reading = Measured(
        reading="element",
        text=f"{ohms} ohm",
        value=ohms,
        sigma=0.2,
        unit="ohm",
        instrument="multimeter 2",
        instrument_kind="multimeter",
        circuit="one lead off",
    )
    proving = SHEET.proving["element_resistance"]
    low, high = cold_resistance_band_ohm(rated_voltage_v=220.0, rated_power_w=1000.0)
    verdict = judged(proving, reading, FromPlate(low, high))
    assert verdict is not None
    assert verdict.outcome == outcome


def _dated(job_bodies: tuple[Any, ...], number: int, **shift: float) -> Job:
    """The job over these bodies, entry `number` dated otherwise."""
    entries = list(journal(*job_bodies))
    entry = entries[number - 1]
    entries[number - 1] = entry.model_copy(update={"at": entry.at + timedelta(**shift)})
    return replay(entries)


def test_a_failure_dated_after_a_pass_outweighs_it_whichever_was_entered_first() -> None:
    # The pass of Monday is typed in on Tuesday, after Tuesday's failure: the failure is the machine's state.
    failed, passed = proved("safety_valve_bench", outcome="failed"), proved("safety_valve_bench")
    bodies = (arrived(), failed, passed, released("safety_valve"))
    assert stand(_dated(bodies, 3, days=0), SHEET)["safety_valve"].released
    state = stand(_dated(bodies, 3, days=-1), SHEET)["safety_valve"]
    assert not state.released
    assert "a later one had the outcome failed" in " ".join(state.wants)


def test_the_electrical_re_tests_count_only_after_the_second_heat() -> None:
    early = [test for test in SHEET.proving if test.startswith("electrical_retest")]
    assert len(early) == 2
    others = [test for test in SHEET.proving if test not in early]
    before = job_of(arrived(), *(proved(t) for t in (*early, *others)), *(released(key) for key in SHEET.hold))
    state = stand(before, SHEET)["release"]
    assert not state.released
    assert "only when made after 'Second heat cycle'" in " ".join(state.wants)


def test_one_more_heat_asks_for_the_cold_re_test_again() -> None:
    state = stand(whole(Disturbed(acts=("power", "heat"), words="shown to the owner hot")), SHEET)["release"]
    wants = " ".join(state.wants)
    assert state.status == "broken"
    assert "Earth and insulation, cold again" in wants
    assert "Earth and insulation, hot" not in wants


def _insulated(**changes: Any) -> Measured:
    told: dict[str, Any] = {
        "reading": "insulation",
        "text": "20 Mohm",
        "value": 20e6,
        "sigma": 0.5e6,
        "unit": "Mohm",
        "instrument_kind": "insulation tester",
        "circuit": "all closed",
        "test_voltage_v": 500.0,
    }
    return Measured(**(told | changes))


WITH_READING = SHEET.model_copy(
    update={
        "proving": SHEET.proving
        | {"insulation_resistance": SHEET.proving["insulation_resistance"].model_copy(update={"reading": "insulation"})}
    }
)
CLAIM = Proved(test="insulation_resistance", outcome="passed", reading_entry=numbered(2))


@pytest.mark.parametrize(
    ("volts", "gap"), [(500.0, ""), (490.0, ""), (1000.0, ""), (None, "not stated"), (250.0, "250 V only")]
)
def test_insulation_without_its_test_voltage_is_not_shown(volts: float | None, gap: str) -> None:
    # source: DIN VDE 0701-0702 (from memory): 500 V direct current
    found, _ = proof_gap(
        "insulation_resistance", job_of(arrived(), _insulated(test_voltage_v=volts), CLAIM), WITH_READING
    )
    assert gap in found
    assert bool(found) == bool(gap)


@pytest.mark.parametrize(("value", "stands"), [(30e6, True), (0.5e6, False), (0.1e6, False)])
def test_a_later_reading_that_does_not_pass_speaks_against_the_proof(value: float, *, stands: bool) -> None:
    later = _insulated(value=value, sigma=value / 50, text=f"{value} ohm", unit="ohm")
    gap, _ = proof_gap("insulation_resistance", job_of(arrived(), _insulated(), CLAIM, later), WITH_READING)
    assert (gap == "") == stands


def test_an_entry_that_hides_what_its_work_does_still_undoes_proofs() -> None:
    # Such a line comes only from elsewhere: here, acts of work the sheet knows are filled in.
    part = SHEET.component["case"].model_copy(update={"does": ("wiring",)})
    sheet = SHEET.model_copy(update={"component": {"case": part}})
    quiet = Started(operation="remove:case", title="Case off")
    assert not stand(whole(quiet), sheet)["dead_electrics"].released
    assert stand(whole(quiet), SHEET)["dead_electrics"].released
