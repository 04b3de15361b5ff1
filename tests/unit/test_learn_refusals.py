"""What must not be learned, and what does not fit: nothing better is nothing adopted, nothing odd is lost silently."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import UUID

import pytest

from brasswright.journal.entries import Found, Identified, Learnt
from brasswright.journal.job import Noted
from brasswright.judgement.learn import learn
from brasswright.judgement.opinion import judge
from brasswright.judgement.truth import finished_job
from brasswright.sheets.load import load_sheet
from tests.builders import NOON, answered, arrived, job_of
from tests.networks import sheet as made_up
from tests.simulated_shop import Shop, shifted

if TYPE_CHECKING:
    from brasswright.journal.entries import Body
    from brasswright.judgement.truth import Finished
    from brasswright.sheets.model import Sheet

SLICE = load_sheet(Path(__file__).parent.parent / "golden" / "sheets" / "slice.toml").sheet
KEY = SLICE.sheet.key


def finished(number: int, sheet: Sheet, *bodies: Body) -> Finished:
    job = finished_job(number, job_of(arrived(sheet=sheet.sheet.key), *bodies), sheet)
    assert job is not None
    return job


@pytest.mark.parametrize("seed", range(4))
def test_a_sheet_that_describes_its_machines_well_is_left_alone(seed: int) -> None:
    """Rows learned from sixty such jobs differ by chance only; in these shops none looks better by luck either."""
    lesson = learn(SLICE, Shop(SLICE, SLICE, seed).jobs(60))
    assert lesson.learned
    assert lesson.rows == ()
    assert lesson.whole is not None
    assert not lesson.whole.adopted
    assert not any(gain.adopted for gain in lesson.groups)


def test_a_few_jobs_are_too_few_however_well_they_agree() -> None:
    assert learn(SLICE, Shop(SLICE, shifted(SLICE, 2.0, 1), 2).jobs(4)).rows == ()


def test_numbering_jobs_otherwise_changes_nothing() -> None:
    jobs = Shop(SLICE, shifted(SLICE, 0.8, 3), 4).jobs(15)
    turned = [replace(job, number=100 - job.number) for job in jobs]
    rows = {row.place: row for row in learn(SLICE, turned).learned}
    for row in learn(SLICE, jobs).learned:
        assert rows[row.place].learnt == pytest.approx(row.learnt, abs=2e-6)


def test_a_job_of_another_kind_is_named_and_teaches_nothing() -> None:
    other = made_up(component={"cap": {"name": "Cap", "states": ["good", "worn"], "alone": [0.5, 0.5]}})
    lesson = learn(SLICE, [finished(8, other, Found(component="cap", condition="worn"))])
    assert lesson.left_out == ((8, "It is of another kind, 'trial'."),)
    assert (lesson.jobs, lesson.learned, lesson.whole) == ((), (), None)


def test_what_a_newer_sheet_no_longer_knows_is_listed() -> None:
    """A component and a question that left the sheet: both are named, the rest of the job still teaches."""
    part, question = next(iter(SLICE.component)), next(iter(SLICE.finding))
    worst = SLICE.component[part].states[-1]
    job = finished(
        9, SLICE,
        answered("whistle_of_old", "yes"),
        answered(question, "never heard of"),
        Found(component="drip_rail", condition="bent"),
        Found(component=part, condition=worst),
        Found(component=list(SLICE.component)[1], condition="never heard of"),
    )  # fmt: skip
    lesson = learn(SLICE, [job])
    assert lesson.jobs == (9,)
    said = " ".join(words for number, words in lesson.unfit if number == 9)
    for name in ("whistle_of_old", "never heard of", "drip_rail"):
        assert name in said
    assert any(row.place == f"component.{part}.alone" for row in lesson.learned)


def test_a_job_in_which_nothing_known_was_found_says_so() -> None:
    job = finished(10, SLICE, Found(component="drip_rail", condition="bent"))
    assert learn(SLICE, [job]).left_out == ((10, "Nothing that was found in it is in this sheet with numbers."),)


def strict() -> Sheet:
    """A sheet by which a tight cap never drips and nothing is ever cracked."""
    part = {"name": "Cap", "states": ["tight", "loose", "cracked"], "alone": [0.6, 0.4, 0.0]}
    shows = [{"of": "cap", "is": "loose", "gives": {"drip": 0.7}}]
    return made_up(
        component={"cap": part},
        finding={"drip": {"look": "Drip", "answers": ["none", "drip"], "minutes": 1, "shows": shows}},
    )


@pytest.mark.parametrize("found", ["tight", "cracked"])
def test_contradictory_hard_answers_are_named_and_no_error(found: str) -> None:
    """A drip from a cap found tight, and a condition that the sheet holds to be impossible."""
    told = [finished(n, strict(), answered("drip", "drip"), Found(component="cap", condition=found)) for n in range(6)]
    lesson = learn(strict(), told)
    assert lesson.jobs == tuple(range(6))
    assert {number for number, words in lesson.unfit if "cannot all be so" in words} == set(range(6))
    for row in lesson.learned:
        assert sum(row.learnt.values()) == pytest.approx(1.0)
        assert all(chance == 0.0 or row.had[state] > 0.0 for state, chance in row.learnt.items())


def test_a_part_that_is_not_there_or_set_by_hand_before_is_not_held_against_the_odds() -> None:
    part, other = list(SLICE.component)[:2]
    job = finished(
        11, SLICE,
        Identified(component=other, presence="absent"),
        Found(component=part, condition=SLICE.component[part].states[-1]),
    )  # fmt: skip
    places = {row.place for row in learn(SLICE, [job]).learned}
    assert f"component.{part}.alone" in places
    assert not any(place.startswith(f"component.{other}.") for place in places)


def test_learning_for_another_version_of_the_sheet_is_named_in_the_judgement_and_left_alone() -> None:
    lesson = learn(SLICE, Shop(SLICE, shifted(SLICE, 1.5, 1), 2).jobs(40))
    noted = Noted(lesson.entry("ab" * 32), UUID(int=5), 5, NOON, "ic")
    job = job_of(arrived(sheet=KEY))
    newer = shifted(SLICE, 0.3, 9)
    plain, laid = judge(newer, job, with_checks=False), judge(newer, job, with_checks=False, learnt=noted)
    assert laid.learning is not None
    assert laid.learning.rows == len(lesson.rows) - len(laid.learning.unfit)
    assert laid.learning.unfit
    assert any("left alone" in words and laid.learning.unfit[0] in words for words in laid.warnings)
    if laid.learning.rows == 0:
        assert {key: odds.p for key, odds in laid.odds.items()} == {key: odds.p for key, odds in plain.odds.items()}
    back = Noted(Learnt(sheet=KEY, sheet_sha256="ab" * 32), UUID(int=6), 6, NOON, "ic")
    assert judge(SLICE, job, with_checks=False, learnt=back).learning is None
    same = judge(SLICE, job, with_checks=False, learnt=noted)
    assert same.learning is not None
    assert same.learning.unfit == ()
