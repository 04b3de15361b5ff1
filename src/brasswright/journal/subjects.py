"""What an entry is about, and so which two entries clash when they were written side by side.

Photographs, remarks and disturbances clash with nothing: they are always taken. Work, proofs and releases lean on
everything that was done before them, so they also clash with any work, disturbance, reading, failed test, corrected
plate or change of sheet they have not seen.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from brasswright.journal.entries import (
    Added,
    Answered,
    Approved,
    Arrived,
    Chose,
    Declined,
    Disturbed,
    Fixed,
    Found,
    Identified,
    Issued,
    Learnt,
    Measured,
    Moved,
    Photographed,
    Priced,
    Proved,
    Released,
    Remarked,
    Replated,
    Resheeted,
    Sent,
    Set,
    Sized,
    Started,
    Stopped,
    Swept,
    Unknown,
    Withdrew,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from uuid import UUID

    from brasswright.journal.entries import Body

__all__ = ["DEEDS", "clashing", "subjects"]

DEEDS = "deeds"
"""All that was done so far: what releases, proofs and the start of work rest on."""

NOTHING: frozenset[str] = frozenset()

NAMED: Mapping[type, tuple[str, str]] = MappingProxyType(
    {
        Answered: ("question", "question"),
        Measured: ("reading", "reading"),
        Identified: ("component", "component"),
        Fixed: ("component", "component"),
        Found: ("component", "component"),
        Moved: ("component", "component"),
        Chose: ("treatment", "treatment"),
        Added: ("operation", "operation"),
        Started: ("operation", "operation"),
        Stopped: ("operation", "operation"),
        Priced: ("price", "item"),
        Released: ("hold", "hold"),
        Proved: ("test", "test"),
        Issued: ("paper", "paper"),
        Set: ("setting", "key"),
        Learnt: ("learning", "sheet"),
        Sized: ("size", "about"),
        Withdrew: ("entry", "entry"),
    }
)
"""Kinds that are about one named thing: what sort of thing, and the field that names it."""

WHOLE: Mapping[type, frozenset[str]] = MappingProxyType(
    {
        Arrived: frozenset({"sheet"}),
        Resheeted: frozenset({"sheet"}),
        Replated: frozenset({"plate"}),
        Approved: frozenset({"approval"}),
        Declined: frozenset({"approval"}),
        Photographed: NOTHING,
        Remarked: NOTHING,
        Disturbed: NOTHING,
        Sent: NOTHING,
        Unknown: NOTHING,
    }
)
"""Kinds that are about the job as a whole, or that are only added to a list."""


def subjects(body: Body | Unknown) -> frozenset[str]:
    """Return what a body is about, such as `question:flex_look`; nothing for what is only added to a list."""
    if isinstance(body, Swept):
        return frozenset(f"question:{question}" for question in body.questions)
    named = NAMED.get(type(body))
    if named is None:
        return WHOLE[type(body)]
    sort, field = named
    return frozenset({f"{sort}:{getattr(body, field)}"})


def clashing(later: Body | Unknown, between: Body | Unknown, earlier: Mapping[UUID, Body | Unknown]) -> frozenset[str]:
    """Return the subjects on which `later`, written without having seen `between`, clashes with it.

    `earlier` holds the entries that either of them may strike or cite, by id: striking an entry touches what that entry
    was about.
    """
    return (_touched(later, earlier) | _leant_on(later)) & (_touched(between, earlier) | _disturbing(between, earlier))


def _touched(body: Body | Unknown, earlier: Mapping[UUID, Body | Unknown]) -> frozenset[str]:
    own = subjects(body)
    target = earlier.get(body.entry) if isinstance(body, Withdrew) else None
    return own if target is None else own | subjects(target)


def _leant_on(body: Body | Unknown) -> frozenset[str]:
    match body:
        case Released():
            return frozenset({DEEDS, "sheet", *(f"entry:{proof}" for proof in body.proofs)})
        case Proved():
            return frozenset({DEEDS, "sheet", f"entry:{body.reading_entry}"})
        case Started():
            return frozenset({DEEDS, "sheet"})
        case _:
            return NOTHING


def _disturbing(body: Body | Unknown, earlier: Mapping[UUID, Body | Unknown]) -> frozenset[str]:
    """Return `DEEDS` for what may undo a release or a proof; a kind that nobody here knows may."""
    match body:
        case Started() | Disturbed() | Measured() | Replated() | Unknown():
            return frozenset({DEEDS})
        case Proved():
            return NOTHING if body.outcome == "passed" else frozenset({DEEDS})
        case Withdrew():
            target = earlier.get(body.entry)
            harmless = target is not None and not isinstance(
                target, Released | Proved | Measured | Started | Disturbed | Replated | Withdrew | Unknown
            )
            return NOTHING if harmless else frozenset({DEEDS})
        case _:
            return NOTHING
