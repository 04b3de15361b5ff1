"""The choice of treatments against two independent oracles: trying everything, and a minimum cut."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import networkx as nx
import pytest

from brasswright.planning.access import removal_order
from brasswright.planning.choose import choose
from tests.properties.planning_problems import closure_problem, small_problem

if TYPE_CHECKING:
    from brasswright.planning.model import Problem


def standing(problem: Problem, wanted: frozenset[str]) -> bool:
    """Whether the pieces can come off one by one, each when its clauses are answered."""
    access = {piece.id: piece.access for piece in problem.pieces}
    loose: set[str] = set()
    while loose != wanted:
        more = {key for key in wanted - loose if all(loose & set(clause) for clause in access[key])}
        if not more:
            return False
        loose |= more
    return True


def removals(problem: Problem) -> list[tuple[frozenset[str], int]]:
    """Every set of pieces that can come off, with its price, the test it calls for included."""
    price = {piece.id: piece.taking_minor for piece in problem.pieces}
    opens = {piece.id for piece in problem.pieces if piece.acts}
    found = []
    for size in range(len(price) + 1):
        for members in itertools.combinations(price, size):
            loose = frozenset(members)
            if standing(problem, loose):
                test = problem.tests[0].money_minor if loose & opens else 0
                found.append((loose, sum(price[key] for key in loose) + test))
    return sorted(found, key=lambda pair: pair[1])


def by_trying_everything(problem: Problem) -> int | None:
    """The least sum of money and risk over all removal sets and all sets of treatments."""
    sets = removals(problem)
    best: int | None = None
    for bits in itertools.product((0, 1), repeat=len(problem.options)):
        done = [option for option, bit in zip(problem.options, bits, strict=True) if bit]
        cured = [mend.fault for option in done for mend in option.mends]
        if len(cured) != len(set(cured)) or any(
            f.must and f.id not in cured for f in problem.faults if menders(problem, f.id)
        ):
            continue
        cost = sum(option.money_minor + sum(mend.risk_minor for mend in option.mends) for option in done)
        cost += sum(fault.risk_minor for fault in problem.faults if fault.id not in cured)
        needed = {key for option in done for key in option.off}
        clauses = [set(clause) for option in done for clause in option.access]
        fitting = (price for loose, price in sets if needed <= loose and all(loose & clause for clause in clauses))
        access = next(fitting, None)
        if access is not None and (best is None or cost + access < best):
            best = cost + access
    return best


def menders(problem: Problem, fault: str) -> bool:
    return any(mend.fault == fault for option in problem.options for mend in option.mends)


@pytest.mark.parametrize("seed", range(40))
def test_no_set_of_treatments_and_removals_is_cheaper(seed: int) -> None:
    problem = small_problem(seed)
    expected = by_trying_everything(problem)
    assert expected is not None
    choice = choose(problem, marginals=False)
    assert choice.money_minor + choice.risk_minor == expected
    assert removal_order(problem.pieces, choice.off) == choice.off


def by_minimum_cut(problem: Problem) -> int:
    """Treatments are projects, pieces their tools; what a cut does not save is what it costs."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    benefit = 0
    risk = {fault.id: fault.risk_minor for fault in problem.faults}
    for option in problem.options:
        gain = risk[option.mends[0].fault] - option.money_minor
        graph.add_edge("source", option.id, capacity=max(gain, 0))
        graph.add_edge(option.id, "sink", capacity=max(-gain, 0))
        benefit += max(gain, 0)
        for key in option.off:
            graph.add_edge(option.id, key)
    for piece in problem.pieces:
        graph.add_edge(piece.id, "sink", capacity=piece.taking_minor)
        for clause in piece.access:
            graph.add_edge(piece.id, clause[0])
    cut, _ = nx.minimum_cut(graph, "source", "sink")
    return sum(risk.values()) - (benefit - round(cut))


@pytest.mark.parametrize("seed", range(10))
def test_sixty_pieces_agree_with_a_minimum_cut(seed: int) -> None:
    problem = closure_problem(seed)
    choice = choose(problem, marginals=False)
    assert choice.money_minor + choice.risk_minor == by_minimum_cut(problem)
    assert choice.proven


def test_the_oracle_itself_sees_that_two_pieces_freeing_each_other_free_nobody() -> None:
    problems = [small_problem(seed) for seed in range(40)]
    pairs = [problem for problem in problems if not standing(problem, frozenset(p.id for p in problem.pieces))]
    assert pairs, "none of the invented problems has a circle that nothing opens"
