"""A sheet's file, the fragments it includes and the core hold points, put together into one table."""

from __future__ import annotations

import copy
import functools
import tomllib
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any

from brasswright.errors import Problem
from brasswright.sheets.adapt import Adapting, adapt, taken_out
from brasswright.sheets.open_vessel import OPEN, asks_for_open, opened, pressure_said
from brasswright.sheets.places import EntryPath, Places, line_index
from brasswright.sheets.schema import KINDS

__all__ = ["CORE", "CORE_MAY_GAIN", "PACKAGED", "Merged", "merge", "under_core"]

PACKAGED = Path(__file__).parent / "packaged"
"""The folder of the sheets that come with the program."""
CORE = ("fragments/sources.toml", "fragments/holds.toml")
"""Fragments that every sheet gets, whether it asks or not."""
CORE_MAY_GAIN = ("reading", "cautions", "at_most", "at_least", "quantity", "limit_words", "standard")
"""What a sheet may add to a core proving test: its reading, more cautions, a limit where the core leaves it open."""

_LIMIT = ("at_most", "at_least")
_MOST_BYTES = 4_000_000


@dataclass(slots=True)
class Merged:
    """What was put together, and everything wrong found on the way; not `whole` when a file of it could not be read."""

    tables: dict[str, Any] = field(default_factory=dict)
    lines: dict[EntryPath, tuple[str, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    read: set[Path] = field(default_factory=set)
    name: str = "sheet"
    whole: bool = True
    asked: list[tuple[dict[str, Any], Places]] = field(default_factory=list)

    @property
    def places(self) -> Places:
        """Where every entry stands."""
        return Places(self.lines, self.name)

    def refuse(self, where: str, what: str, remedy: str) -> None:
        """Note one problem."""
        self.problems.append(Problem(where, what, remedy))


def merge(text: str, *, name: str, beside: Path | None) -> Merged:
    """Read a sheet's text with its fragments; `beside` is the folder in which its own fragments lie."""
    merged = Merged(name=name)
    for fragment in CORE:
        path = PACKAGED / fragment
        merged.read.add(path.resolve())
        tables, own = _parsed(merged, path.read_text(encoding="utf-8"), fragment)
        _join(merged, tables, own, core=True)
    is_open = asks_for_open(_glimpse(text))
    if is_open:
        merged.read.add((PACKAGED / OPEN).resolve())
        merged.tables = opened(merged.tables, _open_words())
    _add(merged, text, name=name, beside=beside)
    if merged.asked and merged.whole:
        _adapt(merged)
    if is_open and merged.whole:
        _refuse_pressure(merged)
    return merged


def _glimpse(text: str) -> dict[str, Any]:
    """Return what a file holds before anything is made of it; nothing where it is no TOML, which is told later."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}


def _refuse_pressure(merged: Merged) -> None:
    """Refuse everything that an open vessel cannot have."""
    for path in pressure_said(merged.tables, _core()):
        merged.refuse(
            merged.places.where(*path),
            "the sheet says open_vessel = true, and this is of a vessel under pressure.",
            "Take it out, or take open_vessel out of [sheet]: a vessel under pressure is proved as one.",
        )


def _adapt(merged: Merged) -> None:
    """Carry out what is wanted otherwise: by fragments in the order of inclusion, then by the sheet itself."""
    core = frozenset((kind, key) for kind, entries in _core().items() for key in entries)
    merged.tables = copy.deepcopy(merged.tables)
    for asked, own in merged.asked:
        wanted = Adapting(asked, own, merged.refuse, core)
        adapt(merged.tables, wanted)
        for path, said in wanted.moved.items():
            if said in own.lines:
                merged.lines[path] = own.lines[said]


@functools.cache
def _core() -> dict[str, Any]:
    """The core's tables as they are packaged."""
    merged = Merged()
    for fragment in CORE:
        tables, own = _parsed(merged, (PACKAGED / fragment).read_text(encoding="utf-8"), fragment)
        _join(merged, tables, own, core=True)
    return merged.tables


@functools.cache
def _open_words() -> dict[str, Any]:
    """What the core says anew of an open vessel, as it is packaged."""
    return tomllib.loads((PACKAGED / OPEN).read_text(encoding="utf-8"))


def under_core(tables: Any) -> Any:  # noqa: ANN401 - whatever JSON holds
    """Return a merged sheet's tables with this program's hold points and core tests in place of those it brings.

    Those of an open vessel only where the sheet says it has one and nothing in it speaks of pressure.
    """
    if not isinstance(tables, dict) or not all(isinstance(tables.get(kind, {}), dict) for kind in KINDS):
        return tables
    core = _core()
    if asks_for_open(tables) and not pressure_said(tables, core):
        core = opened(core, _open_words())
    tests = {**tables.get("proving", {}), **core["proving"]}
    for key, test in core["proving"].items():
        told = tables.get("proving", {}).get(key)
        tests[key] = {**test, **_gained(test, told)} if isinstance(told, dict) else test
    sources = {**core["source"], **tables.get("source", {})}
    return {**tables, "source": sources, "proving": tests, "hold": core["hold"]}


def _gained(test: dict[str, Any], told: dict[str, Any]) -> dict[str, Any]:
    """Return what a sheet has given a core test and may give it."""
    given = {word: told[word] for word in _may_gain(test) if word in told and word != "cautions"}
    said = told.get("cautions")
    more = [words for words in said if words not in test.get("cautions", [])] if isinstance(said, list) else []
    return given | ({"cautions": [*test.get("cautions", []), *more]} if more else {})


def _may_gain(test: dict[str, Any]) -> tuple[str, ...]:
    """Return what a sheet may give a core test: no limit where the core has one."""
    return CORE_MAY_GAIN[:2] if any(limit in test for limit in _LIMIT) else CORE_MAY_GAIN


def _add(merged: Merged, text: str, *, name: str, beside: Path | None) -> None:
    """Add one file and then what it includes."""
    tables, own = _parsed(merged, text, name)
    included = tables.pop("include", [])
    asked = taken_out(tables)
    if name != merged.name and "sheet" in tables:
        del tables["sheet"]
        merged.refuse(own.where("sheet"), "a fragment may not hold a [sheet] table.", "Only the sheet itself has one.")
    _join(merged, tables, own, core=False)
    if not isinstance(included, list):
        merged.refuse(own.where("include"), "it must be a list.", 'Write include = ["fragments/NAME.toml"].')
        included = []
    for fragment in included:
        path = _find(merged, fragment, asked_by=own, beside=beside)
        if path is not None and path not in merged.read:
            merged.read.add(path)
            inner = _text(merged, path, str(fragment))
            if inner is not None:
                _add(merged, inner, name=str(fragment), beside=beside)
    if asked:
        merged.asked.append((asked, own))


def _parsed(merged: Merged, text: str, name: str) -> tuple[dict[str, Any], Places]:
    """Read TOML, with the places of its own entries; what was said first keeps its place among all."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        merged.refuse(name, f"it is not TOML: {wrong}.", "Put the named line right.")
        merged.whole = False
        return {}, Places(name=name)
    own = {path: (name, line) for path, line in line_index(text).items()}
    merged.lines = own | merged.lines
    return tables, Places(own, name)


def _text(merged: Merged, path: Path, name: str) -> str | None:
    """Return a file's text, or note why it cannot be read."""
    try:
        raw = path.read_bytes()
        if len(raw) > _MOST_BYTES:
            merged.refuse(name, f"the file has {len(raw)} bytes.", f"A sheet has at most {_MOST_BYTES}.")
            merged.whole = False
            return None
        text = raw.decode("utf-8")
    except (OSError, UnicodeDecodeError) as wrong:
        merged.refuse(name, f"it cannot be read: {wrong}.", "A sheet is plain text in UTF-8.")
        merged.whole = False
        return None
    return text


def _find(merged: Merged, fragment: object, *, asked_by: Places, beside: Path | None) -> Path | None:
    """Return a fragment's path: beside the sheet or packaged, never outside those two folders."""
    where = asked_by.where("include")
    inside = PurePosixPath(fragment) if isinstance(fragment, str) else None
    if inside is None or inside.is_absolute() or ".." in inside.parts or "\\" in str(fragment) or ":" in str(fragment):
        merged.refuse(where, f"{fragment!r} leads out of the folder.", "Name a file beside the sheet or below it.")
        return None
    for folder in (beside, PACKAGED):
        if folder is None:
            continue
        path = (folder / inside).resolve()
        if path.is_relative_to(folder.resolve()) and path.is_file():
            return path
    merged.whole = False
    known = sorted(f"fragments/{path.name}" for path in (PACKAGED / "fragments").glob("*.toml"))
    merged.refuse(where, f"{fragment!r} is not found.", f"Put it beside the sheet. Packaged: {', '.join(known)}.")
    return None


def _join(merged: Merged, tables: dict[str, Any], own: Places, *, core: bool) -> None:
    """Put the tables of one file to the others; nothing may be described twice."""
    for kind, entries in tables.items():
        if kind not in KINDS or not isinstance(entries, dict):
            merged.tables[kind] = entries
            continue
        together = merged.tables.setdefault(kind, {})
        for key, entry in entries.items():
            if kind == "hold" and not core:
                merged.refuse(
                    own.where("hold", key),
                    "hold points are the same for every machine; a sheet neither changes nor adds one.",
                    "Take the table out; a sheet may add proving tests, prompts and cautions.",
                )
            elif key in together and together[key] != entry:
                _again(merged, (kind, key), entry, own)
            else:
                together.setdefault(key, entry)


def _again(merged: Merged, path: tuple[str, str], entry: Any, own: Places) -> None:  # noqa: ANN401 - any TOML value
    """Deal with an entry described before: an addition to a core proving test is taken, all else refused."""
    kind, key = path
    first = merged.places.file_of(kind, key)
    if kind == "proving" and first in CORE and isinstance(entry, dict):
        _gain(merged, key, entry, own)
        return
    merged.refuse(
        own.where(kind, key),
        f"it is described before, in {merged.places.where(kind, key)}.",
        "Give this one another name, or take one of the two out.",
    )


def _gain(merged: Merged, key: str, entry: dict[str, Any], own: Places) -> None:
    """Add a sheet's own reading, cautions and open limit to a core proving test."""
    test: dict[str, Any] = dict(merged.tables["proving"][key])
    open_fields = _may_gain(test)
    for word, said in entry.items():
        if word not in open_fields:
            merged.refuse(
                own.where("proving", key, word),
                "this test belongs to the hold points and a sheet does not change it.",
                f"A sheet may give here: {', '.join(open_fields)}.",
            )
        elif word == "cautions" and isinstance(said, list):
            test["cautions"] = [*test.get("cautions", []), *said]
        else:
            test[word] = said
    merged.tables["proving"][key] = test
