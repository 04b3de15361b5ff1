"""Hypothesis strategies shared by the property tests: bodies of every kind, and whole journals of them.

Keys and ids come from small pools, so that entries meet: the same question twice, a struck entry, a struck striking.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

from hypothesis import strategies as st

from brasswright.journal import entries as kinds
from brasswright.journal.learnt import Strength
from tests.builders import journal, numbered

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.journal.entries import Body, Entry

__all__ = ["bodies", "journals", "moments", "unknown_bodies", "words"]

LENGTH = 24

words = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
maybe_words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
key = st.sampled_from(["flex", "sleeve", "piston", "valve"])
keys = st.lists(key, max_size=3).map(tuple)
some_words = st.lists(words, max_size=3).map(tuple)
sha = st.sampled_from(["a" * 64, "b" * 64])
entry_id = st.integers(1, LENGTH).map(numbered)
number = st.floats(allow_nan=False, allow_infinity=False)
not_negative = st.floats(0, 1e9)
money = st.integers(0, 10**9)
figures = st.dictionaries(words, st.one_of(st.integers(), number, words), max_size=3)
how = st.sampled_from(["in person", "by telephone", "in writing"])
moments = st.datetimes(
    datetime(1960, 1, 1),  # noqa: DTZ001 - the strategy adds the zone
    datetime(2026, 3, 2),  # noqa: DTZ001
    timezones=st.one_of(st.just(UTC), st.integers(-720, 840).map(lambda minutes: timezone(timedelta(minutes=minutes)))),
)
machine = st.builds(
    kinds.Machine,
    description=words,
    year=st.none() | st.integers(1850, 2100),
    serial=maybe_words,
    rated_voltage_v=st.none() | st.floats(1, 500),
    rated_power_w=st.none() | st.floats(1, 20000),
    marks=maybe_words,
)
chances = st.dictionaries(words, st.floats(0, 1), min_size=1, max_size=3)
strength = st.builds(Strength, place=words, had=chances, learnt=chances, jobs=not_negative, trust=st.floats(0.5, 100))
FIELDS: Mapping[type[Any], Mapping[str, st.SearchStrategy[Any]]] = {
    kinds.Arrived: {
        "number": st.integers(1, 999),
        "machine": machine,
        "owner": maybe_words,
        "sheet": key,
        "sheet_sha256": sha,
        "use": st.sampled_from(["kitchen", "cafe", "display", "not said"]),
        "promised": st.none() | st.dates(date(2020, 1, 1)),
    },
    kinds.Answered: {
        "question": key,
        "answer": st.none() | words,
        "likelihood": st.none() | st.dictionaries(words, st.floats(0, 1), min_size=1, max_size=3),
        "aside": st.none() | st.sampled_from(["not sure", "cannot see yet", "something else"]),
        "manner": st.sampled_from(["seen", "felt", "heard", "smelt", "told", "read"]),
        "words": maybe_words,
    },
    kinds.Swept: {"zone": key, "questions": st.lists(key, min_size=1, max_size=3).map(tuple)},
    kinds.Measured: {
        "reading": key,
        "text": words,
        "value": st.none() | number,
        "sigma": st.none() | not_negative,
        "unit": words,
        "censored": st.sampled_from([None, "over range", "below resolution"]),
        "instrument": maybe_words,
        "test_voltage_v": st.none() | st.floats(1, 2500),
        "confirmed": st.booleans(),
    },
    kinds.Photographed: {
        "sha256": sha,
        "media_type": st.sampled_from(["image/jpeg", "image/png"]),
        "bytes": st.integers(1, 10**7),
        "title": words,
        "subject": maybe_words,
        "drawing": st.booleans(),
    },
    kinds.Remarked: {"words": words, "subject": maybe_words},
    kinds.Identified: {
        "component": key,
        "presence": st.sampled_from(["fitted", "absent", "missing", "foreign", "extra"]),
    },
    kinds.Fixed: {"component": key, "condition": st.none() | words, "reason": words},
    kinds.Found: {"component": key, "condition": words},
    kinds.Chose: {"treatment": key, "decision": st.sampled_from(["do", "leave", "open"])},
    kinds.Added: {
        "operation": key,
        "title": words,
        "minutes": st.tuples(not_negative, not_negative, not_negative),
        "does": some_words,
        "after": keys,
        "parts_minor": money,
        "struck": st.booleans(),
    },
    kinds.Priced: {
        "item": key,
        "low_minor": money,
        "likely_minor": money,
        "high_minor": money,
        "currency": st.sampled_from(["EUR", "SEK"]),
    },
    kinds.Sized: {
        "component": key,
        "dimension": key,
        "text": words,
        "value": st.none() | number,
        "sigma": st.none() | not_negative,
        "how": st.sampled_from(["measured", "fitted and held", "fitted and leaked", "read off a paper"]),
        "confirmed": st.booleans(),
    },
    kinds.Replated: {
        "rated_voltage_v": st.none() | st.floats(1, 500),
        "rated_power_w": st.none() | st.floats(1, 20000),
        "words": words,
        "confirmed": st.booleans(),
    },
    kinds.Released: {"hold": key, "statements": some_words, "proofs": st.lists(entry_id, max_size=3).map(tuple)},
    kinds.Disturbed: {"acts": st.lists(words, min_size=1, max_size=3).map(tuple), "words": words},
    kinds.Started: {"operation": key, "title": words, "acts": some_words, "components": keys, "done_while": keys},
    kinds.Stopped: {"operation": key, "finished": st.booleans(), "minutes": st.none() | not_negative},
    kinds.Moved: {"component": key, "to": words, "count": st.integers(0, 40)},
    kinds.Proved: {
        "test": key,
        "outcome": st.sampled_from(["passed", "failed", "not shown", "investigate"]),
        "value_text": maybe_words,
        "reading_entry": st.none() | entry_id,
        "done_while": keys,
    },
    kinds.Issued: {
        "paper": key,
        "sha256": sha,
        "head": sha,
        "seed": st.integers(),
        "version": words,
        "figures": figures,
        "settings": figures,
    },
    kinds.Approved: {"paper_sha256": sha, "who": words, "how": how, "option": maybe_words},
    kinds.Declined: {"paper_sha256": sha, "who": words, "how": how},
    kinds.Resheeted: {"sheet": key, "sheet_sha256": sha, "reason": words},
    kinds.Sent: {"what": words, "channel": maybe_words, "to": maybe_words},
    kinds.Set: {"key": key, "value": st.one_of(st.none(), st.booleans(), st.integers(), number, words)},
    kinds.Learnt: {
        "sheet": key,
        "sheet_sha256": sha,
        "jobs": st.lists(st.integers(1, 999), max_size=3).map(tuple),
        "rows": st.lists(strength, max_size=2).map(tuple),
        "had_score": st.none() | number,
    },
    kinds.Withdrew: {"entry": entry_id, "reason": words},
}
"""What each kind's fields may hold; a test sees to it that no kind is missing."""

plain = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), number, maybe_words),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=5,
)
unknown_bodies: st.SearchStrategy[kinds.Unknown] = st.builds(
    lambda kind, fields: kinds.Unknown(kind=kind, raw={**fields, "kind": kind}),
    st.sampled_from(["polished/1", "answered/9"]),
    st.dictionaries(words, plain, max_size=3),
)


def bodies(*, unknown: bool = True) -> st.SearchStrategy[Body | kinds.Unknown]:
    """Bodies of every kind, equally often; with `unknown` also kinds from a newer version."""
    known = [st.builds(kind, **fields) for kind, fields in FIELDS.items()]
    striking = st.builds(kinds.Withdrew, **FIELDS[kinds.Withdrew])
    return st.one_of(*known, striking, *([unknown_bodies] if unknown else []))


def journals(*, max_size: int = LENGTH) -> st.SearchStrategy[tuple[Entry, ...]]:
    """Sealed journals of one job, of no entry and more."""
    return st.lists(bodies(), max_size=max_size).map(lambda drawn: journal(*drawn))
