"""The dimension book as a file for other workshops: own sizes written out, theirs read in and marked as theirs.

Tab-separated, one size a line, the first line names the columns. What is read in goes into the workshop's own journal,
says where it came from, and never counts: it is shown, and offered only where nothing better is known.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from typing import TYPE_CHECKING, Any
from uuid import NAMESPACE_URL, uuid5

from brasswright.errors import BrasswrightError, EntryRefused
from brasswright.store import Draft
from brasswright.workshop.drafting import body_from
from brasswright.workshop.settings import read_settings
from brasswright.workshop.sizing import complete_size

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path
    from uuid import UUID

    from brasswright.journal.entries import Body
    from brasswright.workshop.dimension_book import Book
    from brasswright.workshop.folder import Workshop

__all__ = ["COLUMNS", "book_text", "read_file"]

COLUMNS = ("kind", "component", "dimension", "name", "quantity", "text", "how", "day", "instrument")
MOST = 20_000


def book_text(book: Book, kind: str = "") -> str:
    """Return the sizes that count, as the text of a file; no job, person or machine is named in it."""
    out = io.StringIO()
    lines = csv.writer(out, delimiter="\t", lineterminator="\n")
    lines.writerow(COLUMNS)
    for line in book.of(kind):
        for one in line.sources:
            if one.counts:
                quantity = one.quantity or "words"
                about = (line.kind, line.component, line.dimension, one.name, quantity)
                lines.writerow((*about, one.text, one.how, one.at.date().isoformat(), one.instrument))
    return out.getvalue()


def read_file(workshop: Workshop, path: Path, *, by: str, origin: str) -> tuple[int, int]:
    """Read a file of sizes in, all of it or nothing; return how many are new and how many were there already.

    Raises:
        EntryRefused: the file or one of its lines cannot be taken; the line is named. Or nobody of this workshop
            answers for it, or where it comes from is not said.
    """
    if by not in read_settings(workshop).people:
        raise EntryRefused("Who reads this in is nobody of this workshop.", got=by or "no name")
    if not origin.strip():
        raise EntryRefused("Where the sizes come from is not said.", remedy="Say it: --from 'Harbour Bench, 2026'.")
    bodies: dict[UUID, Body] = {}
    alike: Counter[tuple[str, ...]] = Counter()
    for number, row in enumerate(_rows(path), 2):
        try:
            fields = _fields(row, origin.strip())
            said = tuple(row[name] for name in COLUMNS)
            alike[said] += 1
            bodies[uuid5(NAMESPACE_URL, "\n".join(("sized", *said, origin, str(alike[said]))))] = body_from(fields)
        except BrasswrightError as refusal:
            where = f"{path.name}, line {number}"
            raise EntryRefused(str(refusal), where=where, remedy="Nothing was entered.") from refusal
    own = workshop.store.journal_of_workshop
    known = {entry.id for entry in workshop.store.read(own)}
    now = workshop.clock()
    drafts = [Draft(id=each, at=now, by=by, body=body) for each, body in bodies.items() if each not in known]
    if drafts:
        workshop.store.append(own, drafts)
    return len(drafts), len(bodies) - len(drafts)


def _rows(path: Path) -> list[dict[str, str]]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as failure:
        raise EntryRefused(f"The file cannot be read: {failure}.", where=str(path)) from None
    lines = csv.DictReader(io.StringIO(text), delimiter="\t", quoting=csv.QUOTE_MINIMAL)
    missing = [name for name in COLUMNS if name not in (lines.fieldnames or ())]
    if missing:
        raise EntryRefused("Columns are missing.", where=path.name, got=", ".join(missing), allowed=", ".join(COLUMNS))
    rows = [dict(row) for row in lines]
    if not rows or len(rows) > MOST:
        raise EntryRefused("The file holds no size, or too many.", where=path.name, got=str(len(rows)))
    for number, row in enumerate(rows, 2):
        if None in row or None in row.values():
            raise EntryRefused("This line has too few or too many columns.", where=f"{path.name}, line {number}")
    return rows


def _fields(row: Mapping[str, str], origin: str) -> dict[str, Any]:
    """Return the fields of an entry; a figure far from usual is not asked about but refused."""
    told = {name: row[name] for name in ("component", "dimension", "text", "how", "name", "quantity", "instrument")}
    if not row["kind"].strip():
        raise EntryRefused("The kind of machine is missing.")
    whence = f"{origin}, {row['day']}" if row["day"] else origin
    return complete_size({"kind": "sized/1", **told, "machine_kind": row["kind"].strip(), "origin": whence})
