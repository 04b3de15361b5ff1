"""Hold points as a person meets them: releasing, starting, proving, and what happens when somebody does it anyway."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from brasswright.errors import BrasswrightError, EntryRefused, HeldWork, NotFound
from brasswright.holds.points import released_holds, stand
from brasswright.journal.entries import Proved, Released, Started
from brasswright.workshop.planning import plan
from tests.unit.workshop_bench import kept, made, measured, say, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workshop]:
    workshop = made(tmp_path / "quay")
    yield workshop
    workshop.store.close()


def refused(bench: Workshop, kind: str, **fields: Any) -> BrasswrightError:
    before = kept(bench)
    with pytest.raises(BrasswrightError) as refusal:
        say(bench, kind, **fields)
    assert kept(bench) == before
    return refusal.value


def release(bench: Workshop, *holds: str) -> None:
    for hold in holds:
        say(bench, "released", hold=hold, statements="all")


def released(bench: Workshop) -> frozenset[str]:
    opened = told(bench)
    return released_holds(opened.job, opened.sheet)


# ----------------------------------------------------------------------------------------------------- releasing


def test_all_statements_are_written_out(bench: Workshop) -> None:
    body = say(bench, "released", hold="isolated", statements="all").body
    assert isinstance(body, Released)
    assert body.statements == told(bench).sheet.hold["isolated"].statements
    assert released(bench) == {"isolated"}


def test_a_release_that_lacks_a_statement_a_proof_or_an_earlier_hold_names_it(bench: Workshop) -> None:
    statements = list(told(bench).sheet.hold["isolated"].statements)
    assert statements[-1] in str(refused(bench, "released", hold="isolated", statements=statements[:-1]))
    assert "Not said: " in str(refused(bench, "released", hold="isolated"))
    assert "Isolated" in str(refused(bench, "released", hold="cold_vented", statements="all"))
    release(bench, "isolated")
    words = str(refused(bench, "released", hold="dead_electrics", statements="all"))
    assert "Protective earth continuity: at most 0.3 ohm" in words
    assert "not done" in words


# ------------------------------------------------------------------------------------------------------ starting


def test_held_work_is_refused_naming_what_would_release_it(bench: Workshop) -> None:
    refusal = refused(bench, "started", operation="open:case_lifted", title="Case off", acts=["cover"])
    assert isinstance(refusal, HeldWork)
    assert len(refusal.holds) == 1
    assert refusal.holds[0].startswith("hold 1, Isolated")
    for statement in told(bench).sheet.hold["isolated"].statements:
        assert "say: " + statement.rstrip(".") in str(refusal)
    release(bench, "isolated")
    say(bench, "started", operation="open:case_lifted", title="Case off", acts=["cover"])


@pytest.mark.parametrize("acts", [[], ["cover"], "cover", None])
def test_leaving_an_act_out_does_not_get_past_its_hold(bench: Workshop, acts: object) -> None:
    release(bench, "isolated", "cold_vented")
    fields = {} if acts is None else {"acts": acts}
    refusal = refused(bench, "started", operation="open:boiler_end", title="Boiler end off", **fields)
    assert isinstance(refusal, HeldWork)
    assert "asbestos" in str(refusal).lower()


def test_an_old_seal_is_lagging_to_the_hold_points(bench: Workshop) -> None:
    refusal = refused(bench, "started", operation="remove:group_gasket", title="Gasket out", acts=[])
    assert "asbestos" in str(refusal).lower()


def test_the_acts_of_known_work_come_from_the_sheet(bench: Workshop) -> None:
    release(bench, "isolated", "cold_vented", "lever_secured", "presumed_asbestos")
    body = say(bench, "started", operation="open:group_top", title="Top off", acts=["valve"]).body
    assert isinstance(body, Started)
    assert body.acts == ("lever", "spring", "opens_envelope", "valve")
    back = say(bench, "started", operation="close:case_lifted", title="Case on").body
    assert isinstance(back, Started)
    assert back.acts == ()


def test_work_nobody_knows_says_what_it_does(bench: Workshop) -> None:
    assert "an empty list" in str(refused(bench, "started", operation="by-hand:polish", title="Polish the dome"))
    assert "Got covers" in str(refused(bench, "started", operation="by-hand:x", title="Polish", acts=["covers"]))
    say(bench, "started", operation="by-hand:polish", title="Polish the dome", acts=[])
    words = refused(bench, "started", operation="by-hand:peek", title="Peek inside", acts=["cover"])
    assert isinstance(words, HeldWork)


def test_work_added_by_hand_does_what_was_said_of_it(bench: Workshop) -> None:
    told_of = {"operation": "by-hand:dry", "title": "Dry it", "minutes": [10.0, 20.0, 30.0], "does": ["wiring"]}
    say(bench, "added", **told_of)
    assert isinstance(refused(bench, "started", operation="by-hand:dry", title="Dry it", acts=[]), HeldWork)


def test_work_of_the_plan_needs_no_more_than_its_name(bench: Workshop) -> None:
    release(bench, "isolated", "cold_vented", "lever_secured", "presumed_asbestos")
    planned = plan(bench, told(bench)).plan.operations
    operation = next(op for op in planned if op.kind == "open")
    body = say(bench, "started", operation=operation.id).body
    assert isinstance(body, Started)
    assert (body.title, set(body.acts)) == (operation.title, set(operation.acts))
    with pytest.raises(NotFound, match="no operation 'open:nothing'"):
        say(bench, "started", operation="open:nothing")


def test_done_anyway_is_recorded_as_done_while_every_hold_stood(bench: Workshop) -> None:
    body = say(bench, "started", operation="open:boiler_end", title="Found it open", anyway=True).body
    assert isinstance(body, Started)
    assert set(body.done_while) == {"isolated", "cold_vented", "presumed_asbestos"}
    states = stand(told(bench).job, told(bench).sheet)
    assert states["isolated"].done_while == ("Found it open",)


def test_done_while_tells_all_of_the_truth_and_nothing_else(bench: Workshop) -> None:
    work = {"operation": "open:boiler_end", "title": "Boiler end off"}
    assert isinstance(refused(bench, "started", **work, done_while=["isolated"]), HeldWork)
    assert isinstance(refused(bench, "started", **work, done_while=["release"]), HeldWork)
    release(bench, "isolated")
    words = str(refused(bench, "started", **work, done_while=["isolated", "cold_vented", "presumed_asbestos"]))
    assert "they do not stand. Got isolated" in words
    assert "Got nonsense" in str(refused(bench, "started", **work, done_while=["nonsense"]))


# ------------------------------------------------------------------------------------------------------- proving


def test_an_outcome_is_worked_out_from_the_reading_and_not_taken_from_the_person(bench: Workshop) -> None:
    release(bench, "isolated")
    cases = [
        ("0.1 ± 0.01 ohm", "low-ohm tester", "passed"),
        ("0.84 ± 0.02 ohm", "low-ohm tester", "failed"),
        ("0.29 ± 0.02 ohm", "low-ohm tester", "not shown"),
        ("0.1 ± 0.01 ohm", "multimeter", "not shown"),
    ]
    for text, tester, outcome in cases:
        reading = measured(bench, "earth", text, instrument_kind=tester)
        body = say(bench, "proved", test="earth_continuity", outcome="passed").body
        assert isinstance(body, Proved)
        assert (body.outcome, body.value_text, body.reading_entry) == (outcome, text, reading.id)
        assert "0.3 ohm" in body.limit_text
        assert body.standard == "DIN VDE 0701-0702"


@pytest.mark.parametrize(
    ("text", "outcome"), [("48.4 ± 0.1 ohm", "passed"), ("1.5 ± 0.1 ohm", "failed"), ("90 ± 0.1 ohm", "failed")]
)
def test_a_limit_on_either_side_fails_on_either_side(bench: Workshop, text: str, outcome: str) -> None:
    release(bench, "isolated")
    circuit = "unplugged; one lead off the element"
    reading = {"reading": "element_ohms", "text": text, "instrument_kind": "multimeter", "circuit": circuit}
    say(bench, "measured", **reading)
    body = say(bench, "proved", test="element_resistance").body
    assert isinstance(body, Proved)
    assert body.outcome == outcome


def test_a_test_without_its_reading_is_refused(bench: Workshop) -> None:
    release(bench, "isolated")
    assert "'earth', which is not entered" in str(refused(bench, "proved", test="earth_continuity", outcome="passed"))


def test_a_held_test_is_refused_and_proves_nothing_when_done_anyway(bench: Workshop) -> None:
    measured(bench, "earth", "0.1 ± 0.01 ohm")
    assert isinstance(refused(bench, "proved", test="earth_continuity"), HeldWork)
    body = say(bench, "proved", test="earth_continuity", anyway=True).body
    assert isinstance(body, Proved)
    assert body.done_while == ("isolated",)
    release(bench, "isolated")
    words = str(refused(bench, "released", hold="dead_electrics", statements="all"))
    assert "done while held (isolated): it proves nothing" in words


def test_a_reading_from_before_the_wiring_was_touched_proves_nothing(bench: Workshop) -> None:
    release(bench, "isolated")
    measured(bench, "earth", "0.1 ± 0.01 ohm")
    say(bench, "started", operation="by-hand:wire", title="New earth wire", acts=["wiring"])
    refusal = refused(bench, "proved", test="earth_continuity")
    assert "older than 'New earth wire'" in str(refusal)
    measured(bench, "earth", "0.09 ± 0.01 ohm")
    say(bench, "proved", test="earth_continuity")


def test_a_test_that_does_something_is_started_first(bench: Workshop) -> None:
    release(bench, "isolated", "cold_vented")
    gauge = {"outcome": "passed", "instrument": "reference gauge 1", "circuit": "water only; fittings off"}
    refusal = refused(bench, "proved", test="air_free_cold_pressure", **gauge)
    assert "operation test:air_free_cold_pressure" in str(refusal)
    say(bench, "started", operation="test:air_free_cold_pressure", title="Cold water pressure")
    say(bench, "proved", test="air_free_cold_pressure", **gauge)
    assert "was not started" in str(refused(bench, "proved", test="air_free_cold_pressure", **gauge))


def test_a_test_begun_while_a_hold_stood_says_so_when_it_ends(bench: Workshop) -> None:
    say(bench, "started", operation="test:heat_cycle_one", title="Switched it on", anyway=True)
    body = say(bench, "proved", test="heat_cycle_one", outcome="passed", instrument="reference gauge 1").body
    assert isinstance(body, Proved)
    assert "first_power" in body.done_while
    with pytest.raises(EntryRefused, match="was not started"):
        say(bench, "proved", test="heat_cycle_one", outcome="passed", instrument="reference gauge 1")


# ------------------------------------------------------------------------------------- from isolated to released


def prove(bench: Workshop, test: str) -> None:
    """Do a test as the plan would: start it if it does something, enter it as passed with what it asks for, stop it."""
    proving = told(bench).sheet.proving[test]
    if proving.does:
        say(bench, "started", operation=f"test:{test}", title=proving.name)
    named = {"instrument": f"{proving.instrument} 1", "circuit": proving.circuit} if proving.reading is None else {}
    body = say(bench, "proved", test=test, outcome="passed", **named).body
    assert isinstance(body, Proved)
    assert body.outcome == "passed"
    if proving.does:
        say(bench, "stopped", operation=f"test:{test}", finished=True)


def test_the_whole_way_from_a_plugged_machine_to_its_release(bench: Workshop) -> None:
    hand_over = {"operation": "by-hand:hand-over", "title": "Hand it over", "acts": ["hand_over"]}
    power = {"operation": "by-hand:power", "title": "Switch on", "acts": ["power"]}
    release(bench, "isolated", "cold_vented", "lever_secured", "presumed_asbestos")
    prove(bench, "flex_and_plug_visual")
    measured(bench, "earth", "0.1 ± 0.01 ohm")
    measured(bench, "insulation", "60 ± 3 Mohm")
    circuit = "unplugged; one lead off the element"
    element = {"reading": "element_ohms", "text": "48.4 ± 0.1 ohm", "instrument_kind": "multimeter", "circuit": circuit}
    say(bench, "measured", **element)
    for test in ("earth_continuity", "insulation_resistance", "element_resistance"):
        prove(bench, test)
    release(bench, "dead_electrics")
    prove(bench, "air_free_cold_pressure")
    assert "cold_vented" not in released(bench), "water under pressure undoes it"
    prove(bench, "leak_down")
    release(bench, "cold_vented", "cold_pressure")
    prove(bench, "safety_valve_bench")
    release(bench, "safety_valve")
    prove(bench, "level_over_element")
    release(bench, "water_over_element")
    assert isinstance(refused(bench, "started", **power), HeldWork)
    release(bench, "first_power")
    prove(bench, "heat_cycle_one")
    assert {"isolated", "cold_vented", "water_over_element"}.isdisjoint(released(bench)), "power undoes them"
    assert isinstance(refused(bench, "started", operation="test:heat_cycle_two", title="Second heat"), HeldWork)
    release(bench, "isolated", "cold_vented")
    prove(bench, "level_over_element")
    release(bench, "water_over_element")
    prove(bench, "heat_cycle_two")
    release(bench, "isolated", "cold_vented")
    for test in ("electrical_retest_hot", "electrical_retest_cold", "parts_accounted"):
        prove(bench, test)
    assert isinstance(refused(bench, "started", **hand_over), HeldWork)
    release(bench, "release")
    say(bench, "started", **hand_over)
    say(bench, "disturbed", acts=["leak"], words="water ran onto the terminals")
    assert {"dead_electrics", "first_power", "release"}.isdisjoint(released(bench))


# ------------------------------------------------------------------------------------- what getting at it does


def test_taking_a_part_off_does_what_every_way_to_it_does(bench: Workshop) -> None:
    # The safety valve sits under the case: whoever has it in hand has lifted the case, entered or not.
    release(bench, "isolated", "cold_vented", "presumed_asbestos")
    body = say(bench, "started", operation="remove:safety_valve", title="Valve off").body
    assert isinstance(body, Started)
    assert {"valve", "cover"} <= set(body.acts)
    assert "presumed_asbestos" not in released(bench)


def test_what_is_open_already_is_not_opened_again(bench: Workshop) -> None:
    release(bench, "isolated", "cold_vented")
    say(bench, "started", operation="open:case_lifted", title="Case off")
    during = say(bench, "started", operation="remove:safety_valve", title="Valve off").body
    assert isinstance(during, Started)
    assert "cover" not in during.acts
    say(bench, "stopped", operation="open:case_lifted", finished=True)
    after = say(bench, "started", operation="treat:new_flex", title="New flex").body
    assert isinstance(after, Started)
    assert "cover" not in after.acts


def test_work_deep_inside_meets_the_holds_of_the_way_there(bench: Workshop) -> None:
    release(bench, "isolated", "cold_vented")
    refusal = refused(bench, "started", operation="remove:piston_seals", title="Seals out")
    assert isinstance(refusal, HeldWork)
    assert any("Lever secured" in hold for hold in refusal.holds)
