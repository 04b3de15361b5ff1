"""The estimate against closed forms and by its laws, on the slice sheet with invented samples."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from brasswright.journal.entries import Identified, Moved
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.estimate import Estimate, estimate
from brasswright.reckoning.money import Prices, expected
from brasswright.reckoning.problem import build
from tests.builders import arrived, job_of
from tests.unit.planning_bench import PRICES, done, odds, slice_sheet

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from brasswright.journal.job import Job
    from brasswright.planning.model import Plan, Problem

RATE = PRICES.labour_minor_per_hour / 60.0
COUNT = 20_000
Odds = dict[str, dict[str, float]]


def asked(job: Job, **bad: dict[str, float]) -> tuple[Problem, Plan]:
    problem = build(slice_sheet(), job, odds(**bad), PRICES)
    return problem, expand(problem, choose(problem, marginals=False), job, slice_sheet())


def samples(**bad: dict[str, float]) -> dict[str, NDArray[np.integer]]:
    """Independent draws: every component by its own odds."""
    dice = np.random.default_rng(5)
    return {key: dice.choice(len(o.p or ()), COUNT, p=o.p) for key, o in odds(**bad).items()}


def reckon(bad: Odds | None = None, job: Job | None = None, *, seed: int = 1, prices: Prices = PRICES) -> Estimate:
    problem, plan = asked(job or job_of(), **(bad or {}))
    return estimate(problem, plan, samples(**(bad or {})), seed=seed, prices=prices)


def mean_of(plan: Plan) -> float:
    """The expected money of a plan's operations, added up by hand."""
    labour = sum(expected(op.minutes) for op in plan.operations) * RATE
    return labour + sum(expected(part.cost) for op in plan.operations for part in op.parts)


def close(got: float, wanted: float, found: Estimate) -> bool:
    """Whether a mean agrees within four standard errors, the spread read off the estimate's own histogram."""
    middle = (np.array(found.edges[:-1]) + np.array(found.edges[1:])) / 2
    spread = np.sqrt(np.average((middle - found.mean_minor) ** 2, weights=found.counts))
    return bool(abs(got - wanted) <= 4 * float(spread) / np.sqrt(COUNT) + 1)


def test_with_nothing_hidden_the_mean_is_the_sum_of_the_means() -> None:
    wrong = {"element": {"open": 1.0}, "spring": {"broken": 1.0}}
    _, plan = asked(job_of(), **wrong)
    found = reckon(wrong)
    assert close(found.mean_minor, mean_of(plan), found)
    assert found.hidden == ()


def test_a_hidden_fault_that_opens_nothing_more_adds_its_share_of_the_mean() -> None:
    """The sleeve lies in a tray: what is wrong with it shows there, and relining it opens nothing."""
    job, wrong = job_of(Moved(component="sleeve", to="tray one")), {"sleeve": {"pitted": 0.2}}
    problem = build(slice_sheet(), job, odds(**wrong), PRICES)
    dear = tuple(replace(fault, leaving_minor=90_000) for fault in problem.faults)
    problem = replace(problem, faults=dear)
    plan = expand(problem, choose(problem), job, slice_sheet())
    assert plan.choice.left == ("sleeve.pitted",)
    draws = samples(**wrong)
    found = estimate(problem, plan, draws, seed=3, prices=PRICES)
    relining = next(option for option in problem.options if option.id == "reline_sleeve")
    share = float((draws["sleeve"] == 2).mean())
    assert [(row.fault, row.shows) for row in found.hidden] == [("sleeve.pitted", "when it is opened")]
    assert found.hidden[0].adds_minor == pytest.approx(relining.money_minor, rel=0.02)
    assert close(found.mean_minor, mean_of(plan) + share * relining.money_minor, found)


def test_a_find_that_opens_more_costs_more_than_its_treatment_alone() -> None:
    wrong = {"element": {"leaky": 0.1}}
    problem, plan = asked(job_of(), **wrong)
    assert "element" not in plan.choice.off
    found = reckon(wrong)
    fitting = next(option for option in problem.options if option.id == "new_element")
    row = next(row for row in found.hidden if row.fault == "element.leaky")
    assert row.shows == "at proving"
    assert row.adds_minor > fitting.money_minor
    assert found.mean_minor > mean_of(plan) + 0.09 * fitting.money_minor


def test_what_is_not_opened_and_does_not_bind_stays_a_risk_and_costs_no_money() -> None:
    wrong = {"piston_seals": {"hard": 0.1}}
    _, plan = asked(job_of(), **wrong)
    found = reckon(wrong)
    sound = reckon()
    assert found.mean_minor == sound.mean_minor
    assert found.risk_left_minor - sound.risk_left_minor == pytest.approx(0.1 * 4000, rel=0.1)
    assert "piston_seals.hard" in plan.choice.left


def test_the_risk_left_agrees_with_the_choice_where_nothing_can_be_found() -> None:
    wrong = {"piston_seals": {"hard": 0.2}, "case": {"rusted": 0.3}}
    _, plan = asked(job_of(), **wrong)
    assert reckon(wrong).risk_left_minor == pytest.approx(plan.choice.risk_minor, rel=0.05)


def test_a_find_that_disturbs_presumed_asbestos_pays_for_its_clearance() -> None:
    found = reckon({"lagging": {"crumbling": 0.2}})
    line = next(line for line in found.lines if line.kind == "clearance")
    assert line.low_minor == 0
    assert line.mean_minor == pytest.approx(0.2 * expected(PRICES.clearance), rel=0.1)
    assert not [line for line in reckon().lines if line.kind == "clearance"]


def test_a_machine_for_display_is_not_proved_so_nothing_is_found_at_proving() -> None:
    found = reckon({"element": {"leaky": 0.1}}, job_of(arrived(use="display")))
    assert found.hidden == ()
    assert not [line for line in found.lines if line.kind == "proving"]


def test_the_same_seed_gives_the_same_figures_and_another_other_ones() -> None:
    wrong = {"element": {"leaky": 0.2}, "lagging": {"frayed": 0.2}}
    assert reckon(wrong, seed=4) == reckon(wrong, seed=4)
    assert reckon(wrong, seed=4) != reckon(wrong, seed=5)


def test_lines_add_up_to_the_whole_and_shares_of_lines_to_one() -> None:
    found = reckon({"element": {"leaky": 0.2}, "piston_seals": {"torn": 0.4}, "flex": {"two_core": 1.0}})
    assert sum(line.mean_minor for line in found.lines) == pytest.approx(found.mean_minor, abs=len(found.lines))
    assert found.low_minor < found.likely_minor < found.high_minor
    assert sum(found.counts) == found.samples
    lines = [driver.share for driver in found.drivers if driver.kind == "line"]
    assert sum(lines) == pytest.approx(1.0, abs=0.05)
    assert all(line.reason for line in found.lines)


def test_the_widest_unknown_is_named_first_among_components() -> None:
    found = reckon({"element": {"leaky": 0.3}, "piston_seals": {"hard": 0.5}})
    components = [driver for driver in found.drivers if driver.kind == "component"]
    assert components[0].subject == "element"


def test_tax_is_in_every_figure_but_the_risk() -> None:
    wrong = {"element": {"leaky": 0.2}}
    bare, taxed = reckon(wrong), reckon(wrong, prices=replace(PRICES, tax_permille=250))
    for name in ("low_minor", "likely_minor", "high_minor", "mean_minor"):
        assert getattr(taxed, name) == pytest.approx(1.25 * getattr(bare, name), abs=1)
    assert taxed.risk_left_minor == bare.risk_left_minor


def test_one_common_pace_widens_the_range_and_leaves_the_mean() -> None:
    even = reckon({"element": {"open": 1.0}}, prices=replace(PRICES, pace_sigma=0.0))
    found = reckon({"element": {"open": 1.0}})
    assert found.high_minor - found.low_minor > 1.2 * (even.high_minor - even.low_minor)
    assert close(found.mean_minor, even.mean_minor, found)
    assert any(driver.kind == "pace" for driver in found.drivers)
    assert not any(driver.kind == "pace" for driver in even.drivers)


def test_finished_work_is_counted_by_the_minutes_it_took_and_varies_no_more() -> None:
    wrong = {"element": {"open": 1.0}}
    problem, plan = asked(job_of(), **wrong)
    job = job_of(*done(plan.operations))
    finished = build(slice_sheet(), job, odds(), PRICES)
    whole = expand(finished, choose(finished), job, slice_sheet())
    found = estimate(finished, whole, {}, seed=1, prices=PRICES)
    minutes = sum(op.minutes[1] for op in plan.operations)
    assert found.hands_on_minutes == (round(minutes), round(minutes), round(minutes))
    assert found.low_minor == found.high_minor
    assert problem.faults


def test_a_missing_part_is_certain_money() -> None:
    found = reckon(job=job_of(Identified(component="safety_valve", presence="missing")))
    assert any("safety valve" in line.reason.lower() for line in found.lines)
    assert found.mean_minor > reckon().mean_minor


def test_samples_of_different_lengths_are_refused() -> None:
    problem, plan = asked(job_of())
    with pytest.raises(ValueError, match="different lengths"):
        estimate(problem, plan, {"flex": np.zeros(3, int), "case": np.zeros(4, int)}, seed=1, prices=PRICES)
