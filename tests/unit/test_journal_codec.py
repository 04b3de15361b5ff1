"""The stored text: every kind ever shipped is read, older ones are lifted, unknown ones are kept."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from brasswright.errors import EntryRefused
from brasswright.journal.codec import KINDS, UPCASTERS, dump, load
from brasswright.journal.entries import Answered, Unknown
from tests.builders import answered, sealed

FIXTURES = Path(__file__).parent.parent / "golden" / "entries"
SHIPPED = sorted(path.stem for path in FIXTURES.glob("*.txt"))


def fixture(name: str) -> tuple[str, str]:
    text, digest = (FIXTURES / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    return text, digest


def test_each_kind_written_today_has_a_fixture() -> None:
    assert {kind.replace("/", ".") for kind in KINDS} <= set(SHIPPED)


def test_each_fixture_is_written_today_or_lifted() -> None:
    assert set(SHIPPED) == {kind.replace("/", ".") for kind in (*KINDS, *UPCASTERS)}


@pytest.mark.parametrize("name", SHIPPED)
def test_each_kind_ever_shipped_still_loads(name: str) -> None:
    text, digest = fixture(name)
    assert hashlib.sha256(text.encode()).hexdigest() == digest, "a fixture is frozen: add a new one instead"
    entry = load(text)
    assert not isinstance(entry.body, Unknown)
    assert entry.digest == digest
    if name.replace(".", "/") in KINDS:
        assert dump(entry) == text


def test_what_a_fixture_says_is_what_is_read() -> None:
    body = load(fixture("answered.1")[0]).body
    assert isinstance(body, Answered)
    assert (body.question, body.answer, body.words) == ("flex_look", "cracked", "near the gland")


def replied(body: dict[str, Any]) -> dict[str, Any]:
    """An invented kind that was called `replied` before it was called `answered`."""
    return {"kind": "replied/2", "about": body["about"], "said": body["said"], "manner": "told"}


def answered_from(body: dict[str, Any]) -> dict[str, Any]:
    return {"kind": "answered/1", "question": body["about"], "answer": body["said"], "manner": body["manner"]}


def test_an_old_kind_is_lifted_step_by_step_and_keeps_its_own_digest() -> None:
    (line,) = sealed(answered())
    fields = json.loads(line.text) | {"body": {"kind": "replied/1", "about": "flex_look", "said": "sound"}}
    text = json.dumps(fields)
    entry = load(text, upcasters={"replied/1": replied, "replied/2": answered_from})
    assert entry.body == answered(manner="told")
    assert entry.digest == hashlib.sha256(text.encode()).hexdigest()
    assert isinstance(load(text).body, Unknown)


def test_upcasters_that_run_in_a_circle_end() -> None:
    (line,) = sealed(answered())
    text = line.text.replace("answered/1", "replied/1")
    circle = {
        "replied/1": lambda body: body | {"kind": "replied/2"},
        "replied/2": lambda body: body | {"kind": "replied/1"},
    }
    assert isinstance(load(text, upcasters=circle).body, Unknown)


def test_an_unknown_kind_is_kept_and_passed_through() -> None:
    raw = {"kind": "polished/3", "with": ["chalk", {"grade": 1.5}], "ü": None}
    (line,) = sealed(Unknown(kind="polished/3", raw=raw))
    entry = load(line.text)
    assert entry.body == Unknown(kind="polished/3", raw=raw)
    assert dump(entry) == line.text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no JSON"),
        ('{"id": "7', "no JSON"),
        ("[1, 2]", "no entry"),
        ('{"body": {"kind": 5}}', "no body with a kind"),
        ('{"body": NaN}', "NaN is no number"),
        ("[" * 100_000, "no JSON"),
        ('{"body": {"kind": "remarked/1", "words": "x"}}', "id: Field required"),
    ],
)
def test_a_text_that_is_no_entry_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(EntryRefused, match=words):
        load(text)


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ('"answer":"sound"', '"answer":5', r"body\.answered/1\.answer"),
        ('"answer":"sound"', '"reply":"sound"', r"body\.answered/1\.reply"),
        ('"seq":1', '"seq":0', "seq"),
        ("+00:00", "", "at"),
        ('"by":"Ines"', '"by":"Ines","colour":"red"', "colour"),
    ],
)
def test_a_wrong_field_is_named(old: str, new: str, field: str) -> None:
    (line,) = sealed(answered())
    text = line.text.replace("Z", "+00:00").replace(old, new)
    with pytest.raises(EntryRefused, match=field):
        load(text)
