"""Take in a machine: a new job with its number, pinned to a sheet whose bytes are kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4

from brasswright.errors import AlreadyExists, EntryRefused, NotFound
from brasswright.sheets import load
from brasswright.store import Draft
from brasswright.workshop.drafting import body_from
from brasswright.workshop.record import Line, line_from, not_ahead, read_lines
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
    folder = workshop.folder / "sheets"
    own = sorted(path.stem for path in folder.glob("*.toml"))
    if name in own:
        return load.load_sheet(folder / f"{name}.toml")
    if name not in load.packaged():
        allowed = ", ".join([*own, *load.packaged()])
        raise NotFound(f"There is no sheet '{name}'.", where=str(folder), allowed=allowed)
    return load.load_packaged(name)


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
        EntryRefused: a field is missing or wrong, the date is in the future, or the person is not of this workshop.
        NotFound, SheetRefused: there is no such sheet, or it has mistakes.
    """
    people = read_settings(workshop).people
    if by not in people:
        raise EntryRefused(
            "Who takes it in is nobody of this workshop.",
            got=by or "no name",
            allowed=", ".join(people) or "nobody yet",
        )
    now = workshop.clock()
    identity, entry = ids or (uuid4(), uuid4())
    rows = {row.uuid: row for row in workshop.store.jobs()}
    number = fields.get("number") or (rows[identity].number if identity in rows else workshop.store.next_number())
    if any(row.number == number and row.uuid != identity for row in rows.values()):
        raise AlreadyExists(f"There is a job {number} already.", allowed=f"{workshop.store.next_number()} is free")
    loaded = sheet_named(workshop, str(fields.get("sheet", "")))
    pin = {"sheet": loaded.sheet.sheet.key, "sheet_sha256": loaded.sha256}
    body = body_from({**fields, "number": number, "kind": "arrived/1", **pin})
    draft = Draft(id=entry, at=not_ahead(at or _first_at(workshop, identity) or now, now), by=by, body=body)
    workshop.store.put_sheet(loaded.raw)
    workshop.store.append(identity, [draft])
    return identity


def _first_at(workshop: Workshop, job: UUID) -> datetime | None:
    """Return when a job that is here already arrived."""
    here = any(row.uuid == job for row in workshop.store.jobs())
    return workshop.store.read(job)[0].at if here else None


@dataclass(frozen=True, slots=True)
class Arrival:
    """An arrival written in a file: its fields, who took it in and when."""

    fields: Mapping[str, Any]
    by: str
    at: datetime | None


def arrival_from(path: Path) -> Arrival:
    """Read an arrival from a JSON file over several lines, or from the first line of a JSON Lines file.

    Raises:
        EntryRefused: the file cannot be read, or holds no arrival.
    """
    line = _whole(path) or read_lines(path)[0]
    if str(line.fields.get("kind", "")).split("/")[0] != "arrived":
        raise EntryRefused("The file does not begin with an arrival.", where=str(path))
    return Arrival(line.fields, line.by, line.at)


def _whole(path: Path) -> Line | None:
    """Return the one object that a file holds; None where it is not one object, or cannot be read."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        json.loads(text)
    except (OSError, ValueError):
        return None
    return line_from(text, path.name)
