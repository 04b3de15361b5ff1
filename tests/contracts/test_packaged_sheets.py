"""Every packaged sheet is whole: it loads without doubts, judges quickly enough to use, plans, and can be estimated."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from brasswright.judgement.compile import MANY_ENTRIES, compile_network
from brasswright.judgement.opinion import judge, machine_facts, priors
from brasswright.judgement.symptom import symptoms
from brasswright.judgement.tree import tree_entries
from brasswright.planning.check import problems
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from brasswright.sheets.check import warnings
from brasswright.sheets.load import load_packaged, packaged
from tests.builders import arrived, job_of
from tests.trade.jobs import COLD, Kind, found
from tools import priors as pages

if TYPE_CHECKING:
    from brasswright.journal.entries import Body
    from brasswright.planning.model import Plan

PRICES = Prices(currency="EUR", labour_minor_per_hour=4800, tax_permille=230)
KINDS = [Kind(key) for key in packaged()]
each_kind = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.key)


@each_kind
def test_nothing_in_it_is_refused_or_doubtful(kind: Kind) -> None:
    loaded = load_packaged(kind.key)
    assert loaded.sheet.sheet.key == kind.key
    assert [problem.what for problem in warnings(loaded.sheet, loaded.places)] == []


@each_kind
def test_its_tree_is_small_enough_to_answer_at_once(kind: Kind) -> None:
    network = compile_network(kind.sheet, machine_facts(kind.sheet))
    assert network.warnings == ()
    assert tree_entries(network) < MANY_ENTRIES


@each_kind
def test_every_component_has_odds_that_add_up_and_a_prior(kind: Kind) -> None:
    odds = priors(kind.sheet)
    assert set(odds) == set(kind.sheet.component)
    for key, row in odds.items():
        assert sum(row) == pytest.approx(1.0), key
        assert min(row) > 0.0, key


@each_kind
def test_its_page_of_implied_priors_is_current(kind: Kind) -> None:
    path = pages.FOLDER / f"{kind.key}.md"
    assert path.read_text(encoding="utf-8") == pages.page(kind.key), "run `make docs`"


@each_kind
def test_a_fresh_job_has_checks_within_reach_and_troubles_to_trace(kind: Kind) -> None:
    seen = judge(kind.sheet, job_of(arrived()), released=COLD)
    assert any(check.within_reach for check in seen.checks)
    assert len(symptoms(kind.sheet)) >= 5


@each_kind
def test_everything_that_must_be_put_right_can_be(kind: Kind) -> None:
    fixed = {(fix.of, state) for way in kind.sheet.treatment.values() for fix in way.fixes for state in fix.from_}
    wanted = {(key, state) for key, part in kind.sheet.component.items() for state in part.must}
    assert wanted <= fixed
    assert all(part.alone is not None for part in kind.sheet.component.values())


def planned(kind: Kind, *bodies: Body) -> tuple[Plan, tuple[str, ...]]:
    """The plan of a job and what the independent checker has to say of it."""
    job = job_of(arrived(), *bodies)
    seen = judge(kind.sheet, job, with_checks=False)
    problem = build(kind.sheet, job, seen.odds, PRICES)
    plan = expand(problem, choose(problem), job, kind.sheet)
    said = problems(plan, problem, kind.sheet, released=frozenset(), proved=frozenset())
    return plan, tuple(f"{one.where}: {one.what}" for one in said)


@each_kind
def test_a_fresh_job_gets_a_plan_that_the_checker_lets_through(kind: Kind) -> None:
    plan, said = planned(kind)
    assert said == ()
    assert any(operation.kind == "test" for operation in plan.operations)


@each_kind
def test_a_machine_at_its_worst_gets_a_plan_too(kind: Kind) -> None:
    worst = [found(key, part.states[-1]) for key, part in kind.sheet.component.items()]
    plan, said = planned(kind, *worst)
    assert said == ()
    assert len(plan.choice.treatments) > 10


@each_kind
def test_a_machine_found_sound_all_over_still_goes_through_its_tests(kind: Kind) -> None:
    sound = [found(key, part.states[0]) for key, part in kind.sheet.component.items()]
    _, said = planned(kind, *sound)
    assert said == ()
