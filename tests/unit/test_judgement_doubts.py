"""What fits nothing, rivals, what changes the mind, what not to buy yet: against another library and sums by hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from brasswright.journal.entries import Answered, Fixed
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.doubt import FITS_BADLY, LITTLE, conflict, misfits
from brasswright.judgement.mind import not_yet, rival, turns
from brasswright.judgement.opinion import Judgement, judge
from tests.agrum import PyAgrumEngine
from tests.builders import arrived, job_of
from tests.networks import enumerated, random_sheet, sheet, small_sheet

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet


def judged(of: Sheet, *bodies: Any, **answers: str) -> Judgement:
    """The judgement of a job with these answers."""
    said = [Answered(question=question, answer=answer) for question, answer in answers.items()]
    return judge(of, job_of(arrived(), *said, *bodies))


def by_another_library(seen: Judgement, item: int) -> tuple[float, float]:
    """Chance of one piece of evidence given the rest, and alone, by another library."""
    other = PyAgrumEngine()
    net, rows = seen.network, seen.rows
    name = seen.evidence.items[item].node
    whole = other.log_evidence(net, rows)
    rest = other.log_evidence(net, {node: row for node, row in rows.items() if node != name})
    return math.exp(whole - rest), math.exp(other.log_evidence(net, {name: rows[name]}))


@pytest.mark.parametrize("seed", range(4))
def test_misfits_are_those_that_another_library_finds(seed: int) -> None:
    dice = np.random.default_rng(seed)
    of = random_sheet(seed)
    keys = dice.choice(sorted(of.finding), size=4, replace=False)
    answers = {str(key): of.finding[str(key)].answers[int(dice.integers(0, 2))] for key in keys}
    seen = judged(of, **answers)
    if seen.evidence.softened:
        pytest.skip("this draw cannot happen at all")
    flagged = {misfit.words: misfit for misfit in misfits(seen)}
    for place, item in enumerate(seen.evidence.items):
        given, alone = by_another_library(seen, place)
        fits_badly = given < LITTLE and given < FITS_BADLY * alone
        assert (item.words in flagged) == fits_badly
        if fits_badly:
            assert flagged[item.words].chance == pytest.approx(given, rel=1e-9)
            assert flagged[item.words].alone == pytest.approx(alone, rel=1e-9)


def disagreeing() -> Judgement:
    """Two questions that show one seam almost surely, answered against each other."""
    plain = small_sheet().model_dump(by_alias=True)
    finding = {
        key: {
            "look": f"Wet, {key}",
            "answers": ["dry", "wet"],
            "minutes": 1,
            "false_alarm": {"wet": 0.01},
            "shows": [{"of": "seam", "is": "weeping", "gives": {"wet": 0.99}}],
        }
        for key in ("first", "second", "third")
    }
    of = sheet(history=plain["history"], component=plain["component"], finding=finding)
    return judged(of, first="wet", second="wet", third="dry")


def test_the_odd_one_out_is_named_with_what_it_disagrees_with() -> None:
    seen = disagreeing()
    [misfit] = misfits(seen)
    assert "third" in misfit.words
    assert "1 of" in misfit.said
    assert conflict(seen) > math.log(10) - 2


def test_a_single_answer_fits_and_has_no_conflict() -> None:
    seen = judged(small_sheet(), trail="drip")
    assert misfits(seen) == ()
    assert conflict(seen) == pytest.approx(0.0, abs=1e-9)


def test_agreeing_evidence_has_negative_conflict() -> None:
    assert conflict(judged(small_sheet(), trail="drip", stored_wet="yes")) < 0


def test_what_a_person_found_is_not_questioned() -> None:
    seen = judged(small_sheet(), Fixed(component="seam", condition="tight", reason="soaped it"), trail="drip")
    assert all("tight" not in misfit.words for misfit in misfits(seen))


def test_the_rival_is_the_other_cause_of_what_was_seen() -> None:
    seen = judged(small_sheet(), trail="drip")
    other = rival(seen, "seam")
    assert other is not None
    assert other.component == "shell"
    net = compile_network(seen.sheet)
    sound = {**seen.rows, node_of("component", "seam"): np.array([1.0, 0.0])}
    _, odds = enumerated(net, sound)
    assert other.then == pytest.approx(1.0 - odds[node_of("component", "shell")][0], rel=1e-9)
    assert other.then > other.now


def test_without_evidence_there_is_no_rival() -> None:
    plain = small_sheet(
        component={"lid": {"name": "Lid", "states": ["whole", "bent"], "alone": [0.5, 0.5]}},
        finding={},
        reading={},
        treatment={},
    )
    assert rival(judged(plain), "lid") is None


def test_what_would_change_the_mind_moves_the_odds_as_adding_up_says() -> None:
    seen = judged(small_sheet(), stored_wet="yes")
    [first, *_] = [turn for turn in turns(seen, "shell") if turn.kind == "finding"]
    net, now = compile_network(seen.sheet), np.array(seen.odds["shell"].p)
    node = node_of("finding", first.key)
    moved = 0.0
    base, _ = enumerated(net, seen.rows)
    for place in range(len(net.nodes[node].states)):
        row = np.eye(len(net.nodes[node].states))[place]
        chance, odds = enumerated(net, {**seen.rows, node: row})
        moved += 0.5 * chance / base * float(np.abs(odds[node_of("component", "shell")] - now).sum())
    assert first.moved == pytest.approx(moved, rel=1e-9)
    assert first.moved <= 1.0
    assert sum(chance for _, chance, _ in first.answers) == pytest.approx(1.0)


def test_turns_fall_and_end() -> None:
    moved = [turn.moved for turn in turns(judged(small_sheet()), "shell", most=9)]
    assert moved == sorted(moved, reverse=True)


def test_what_may_turn_out_needless_is_not_bought_yet_and_what_is_sure_is() -> None:
    seen = judged(small_sheet(), trail="trail", scale="crust")
    waits = {one.component: one for one in not_yet(seen)}
    for one in waits.values():
        assert one.check.key not in {"trail", "scale"}
        assert 0.0 < one.chance <= 1.0
        assert "Not yet" in one.said
    sure = judged(small_sheet(), Fixed(component="shell", condition="holed", reason="light comes through"))
    assert "shell" not in {one.component for one in not_yet(sure)}


def test_nothing_left_to_look_at_means_nothing_to_wait_for() -> None:
    plain = small_sheet(
        finding={},
        reading={},
        history={},
        component={"lid": {"name": "Lid", "states": ["whole", "bent"], "alone": [0.5, 0.5]}},
        treatment={},
    )
    assert not_yet(judged(plain)) == ()
