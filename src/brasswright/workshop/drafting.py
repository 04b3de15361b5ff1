"""From what a person typed to a whole body: fills in what follows from the sheet, the plan, the store or the holds.

Fields come as plain values (a line of JSON, a form, words on the command line). What a person need not know is filled
in here: the SI value of a reading, the questions of a swept zone, the acts of an operation, a test's verdict.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from brasswright.errors import EntryRefused, NotFound
from brasswright.holds.points import standing_before
from brasswright.holds.verdicts import from_plate, judged
from brasswright.journal.codec import KINDS
from brasswright.journal.entries import Body, Measured
from brasswright.journal.job import Job
from brasswright.judgement.way_in import open_now
from brasswright.sheets.model import Sheet
from brasswright.sheets.reach import questions_by_zone, reachable
from brasswright.store.photograph import clean
from brasswright.units import dimension_of, parse, plausible
from brasswright.workshop.replating import complete_plate
from brasswright.workshop.sizing import complete_size
from brasswright.workshop.work import ACTS, all_acts, needs_of, test_begun

__all__ = ["Around", "body_from", "complete", "in_sight"]

BODY: TypeAdapter[Body] = TypeAdapter(Body)
Fields = dict[str, Any]
FIELD_WORDS = {"missing": "is missing", "extra_forbidden": "is not a field of this kind of entry"}


@dataclass(frozen=True, slots=True)
class Around:
    """What a body is completed from: the job so far, its sheet, the workshop's currency, the folder files are beside.

    `operation` returns title, acts and components of an operation of the current plan. `pictures` collects photographs
    by their digest as they are read; whoever stores the entries keeps them first.
    """

    job: Job
    sheet: Sheet
    operation: Callable[[str], Mapping[str, Any]]
    currency: str = ""
    beside: Path = Path()
    pictures: dict[str, bytes] = field(default_factory=dict)


def _measured(fields: Fields, sheet: Sheet) -> Fields:
    reading = sheet.reading.get(str(fields.get("reading", "")))
    if reading is None:
        return {"unit": "", **fields}  # the sheet's own names are held against it afterwards
    quantity = parse(str(fields.get("text", "")), dimension=dimension_of(reading.unit))
    if quantity.value is not None and not fields.get("confirmed", False):
        low, high = (parse(text, dimension=dimension_of(reading.unit)).value for text in reading.plausible)
        if low is not None and high is not None:
            plausible(quantity, low=low, high=high)
    derived = {
        "value": quantity.value,
        "sigma": quantity.sigma,
        "unit": quantity.unit,
        "censored": quantity.censored,
    }
    return {"circuit": "", **fields, **derived}


def _swept(fields: Fields, job: Job, sheet: Sheet) -> Fields:
    if "questions" in fields:
        return fields
    zone = str(fields.get("zone", ""))
    asked = in_sight(zone, job, sheet)
    if not asked and zone in sheet.zone:
        raise EntryRefused(f"Nothing is left to sweep in '{zone}': every question is answered, or is not in reach yet.")
    return {**fields, "questions": list(asked)}


def in_sight(zone: str, job: Job, sheet: Sheet) -> tuple[str, ...]:
    """Return the questions a sweep of a zone answers: not answered singly, of parts that are there, within reach."""
    absent = [key for key, noted in job.presence.items() if noted.body.presence in {"absent", "missing"}]
    open_ = open_now(job, sheet)
    asked = dict(questions_by_zone(sheet, absent=absent)).get(zone, ())
    findings = (key for kind, key in asked if kind == "finding" and key not in job.answers)
    return tuple(key for key in findings if reachable(sheet.finding[key].access, open_))


def _photographed(fields: Fields, around: Around) -> Fields:
    if "file" not in fields:
        return fields
    path = around.beside / str(fields["file"])
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise NotFound(f"The photograph cannot be read: {error.strerror}.", where=str(path)) from None
    cleaned, media_type = clean(raw)
    sha256 = hashlib.sha256(cleaned).hexdigest()
    around.pictures[sha256] = cleaned
    rest = {key: value for key, value in fields.items() if key != "file"}
    return {**rest, "sha256": sha256, "media_type": media_type, "bytes": len(cleaned)}


def _priced(fields: Fields, currency: str) -> Fields:
    if fields.get("currency", currency) != currency:
        raise EntryRefused("This workshop reckons in one currency.", got=fields["currency"], allowed=currency)
    return {**fields, "currency": currency}


def _released(fields: Fields, sheet: Sheet, job: Job) -> Fields:
    hold = sheet.hold.get(str(fields.get("hold", "")))
    if hold is None:
        return fields
    proofs = [str(job.proved[test].id) for test in hold.proofs if test in job.proved]
    statements = fields.get("statements", [])
    if statements == "all":
        statements = list(hold.statements)
    return {"proofs": proofs, **fields, "statements": statements}


def _started(fields: Fields, around: Around) -> Fields:
    operation = str(fields.get("operation", ""))
    known = all_acts(operation, around.job, around.sheet)
    filled = dict(fields) if "title" in fields else {**around.operation(operation), **fields}
    if known is None and "acts" not in filled:
        raise EntryRefused(
            "What this work does to the machine is not said.",
            where=operation,
            allowed=f"acts: {', '.join(ACTS)}; an empty list if none of them",
        )
    given = filled.get("acts", ())
    typed = [act.strip() for act in given.split(",") if act.strip()] if isinstance(given, str) else list(given)
    filled["acts"] = list(dict.fromkeys([*(known or ()), *typed]))
    if filled.pop("anyway", False):
        needs = needs_of(operation, around.sheet)
        standing = standing_before(filled["acts"], needs, around.job, around.sheet)
        filled["done_while"] = [state.key for state in standing]
    return filled


def _proved(fields: Fields, job: Job, sheet: Sheet) -> Fields:
    key = str(fields.get("test", ""))
    test = sheet.proving.get(key)
    if test is None:
        return fields
    filled = {"limit_text": test.limit_words, "standard": test.standard, **fields}
    anyway = filled.pop("anyway", False)
    begun = test_begun(key, job) if test.does else None
    if begun is not None:
        filled["done_while"] = list(begun.started.body.done_while)
    elif anyway:
        filled["done_while"] = [state.key for state in standing_before(test.does, test.needs, job, sheet)]
    if test.reading is not None:
        noted = job.readings.get(test.reading)
        if noted is None:
            raise EntryRefused(f"{test.name} stands on the reading '{test.reading}', which is not entered yet.")
        verdict = judged(test, noted.body, from_plate(test, job, sheet))
        filled |= _from_reading(noted.body) | {"reading_entry": str(noted.id)}
        if verdict is not None:
            filled |= {"outcome": verdict.outcome, "words": filled.get("words") or verdict.words}
        elif "outcome" not in filled:
            raise EntryRefused(
                f"{test.name} has no limit in figures here, so its outcome has to be said.",
                remedy="Enter outcome=passed, failed, investigate or 'not shown', or the plate's volts and watts.",
            )
    return filled


def _from_reading(reading: Measured) -> Fields:
    return {"value_text": reading.text, "instrument": reading.instrument, "circuit": reading.circuit}


def complete(fields: Mapping[str, Any], around: Around) -> Body:
    """Return the whole body for what was typed; `fields` has its kind.

    Raises:
        EntryRefused: a field is missing, unknown or of the wrong kind; each one is named.
        UnitRefused, ImpossibleValue, NeedsConfirmation: a reading that cannot be taken as it stands.
    """
    job, sheet = around.job, around.sheet
    kind = str(fields.get("kind", ""))
    filled: Fields = {**fields, "kind": kind if "/" in kind else f"{kind}/1"}
    match filled["kind"].split("/")[0]:
        case "measured":
            filled = _measured(filled, sheet)
        case "swept":
            filled = _swept(filled, job, sheet)
        case "photographed":
            filled = _photographed(filled, around)
        case "priced":
            filled = _priced(filled, around.currency)
        case "replated":
            filled = complete_plate(filled)
        case "sized":
            filled = complete_size(filled)
        case "released":
            filled = _released(filled, sheet, job)
        case "started":
            filled = _started(filled, around)
        case "proved":
            filled = _proved(filled, job, sheet)
        case _:
            pass
    return body_from(filled)


def body_from(fields: Mapping[str, Any]) -> Body:
    """Return the body these fields spell, or refuse naming each field that is wrong."""
    try:
        return BODY.validate_json(json.dumps(fields))
    except ValidationError as error:
        problems = error.errors()
        if any(each["type"] == "union_tag_invalid" for each in problems):
            said = str(fields.get("kind", "")).removesuffix("/1")
            raise EntryRefused(f"There is no kind of entry '{said}'.", allowed=_kinds_near(said)) from None
        wrong = "; ".join(_field_problem(each["loc"], _in_words(each["type"], each["msg"])) for each in problems)
        raise EntryRefused(f"This is no '{fields.get('kind', '')}' entry: {wrong}.") from None


def _kinds_near(said: str) -> str:
    names = [kind.partition("/")[0] for kind in KINDS]
    near = get_close_matches(said, names, n=3)
    return f"perhaps {', '.join(near)}" if near else ", ".join(names)


def _in_words(wrong: str, otherwise: str) -> str:
    """Return what is wrong with a field as a person says it; what has no words of its own loses its "Input"."""
    if wrong in FIELD_WORDS:
        return FIELD_WORDS[wrong]
    return otherwise.replace("Input should be", "it should be", 1)


def _field_problem(place: tuple[str | int, ...], words: str) -> str:
    name = ".".join(str(part) for part in place[1:]) or "kind"
    return f"{name}: {words}"
