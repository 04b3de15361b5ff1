"""Reading a sheet: from a text, a file, the sheets that come with the program, or the bytes a job is pinned to."""

from __future__ import annotations

import functools
import hashlib
import json
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from brasswright.errors import NotFound, Problem, SheetRefused
from brasswright.sheets.check import problems as problems_of
from brasswright.sheets.merge import PACKAGED, merge, under_core
from brasswright.sheets.model import Sheet
from brasswright.sheets.places import Places
from brasswright.sheets.schema import nearest, read_tables

__all__ = ["LoadedSheet", "from_bytes", "load_packaged", "load_sheet", "packaged", "packaged_name", "packaged_path"]

KEPT = 16
"""So many pinned sheets are kept once read."""


@dataclass(frozen=True, slots=True)
class LoadedSheet:
    """A sheet with what pins it.

    `raw` is the whole sheet, fragments and hold points included, as JSON in UTF-8 without spaces, in the author's
    order: remarks and layout do not count, everything said does. `sha256` is taken over `raw`. `places` tells file and
    line of each entry; a sheet read from `raw` knows no lines.
    """

    sheet: Sheet
    raw: bytes
    sha256: str
    places: Places = field(default_factory=Places, compare=False)


def load_sheet(text: str | Path, *, name: str = "", beside: Path | None = None) -> LoadedSheet:
    """Read and check a sheet from its text, or from a file when a path is given.

    Args:
        text: the TOML itself, or the path of a file that holds it.
        name: what to call the text in messages; a file goes by its own name.
        beside: folder of the fragments that a text includes; a file's own folder unless given.

    Raises:
        NotFound: the file is not there.
        SheetRefused: with every problem found, each naming file, line, entry and remedy.
    """
    if isinstance(text, Path):
        return _load_file(text, name=name or text.name, beside=beside or text.parent)
    merged = merge(text, name=name or "sheet", beside=beside)
    sheet, refused = read_tables(merged.tables, merged.places) if merged.whole else (None, ())
    problems = (*merged.problems, *refused)
    if sheet is not None:
        problems += problems_of(sheet, merged.places)
    if sheet is None or problems:
        raise SheetRefused(merged.name, problems)
    raw = _canonical(merged.tables)
    return LoadedSheet(sheet, raw, hashlib.sha256(raw).hexdigest(), merged.places)


def _load_file(path: Path, *, name: str, beside: Path) -> LoadedSheet:
    """Read a sheet from a file."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise NotFound("There is no such sheet.", where=str(path), remedy="Check the path.") from None
    except (OSError, UnicodeDecodeError) as wrong:
        problem = Problem(name, f"it cannot be read: {wrong}.", "A sheet is a file of plain text in UTF-8.")
        raise SheetRefused(name, (problem,)) from None
    return load_sheet(text, name=name, beside=beside)


def _canonical(tables: dict[str, object]) -> bytes:
    """Return the self-contained bytes of a merged sheet; its own head stands first."""
    ordered = {"sheet": tables["sheet"], **tables}
    return json.dumps(ordered, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()


@functools.lru_cache(maxsize=KEPT)
def from_bytes(raw: bytes) -> LoadedSheet:
    """Read a sheet from the bytes a job is pinned to, under the hold points of this program; the last few are kept.

    Hold points and their tests are the program's own, whatever the bytes say: a sheet from elsewhere, or pinned by an
    older version, cannot loosen them. A core test keeps what a sheet may give it (`CORE_MAY_GAIN`).

    Raises:
        SheetRefused: the bytes are not a sheet.
    """
    name = "pinned sheet"
    try:
        tables = json.loads(raw)
    except ValueError as wrong:
        raise SheetRefused(name, (Problem(name, f"it is no JSON: {wrong}.", "Restore it from a backup."),)) from None
    places = Places(name=name)
    sheet, problems = read_tables(under_core(tables), places)
    if sheet is None:
        raise SheetRefused(name, problems)
    return LoadedSheet(sheet, raw, hashlib.sha256(raw).hexdigest(), places)


def packaged() -> tuple[str, ...]:
    """Return the keys of the sheets that come with the program; a file with a second dot belongs to a sheet."""
    return tuple(sorted(path.stem for path in PACKAGED.glob("*.toml") if "." not in path.stem))


def packaged_path(key: str) -> Path:
    """Return the file of a packaged sheet.

    Raises:
        NotFound: no packaged sheet has that key.
    """
    if key not in packaged():
        raise NotFound(f"There is no packaged sheet '{key}'.", remedy=nearest(key, packaged()))
    return PACKAGED / f"{key}.toml"


def packaged_name(key: str) -> str:
    """Return the name of a packaged sheet from its own head, without reading what it includes.

    Raises:
        NotFound: no packaged sheet has that key.
    """
    return str(tomllib.loads(packaged_path(key).read_text(encoding="utf-8"))["sheet"]["name"])


def load_packaged(key: str) -> LoadedSheet:
    """Read a packaged sheet by its key; one that was read is kept, because it does not change under a running program.

    Raises:
        NotFound: no packaged sheet has that key.
    """
    return _read_packaged(packaged_path(key))


@functools.cache
def _read_packaged(path: Path) -> LoadedSheet:
    return load_sheet(path)
