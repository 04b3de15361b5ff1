"""Three machines of one kind whose sizes are entered, and another workshop to send them to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.journal.sized import Sized
from brasswright.workshop.dimension_book import read_book
from brasswright.workshop.folder import found as new_workshop
from brasswright.workshop.receive import receive
from brasswright.workshop.record import Line, note
from brasswright.workshop.settings import set_values
from tests.builders import NOON
from tests.unit.workshop_bench import made, now

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.journal.entries import Entry
    from brasswright.workshop.dimension_book import Line as Row
    from brasswright.workshop.folder import Workshop

__all__ = ["KIND", "PART", "as_size", "line", "pier", "size", "three"]

KIND, PART = "quay-slice", "piston_seals"


def three(folder: Path) -> Workshop:
    """A workshop with three machines of one kind: jobs 31, 32 and 33."""
    workshop = made(folder / "quay")
    for number in (32, 33):
        machine = {"description": "another one of its kind"}
        receive(workshop, {"number": number, "sheet": KIND, "machine": machine}, by="ic")
    return workshop


def pier(folder: Path) -> Workshop:
    """Another workshop, without a machine."""
    workshop = new_workshop(folder / "pier", now)
    set_values(workshop, {"person.ic": "Ines Calder"}, by="ic", at=NOON)
    return workshop


def size(workshop: Workshop, job: int, dimension: str, text: str, **fields: Any) -> Entry:
    """Enter a size of the piston seals of a job, measured unless told otherwise."""
    body = {"kind": "sized", "component": PART, "dimension": dimension, "text": text, "how": "measured", **fields}
    return note(workshop, workshop.open_job(job), [Line(body, by="ic")])[0]


def as_size(entry: Entry) -> Sized:
    """The size that an entry holds."""
    assert isinstance(entry.body, Sized)
    return entry.body


def line(workshop: Workshop, dimension: str, component: str = PART) -> Row:
    """One line of the book as it stands."""
    return read_book(workshop).lines[KIND, component, dimension]
