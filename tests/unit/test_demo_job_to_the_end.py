"""The demo job carried through its whole plan by the verbs: every operation is taken, and the machine is released.

What the plan says must be what the hold points let a person do: nobody is left before a seal that nothing cuts.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from brasswright.holds.points import stand
from brasswright.workshop.planning import plan
from brasswright.workshop.record import Line, note_lines
from tools import demo

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.planning.model import Operation
    from brasswright.sheets.model import Sheet

GOOD = {
    "earth_resistance": "0.05 ± 0.01 ohm",
    "insulation_resistance": "20 ± 1 Mohm",
    "element_resistance": "48.4 ± 0.2 ohm",
    "valve_opening": "1.60 ± 0.02 bar",
    "cut_out": "1.05 ± 0.01 bar",
    "brew_pressure": "8.0 ± 0.2 bar",
    "lever_sink": "1.0 ± 0.2 mm",
}
"""Readings of a machine with nothing wrong, within the limits that the sheet and its named standards give."""


def lines_of(op: Operation, sheet: Sheet) -> list[dict[str, Any]]:
    """What a person enters for one operation, done as the plan has it."""
    key = op.id.split(":")[1] if ":" in op.id else ""
    if op.kind == "hold":
        return [{"kind": "released", "hold": key, "statements": "all"}]
    work = {"operation": op.id, "title": op.title, "acts": list(op.acts)}
    lines: list[dict[str, Any]] = [{"kind": "started", **work}]
    if op.kind == "test":
        lines += proof_of(key, sheet)
    return [*lines, {"kind": "stopped", "operation": op.id, "finished": True, "minutes": op.minutes[1]}]


def proof_of(test: str, sheet: Sheet) -> list[dict[str, Any]]:
    asks = sheet.proving[test]
    if asks.reading is None:
        named = {"instrument": f"{asks.instrument} 1", "circuit": asks.circuit}
        return [{"kind": "proved", "test": test, "outcome": "passed", **named}]
    reading = {"kind": "measured", "reading": asks.reading, "text": GOOD[asks.reading], "test_voltage_v": 500.0}
    used = {"instrument": f"{asks.instrument} 1", "instrument_kind": asks.instrument, "circuit": asks.circuit}
    return [reading | used, {"kind": "proved", "test": test}]


@pytest.fixture(scope="module")
def released(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The demo workshop after every operation of its first plan was done in order."""
    folder: Path = tmp_path_factory.mktemp("quay") / "bench"
    workshop = demo.make(folder)
    opened = demo.enter(workshop, demo.take_in(workshop))
    first = plan(workshop, opened).plan
    moment = demo.EVENING - timedelta(hours=5)
    lines = []
    for op in first.operations:
        if op.state == "finished":
            continue
        for fields in lines_of(op, opened.sheet):
            moment += timedelta(seconds=20)
            lines.append(Line(fields, by="ic", at=moment, where=op.id))
    note_lines(workshop, opened, lines)
    yield workshop, first
    workshop.store.close()


def test_every_operation_of_the_plan_is_taken_and_the_machine_is_released(released: Any) -> None:
    workshop, _ = released
    opened = workshop.open_job(demo.NUMBER)
    assert stand(opened.job, opened.sheet)["release"].released
    assert not any(deed.done_while for deed in opened.job.deeds)


def test_nothing_is_left_over_or_done_twice(released: Any) -> None:
    workshop, first = released
    again = plan(workshop, workshop.open_job(demo.NUMBER)).plan
    done = {op.id for op in again.operations if op.state == "finished"}
    assert {op.id for op in first.operations if op.kind not in {"hold", "record"}} <= done
    assert [op.id for op in again.operations if op.state != "finished"] == []
