"""Tables of the trade, each row with its source: alloys, cords, limits, constants, nameplates.

Each table is a tab-separated file beside this one. Its last columns are `source` (a key of SOURCES.toml), `provenance`
(how the figure reached us) and `note`. Figures stand in the unit that the column's name says.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.errors import NotFound
from brasswright.sources import source

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["constant", "names", "rows"]

_FOLDER = Path(__file__).parent


def names() -> tuple[str, ...]:
    """Return the names of all tables."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.tsv")))


@cache
def rows(table: str) -> tuple[Mapping[str, str], ...]:
    """Return the rows of a table by column name; refuses a table that is not there and a row without known source."""
    path = _FOLDER / f"{table}.tsv"
    if table not in names():
        raise NotFound(f"There is no table '{table}'.", allowed=", ".join(names()))
    with path.open(encoding="utf-8", newline="") as lines:
        found = tuple(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))
    for row in found:
        source(row["source"])
    return found


def constant(key: str) -> float:
    """Return a figure of the tables of constants: `constants` and `constants_SUBJECT`.

    >>> constant("atmosphere_pa")
    101325.0
    """
    known = _constants()
    if key not in known:
        raise NotFound(f"There is no constant '{key}'.", allowed=", ".join(known))
    return known[key]


@cache
def _constants() -> Mapping[str, float]:
    tables = (name for name in names() if name.split("_")[0] == "constants")
    return {row["key"]: float(row["value"]) for name in tables for row in rows(name)}
