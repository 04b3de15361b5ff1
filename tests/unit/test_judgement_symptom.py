"""One trouble: shares of blame by hand, the order of looking, what waits, what is no trouble."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from brasswright.errors import NotFound
from brasswright.journal.entries import Answered
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import Judgement, judge
from brasswright.judgement.symptom import symptoms, trace
from brasswright.sheets.model import Sheet
from tests.builders import arrived, job_of
from tests.networks import enumerated, small_sheet
from tests.trade.jobs import COLD
from tests.trade.jobs import judged as home_judged
from tests.trade.jobs import sheet as home_sheet


def wet() -> Sheet:
    """The small sheet, its trail named as a trouble, its scale and a joint behind a case."""
    told: dict[str, Any] = small_sheet().model_dump(by_alias=True)
    told["finding"]["trail"]["symptom"] = "Wet below"
    told["finding"]["joint"] = {
        "zone": "bench_top",
        "look": "Soap on the seam",
        "answers": ["tight", "bubbles"],
        "minutes": 3,
        "access": [["case"]],
        "shows": [{"of": "seam", "is": "weeping", "gives": {"bubbles": 0.9}}],
        "source": "bench",
    }
    case = {"name": "Case", "open_minutes": [5, 10, 20], "close_minutes": [5, 8, 15], "source": "bench"}
    return Sheet.model_validate(told | {"unit": {"case": case}})


def judged(sheet: Sheet, **answers: str) -> Judgement:
    """The judgement of a job with these answers."""
    return judge(sheet, job_of(arrived(), *(Answered(question=key, answer=said) for key, said in answers.items())))


def test_shares_follow_odds_and_strengths_by_hand() -> None:
    seen = judged(wet(), trail="drip")
    trouble = trace(seen, "Wet below")
    _, odds = enumerated(compile_network(seen.sheet), seen.rows)
    seam = odds[node_of("component", "seam")][1] * -math.log1p(-0.9)
    shell = odds[node_of("component", "shell")][2] * -math.log1p(-0.9)
    chance = -math.log1p(-0.05)
    shares = {suspect.component: suspect.share for suspect in trouble.suspects}
    assert shares["seam"] == pytest.approx(seam / (seam + shell + chance), rel=1e-9)
    assert shares["shell"] == pytest.approx(shell / (seam + shell + chance), rel=1e-9)
    assert trouble.unexplained == pytest.approx(chance / (seam + shell + chance), rel=1e-9)
    assert not trouble.supposed


def test_a_trouble_nobody_saw_is_supposed() -> None:
    seen = judged(wet())
    trouble = trace(seen, "wet below")
    assert trouble.supposed
    _, odds = enumerated(compile_network(seen.sheet), {node_of("finding", "trail"): np.array([0.0, 1.0, 1.0])})
    seam = odds[node_of("component", "seam")][1] * -math.log1p(-0.9)
    shell = odds[node_of("component", "shell")][2] * -math.log1p(-0.9)
    share = {suspect.component: suspect.share for suspect in trouble.suspects}["seam"]
    assert share == pytest.approx(seam / (seam + shell - math.log1p(-0.05)), rel=1e-9)


def test_looks_are_in_the_best_order_with_the_case_opened_before_the_joint() -> None:
    trouble = trace(judged(wet(), trail="drip"), "trail")
    keys = [step.key for step in trouble.steps]
    assert keys.index("case") == keys.index("joint") - 1
    assert trouble.exact
    left, minutes = 1.0, 0.0
    for step in trouble.steps:
        minutes, left = minutes + left * step.minutes, left - step.chance
    assert trouble.expected_minutes == pytest.approx(minutes)
    assert trouble.found == pytest.approx(1.0 - left)


def test_the_question_that_names_the_trouble_is_no_look_at_its_cause() -> None:
    home = home_sheet()
    for name, keys in symptoms(home).items():
        trouble = trace(home_judged(released=COLD), name)
        assert not {step.key for step in trouble.steps} & {key for key in home.finding if home.finding[key].symptom}
        assert keys
        assert 0.0 <= trouble.unexplained < 0.5
        assert math.fsum(suspect.share for suspect in trouble.suspects) + trouble.unexplained == pytest.approx(1.0)


def test_a_tripping_breaker_is_looked_for_with_the_insulation_tester_not_by_buying_an_element() -> None:
    """Common practice, no source: damp insulation or wet terminals first; the tester tells."""
    trouble = trace(home_judged(released=COLD, told_trips="at-once"), "Trips the breaker")
    assert {suspect.component for suspect in trouble.suspects[:2]} == {"element", "element_terminals"}
    assert trouble.steps[0].key == "insulation_resistance"


def test_looks_behind_hold_points_are_named_and_not_offered() -> None:
    trouble = trace(home_judged(released=COLD), "New seals leak again within weeks")
    assert "lever_secured" in trouble.waiting["bore_round"]
    assert "bore_round" not in {step.key for step in trouble.steps}


def test_an_unknown_trouble_names_those_that_are_known() -> None:
    with pytest.raises(NotFound, match="Wet below"):
        trace(judged(wet()), "makes noise")
