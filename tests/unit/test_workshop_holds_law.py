"""Whatever is typed, in whatever order: no work is started whose hold stands, unless it says so itself.

Lines are drawn at random, sound ones and nonsense, and go through the same verb as the command line and the pages. Then
the journal is read again from its first line: before every start, each hold that guards what the sheet says this work
does must be released, or be named as standing.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from brasswright.errors import BrasswrightError
from brasswright.holds.points import needed, stand
from brasswright.journal.entries import Started
from brasswright.journal.replay import replay
from brasswright.workshop.folder import OpenJob, Workshop
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.work import ACTS
from tests.unit.workshop_bench import CIRCUITS, made, told

if TYPE_CHECKING:
    from collections.abc import Iterator
    from uuid import UUID

    from brasswright.journal.entries import Entry
    from brasswright.sheets.model import Sheet

Fields = dict[str, Any]
EARLY = ("isolated", "cold_vented", "lever_secured", "presumed_asbestos")
HOLDS = (*EARLY, "dead_electrics", "cold_pressure", "safety_valve", "water_over_element", "first_power", "release")
OPERATIONS = (
    "open:case_lifted",
    "open:group_top",
    "open:boiler_end",
    "remove:group_gasket",
    "remove:safety_valve",
    "refit:safety_valve",
    "treat:new_flex:1",
    "test:leak_down",
    "test:heat_cycle_one",
    "by-hand:look",
)
ELEMENT = "unplugged; one lead off the element"
TESTS: dict[str, Fields] = {
    "flex_and_plug_visual": {"outcome": "passed"},
    "earth_continuity": {},
    "insulation_resistance": {},
    "element_resistance": {},
    "air_free_cold_pressure": {"outcome": "passed", "instrument": "reference gauge", "circuit": "water only"},
    "leak_down": {"outcome": "passed", "instrument": "reference gauge", "circuit": "water only"},
    "safety_valve_bench": {"outcome": "passed", "instrument": "test bench", "circuit": "off the machine"},
    "level_over_element": {"outcome": "passed"},
}
READINGS: dict[str, Fields] = {
    "earth": {"text": "0.1 ± 0.01 ohm", "instrument_kind": "low-ohm tester", "circuit": CIRCUITS["earth"]},
    "insulation": {
        "text": "60 ± 2 Mohm",
        "instrument_kind": "insulation tester",
        "circuit": CIRCUITS["insulation"],
        "test_voltage_v": 500.0,
    },
    "element_ohms": {"text": "48.4 ± 0.1 ohm", "instrument_kind": "multimeter", "circuit": ELEMENT},
}
"""What lets a machine come as far as first power."""


def _release(*holds: str) -> list[Fields]:
    return [{"kind": "released", "hold": hold, "statements": "all"} for hold in holds]


def _prove(test: str) -> list[Fields]:
    start = {"kind": "started", "operation": f"test:{test}", "title": test, "acts": []}
    return [start, {"kind": "proved", "test": test, **TESTS[test]}]


PREPARED = _release(*EARLY)
READY = [
    *PREPARED,
    *({"kind": "measured", "reading": key, **fields} for key, fields in READINGS.items()),
    *(line for test in list(TESTS)[:-1] for line in _prove(test)),
    *_release("cold_vented"),
    *_prove("level_over_element"),
    *_release(*HOLDS[4:9]),
]
"""All that comes before first power, in an order that works from anywhere but a machine under work."""

some_acts = st.lists(st.sampled_from([*ACTS, "nothing known"]), max_size=2)
some_holds = st.lists(st.sampled_from([*HOLDS, "no_hold"]), max_size=4, unique=True)
starts = st.fixed_dictionaries(
    {"kind": st.just("started"), "operation": st.sampled_from(OPERATIONS), "title": st.just("work")},
    optional={"acts": some_acts, "done_while": some_holds, "anyway": st.booleans()},
)
half_told = starts.map(lambda fields: {**fields, "half": True})
"""Work that names one of the holds that stand, but not those that matter."""
lines = st.one_of(
    starts,
    half_told,
    st.fixed_dictionaries(
        {
            "kind": st.just("released"),
            "hold": st.sampled_from([*HOLDS, "no_hold"]),
            "statements": st.sampled_from(["all", [], ["it looks fine"]]),
        }
    ),
    st.fixed_dictionaries(
        {"kind": st.just("proved"), "test": st.sampled_from(sorted(TESTS)), "outcome": st.just("passed")},
        optional={"anyway": st.booleans(), "done_while": some_holds},
    ),
    st.fixed_dictionaries({"kind": st.just("disturbed"), "acts": some_acts, "words": st.just("a mishap")}),
    st.fixed_dictionaries(
        {"kind": st.just("stopped"), "operation": st.sampled_from(OPERATIONS), "finished": st.booleans()}
    ),
    st.fixed_dictionaries({"kind": st.just("withdrew"), "place": st.integers(1, 40), "reason": st.just("a slip")}),
)
batches = st.one_of(lines.map(lambda each: [each]), st.just(PREPARED), st.just(READY))


@pytest.fixture(scope="module")
def bench() -> Iterator[Workshop]:
    with tempfile.TemporaryDirectory() as folder:
        workshop = made(Path(folder) / "quay")
        yield workshop
        workshop.store.close()


def _opened(bench: Workshop, job: UUID, sheet: Sheet) -> OpenJob:
    return OpenJob(job, 0, bench.store.job(job), sheet)


def _enter(bench: Workshop, job: UUID, sheet: Sheet, fields: Fields) -> bool:
    """Enter one line; a refused one may not leave anything."""
    before = bench.store.job(job)
    whole = dict(fields)
    if "place" in whole:
        whole["entry"] = str(before.entries[min(whole.pop("place"), before.seq) - 1].id)
    if whole.pop("half", False):
        whole |= {"anyway": False, "done_while": ["release"]}
    try:
        note(bench, _opened(bench, job, sheet), [Line(whole, by="ic")])
    except BrasswrightError:
        assert bench.store.job(job) == before
        return False
    return True


def _does(operation: str, sheet: Sheet) -> set[str]:
    """What the sheet says of an operation, looked up plainly."""
    verb, _, rest = operation.partition(":")
    key = rest.split(":")[0]
    if verb == "open":
        return {*sheet.unit[key].does}
    if verb == "remove":
        return {*sheet.component[key].does} | ({"lagging"} if sheet.component[key].presumed_asbestos else set())
    if verb == "treat":
        return {*sheet.treatment[key].steps[0].does}
    return {*sheet.proving[key].does} if verb == "test" else set()


def _held_starts(entries: tuple[Entry, ...], sheet: Sheet) -> list[tuple[str, str]]:
    """Every start before which a hold stood that it does not name, with that hold."""
    found = []
    for place, entry in enumerate(entries):
        if isinstance(entry.body, Started):
            states = stand(replay(entries[:place]), sheet)
            guarding = needed({*entry.body.acts} | _does(entry.body.operation, sheet), sheet)
            standing = [key for key in guarding if not states[key].released and key not in entry.body.done_while]
            found += [(entry.body.operation, key) for key in standing]
    return found


@given(st.lists(batches, min_size=1, max_size=10))
@settings(max_examples=40)
def test_no_work_starts_while_its_hold_stands_unless_it_says_so(bench: Workshop, typed: list[list[Fields]]) -> None:
    sheet = told(bench).sheet
    job = receive(bench, {"sheet": "quay-slice", "machine": {"description": "one more"}}, by="ic")
    taken = [fields["kind"] for batch in typed for fields in batch if _enter(bench, job, sheet, fields)]
    entries = bench.store.read(job)
    assert len(entries) == 1 + len(taken)
    assert _held_starts(entries, sheet) == []
    event(f"started {min(taken.count('started'), 5)}")


def test_the_lines_that_prepare_a_machine_do_prepare_it(bench: Workshop) -> None:
    sheet = told(bench).sheet
    job = receive(bench, {"sheet": "quay-slice", "machine": {"description": "one more"}}, by="ic")
    for fields in READY:
        _enter(bench, job, sheet, fields)
    states = stand(bench.store.job(job), sheet)
    assert [key for key in HOLDS if states[key].released] == list(HOLDS[:-1])
    heat = {"kind": "started", "operation": "test:heat_cycle_one", "title": "First heat"}
    assert _enter(bench, job, sheet, heat)
    assert not _enter(bench, job, sheet, {**heat, "operation": "test:heat_cycle_two"})
