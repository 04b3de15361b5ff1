"""Pick the entries of a few kinds out of all journals, from where the last picking ended: what a book over jobs needs.

Entries are only ever added, so the row number in the database tells what is new.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import ColumnClause, Integer, column, func, or_, select

from brasswright.journal.codec import load
from brasswright.store.engine import reading
from brasswright.store.schema import entries

if TYPE_CHECKING:
    from collections.abc import Collection

    from brasswright.journal.entries import Entry
    from brasswright.store.store import Store

__all__ = ["glean", "last_row"]

ROW: ColumnClause[int] = column("rowid", Integer)


def last_row(store: Store) -> int:
    """Return the number of the newest row of all journals; 0 while there is none."""
    with reading(store.engine) as connection:
        found = connection.execute(select(func.max(ROW)).select_from(entries)).scalar()
    return int(found or 0)


def glean(store: Store, names: Collection[str], *, after: int = 0, until: int) -> tuple[Entry, ...]:
    """Return the entries whose kind has one of these names, in rows after the one and up to the other, in their order.

    `names` are kinds without version, such as `sized`; every version ever shipped is picked.
    """
    said = or_(*(entries.c.text.contains(f'"kind":"{name}/', autoescape=True) for name in names))
    wanted = select(entries.c.text).select_from(entries).where(after < ROW, until >= ROW, said).order_by(ROW)
    with reading(store.engine) as connection:
        texts = tuple(connection.execute(wanted).scalars())
    found = (load(text) for text in texts)
    return tuple(entry for entry in found if entry.body.kind.partition("/")[0] in names)
