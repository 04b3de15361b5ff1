"""Sealing and verifying: the digest is plain SHA-256 over the stored bytes, and a fault is named by its entry."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import datetime, timedelta, timezone

from brasswright.journal.chain import Place, seal, verify
from brasswright.journal.codec import load
from tests.builders import JOB, NOON, answered, arrived, draft, numbered, sealed, setting


def test_the_digest_can_be_made_without_this_program() -> None:
    first, second = sealed(arrived(), answered())
    assert first.entry.digest == hashlib.sha256(first.text.encode("utf-8")).hexdigest()
    assert json.loads(second.text)["prev"] == first.entry.digest
    assert json.loads(first.text)["prev"] == ""


def test_the_text_is_one_line_with_sorted_keys() -> None:
    (line,) = sealed(setting("name", "a\nb\u2028ü"))
    assert line.text.count("\n") == 0
    assert "ü" in line.text
    assert list(json.loads(line.text)) == sorted(json.loads(line.text))


def test_an_offset_that_text_cannot_carry_becomes_utc() -> None:
    odd = timezone(timedelta(hours=1, seconds=30))
    at = datetime(2026, 1, 1, 12, tzinfo=odd)
    line = seal(draft(answered(), at=at), Place(JOB, 1, "", NOON))
    assert line.entry.at == at
    assert load(line.text).at == at


def test_a_good_chain_has_no_problems_and_an_empty_one_neither() -> None:
    rows = [line.row for line in sealed(arrived(), answered(), setting())]
    assert verify(rows) == ()
    assert verify([], head="") == ()


def test_a_changed_text_is_named_by_number_and_id() -> None:
    rows = [line.row for line in sealed(arrived(), answered(), setting())]
    rows[1] = replace(rows[1], text=rows[1].text.replace("sound", "wound"))
    (problem,) = verify(rows)
    assert problem.where == f"entry 2 ({numbered(2)})"
    assert "changed" in problem.what
    assert "backup" in problem.remedy


def test_a_cut_end_is_found_by_the_head() -> None:
    rows = [line.row for line in sealed(arrived(), answered(), setting())]
    assert verify(rows[:2]) == ()
    (problem,) = verify(rows[:2], head=rows[2].digest)
    assert problem.where == "after entry 2"
    (problem,) = verify([], head=rows[2].digest)
    assert problem.where == "after entry 0"


def test_an_unreadable_text_is_a_problem_and_no_crash() -> None:
    (row,) = [line.row for line in sealed(arrived())]
    problems = verify([replace(row, text="{")])
    assert len(problems) == 2
    assert "cannot be read" in problems[1].what
