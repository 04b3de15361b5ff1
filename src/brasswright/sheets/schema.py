"""From a merged table to a `Sheet`, and from what the model refuses to problems a restorer can act on."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from brasswright.errors import Problem
from brasswright.sheets import model

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pydantic_core import ErrorDetails

    from brasswright.sheets.places import EntryPath, Places

__all__ = ["KINDS", "nearest", "read_tables"]

KINDS: dict[str, type[model.Record]] = {
    "source": model.Source,
    "zone": model.Zone,
    "history": model.History,
    "unit": model.Unit,
    "component": model.Component,
    "finding": model.Finding,
    "reading": model.Reading,
    "treatment": model.Treatment,
    "record": model.Prompt,
    "proving": model.Proving,
    "hold": model.Hold,
}
"""Which record each kind of table becomes."""

_NESTED: dict[str, type[model.Record]] = {
    "causes": model.Cause,
    "shows": model.Cause,
    "consumes": model.Consumable,
    "levels": model.Level,
    "fixes": model.Fix,
    "steps": model.Step,
    "parts": model.Part,
    "supply": model.Part,
}
_REFERENCE = "docs/reference/sheet.md lists every field."


def nearest(word: str, known: Iterable[str]) -> str:
    """Suggest the nearest known names, or list a few: the remedy for an unknown name.

    >>> nearest("stored_wett", ["stored_wet", "frost"])
    "Did you mean 'stored_wet'?"
    """
    names = sorted(known)
    close = get_close_matches(word, names, n=2, cutoff=0.6)
    if close:
        return f"Did you mean {' or '.join(repr(name) for name in close)}?"
    if not names:
        return "Nothing of that kind is described yet; describe it or take the name out."
    listed = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return f"Known: {listed}."


def read_tables(tables: dict[str, Any], places: Places) -> tuple[model.Sheet | None, tuple[Problem, ...]]:
    """Return the sheet, or None with every problem the model finds in it."""
    try:
        return model.Sheet.model_validate(tables), ()
    except ValidationError as refused:
        problems = (_problem(error, places) for error in refused.errors(include_url=False))
        return None, tuple(dict.fromkeys(problems))


def _fields(path: EntryPath) -> list[str]:
    """Return the names a table at `path` may hold."""
    if not path:
        return ["include", *model.Sheet.model_fields]
    record: type[model.Record] = model.Head if path[0] == "sheet" else KINDS.get(str(path[0]), model.Record)
    for part in path[2:]:
        record = _NESTED.get(str(part), record)
    return [known.alias or name for name, known in record.model_fields.items()]


def _problem(error: ErrorDetails, places: Places) -> Problem:
    """Put one refusal of the model into words."""
    path: EntryPath = tuple(error["loc"])
    name = str(path[-1]) if path else "sheet"
    what, remedy = _words(error, name, path)
    return Problem(places.where(*path), what, remedy)


def _words(error: ErrorDetails, name: str, path: EntryPath) -> tuple[str, str]:
    """Say what is wrong and what to do, for the kinds of refusal that a hand-written sheet meets."""
    got = error["input"]
    context = error.get("ctx", {})
    match error["type"]:
        case "missing":
            said = _missing(name, path)
        case "extra_forbidden":
            said = f"'{name}' is not a field known here.", nearest(name, _fields(path[:-1]))
        case "less_than_equal":
            said = f"{got} is above {context['le']:g}.", "A probability lies between 0 and 1; 30 of 100 is 0.30."
        case "greater_than_equal":
            said = f"{got} is below {context['ge']:g}.", "Give the number without a sign."
        case "literal_error":
            said = f"{got!r} is not one of the words allowed here.", f"Allowed: {context['expected']}."
        case "dict_type" | "model_type":
            said = f"a table is wanted here, not {got!r}.", _REFERENCE
        case _:
            message = error["msg"]
            said = f"{message[0].lower()}{message[1:]}; got {got!r}.", _REFERENCE
    return said


def _missing(name: str, path: EntryPath) -> tuple[str, str]:
    """Say what is missing."""
    if name == "source" and len(path) == 1:
        return "no source is described.", 'Add a table [source.bench] with text = "..." and trust = 10.'
    if name == "source":
        return "it names no source.", 'Add source = "bench" (common practice, no source) or a source of your own.'
    return f"'{name}' is missing.", f"Add it; {_REFERENCE}"
