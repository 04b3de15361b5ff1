"""Appending: numbers without gaps, sent twice is stored once, clashes by subject, all or nothing."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING
from uuid import UUID

import pytest

from brasswright.errors import Clash, EntryRefused, NotFound
from brasswright.journal.chain import verify
from brasswright.journal.entries import Disturbed, Proved, Released, Remarked, Resheeted, Unknown, Withdrew
from brasswright.store import WORKSHOP_JOURNAL, Draft
from brasswright.store.engine import reading
from brasswright.store.rows import rows_of
from tests.builders import JOB, NOON, OTHER_JOB, answered, arrived, draft, numbered, photographed, picture, setting

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brasswright.journal.entries import Body
    from brasswright.store import Store


def test_entries_get_numbers_a_chain_and_the_time_of_recording(busy: Store) -> None:
    entries = busy.read(JOB)
    assert [entry.seq for entry in entries] == [1, 2]
    assert entries[1].prev == entries[0].digest
    assert {entry.recorded_at for entry in entries} == {NOON + timedelta(days=1)}
    with reading(busy.engine) as connection:
        assert verify(rows_of(connection, JOB), head=entries[1].digest) == ()


def test_the_list_of_jobs_follows_the_journals(busy: Store) -> None:
    (row,) = busy.jobs()
    entries = busy.read(JOB)
    assert (row.uuid, row.number, row.seq, row.head) == (JOB, 1, 2, entries[-1].digest)
    assert row.title == "home spring-lever machine"
    assert busy.next_number() == 2
    assert busy.job(JOB).answers["flex_look"].body.answer == "sound"


def test_what_is_returned_is_what_is_read(busy: Store) -> None:
    returned = busy.append(JOB, [draft(Remarked(words="smells of oil"), 3), draft(answered("feet_look"), 4)])
    assert returned == busy.read(JOB)[2:]


def test_the_same_entry_sent_again_is_stored_once(busy: Store) -> None:
    first = busy.append(JOB, [draft(answered("feet_look"), 3)])
    again = busy.append(JOB, [draft(answered("feet_look"), 3), draft(Remarked(words="new"), 4)], expect_seq=2)
    assert again[0] == first[0]
    assert [entry.seq for entry in busy.read(JOB)] == [1, 2, 3, 4]
    twice = draft(Remarked(words="twice in a batch"), 5)
    assert len({entry.seq for entry in busy.append(JOB, [twice, twice])}) == 1


def test_no_drafts_change_nothing(busy: Store) -> None:
    assert busy.append(JOB, []) == ()
    assert len(busy.read(JOB)) == 2


def test_others_in_between_are_no_trouble_on_another_subject(busy: Store) -> None:
    busy.append(JOB, [draft(answered("feet_look"), 3)], expect_seq=2)
    (entry,) = busy.append(JOB, [draft(answered("case_look"), 4)], expect_seq=2)
    assert entry.seq == 4


def test_others_in_between_on_the_same_subject_clash(busy: Store) -> None:
    busy.append(JOB, [draft(answered("feet_look", "gone"), 3, by="Olof")], expect_seq=2)
    both = [draft(Remarked(words="kept back"), 4), draft(answered("feet_look"), 5)]
    with pytest.raises(Clash, match=r"entry 3 .*Olof entered something.*question:feet_look"):
        busy.append(JOB, both, expect_seq=2)
    assert len(busy.read(JOB)) == 3
    busy.append(JOB, both)
    assert len(busy.read(JOB)) == 5


def test_a_release_clashes_with_a_disturbance_it_has_not_seen(busy: Store) -> None:
    busy.append(JOB, [draft(Disturbed(acts=("leak",), words="water on the terminals"), 3)], expect_seq=2)
    with pytest.raises(Clash, match="deeds"):
        busy.append(JOB, [draft(Released(hold="dead_electrics"), 4)], expect_seq=2)


def test_an_answer_clashes_with_the_striking_of_the_answer_before(busy: Store) -> None:
    busy.append(JOB, [draft(Withdrew(entry=numbered(2), reason="wrong machine"), 3)], expect_seq=2)
    with pytest.raises(Clash, match="question:flex_look"):
        busy.append(JOB, [draft(answered(answer="cracked"), 4)], expect_seq=2)


def refuse(store: Store, drafts: Sequence[Draft], words: str, **options: int) -> None:
    before = store.read(JOB)
    with pytest.raises(EntryRefused, match=words):
        store.append(JOB, drafts, **options)
    assert store.read(JOB) == before


def test_the_future_is_refused_and_a_clock_a_little_ahead_is_not(busy: Store) -> None:
    now = NOON + timedelta(days=1)
    busy.append(JOB, [draft(Remarked(words="a fast tablet"), 3, at=now + timedelta(minutes=1))])
    late = draft(Remarked(words="tomorrow"), 4, at=now + timedelta(minutes=3))
    refuse(busy, [draft(Remarked(words="fine"), 5), late], r"entry 2 of 2 .*dated in the future")


def test_an_entry_for_another_job_is_refused(busy: Store) -> None:
    other = Draft(id=numbered(3), at=NOON, by="Ines", body=Remarked(words="x"), job=OTHER_JOB)
    refuse(busy, [other], "for another job")
    busy.append(JOB, [other.model_copy(update={"job": JOB})])


def test_an_id_used_for_something_else_is_refused(busy: Store) -> None:
    refuse(busy, [draft(answered(answer="cracked"), 2)], "already used by another entry")
    refuse(busy, [draft(answered(), 2, by="Olof")], "already used")
    refuse(busy, [draft(Remarked(words="a"), 3), draft(Remarked(words="b"), 3)], "have one id")
    with pytest.raises(EntryRefused, match="already used"):
        busy.append(OTHER_JOB, [draft(arrived(number=1), 1)])


def test_a_last_seen_number_beyond_the_end_is_refused(busy: Store) -> None:
    refuse(busy, [draft(Remarked(words="x"), 3)], "ends at entry 2", expect_seq=7)
    refuse(busy, [draft(Remarked(words="x"), 3)], "ends at entry 2", expect_seq=-1)


@pytest.mark.parametrize(
    "body",
    [
        Withdrew(entry=numbered(50), reason="not there"),
        Released(hold="isolated", proofs=(numbered(1), numbered(50))),
        Proved(test="earth", outcome="passed", reading_entry=numbered(50)),
    ],
)
def test_an_entry_that_cites_what_is_not_there_is_refused(busy: Store, body: Body) -> None:
    refuse(busy, [draft(body, 3)], "does not have")


def test_an_entry_may_cite_one_before_it_in_the_same_batch_but_not_after(busy: Store) -> None:
    striking = draft(Withdrew(entry=numbered(3), reason="slip"), 4)
    refuse(busy, [striking, draft(Remarked(words="x"), 3)], "does not have")
    busy.append(JOB, [draft(Remarked(words="x"), 3), striking])


def test_an_entry_of_another_job_cannot_be_cited(busy: Store) -> None:
    busy.append(OTHER_JOB, [draft(arrived(number=2), 10)])
    refuse(busy, [draft(Withdrew(entry=numbered(10), reason="?"), 3)], "does not have")


def test_a_photograph_or_sheet_that_is_not_kept_is_refused(busy: Store) -> None:
    refuse(busy, [draft(photographed("a" * 64), 3)], "photograph it names is not kept")
    refuse(busy, [draft(Resheeted(sheet="other", sheet_sha256="b" * 64, reason="new"), 3)], "sheet it names")
    kept = busy.put_photograph(picture())
    busy.append(JOB, [draft(photographed(kept.sha256), 3)])


def test_a_job_begins_with_the_arrival(store: Store) -> None:
    with pytest.raises(NotFound, match="no such job"):
        store.append(JOB, [draft(answered(), 1), draft(arrived(), 2)])
    with pytest.raises(NotFound, match="no such job"):
        store.read(JOB)
    assert store.jobs() == ()


def test_a_number_belongs_to_one_job(busy: Store) -> None:
    with pytest.raises(EntryRefused, match="Number 1 belongs"):
        busy.append(OTHER_JOB, [draft(arrived(number=1), 10)])
    busy.append(OTHER_JOB, [draft(arrived(number=2), 10)])
    busy.append(JOB, [draft(arrived(number=1, wish="coffee on Sundays"), 11)])
    assert [row.number for row in busy.jobs()] == [1, 2]


def test_the_workshop_has_a_journal_of_its_own(store: Store) -> None:
    assert store.read(store.journal_of_workshop) == ()
    store.append(store.journal_of_workshop, [draft(setting(), 1)])
    assert store.job(WORKSHOP_JOURNAL).settings["name"].body.value == "Tern Quay Bench"
    assert store.jobs() == ()
    with pytest.raises(EntryRefused, match="takes no machine"):
        store.append(store.journal_of_workshop, [draft(arrived(), 2)])


def test_every_workshop_has_it_under_the_same_id() -> None:
    assert UUID("b2a55000-0000-4000-8000-000000000000") == WORKSHOP_JOURNAL


def test_a_kind_from_a_newer_version_passes_through(busy: Store) -> None:
    strange = Unknown(kind="polished/1", raw={"kind": "polished/1", "with": ["chalk"]})
    (entry,) = busy.append(JOB, [draft(strange, 3)])
    assert busy.read(JOB)[2] == entry
    assert busy.job(JOB).unread == (entry,)
