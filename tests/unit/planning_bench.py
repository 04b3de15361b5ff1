"""What tests of planning and reckoning stand on: the slice sheet, invented odds, and work done step by step."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.journal.entries import Measured, Proved, Released, Started, Stopped
from brasswright.journal.job import Job
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from brasswright.sheets.load import load_sheet
from tests.builders import numbered

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.journal.entries import Body
    from brasswright.planning.model import Operation, Plan, Problem
    from brasswright.sheets.model import Sheet

__all__ = ["Belief", "done", "everything_proved", "odds", "plan_of", "position", "problem_of", "slice_sheet", "works"]

PRICES = Prices(labour_minor_per_hour=4200)


@dataclass(frozen=True, slots=True)
class Belief:
    """The odds of one component."""

    states: tuple[str, ...]
    p: tuple[float, ...] | None


@functools.cache
def slice_sheet() -> Sheet:
    return load_sheet(Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml").sheet


def odds(**bad: dict[str, float]) -> dict[str, Belief]:
    """Everything sound, but for the conditions named: `odds(flex={"cracked": 1.0})`."""
    found = {}
    for key, component in slice_sheet().component.items():
        shares = bad.get(key, {})
        rest = 1.0 - sum(shares.values())
        found[key] = Belief(component.states, (rest, *(shares.get(state, 0.0) for state in component.states[1:])))
    return found


def problem_of(job: Job | None = None, /, **bad: dict[str, float]) -> Problem:
    return build(slice_sheet(), job or Job(), odds(**bad), PRICES)


def plan_of(job: Job | None = None, /, **bad: dict[str, float]) -> Plan:
    problem = problem_of(job, **bad)
    return expand(problem, choose(problem), job or Job(), slice_sheet())


def position(plan: Plan, operation: str) -> int:
    return [op.id for op in plan.operations].index(operation)


def works(plan: Plan) -> list[str]:
    """The ids of the plan without releases, tests and records."""
    return [op.id for op in plan.operations if op.kind not in {"hold", "test", "record"}]


def done(operations: Iterable[Operation]) -> list[Body]:
    """The entries of operations that were carried out as the plan has them."""
    entries: list[Body] = []
    for op in operations:
        key = op.id.split(":")[1] if ":" in op.id else ""
        if op.kind == "hold":
            entries.append(Released(hold=key, statements=slice_sheet().hold[key].statements))
            continue
        entries.append(Started(operation=op.id, title=op.title, acts=op.acts, components=op.components))
        entries.append(Stopped(operation=op.id, finished=True, minutes=op.minutes[1]))
        if op.kind == "test":
            entries += _proof(key, len(entries) + 1)
    return entries


GOOD = {"earth": (0.05, "ohm"), "insulation": (20e6, "Mohm"), "element_ohms": (48.4, "ohm")}


def _proof(test: str, number: int) -> list[Body]:
    """A test that passed, with the reading it rests on; `number` is the place of its first entry in the journal."""
    asks = slice_sheet().proving[test]
    if asks.reading is None:
        return [Proved(test=test, outcome="passed", instrument=asks.instrument, circuit=asks.circuit)]
    value, unit = GOOD[asks.reading]
    reading = Measured(
        reading=asks.reading,
        text="as it should be",
        value=value,
        sigma=0.01 * value,
        unit=unit,
        instrument=f"{asks.instrument} 1",
        instrument_kind=asks.instrument,
        circuit=asks.circuit,
        test_voltage_v=asks.test_voltage_v,
    )
    return [reading, Proved(test=test, outcome="passed", reading_entry=numbered(number))]


def everything_proved() -> list[Body]:
    """The entries of a machine with nothing wrong that was proved and released."""
    return done(plan_of().operations)
