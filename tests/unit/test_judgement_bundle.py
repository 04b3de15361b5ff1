"""What an opening is worth: against all answers added up, and beside the worth of single checks."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest

from brasswright.judgement.bundle import bundles
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import judge
from brasswright.judgement.worth import expected_loss
from brasswright.sheets.losses import losses
from brasswright.sheets.model import Sheet
from tests.builders import arrived, job_of
from tests.networks import enumerated, small_sheet


def behind_a_case(*keys: str) -> Sheet:
    """The small sheet, with these findings behind a case."""
    told: dict[str, Any] = small_sheet().model_dump(by_alias=True)
    case = {"name": "Case", "open_minutes": [5, 10, 20], "close_minutes": [5, 8, 15], "source": "bench"}
    for key in keys:
        told["finding"][key]["access"] = [["case"]]
    return Sheet.model_validate(told | {"unit": {"case": case}, "reading": {}})


def by_adding_up(sheet: Sheet, keys: tuple[str, ...]) -> float:
    """Worth of all these answers together: every pattern of answers, every case."""
    net = compile_network(sheet)
    table = {node_of("component", key): loss for key, loss in losses(sheet).items()}
    _, before = enumerated(net, {})
    after = 0.0
    for pattern in product(*(range(len(sheet.finding[key].answers)) for key in keys)):
        rows = {
            node_of("finding", key): np.eye(len(sheet.finding[key].answers))[place]
            for key, place in zip(keys, pattern, strict=True)
        }
        chance, odds = enumerated(net, rows)
        after += chance * expected_loss({name: odds[name] for name in table}, table)
    return expected_loss({name: before[name] for name in table}, table) - after


@pytest.mark.parametrize("keys", [("trail",), ("trail", "scale")])
def test_worth_is_what_adding_up_every_pattern_of_answers_gives(keys: tuple[str, ...]) -> None:
    sheet = behind_a_case(*keys)
    [bundle] = bundles(judge(sheet, job_of(arrived())), samples=40_000)
    assert {check.key for check in bundle.checks} == set(keys)
    assert bundle.worth == pytest.approx(by_adding_up(sheet, keys), abs=max(4 * bundle.worth_sigma, 0.02))


def test_the_opening_is_paid_once() -> None:
    sheet = behind_a_case("trail", "scale")
    [bundle] = bundles(judge(sheet, job_of(arrived())))
    assert bundle.minutes == pytest.approx(10 + 2 + 1)
    assert bundle.per_minute == pytest.approx(bundle.worth / 13)
    assert bundle.said == "Case: answers these 2 questions."


def test_together_they_are_worth_no_less_than_the_best_of_them() -> None:
    seen = judge(behind_a_case("trail", "scale"), job_of(arrived()))
    [bundle] = bundles(seen)
    assert bundle.worth >= max(check.worth for check in seen.checks if check.opens)


def test_the_same_journal_gets_the_same_answer() -> None:
    sheet = behind_a_case("trail", "scale")
    one, other = (bundles(judge(sheet, job_of(arrived()))) for _ in range(2))
    assert [bundle.worth for bundle in one] == [bundle.worth for bundle in other]


def test_with_nothing_shut_there_is_no_bundle() -> None:
    assert bundles(judge(small_sheet(), job_of(arrived()))) == ()


def test_an_opening_whose_answers_change_nothing_is_not_offered() -> None:
    assert by_adding_up(behind_a_case("scale"), ("scale",)) == pytest.approx(0.0, abs=1e-9)
    assert bundles(judge(behind_a_case("scale"), job_of(arrived()))) == ()
