"""The second job of the invented workshop: a two-group machine from a closed ferry buffet, told entry by entry."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from brasswright.errors import HeldWork
from brasswright.workshop.judging import judge
from brasswright.workshop.planning import plan
from brasswright.workshop.receive import arrival_from, receive
from brasswright.workshop.record import Line, note, note_lines, read_lines
from tests.trade.jobs import likely
from tools import demo

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.workshop.folder import OpenJob, Workshop

NUMBER = 215
ARRIVAL = demo.SCENARIO / "ferry-arrival.json"
JOURNAL = demo.SCENARIO / "ferry-buffet.jsonl"


@pytest.fixture(name="taken_in")
def fixture_taken_in(tmp_path: Path) -> tuple[Workshop, OpenJob]:
    """The job with its whole first day entered."""
    workshop = demo.make(tmp_path / "shop")
    arrival = arrival_from(ARRIVAL)
    receive(workshop, arrival.fields, by=arrival.by, at=arrival.at)
    note_lines(workshop, workshop.open_job(NUMBER), list(read_lines(JOURNAL)), beside=demo.SCENARIO)
    return workshop, workshop.open_job(NUMBER)


def test_it_is_told_in_order_by_the_two_people_of_the_workshop() -> None:
    told = [json.loads(line) for line in JOURNAL.read_text(encoding="utf-8").splitlines()]
    assert len(told) >= 30
    assert [line["at"] for line in told] == sorted(line["at"] for line in told)
    assert {line["by"] for line in told} == {"ic", "tw"}


def test_the_creeping_level_ends_at_the_left_exchanger(taken_in: tuple[Workshop, OpenJob]) -> None:
    _, opened = taken_in
    seen = judge(opened)
    assert seen.warnings == ()
    assert likely(seen, "heat_exchanger", "cracked") > 0.98
    assert likely(seen, "heat_exchanger_right", "cracked") < 0.1
    assert likely(seen, "fill_valve", "passing") < 0.3
    assert likely(seen, "boiler_bolts", "rusted", "wasted") > 0.95


def test_it_gets_a_plan_that_renews_its_bolts_and_leaves_gas_to_others(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, opened = taken_in
    planned = plan(workshop, opened, judgement=judge(opened))
    chosen = set(planned.plan.choice.treatments)
    assert chosen & {"replace_bolts", "renew_flange_joint"}
    assert "gas_taken_out" in chosen
    assert not chosen & {"repack_fill_valve", "retire_exchanger"}
    ids = [operation.id for operation in planned.plan.operations]
    bolts = max(place for place, key in enumerate(ids) if key.startswith(("treat:replace_bolts", "treat:renew_flange")))
    assert bolts < ids.index("test:air_free_cold_pressure")


def test_its_panels_stay_on_over_the_felt(taken_in: tuple[Workshop, OpenJob]) -> None:
    workshop, opened = taken_in
    fields = {"kind": "started", "operation": "open:case_off", "title": "Panels off", "acts": ["cover", "lagging"]}
    with pytest.raises(HeldWork):
        note(workshop, opened, [Line(fields, by="tw")])
