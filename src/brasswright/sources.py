"""Where numbers come from: every table row, formula and check names a source by key; an unknown key refuses.

`SOURCES.toml` and `SOURCES-SUBJECT.toml` in the tables folder describe each: what it is, who published it, when, and
how it reached us.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from brasswright.errors import UnknownSource

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["PROVENANCES", "Source", "cite", "known_provenance", "source", "sources"]

PROVENANCES: Final = (
    "seen in the source",
    "seen in a page quoting the source",
    "recomputed with ",
    "from memory",
    "common practice, no source",
)
"""How a number reached us; "recomputed with " is followed by a library and its version, or by "plain arithmetic"."""


@dataclass(frozen=True, slots=True)
class Source:
    """One source: title, publisher or author, year or edition, and a remark on how it was read."""

    key: str
    title: str
    publisher: str
    year: str
    note: str

    def __str__(self) -> str:
        """Return the source as it is cited."""
        return ", ".join(part for part in (self.title, self.publisher, self.year) if part)


@cache
def sources() -> Mapping[str, Source]:
    """Return all described sources by key; refuses one key described in two files."""
    found: dict[str, Source] = {}
    for path in sorted((Path(__file__).parent / "tables").glob("SOURCES*.toml")):
        for key, row in tomllib.loads(path.read_text(encoding="utf-8")).items():
            if key in found:
                raise UnknownSource(f"The source '{key}' is described twice.", where=path.name, remedy="Keep one.")
            told = (row["title"], row.get("publisher", ""), str(row.get("year", "")), row.get("note", ""))
            found[key] = Source(key, *told)
    return MappingProxyType(found)


def source(key: str) -> Source:
    """Return the source of that key; refuses a key nobody described."""
    try:
        return sources()[key]
    except KeyError:
        raise UnknownSource(
            f"'{key}' is no known source.", allowed=", ".join(sorted(sources())), remedy="Describe it in SOURCES.toml."
        ) from None


def cite(key: str) -> str:
    """Return the words by which a source is cited.

    >>> cite("iapws-r7-97").startswith("IAPWS R7-97")
    True
    """
    return str(source(key))


def known_provenance(words: str) -> bool:
    """Return whether the words say in one of our ways how a number reached us."""
    return any(words.startswith(p) and len(words) > len(p) if p.endswith(" ") else words == p for p in PROVENANCES)
