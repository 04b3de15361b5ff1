"""The third job of the invented workshop: a small plain-lever machine bought abroad, its volts filed off the plate."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from brasswright.errors import HeldWork
from brasswright.web.app import bench_book
from brasswright.workshop.estimating import estimate_job
from brasswright.workshop.judging import judge
from brasswright.workshop.planning import plan
from brasswright.workshop.receive import arrival_from, receive
from brasswright.workshop.record import Line, note, note_lines, read_lines
from tests.trade.jobs import likely
from tools import demo

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.workshop.folder import OpenJob, Workshop

NUMBER = 216
ARRIVAL = demo.SCENARIO / "abroad-arrival.json"
JOURNAL = demo.SCENARIO / "bought-abroad.jsonl"
HERE = "http://127.0.0.1:8080"


@pytest.fixture(name="taken_in", scope="module")
def fixture_taken_in(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Workshop, OpenJob]]:
    """The job with its whole first evening entered."""
    folder: Path = tmp_path_factory.mktemp("abroad") / "shop"
    workshop = demo.make(folder)
    arrival = arrival_from(ARRIVAL)
    receive(workshop, arrival.fields, by=arrival.by, at=arrival.at)
    note_lines(workshop, workshop.open_job(NUMBER), list(read_lines(JOURNAL)), beside=demo.SCENARIO)
    yield workshop, workshop.open_job(NUMBER)
    workshop.store.close()


def test_it_is_told_in_order_by_the_two_people_of_the_workshop() -> None:
    told = [json.loads(line) for line in JOURNAL.read_text(encoding="utf-8").splitlines()]
    assert len(told) >= 30
    assert [line["at"] for line in told] == sorted(line["at"] for line in told)
    assert {line["by"] for line in told} == {"ic", "tw"}


def test_the_ohms_tell_the_voltage_that_nobody_knew(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, opened = taken_in
    seen = judge(opened)
    assert seen.warnings == ()
    assert likely(seen, "element_voltage", "another") > 0.97
    assert likely(seen, "low_winding", "sound") > 0.97
    assert likely(seen, "element", "open") < 0.05

    before = list(read_lines(JOURNAL))
    before = before[
        : next(place for place, line in enumerate(before) if line.fields.get("reading") == "element_resistance")
    ]
    arrival = arrival_from(ARRIVAL)
    receive(workshop, {**arrival.fields, "number": NUMBER + 1}, by=arrival.by, at=arrival.at)
    note_lines(workshop, workshop.open_job(NUMBER + 1), before, beside=demo.SCENARIO)
    unmeasured = judge(workshop.open_job(NUMBER + 1))
    assert 0.3 < likely(unmeasured, "element_voltage", "another") < 0.9


def test_the_plan_changes_the_element_before_any_heat(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, opened = taken_in
    planned = plan(workshop, opened, judgement=judge(opened))
    chosen = set(planned.plan.choice.treatments)
    assert "element_for_this_mains" in chosen
    assert not chosen & {"earthed_transformer", "replace_element"}
    ids = [operation.id for operation in planned.plan.operations]
    element = max(place for place, key in enumerate(ids) if key.startswith("treat:element_for_this_mains"))
    assert element < ids.index("test:element_resistance") < ids.index("test:heat_cycle_one")
    assert ids.index("open:group_head") < ids.index("remove:piston_seals")
    assert estimate_job(workshop, opened, planned=planned).estimate.likely_minor > 0


def test_nobody_plugs_it_in_to_see(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, opened = taken_in
    fields = {
        "kind": "started",
        "operation": "by-hand:one-cup",
        "title": "One cup, to try it",
        "acts": ["power", "heat"],
    }
    with pytest.raises(HeldWork, match="First power"):
        note(workshop, opened, [Line(fields, by="tw")])


def test_its_pages_open_without_a_section_drawing(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, _ = taken_in
    with TestClient(bench_book(workshop), base_url=HERE) as client:
        for page in (
            "",
            "/walk-round/group",
            "/odds",
            "/odds/element_voltage",
            "/bench-tests/winding_share",
            "/plan",
            "/estimate",
        ):
            shown = client.get(f"/jobs/{NUMBER}{page}")
            assert shown.status_code == 200, page
        assert "Element&#39;s voltage" in client.get(f"/jobs/{NUMBER}/odds").text
