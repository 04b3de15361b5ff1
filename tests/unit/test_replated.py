"""A plate found false after the machine arrived: corrected, it never lets through more than a true plate would."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from starlette.testclient import TestClient

from brasswright.errors import BrasswrightError, EntryRefused, NeedsConfirmation, UnitRefused
from brasswright.holds.points import stand
from brasswright.holds.proofs import proof_gap
from brasswright.holds.verdicts import from_plate, judged
from brasswright.judgement.opinion import machine_facts
from brasswright.web.app import bench_book
from brasswright.workshop.folder import found
from brasswright.workshop.meaning import meaning_of
from brasswright.workshop.receive import arrival_from, receive
from brasswright.workshop.record import Line, note, note_lines, read_lines
from brasswright.workshop.settings import read_settings, set_values
from brasswright.workshop.telling import entry_words
from tests.unit.workshop_bench import NUMBER, made, now, say, told
from tools import demo

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import Workshop

HERE = "http://127.0.0.1:8080"
PLATE_OF_125 = {"resistance": "15.3 ohm", "volts": 125.0, "watts": 1000.0}
"""125 V squared over 1000 W is 15.6 ohm, hot; an element is a little lower cold."""


@pytest.fixture(name="abroad", scope="module")
def fixture_abroad(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Workshop, int]]:
    """The machine whose volts were filed off, its first evening entered."""
    workshop = demo.make(tmp_path_factory.mktemp("abroad") / "shop")
    arrival = arrival_from(demo.SCENARIO / "abroad-arrival.json")
    receive(workshop, arrival.fields, by=arrival.by, at=arrival.at)
    number = int(arrival.fields["number"])
    lines = list(read_lines(demo.SCENARIO / "bought-abroad.jsonl"))
    note_lines(workshop, workshop.open_job(number), lines, beside=demo.SCENARIO)
    yield workshop, number
    workshop.store.close()


def outcome_of(workshop: Workshop, number: int) -> str:
    opened = workshop.open_job(number)
    test = opened.sheet.proving["element_resistance"]
    reading = opened.job.readings["element_resistance"].body
    met = judged(test, reading, from_plate(test, opened.job, opened.sheet))
    return met.outcome if met is not None else ""


def test_the_filed_off_volts_are_put_right_and_the_ohms_fit(abroad: tuple[Workshop, int]) -> None:
    workshop, number = abroad
    assert outcome_of(workshop, number) == "failed"
    fields: dict[str, Any] = {"rated_voltage_v": "125 V", "words": "volts filed off; 15.3 ohm is 125 V at 1000 W"}
    entry = note(workshop, workshop.open_job(number), [Line({"kind": "replated", **fields}, "ic")])[0]
    assert outcome_of(workshop, number) == "passed"
    opened = workshop.open_job(number)
    facts = machine_facts(opened.sheet, opened.job)
    assert (facts.rated_voltage_v, facts.rated_power_w) == (PLATE_OF_125["volts"], PLATE_OF_125["watts"])
    assert entry_words(entry, opened.sheet).startswith("plate corrected to 125 V: volts filed off")
    met = meaning_of(opened, "element_resistance", read_settings(workshop))
    assert met is not None
    assert met.said["inputs"]["rated_voltage"]["value"] == PLATE_OF_125["volts"]
    assert proof_gap("element_resistance", opened.job, opened.sheet)[0], "the proof that failed has to be made again"
    strike = {"kind": "withdrew", "entry": str(entry.id), "reason": "wrong machine"}
    note(workshop, opened, [Line(strike, "ic")])
    assert outcome_of(workshop, number) == "failed"


@pytest.mark.parametrize(
    ("fields", "error"),
    [
        ({}, EntryRefused),
        ({"rated_voltage_v": "12 A"}, UnitRefused),
        ({"rated_voltage_v": "> 100 V"}, EntryRefused),
        ({"rated_voltage_v": "2", "confirmed": True}, EntryRefused),
        ({"rated_voltage_v": "600 V", "confirmed": True}, EntryRefused),
        ({"rated_power_w": "3", "confirmed": True}, EntryRefused),
        ({"rated_voltage_v": "24"}, NeedsConfirmation),
        ({"rated_power_w": "15 kW"}, NeedsConfirmation),
    ],
)
def test_what_no_plate_says_is_refused_or_asked_about(
    tmp_path: Path, fields: dict[str, Any], error: type[BrasswrightError]
) -> None:
    workshop = made(tmp_path / "shop")
    with pytest.raises(error):
        say(workshop, "replated", words="read again", **fields)
    assert not told(workshop).job.plates
    workshop.store.close()


def test_a_figure_left_out_stays_and_the_latest_counts(tmp_path: Path) -> None:
    workshop = made(tmp_path / "shop")
    say(workshop, "replated", rated_voltage_v="125", words="read under the paint")
    say(workshop, "replated", rated_power_w="1.2 kW", words="stamped on the element's flange")
    job = told(workshop).job
    assert (job.rated_voltage_v, job.rated_power_w) == (125.0, 1200.0)
    say(workshop, "replated", rated_voltage_v=24.0, confirmed=True, words="a boat's machine after all")
    assert told(workshop).job.rated_voltage_v == 24.0
    workshop.store.close()


def proved_dead(workshop: Workshop, ohms: str) -> None:
    """Hold 5 released on four tests, the element measured with this resistance."""
    say(workshop, "released", hold="isolated", statements="all")
    sheet = told(workshop).sheet
    for test in sheet.hold["dead_electrics"].proofs:
        proving = sheet.proving[test]
        if proving.reading is not None:
            text = {"earth_continuity": "0.1 ohm", "element_resistance": ohms}.get(test, "50 Mohm")
            say(
                workshop,
                "measured",
                reading=proving.reading,
                text=text,
                instrument="tester 1",
                instrument_kind=proving.instrument,
                circuit=proving.circuit,
                test_voltage_v=500.0,
                confirmed=True,
            )
            say(workshop, "proved", test=test)
        else:
            told_of = {"instrument": proving.instrument, "circuit": proving.circuit, "value_text": ohms}
            say(workshop, "proved", test=test, outcome="passed", **told_of)
    say(workshop, "released", hold="dead_electrics", statements="all")


def released(workshop: Workshop) -> bool:
    return stand(told(workshop).job, told(workshop).sheet)["dead_electrics"].released


def test_a_correction_asks_for_the_proof_and_the_release_again(tmp_path: Path) -> None:
    workshop = made(tmp_path / "shop")
    proved_dead(workshop, "47 ohm")
    assert released(workshop)
    entry = say(workshop, "replated", rated_power_w="1020", words="read with a lens")
    assert not released(workshop)
    fields = {"outcome": "passed", "instrument": "multimeter 2", "circuit": "unplugged; one lead off the element"}
    say(workshop, "proved", test="element_resistance", **fields)
    assert not released(workshop), "the release was said with the other plate in mind"
    say(workshop, "released", hold="dead_electrics", statements="all")
    assert released(workshop)
    say(workshop, "withdrew", entry=str(entry.id), reason="misread")
    assert not released(workshop), "striking a correction changes the plate too"
    workshop.store.close()


def test_the_form_enters_it_without_script(tmp_path: Path) -> None:
    workshop = found(tmp_path / "shop", now)
    machine = {"description": "home spring-lever machine", "rated_voltage_v": 220.0, "rated_power_w": 1000.0}
    set_values(workshop, {"person.ic": "Ines Calder"}, by="ic")
    receive(workshop, {"number": NUMBER, "sheet": "home-spring-lever", "machine": machine}, by="ic")
    reader = TestClient(bench_book(workshop), base_url=HERE, follow_redirects=True, headers={"Origin": HERE})
    page = f"/jobs/{NUMBER}/bench-tests/element_resistance"
    assert "220 V and 1000 W, as entered when it arrived" in reader.get(page).text
    told_of = {"plate": "yes", "form_id": "b" * 32, "person": "ic", "by": "ic"}
    refused = reader.post(f"/jobs/{NUMBER}/plate/element_resistance", data={**told_of, "volts": "24", "why": "lens"})
    assert refused.status_code == 422
    assert 'value="24"' in refused.text
    again = {**told_of, "volts": "125", "why": "read under the paint"}
    answer = reader.post(f"/jobs/{NUMBER}/plate/element_resistance", data=again)
    assert answer.status_code == 200
    assert "125 V and 1000 W; last corrected: read under the paint" in answer.text
    assert "Correct the plate" not in reader.get(f"/jobs/{NUMBER}/bench-tests/earth").text
    workshop.store.close()
