"""A machine whose water stands in an open vessel: what its hold points say, and who may not say so.

Such a sheet has `open_vessel = true`. The core then speaks of a vessel filled to the brim where it speaks elsewhere of
water under pressure. A sheet that speaks of pressure in its boiler is refused, and a pinned one that does so keeps the
hold points of a boiler: no machine under pressure can have the easier tests.
"""

from __future__ import annotations

from typing import Any, Final, TypeAlias

__all__ = ["OPEN", "WORDS", "asks_for_open", "opened", "pressure_said"]

Tables: TypeAlias = dict[str, Any]

OPEN: Final = "fragments/holds-open.toml"
"""The fragment with what hold points and tests say of an open vessel."""
WORDS: Final = {
    "hold": frozenset({"name", "why", "statements", "cautions"}),
    "proving": frozenset(
        {"name", "ask", "limit_words", "instrument", "circuit", "does", "minutes", "wait_minutes", "cautions"}
    ),
}
"""The only fields that may be said anew: never what is guarded, what comes before, what breaks it, nor a figure."""

_ACTS: Final = frozenset({"valve", "glass", "water_test", "nip"})
_ACTING: Final = ("unit", "component", "treatment", "proving")
_BOILER_TESTS: Final = ("air_free_cold_pressure", "leak_down", "safety_valve_bench")
_LIMITS: Final = ("reading", "at_most", "at_least", "quantity")


def asks_for_open(tables: Any) -> bool:  # noqa: ANN401 - whatever a file holds
    """Whether a sheet's own head says that its vessel is open."""
    head = tables.get("sheet") if isinstance(tables, dict) else None
    return isinstance(head, dict) and head.get("open_vessel") is True


def pressure_said(tables: Tables, core: Tables) -> tuple[tuple[str, ...], ...]:
    """Return the places of everything in a sheet that only a vessel under pressure has; empty for an open one.

    A limit in bar, an act on safety valve, gauge, glass or pressurestat or a test under water pressure, and a reading
    or limit given to one of the tests of a boiler. The core's own tests are not looked at.
    """
    found: list[tuple[str, ...]] = []
    if _table(tables, "sheet").get("boiler_limit_bar") is not None:
        found.append(("sheet", "boiler_limit_bar"))
    for kind in _ACTING:
        for key, entry in _table(tables, kind).items():
            if not (kind == "proving" and key in core["proving"]) and _ACTS & _acts(entry):
                found.append((kind, key))
    tests = _table(tables, "proving")
    for key in _BOILER_TESTS:
        found += [("proving", key, word) for word in _LIMITS if word in _table(tests, key)]
    return tuple(found)


def _table(tables: Tables, key: str) -> Tables:
    """Return a table by its key; an empty one where there is none or something else."""
    entry = tables.get(key)
    return entry if isinstance(entry, dict) else {}


def _listed(entry: Any, key: str) -> list[Any]:  # noqa: ANN401 - whatever a file holds
    """Return a list by its key; an empty one where there is none or something else."""
    said = entry.get(key) if isinstance(entry, dict) else None
    return said if isinstance(said, list) else []


def _acts(entry: Any) -> set[str]:  # noqa: ANN401 - whatever a file holds
    """Return the acts of an entry and of its steps; nothing of an entry that is none."""
    return {str(act) for one in (entry, *_listed(entry, "steps")) for act in _listed(one, "does")}


def opened(core: Tables, words: Tables) -> Tables:
    """Return the core's tables as they speak of an open vessel; `words` is the parsed fragment `OPEN`.

    Only fields named in `WORDS` are taken from it, and only for entries that the core has.
    """
    new = dict(core)
    for kind, fields in WORDS.items():
        new[kind] = {
            key: {**entry, **{word: said for word, said in words.get(kind, {}).get(key, {}).items() if word in fields}}
            for key, entry in core[kind].items()
        }
    return new
