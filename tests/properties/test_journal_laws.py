"""Laws of the journal, for any entries in any order."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from brasswright.journal.chain import Place, Row, seal, verify
from brasswright.journal.codec import KINDS, digest_of, dump, load
from brasswright.journal.draft import Draft
from brasswright.journal.entries import Withdrew
from brasswright.journal.replay import replay, resume, struck_by
from tests.builders import JOB, journal, numbered, sealed
from tests.strategies import FIELDS, bodies, journals, moments, words

if TYPE_CHECKING:
    from datetime import datetime

    from brasswright.journal.entries import Body, Entry, Unknown
    from brasswright.journal.job import Job

OF_THE_JOURNAL = ("struck", "entries", "head", "seq")


def derived(job: Job) -> dict[str, object]:
    """What is derived from a journal, without the journal itself."""
    fields = (field.name for field in dataclasses.fields(job))
    return {name: getattr(job, name) for name in fields if name not in OF_THE_JOURNAL}


def test_every_kind_takes_part() -> None:
    assert set(FIELDS) == set(KINDS.values())


@given(journals(), st.data())
def test_a_prefix_and_then_the_rest_is_the_whole(entries: tuple[Entry, ...], drawn: st.DataObject) -> None:
    first = drawn.draw(st.integers(0, len(entries)))
    second = drawn.draw(st.integers(first, len(entries)))
    aside = drawn.draw(st.frozensets(st.integers(1, 24).map(numbered), max_size=4))
    pieces = resume(resume(replay(entries[:first], set_aside=aside), entries[first:second]), entries[second:])
    assert pieces == replay(entries, set_aside=aside)


@given(st.lists(st.tuples(bodies(), st.integers(1, 6), st.integers(1, 9)), max_size=12), st.data())
def test_even_a_senseless_journal_replays(drawn: list[tuple[Body | Unknown, int, int]], cut: st.DataObject) -> None:
    shuffled = [
        entry.model_copy(update={"id": numbered(number), "seq": seq})
        for (_, number, seq), entry in zip(drawn, journal(*(body for body, _, _ in drawn)), strict=True)
    ]
    place = cut.draw(st.integers(0, len(shuffled)))
    assert resume(replay(shuffled[:place]), shuffled[place:]) == replay(shuffled)


@given(bodies(), moments, moments, words)
def test_the_text_of_an_entry_gives_the_entry_back(
    body: Body | Unknown, at: datetime, recorded_at: datetime, by: str
) -> None:
    draft = Draft(id=numbered(1), at=at, by=by, body=body)
    line = seal(draft, Place(JOB, 1, "", recorded_at))
    again = load(line.text)
    assert again == line.entry
    assert again.at.utcoffset() == at.utcoffset()
    assert dump(again) == line.text
    assert "\n" not in line.text
    assert line.entry.digest == digest_of(line.text)


@given(journals(max_size=12), st.data())
def test_a_struck_entry_leaves_no_trace_and_stays_readable(entries: tuple[Entry, ...], drawn: st.DataObject) -> None:
    alive = [entry for entry in entries if not isinstance(entry.body, Withdrew)]
    renumbered = journal(*(entry.body for entry in alive))
    if not renumbered:
        return
    target = drawn.draw(st.sampled_from(renumbered))
    striking = journal(*(entry.body for entry in renumbered), Withdrew(entry=target.id, reason="wrong machine"))
    job = replay(striking)
    without = replay(entry for entry in renumbered if entry.id != target.id)
    assert derived(job) == derived(without)
    assert target in job.entries
    assert job.struck == {target.id}


@given(journals(max_size=12), st.data())
def test_striking_the_striking_restores(entries: tuple[Entry, ...], drawn: st.DataObject) -> None:
    if not entries:
        return
    bodies_now = [entry.body for entry in entries]
    target = drawn.draw(st.sampled_from(entries))
    first = numbered(len(entries) + 1)
    bodies_now.append(Withdrew(entry=target.id, reason="a slip"))
    bodies_now.append(Withdrew(entry=first, reason="it was right"))
    job = replay(journal(*bodies_now))
    assert derived(job) == derived(replay(entries))
    assert job.struck == struck_by(entries) | {first}


def rows_of(entries: tuple[Entry, ...]) -> list[Row]:
    return [line.row for line in sealed(*(entry.body for entry in entries))]


@given(journals(max_size=6), st.data())
def test_the_chain_holds_and_any_single_change_is_found(entries: tuple[Entry, ...], drawn: st.DataObject) -> None:
    rows = rows_of(entries)
    head = rows[-1].digest if rows else ""
    assert verify(rows, head=head) == ()
    if not rows:
        return
    place = drawn.draw(st.integers(0, len(rows) - 1))
    changed = drawn.draw(st.sampled_from(["text", "digest", "seq", "id", "job", "lost", "doubled"]))
    rows[place : place + 1] = _changed(rows[place], changed, drawn)
    assert verify(rows, head=head)


def _changed(row: Row, what: str, drawn: st.DataObject) -> list[Row]:
    match what:
        case "text" | "digest":
            old = getattr(row, what)
            place = drawn.draw(st.integers(0, len(old) - 1))
            letter = drawn.draw(st.characters(exclude_categories=["Cs"], exclude_characters=old[place]))
            return [dataclasses.replace(row, **{what: old[:place] + letter + old[place + 1 :]})]
        case "seq":
            return [dataclasses.replace(row, seq=row.seq + drawn.draw(st.sampled_from([-1, 1, 5])))]
        case "id":
            return [dataclasses.replace(row, id=str(numbered(99)))]
        case "job":
            return [dataclasses.replace(row, job=str(numbered(99)))]
        case "lost":
            return []
        case _:
            return [row, row]


@given(journals(max_size=6), st.data())
def test_a_text_changed_together_with_its_digest_is_found_but_at_the_end(
    entries: tuple[Entry, ...], drawn: st.DataObject
) -> None:
    rows = rows_of(entries)
    if len(rows) < 2:
        return
    place = drawn.draw(st.integers(0, len(rows) - 2))
    forged = load(rows[place].text).model_copy(update={"by": "somebody else"})
    text = dump(forged)
    rows[place] = dataclasses.replace(rows[place], text=text, digest=digest_of(text))
    problems = verify(rows)
    assert [problem.where.split()[1] for problem in problems] == [str(place + 2)]
