"""A sheet made from another's fragments: what it leaves out, changes, adds to, and has twice.

Four tables, carried out in this order once everything is included; a fragment's before those of the file that asks
for it, so that the sheet's own file has the last word:

- `leave_out = ["component.lagging"]`: these entries go, and with them whatever speaks of nothing else;
- `[change.KIND.KEY]`: these fields are as said here;
- `[add.KIND.KEY]`: these lists get longer, these tables get more rows;
- `[repeat.SUFFIX]`: a second (third) of something, such as a second group, under keys that end in the suffix.

Hold points and their tests are never touched. Nothing here is known to a merged sheet: it says everything itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

from brasswright.sheets.places import EntryPath, Places
from brasswright.sheets.schema import KINDS, nearest

__all__ = ["ADAPTING", "Adapting", "adapt", "taken_out"]

ADAPTING: Final = ("leave_out", "change", "add", "repeat")
"""Tables that a file may hold beside the kinds."""

Tables: TypeAlias = dict[str, Any]
Names: TypeAlias = set[tuple[str, str]]
Refuse: TypeAlias = Callable[[str, str, str], None]

_THINGS: Final = ("unit", "component", "history")
_REPEAT_FIELDS: Final = ("first", "name", "zones", "of")
_SPEAK: Final = {"component": "causes", "finding": "shows", "reading": "shows", "treatment": "fixes"}


@dataclass(slots=True)
class Adapting:
    """What a sheet's own file wants done to what it includes; where it says so, and how to refuse it."""

    asked: Tables
    places: Places
    refuse: Refuse
    fixed: frozenset[tuple[str, str]] = field(default_factory=frozenset)
    moved: dict[EntryPath, EntryPath] = field(default_factory=dict)


def taken_out(tables: Tables) -> Tables:
    """Take the adapting tables out of a parsed file and return them."""
    return {word: tables.pop(word) for word in ADAPTING if word in tables}


def adapt(tables: Tables, wanted: Adapting) -> None:
    """Carry out what is wanted on merged tables, in place; what cannot be is refused, each with its place.

    `wanted.moved` tells afterwards which entry of the result a changed field came from.
    """
    gone = _names(wanted, ("leave_out",), wanted.asked.get("leave_out", []), tables)
    for kind, key in gone:
        del tables[kind][key]
    if gone:
        _forget(tables, gone)
    for how, put in (("change", _replaced), ("add", _longer)):
        for kind, key, entry in _entries(wanted, how, tables):
            tables[kind][key] = put(tables[kind][key], entry, (wanted, (how, kind, key)))
    for suffix, entry in _table(wanted, "repeat").items():
        _repeat(tables, suffix, entry, wanted)


def _table(wanted: Adapting, word: str) -> Mapping[str, Any]:
    """Return one of the adapting tables, empty if it is none."""
    entry = wanted.asked.get(word, {})
    if not isinstance(entry, Mapping):
        wanted.refuse(wanted.places.where(word), "a table is wanted here.", f"Write [{word}.component.KEY].")
        return {}
    return entry


def _names(wanted: Adapting, path: EntryPath, said: object, tables: Tables) -> Names:
    """Return kind and key of each "kind.key" in a list."""
    found: Names = set()
    where = wanted.places.where(*path)
    if not isinstance(said, list):
        wanted.refuse(where, "a list is wanted here.", 'Write it as ["component.KEY", "unit.KEY"].')
        return found
    for name in said:
        kind, dot, key = str(name).partition(".")
        if dot and _may(wanted, where, (kind, key), tables):
            found.add((kind, key))
        elif not dot:
            wanted.refuse(where, f"'{name}' names no entry.", 'Write kind and key: "component.KEY".')
    return found


def _may(wanted: Adapting, where: str, name: tuple[str, str], tables: Tables) -> bool:
    """Whether an entry is there and a sheet's to change; refuses it otherwise."""
    kind, key = name
    if kind not in KINDS:
        wanted.refuse(where, f"'{kind}' is no kind of entry.", nearest(kind, KINDS))
    elif key not in tables.get(kind, {}):
        wanted.refuse(where, f"there is no {kind}.{key}.", nearest(key, tables.get(kind, {})))
    elif name in wanted.fixed:
        wanted.refuse(
            where, f"{kind}.{key} belongs to the hold points, the same for every machine.", "Take it out of here."
        )
    else:
        return True
    return False


def _entries(wanted: Adapting, how: str, tables: Tables) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
    """Go through `[change.KIND.KEY]` or `[add.KIND.KEY]`."""
    for kind, entries in _table(wanted, how).items():
        if not isinstance(entries, Mapping):
            wanted.refuse(wanted.places.where(how, kind), "a table is wanted here.", f"Write [{how}.{kind}.KEY].")
            continue
        for key, entry in entries.items():
            where = wanted.places.where(how, kind, key)
            if not isinstance(entry, Mapping):
                wanted.refuse(where, "a table is wanted here.", f"Write [{how}.{kind}.{key}] and its fields below.")
            elif _may(wanted, where, (kind, key), tables):
                yield kind, key, entry


def _replaced(old: Mapping[str, Any], entry: Mapping[str, Any], by: tuple[Adapting, EntryPath]) -> dict[str, Any]:
    """Return an entry with fields as said."""
    wanted, path = by
    for word in entry:
        wanted.moved[(*path[1:], word)] = (*path, word)
    return {**old, **entry}


def _longer(old: Mapping[str, Any], entry: Mapping[str, Any], by: tuple[Adapting, EntryPath]) -> dict[str, Any]:
    """Return an entry with longer lists and fuller tables."""
    wanted, path = by
    new = dict(old)
    for word, said in entry.items():
        had = old.get(word, type(said)())
        if isinstance(said, list) and isinstance(had, list):
            for place in range(len(said)):
                wanted.moved[(*path[1:], word, len(had) + place)] = (*path, word, place)
            new[word] = [*had, *said]
        elif isinstance(said, Mapping) and isinstance(had, Mapping):
            new[word] = {**had, **said}
        else:
            wanted.refuse(
                wanted.places.where(*path, word),
                "only lists and tables are added to.",
                f"Say it under [change.{path[1]}.{path[2]}].",
            )
    return new


def _forget(tables: Tables, gone: Names) -> None:
    """Take what is gone out of everything that spoke of it; what spoke of nothing else goes too."""
    while gone:
        lost = {key for kind, key in gone if kind in _THINGS}
        tests, readings = ({key for kind, key in gone if kind == word} for word in ("proving", "reading"))
        _clear_ways(tables, lost)
        gone = _clear_speech(tables, lost)
        gone |= {("record", key) for key, entry in tables.get("record", {}).items() if entry.get("before") in lost}
        for entry in tables.get("proving", {}).values():
            for word in ("after", "follows"):
                if word in entry:
                    entry[word] = [name for name in entry[word] if name not in tests]
            if entry.get("reading") in readings:
                del entry["reading"]
            if entry.get("during") in tests:
                del entry["during"]
        for kind, key in gone:
            del tables[kind][key]


def _clear_ways(tables: Tables, lost: set[str]) -> None:
    """Take ways in that are gone out of every access: what lay behind nothing else lies open."""
    for kind in ("zone", "unit", "component", "finding", "reading", "treatment"):
        for entry in tables.get(kind, {}).values():
            if "access" in entry:
                kept = [[way for way in clause if way not in lost] for clause in entry["access"]]
                entry["access"] = [clause for clause in kept if clause]
            if "off" in entry:
                entry["off"] = [name for name in entry["off"] if name not in lost]


def _clear_speech(tables: Tables, lost: set[str]) -> Names:
    """Take causes, signs and repairs of what is gone out; return entries that have none left."""
    empty: Names = set()
    for kind, word in _SPEAK.items():
        for key, entry in tables.get(kind, {}).items():
            had = entry.get(word, [])
            kept = [said for said in had if said.get("of") not in lost]
            if len(kept) == len(had):
                continue
            entry[word] = kept
            if not kept and kind != "component":
                empty.add((kind, key))
    return empty


def _repeat(tables: Tables, suffix: str, entry: object, wanted: Adapting) -> None:
    """Copy entries under keys with a suffix; what speaks of a copied thing speaks of its copy in the copy.

    `first` names those that were there before, `name` their copies.
    """
    where = wanted.places.where("repeat", suffix)
    if not isinstance(entry, Mapping) or set(entry) - set(_REPEAT_FIELDS) or not isinstance(entry.get("name"), str):
        wanted.refuse(
            where, "it needs a name and zones or a list of entries.",
            'Write name = "right group", zones = { group = "group_right" }, of = ["unit.group_off"].',
        )  # fmt: skip
        return
    zones: dict[str, str] = dict(entry.get("zones", {}))
    twice = _names(wanted, ("repeat", suffix, "of"), entry.get("of", []), tables) | _in_zones(tables, zones)
    twice = {name for name in twice if name not in wanted.fixed}
    twice |= _hanging(tables, {key for kind, key in twice if kind in ("unit", "component")}, wanted)
    copies = {name: f"{name[1]}_{suffix}" for name in twice}
    rename = {(kind in _THINGS, key): new for (kind, key), new in copies.items()}
    for (kind, key), new in sorted(copies.items(), key=lambda pair: _place(tables, pair[0])):
        copied = _copied(kind, tables[kind][key], rename, zones)
        tables[kind][new] = _named(copied, kind, entry["name"])
        if entry.get("first"):
            tables[kind][key] = _named(dict(tables[kind][key]), kind, entry["first"])


def _place(tables: Tables, name: tuple[str, str]) -> tuple[str, int]:
    """Return where an entry stands among those of its kind: copies keep that order."""
    return name[0], list(tables[name[0]]).index(name[1])


def _in_zones(tables: Tables, zones: Mapping[str, str]) -> Names:
    """Return components, findings and readings of the zones that are repeated."""
    return {
        (kind, key)
        for kind in ("component", "finding", "reading")
        for key, entry in tables.get(kind, {}).items()
        if entry.get("zone") in zones
    }


def _hanging(tables: Tables, things: set[str], wanted: Adapting) -> Names:
    """Return the treatments and records that are about nothing but repeated things."""
    found: Names = set()
    for key, entry in tables.get("treatment", {}).items():
        if entry.get("fixes") and all(fix.get("of") in things for fix in entry["fixes"]):
            found.add(("treatment", key))
    found |= {("record", key) for key, entry in tables.get("record", {}).items() if entry.get("before") in things}
    return {name for name in found if name not in wanted.fixed}


def _copied(
    kind: str, entry: Mapping[str, Any], rename: Mapping[tuple[bool, str], str], zones: Mapping[str, str]
) -> dict[str, Any]:
    """Return a copy of an entry that speaks of copies."""

    def thing(name: str) -> str:
        return rename.get((True, name), name)

    def test(name: str) -> str:
        return rename.get((False, name), name)

    word = _SPEAK.get(kind, "")
    new = dict(entry)
    told: dict[str, Callable[[Any], Any]] = {
        "zone": lambda zone: zones.get(zone, zone),
        "access": lambda access: [[thing(way) for way in clause] for clause in access],
        "off": lambda names: [thing(name) for name in names],
        "before": thing,
        word: lambda speech: [{**said, "of": thing(said["of"])} for said in speech],
    }
    if kind == "proving":
        several = lambda names: [test(name) for name in names]  # noqa: E731
        told |= {"reading": test, "during": test, "after": several, "follows": several}
    return new | {field: put(new[field]) for field, put in told.items() if field in new}


def _named(entry: dict[str, Any], kind: str, name: str) -> dict[str, Any]:
    """Say which of them an entry is about."""
    word = {"finding": "look", "reading": "ask", "record": "ask"}.get(kind, "name")
    if word in entry:
        entry[word] = _of(name, entry[word])
    if kind == "finding" and entry.get("symptom"):
        entry["symptom"] = _of(name, entry["symptom"])
    return entry


def _of(name: str, words: str) -> str:
    return f"{name[:1].upper()}{name[1:]}: {words[:1].lower()}{words[1:]}"
