"""Take in a machine: a new job with its number, pinned to a sheet whose bytes are kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

from brasswright.errors import AlreadyExists, EntryRefused
from brasswright.sheets import load
from brasswright.store import Draft
from brasswright.workshop.drafting import body_from
from brasswright.workshop.record import read_lines
from brasswright.workshop.settings import read_settings

if TYPE_CHECKING:
    from pathlib import Path

    from brasswright.workshop.folder import Workshop

__all__ = ["Arrival", "arrival_from", "receive", "sheet_named"]


def sheet_named(workshop: Workshop, name: str) -> load.LoadedSheet:
    """Return a packaged sheet, or the workshop's own `sheets/NAME.toml`.

    Raises:
        NotFound: neither has that name.
        SheetRefused: the sheet has mistakes; all are listed.
    """
    own: Path = workshop.folder / "sheets" / f"{name}.toml"
    return load.load_sheet(own) if own.exists() else load.load_packaged(name)


def receive(
    workshop: Workshop,
    fields: Mapping[str, Any],
    *,
    by: str,
    at: datetime | None = None,
    ids: tuple[UUID, UUID] | None = None,
) -> UUID:
    """Enter an arrival as the first entry of a new job and return the job's id.

    `fields` are those of an `arrived` entry; `sheet` names the sheet, its hash is filled in; without `number` the next
    free one is taken. `ids` are those of the job and of its arrival, if the client made them: the same ones sent twice
    do no harm.

    Raises:
        AlreadyExists: the number is taken.
        EntryRefused: a field is missing or wrong, or the person is not of this workshop.
    """
    people = read_settings(workshop).people
    if by not in people:
        raise EntryRefused(
            "Who takes it in is nobody of this workshop.", got=by or "no name", allowed=", ".join(people)
        )
    taken = {row.number: row for row in workshop.store.jobs()}
    number = int(fields.get("number", 0)) or workshop.store.next_number()
    if number in taken and (ids is None or taken[number].uuid != ids[0]):
        raise AlreadyExists(f"There is a job {number} already.", allowed=f"{workshop.store.next_number()} is free")
    loaded = sheet_named(workshop, str(fields.get("sheet", "")))
    sha = workshop.store.put_sheet(loaded.raw)
    whole = {**fields, "number": number, "kind": "arrived/1", "sheet": loaded.sheet.sheet.key, "sheet_sha256": sha}
    moment = at or workshop.clock()
    if moment > workshop.clock():
        raise EntryRefused("This is in the future.", got=moment.isoformat())
    identity, entry = ids or (uuid4(), uuid4())
    draft = Draft(id=entry, at=moment, by=by, body=body_from(whole))
    workshop.store.append(identity, [draft])
    return identity


@dataclass(frozen=True, slots=True)
class Arrival:
    """An arrival written in a file: its fields, who took it in and when."""

    fields: Mapping[str, Any]
    by: str
    at: datetime | None


def arrival_from(path: Path) -> Arrival:
    """Read an arrival from a JSON file, or from the first line of a JSON Lines file.

    Raises:
        EntryRefused: the file cannot be read, or holds no arrival.
    """
    line = next(iter(read_lines(path)), None)
    if line is None or str(line.fields.get("kind", "")).split("/")[0] != "arrived":
        raise EntryRefused("The file does not begin with an arrival.", where=str(path))
    return Arrival(line.fields, line.by, line.at)
