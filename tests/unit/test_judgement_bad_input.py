"""What a person may enter wrongly: struck histories, impossible likelihoods, unknown names; nothing lost, all named."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from pydantic import ValidationError

from brasswright.errors import EntryRefused
from brasswright.journal.entries import Answered, Fixed, Found, Withdrew
from brasswright.judgement.opinion import judge
from brasswright.judgement.symptom import trace
from tests.builders import answered, arrived, job_of, numbered
from tests.networks import small_sheet
from tests.unit.workshop_bench import made, say, told

if TYPE_CHECKING:
    from pathlib import Path


def test_a_history_that_was_known_and_then_struck_counts_as_unknown() -> None:
    sheet = small_sheet()
    known = answered("stored_wet", "yes")
    struck = Withdrew(entry=numbered(2), reason="that was another machine")
    seen = judge(sheet, job_of(arrived(), known, struck))
    never = judge(sheet, job_of(arrived()))
    assert seen.odds == never.odds
    assert seen.warnings == ()
    assert seen.checks == never.checks
    assert judge(sheet, job_of(arrived(), known)).odds["shell"].p != never.odds["shell"].p


def test_the_later_of_two_answers_to_one_history_counts() -> None:
    sheet = small_sheet()
    twice = judge(sheet, job_of(arrived(), answered("stored_wet", "yes"), answered("stored_wet", "no")))
    assert twice.odds["shell"].p == judge(sheet, job_of(arrived(), answered("stored_wet", "no"))).odds["shell"].p


@pytest.mark.parametrize("weights", [{"no": 0.0, "yes": 0.0}, {}, {"no": -1.0, "yes": 0.5}, {"maybe": 1.0}])
def test_a_likelihood_without_weight_is_refused_at_the_desk(tmp_path: Path, weights: dict[str, float]) -> None:
    bench = made(tmp_path / "ws")
    history = next(iter(told(bench).sheet.history))
    before = told(bench).job.seq
    with pytest.raises(EntryRefused):
        say(bench, "answered", question=history, likelihood=weights)
    assert told(bench).job.seq == before


@pytest.mark.parametrize("weight", [math.nan, math.inf])
def test_a_weight_that_is_no_number_is_no_entry(weight: float) -> None:
    with pytest.raises(ValidationError):
        Answered(question="stored_wet", likelihood={"no": weight, "yes": 1.0})


def test_a_likelihood_of_zeros_in_an_old_journal_is_a_warning_and_moves_nothing() -> None:
    odd = Answered.model_construct(
        kind="answered/1", question="stored_wet", answer=None, likelihood={"no": 0.0, "yes": 0.0}, aside=None, words="",
        manner="seen",
    )  # fmt: skip
    sheet = small_sheet()
    seen = judge(sheet, job_of(arrived(), odd))
    assert seen.odds["shell"].p == judge(sheet, job_of(arrived())).odds["shell"].p
    assert any("stored_wet" in warning or "Put away wet?" in warning for warning in seen.warnings)


def test_two_people_who_found_and_set_different_things_are_both_named() -> None:
    both = judge(
        small_sheet(),
        job_of(
            arrived(),
            Found(component="shell", condition="scaled"),
            Fixed(component="shell", condition="holed", reason="light"),
        ),
    )
    assert both.odds["shell"].likeliest == "holed"
    assert any("found scaled and set to holed" in warning for warning in both.warnings)


def test_contradictory_hard_answers_are_named_and_leave_the_trouble_unexplained() -> None:
    plain = small_sheet().model_dump(by_alias=True)
    plain["finding"]["trail"] |= {"false_alarm": {}, "symptom": "Wet below"}
    sheet = type(small_sheet()).model_validate(plain)
    clash = judge(
        sheet,
        job_of(
            arrived(),
            Fixed(component="seam", condition="tight", reason="soaped"),
            Fixed(component="shell", condition="sound", reason="new"),
            answered("trail", "drip"),
        ),
    )
    assert clash.evidence.softened
    assert any("cannot all be so" in warning for warning in clash.warnings)
    trouble = trace(clash, "Wet below")
    assert trouble.suspects == ()
    assert trouble.unexplained == 1.0
