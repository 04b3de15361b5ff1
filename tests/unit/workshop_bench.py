"""A small workshop for tests: two people, one sheet of twelve components, one machine on the bench."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brasswright.workshop.folder import OpenJob, Workshop, found
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values
from tests.builders import NOON

if TYPE_CHECKING:
    from brasswright.journal.entries import Entry

__all__ = ["CIRCUITS", "EVENING", "NUMBER", "SHEET", "file_lines", "kept", "made", "measured", "now", "say", "told"]

SLICE = Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml"
SHEET = SLICE.read_text(encoding="utf-8").replace("slice-spring-lever", "quay-slice")
NUMBER = 31
EVENING = NOON + timedelta(hours=6)
CIRCUITS = {
    "earth": "unplugged; from earth pin to bare metal",
    "insulation": "unplugged; switch, thermostat and pressurestat closed; line and neutral joined",
}
TESTERS = {"earth": "low-ohm tester", "insulation": "insulation tester"}


def now() -> datetime:
    """The workshop's clock: it is evening."""
    return EVENING


def made(folder: Path) -> Workshop:
    """A workshop with Ines Calder, Tom Wray, their own sheet and job 31, a machine from a boat shed."""
    workshop = found(folder, now)
    people: dict[str, str | int | float | bool] = {"person.ic": "Ines Calder", "person.tw": "Tom Wray"}
    set_values(workshop, people, by="ic", at=NOON)
    (folder / "sheets").mkdir()
    (folder / "sheets" / "quay-slice.toml").write_text(SHEET, encoding="utf-8")
    machine = {"description": "home spring-lever machine", "rated_voltage_v": 220.0, "rated_power_w": 1000.0}
    receive(workshop, {"number": NUMBER, "sheet": "quay-slice", "machine": machine}, by="ic", at=NOON)
    return workshop


def told(workshop: Workshop) -> OpenJob:
    """The job as its journal stands."""
    return workshop.open_job(NUMBER)


def say(workshop: Workshop, kind: str, **fields: Any) -> Entry:
    """Enter one thing as Ines and return its entry."""
    return note(workshop, told(workshop), [Line({"kind": kind, **fields}, by="ic")])[0]


def measured(workshop: Workshop, reading: str, text: str, **fields: Any) -> Entry:
    """Enter a reading, taken with the right tester on the right circuit unless told otherwise."""
    usual = {"circuit": CIRCUITS[reading], "instrument_kind": TESTERS[reading], "test_voltage_v": 500.0}
    return say(workshop, "measured", **({"reading": reading, "text": text} | usual | fields))


def kept(workshop: Workshop) -> tuple[int, str, tuple[str, ...]]:
    """All that a refused entry must leave alone: length and head of the journal, photographs kept."""
    job = told(workshop).job
    return job.seq, job.head, tuple(workshop.store.photographs.all())


def file_lines(path: Path, *lines: str) -> Path:
    """Write a JSON Lines file."""
    path.write_text("".join(line + "\n" for line in lines), encoding="utf-8")
    return path
