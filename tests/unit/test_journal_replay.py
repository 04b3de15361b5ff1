"""What each kind leaves in the state of a job."""

from __future__ import annotations

from typing import Any

from brasswright.journal.entries import (
    Added,
    Approved,
    Chose,
    Declined,
    Disturbed,
    Fixed,
    Measured,
    Proved,
    Released,
    Remarked,
    Resheeted,
    Started,
    Stopped,
    Swept,
    Unknown,
    Withdrew,
)
from brasswright.journal.job import Job
from brasswright.journal.replay import replay
from tests.builders import NOON, answered, arrived, job_of, journal, numbered, setting


def test_no_entry_gives_an_empty_job() -> None:
    assert replay([]) == Job()


def test_the_arrival_pins_the_sheet_and_a_resheeting_moves_it() -> None:
    job = job_of(arrived(), Resheeted(sheet="other", sheet_sha256="b" * 64, reason="newer"))
    assert job.arrived is not None
    assert job.arrived.body.machine.year == 1962
    assert (job.sheet, job.sheet_sha256) == ("other", "b" * 64)


def test_the_head_is_the_last_entry_struck_or_not() -> None:
    entries = journal(arrived(), answered(), Withdrew(entry=numbered(2), reason="wrong machine"))
    job = replay(entries)
    assert (job.head, job.seq, job.entries) == (entries[-1].digest, 3, entries)
    assert job.answers == {}
    assert job.struck == {numbered(2)}


def test_the_latest_answer_stands_with_who_and_when() -> None:
    job = job_of(answered(answer="sound"), answered(answer="cracked"))
    noted = job.answers["flex_look"]
    assert (noted.body.answer, noted.id, noted.seq, noted.by) == ("cracked", numbered(2), 2, "Ines")
    assert (noted.at - NOON).total_seconds() == 120


def sweep(*questions: str) -> Swept:
    return Swept(zone="outside", questions=questions)


def test_a_later_single_answer_takes_the_place_of_a_sweep() -> None:
    job = job_of(sweep("flex_look", "feet_look"), answered("flex_look", "cracked"))
    assert set(job.sweeps) == {"feet_look"}
    assert job.sweeps["feet_look"].zone == "outside"


def test_a_sweep_does_not_speak_over_an_earlier_answer() -> None:
    assert job_of(answered("flex_look", "cracked"), sweep("flex_look")).sweeps == {}


def test_a_sweep_settles_what_could_not_be_seen_before() -> None:
    job = job_of(answered("flex_look", None, aside="cannot see yet"), sweep("flex_look"))
    assert set(job.sweeps) == {"flex_look"}
    something = job_of(answered("flex_look", None, aside="something else", words="chewed"), sweep("flex_look"))
    assert something.sweeps == {}


def test_striking_the_answer_brings_the_sweep_back() -> None:
    job = job_of(sweep("flex_look"), answered(), Withdrew(entry=numbered(2), reason="other machine"))
    assert set(job.sweeps) == {"flex_look"}


def test_what_is_taken_back_is_gone() -> None:
    job = job_of(
        Fixed(component="sleeve", condition="scored", reason="felt"),
        Fixed(component="sleeve", condition=None, reason="felt wrong"),
        Chose(treatment="reseal", decision="do"),
        Chose(treatment="reseal", decision="open"),
        Added(operation="polish", title="polish", minutes=(1.0, 2.0, 3.0)),
        Added(operation="polish", title="polish", minutes=(1.0, 2.0, 3.0), struck=True),
    )
    assert (job.fixed, job.choices, job.added) == ({}, {}, {})


def start(operation: str = "open:case", **changes: Any) -> Started:
    return Started(operation=operation, title="open the case", **changes)


def test_work_sums_its_minutes_over_pauses() -> None:
    job = job_of(
        start(acts=("cover",)),
        Stopped(operation="open:case", finished=False, minutes=10.0),
        start(),
        Stopped(operation="open:case", finished=True, minutes=5.0),
    )
    work = job.work["open:case"]
    assert (work.minutes, work.finished, work.started.seq) == (15.0, True, 3)
    assert work.stopped is not None
    assert work.stopped.seq == 4


def test_work_begun_again_is_not_finished() -> None:
    job = job_of(start(), Stopped(operation="open:case", finished=True, minutes=5.0), start())
    work = job.work["open:case"]
    assert (work.finished, work.stopped, work.minutes) == (False, None, 5.0)


def test_a_second_stop_corrects_the_first() -> None:
    job = job_of(
        start(),
        Stopped(operation="open:case", finished=False, minutes=50.0),
        Stopped(operation="open:case", finished=True, minutes=5.0),
    )
    assert job.work["open:case"].minutes == 5.0
    assert job.work["open:case"].finished


def test_a_stop_without_a_start_is_no_work() -> None:
    assert job_of(Stopped(operation="open:case", finished=True)).work == {}


def test_deeds_are_starts_and_disturbances_in_order() -> None:
    job = job_of(
        start(acts=("cover",), components=("case",), done_while=("isolated",)),
        Disturbed(acts=("leak",), words="water on the terminals"),
    )
    assert [(deed.acts, deed.components, deed.done_while, deed.seq) for deed in job.deeds] == [
        (("cover",), ("case",), ("isolated",), 1),
        (("leak",), (), (), 2),
    ]


def test_readings_and_proofs_keep_the_latest_and_remarks_keep_all() -> None:
    job = job_of(
        Measured(reading="element_cold", text="48.4 ohm", value=48.4, unit="ohm"),
        Measured(reading="element_cold", text="over range", unit="ohm", censored="over range"),
        Proved(test="leak_down", outcome="failed"),
        Proved(test="leak_down", outcome="passed"),
        Remarked(words="one"),
        Remarked(words="two"),
    )
    assert job.readings["element_cold"].body.censored == "over range"
    assert job.proved["leak_down"].body.outcome == "passed"
    assert [noted.body.words for noted in job.remarks] == ["one", "two"]


def test_agreements_and_refusals_stand_in_one_row() -> None:
    job = job_of(
        Declined(paper_sha256="a" * 64, who="owner", how="in person"),
        Approved(paper_sha256="b" * 64, who="owner", how="in writing"),
    )
    assert [type(noted.body) for noted in job.approvals] == [Declined, Approved]


def test_a_release_that_was_set_aside_does_not_count() -> None:
    entries = journal(Released(hold="isolated"), Released(hold="cold_vented"))
    job = replay(entries, set_aside=frozenset({numbered(1)}))
    assert set(job.released) == {"cold_vented"}
    assert set(replay(entries).released) == {"isolated", "cold_vented"}


def test_an_unknown_kind_is_kept_unread_unless_struck() -> None:
    strange = Unknown(kind="polished/1", raw={"kind": "polished/1"})
    entries = journal(strange, strange, Withdrew(entry=numbered(1), reason="slip"))
    job = replay(entries)
    assert job.unread == (entries[1],)
    assert job.entries == entries


def test_striking_what_is_not_there_or_comes_later_changes_nothing() -> None:
    job = job_of(Withdrew(entry=numbered(2), reason="too early"), setting(), Withdrew(entry=numbered(77), reason="?"))
    assert job.struck == frozenset()
    assert set(job.settings) == {"name"}


def test_a_job_cannot_be_changed_from_outside() -> None:
    job = job_of(answered())
    assert not hasattr(job.answers, "__setitem__")
