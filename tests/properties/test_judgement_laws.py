"""Laws that hold for any network and any evidence, and the tree against a general library."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.judgement.compile import compile_network
from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.words import chance_words
from brasswright.judgement.worth import check_worths, perfect_worth
from brasswright.sheets.losses import Loss
from tests.agrum import PyAgrumEngine
from tests.networks import evidence_for, network, random_network, random_sheet

if TYPE_CHECKING:
    from brasswright.judgement.compile import Network, Table

TREE = TreeEngine()
seeds = st.integers(0, 10**6)
few = settings(max_examples=40, deadline=None)


def components(net: Network) -> list[str]:
    return [node.name for node in net.of_role("component")]


def open_checks(net: Network, rows: dict[str, Table]) -> dict[str, Table]:
    nodes = net.of_role("history", "finding")
    return {node.name: np.eye(len(node.states)) for node in nodes if node.name not in rows}


def losses(net: Network, seed: int) -> dict[str, Loss]:
    random = np.random.default_rng(seed)
    table: dict[str, Loss] = {}
    for node in net.of_role("component"):
        leave = tuple(np.sort(random.uniform(0, 200, size=len(node.states))).tolist())
        table[node.name] = Loss(node.states, leave, (float(random.uniform(10, 120)),) * len(node.states))
    return table


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("kind", ["any tables", "a sheet's"])
def test_the_tree_agrees_with_the_library(seed: int, kind: str) -> None:
    glanced = frozenset({"f0", "f5"})
    net = random_network(seed) if kind == "any tables" else compile_network(random_sheet(seed), swept=glanced)
    rows = evidence_for(net, seed + 100)
    library = PyAgrumEngine()
    names = [node.name for node in net.of_role("history", "component", "finding")]
    ours, theirs = TREE.posteriors(net, rows, names), library.posteriors(net, rows, names)
    for name, row in theirs.items():
        np.testing.assert_allclose(ours[name], row, atol=1e-10)
    assert TREE.log_evidence(net, rows) == pytest.approx(library.log_evidence(net, rows), abs=1e-9)
    checks = open_checks(net, rows)
    swept, looped = (engine.outcomes(net, rows, checks, components(net)) for engine in (TREE, library))
    assert swept.rows == looped.rows
    np.testing.assert_allclose(swept.chance, looped.chance, atol=1e-10)
    for name in components(net):
        np.testing.assert_allclose(swept.joint[name], looped.joint[name], atol=1e-10)


@pytest.mark.parametrize("seed", range(8))
def test_samples_have_the_odds_alone_and_in_pairs(seed: int) -> None:
    net, n = random_network(seed), 20_000
    rows = evidence_for(net, seed + 100)
    drawn = TREE.samples(net, rows, n, seed)
    odds = TREE.posteriors(net, rows, drawn)
    names = components(net)
    for name in drawn:
        share = np.bincount(drawn[name], minlength=len(odds[name])) / n
        assert (np.abs(share - odds[name]) <= 5 * np.sqrt(odds[name] * (1 - odds[name]) / n) + 1e-9).all()
    for one, other in pairwise(names):
        for state, chance in enumerate(odds[one]):
            if chance * n < 1000:
                continue
            held = {**rows, one: np.eye(len(odds[one]))[state] * rows.get(one, np.ones(len(odds[one])))}
            p = TREE.posteriors(net, held, [other])[other]
            among = drawn[other][drawn[one] == state]
            share = np.bincount(among, minlength=len(p)) / among.size
            assert (np.abs(share - p) <= 5 * np.sqrt(p * (1 - p) / among.size) + 1e-9).all()


def test_the_library_draws_samples_with_the_same_odds() -> None:
    net = random_network(2, parts=3, findings=2)
    rows = evidence_for(net, 5)
    drawn = PyAgrumEngine().samples(net, rows, 1500, 1)
    for name, odds in TREE.posteriors(net, rows, drawn).items():
        share = np.bincount(drawn[name], minlength=len(odds)) / 1500
        assert (np.abs(share - odds) <= 5 * np.sqrt(odds * (1 - odds) / 1500) + 1e-9).all()


@few
@given(seeds, st.floats(1e-6, 1e6))
def test_odds_add_to_one_and_neither_order_nor_scale_of_evidence_matters(seed: int, scale: float) -> None:
    net = random_network(seed)
    rows = evidence_for(net, seed)
    odds = TREE.posteriors(net, rows, net.nodes)
    for row in odds.values():
        assert row.sum() == pytest.approx(1.0)
        assert (row >= 0).all()
    turned = {name: row * scale for name, row in reversed(rows.items())}
    turned |= {name: np.full(len(node.states), 3.0) for name, node in net.nodes.items() if name not in rows}
    for name, row in TREE.posteriors(net, turned, net.nodes).items():
        np.testing.assert_allclose(row, odds[name], atol=1e-10)


@few
@given(seeds)
def test_outcomes_of_a_check_add_up_to_the_odds_of_now(seed: int) -> None:
    net = random_network(seed)
    rows = evidence_for(net, seed)
    found = TREE.outcomes(net, rows, open_checks(net, rows), components(net))
    odds = TREE.posteriors(net, rows, components(net))
    for check in {name for name, _ in found.rows}:
        mine = [i for i, (name, _) in enumerate(found.rows) if name == check]
        assert found.chance[mine].sum() == pytest.approx(1.0)
        for name, row in odds.items():
            np.testing.assert_allclose(found.joint[name][mine].sum(axis=0), row, atol=1e-10)


@few
@given(seeds)
def test_worth_is_never_negative_never_above_perfect_knowledge_and_blurring_never_helps(seed: int) -> None:
    net = random_network(seed)
    rows = evidence_for(net, seed)
    table = losses(net, seed)
    checks = open_checks(net, rows)
    worths = check_worths(TREE, net, rows, checks, table)
    most = perfect_worth(TREE.posteriors(net, rows, table), table)
    blur = np.random.default_rng(seed)
    blurred = {
        name: report @ blur.dirichlet(np.ones(report.shape[1]), size=report.shape[1]) for name, report in checks.items()
    }
    after_blur = check_worths(TREE, net, rows, blurred, table)
    for name, worth in worths.items():
        assert -1e-9 <= worth <= most + 1e-9
        assert after_blur[name] <= worth + 1e-9


@few
@given(seeds)
def test_no_check_is_worth_anything_once_every_condition_is_known(seed: int) -> None:
    net = random_network(seed)
    rows = {node.name: np.eye(len(node.states))[0] for node in net.of_role("component")}
    checks = open_checks(net, rows)
    assert all(abs(worth) < 1e-9 for worth in check_worths(TREE, net, rows, checks, losses(net, seed)).values())


@few
@given(seeds)
def test_a_check_cut_off_from_a_component_says_nothing_of_it(seed: int) -> None:
    """Histories known, a finding and a component in parts of the network that share nothing: odds stay as they are."""
    net = random_network(seed)
    rows: dict[str, Table] = {}
    other = random_network(seed + 1)
    nodes = [
        replace(node, name=f"b{node.name}", parents=tuple(f"b{p}" for p in node.parents))
        for node in other.nodes.values()
    ]
    both = network([*net.nodes.values(), *nodes])
    checks = open_checks(net, rows)
    told = TREE.outcomes(both, rows, checks, [f"b{name}" for name in components(other)])
    for name in components(other):
        now = TREE.posteriors(both, rows, [f"b{name}"])[f"b{name}"]
        np.testing.assert_allclose(told.joint[f"b{name}"], told.chance[:, None] * now, atol=1e-12)


@given(st.floats(0, 1), st.floats(0, 1))
def test_words_never_change_order(one: float, other: float) -> None:
    low, high = sorted((one, other))
    scale = list(dict.fromkeys(chance_words(i / 2000) for i in range(2001)))
    assert scale.index(chance_words(low)) <= scale.index(chance_words(high))
