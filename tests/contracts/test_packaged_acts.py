"""Packaged sheets say what work does: no joint, wire, spring, valve or old seal is handled without its act.

Plain rules over names, zones and words, so that a slip in a sheet cannot lead work past a hold point. Exceptions are
named here with their reason.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from brasswright.holds.acts import acts_of
from brasswright.journal.job import Job
from brasswright.sheets.load import load_packaged, packaged

if TYPE_CHECKING:
    from brasswright.sheets.model import Clauses, Sheet

OUTSIDE_THE_ENVELOPE = {
    "lagging": "lies on the boiler, holds no pressure",
    "steam_knob": "sits on the stem, holds no pressure",
    "wand_tip": "behind the shut tap",
}
LOOSE = {
    "portafilter": "taken out of the group by hand at every use",
    "portafilter_handle": "part of the portafilter",
    "basket": "lies in the portafilter",
    "bayonet_ring": "never comes off: its own work is done on group or gasket",
    "group_seal": "between group and boiler, reached with the group off",
}
FEWER_IN_PLACE = {"touch_in_base": "taking the pan off parts its earth lead; painting it where it is parts nothing"}
ACID = re.compile(r"\b(citric|acid|descal\w*)\b", re.IGNORECASE)
SEALS = re.compile(r"\b(gaskets?|seals?|packing|lagging|rope)\b", re.IGNORECASE)


@pytest.fixture(scope="module", params=packaged())
def sheet(request: pytest.FixtureRequest) -> Sheet:
    return load_packaged(request.param).sheet


def first_of(key: str) -> str:
    """The part that one made by a repeat was copied from; any other part itself."""
    return re.sub(r"_right(_arm)?$", "", key)


def taken_off(key: str, sheet: Sheet) -> set[str]:
    return set(acts_of(f"remove:{key}", Job(), sheet) or ())


def way_in(clauses: Clauses, sheet: Sheet, met: frozenset[str] = frozenset()) -> set[str]:
    """The acts that every way in has in common, from a closed machine."""
    acts: set[str] = set()
    for clause in clauses:
        ways = []
        for key in set(clause) - met:
            entry = sheet.unit.get(key) or sheet.component[key]
            own = set(entry.does) if key in sheet.unit else taken_off(key, sheet)
            ways.append(own | way_in(entry.access, sheet, met | {key}))
        acts |= set.intersection(*ways) if ways else set()
    return acts


def test_what_holds_pressure_opens_the_envelope(sheet: Sheet) -> None:
    zones = re.compile(r"(boiler|steam|gauges)(_[a-z]+)?")
    quiet = {k for k, c in sheet.component.items() if zones.fullmatch(c.zone) and "opens_envelope" not in c.does}
    assert {first_of(key) for key in quiet} <= set(OUTSIDE_THE_ENVELOPE)


def test_what_is_electric_is_wiring(sheet: Sheet) -> None:
    quiet = {k for k, c in sheet.component.items() if c.zone == "control" and "wiring" not in c.does}
    assert quiet <= {"pressurestat_tube"}
    named = re.compile(r"\b(flex|plug|switch|lamp|element|wiring|terminals?|cut-out)\b", re.IGNORECASE)
    wired = {k for k, c in sheet.component.items() if named.search(c.name) and not SEALS.search(c.name)}
    mechanical = {"drain_plug"}
    assert {k for k in wired - mechanical if "wiring" not in sheet.component[k].does} == set()


def test_group_and_lever_are_touched_with_the_lever_secured(sheet: Sheet) -> None:
    # source: common practice, no source (group, pivot and pin only with the spring relieved or restrained)
    groups = tuple(key for key in sheet.zone if key == "group" or key.startswith("group_"))
    assert groups
    for group in groups:
        quiet = {k for k, c in sheet.component.items() if c.zone == group and "lever" not in c.does}
        assert {first_of(key) for key in quiet} <= set(LOOSE), group
    springs = {key for key in sheet.component if re.fullmatch(r"spring(_[a-z]+)?", key) and key != "spring_seats"}
    assert {key for key in springs if "spring" not in sheet.component[key].does} == set()


def test_each_repeated_group_is_looked_at() -> None:
    two = load_packaged("commercial-two-group-dipper").sheet
    assert len([key for key in two.zone if key == "group" or key.startswith("group_")]) == 2


def test_the_safety_valve_and_what_is_isolated_for_the_cold_test_say_so(sheet: Sheet) -> None:
    for key, part in sheet.component.items():
        if "safety valve" in part.name.lower():
            assert {"valve", "opens_envelope"} <= set(part.does), key
        if re.search(r"\b(gauge|sight glass)\b", part.name.lower()) and part.zone == "gauges":
            assert "glass" in part.does, key
    for key, treatment in sheet.treatment.items():
        if any("valve" in sheet.component[fix.of].does for fix in treatment.fixes):
            assert "valve" in {act for step in treatment.steps for act in step.does}, key


def test_gaskets_seals_and_lagging_are_presumed_asbestos(sheet: Sheet) -> None:
    assert {k for k, c in sheet.component.items() if SEALS.search(c.name) and not c.presumed_asbestos} == set()
    assert {
        k for k, c in sheet.component.items() if c.presumed_asbestos and "lagging" not in taken_off(k, sheet)
    } == set()


def test_acid_is_descaling_and_electric_skill_is_wiring(sheet: Sheet) -> None:
    steps = [(key, step) for key, treatment in sheet.treatment.items() for step in treatment.steps]
    assert {key for key, step in steps if ACID.search(step.do) and "descale" not in step.does} == set()
    assert {key for key, step in steps if step.skill == "electrical" and "wiring" not in step.does} == set()
    assert any("descale" in step.does for _, step in steps)


def test_a_unit_does_what_the_holds_it_asks_for_guard(sheet: Sheet) -> None:
    for key, unit in sheet.unit.items():
        assert unit.does, key
        idle = [hold for hold in unit.needs if not set(unit.does).intersection(sheet.hold[hold].guards)]
        assert idle == [], key


def test_work_on_a_part_does_all_that_handling_it_does(sheet: Sheet) -> None:
    """In place, an envelope may stay shut; every other act of handling the part is in the work or in its way in."""
    for key, treatment in sheet.treatment.items():
        if key in FEWER_IN_PLACE:
            assert treatment.way == "in place"
            continue
        done: set[str] = {act for step in treatment.steps for act in step.does}
        done |= way_in(treatment.access, sheet)
        for part in treatment.off:
            done |= taken_off(part, sheet) | way_in(sheet.component[part].access, sheet)
        for fix in treatment.fixes:
            needed = taken_off(fix.of, sheet) - ({"opens_envelope", "glass"} if treatment.way == "in place" else set())
            assert needed <= done, (key, fix.of)
