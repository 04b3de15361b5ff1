"""The junction tree: its shape, and impossible evidence."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from brasswright.judgement.engine import hard_state
from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.triangulate import triangulate
from tests.agrum import PyAgrumEngine
from tests.networks import evidence_for, network, node, random_network


@pytest.mark.parametrize("seed", range(6))
def test_cliques_hold_every_scope_and_share_along_the_tree(seed: int) -> None:
    random = np.random.default_rng(seed)
    sizes = [int(size) for size in random.integers(2, 5, size=14)]
    scopes = [
        tuple(sorted(map(int, random.choice(14, size=int(random.integers(1, 4)), replace=False)))) for _ in range(16)
    ]
    cliques = triangulate(sizes, scopes)
    for scope in scopes:
        assert any(set(scope) <= set(clique.nodes) for clique in cliques)
    for i, clique in enumerate(cliques):
        assert clique.parent < i
        assert set(clique.shared) <= set(clique.nodes)
    for node_number in {n for scope in scopes for n in scope}:  # a node's cliques hang together
        holding = [i for i, clique in enumerate(cliques) if node_number in clique.nodes]
        tops = [i for i in holding if cliques[i].parent not in holding]
        assert len(tops) == 1
    for one, other in combinations(cliques, 2):
        assert not set(one.nodes) <= set(other.nodes)
        assert not set(other.nodes) <= set(one.nodes)


@pytest.mark.parametrize("seed", range(4))
def test_the_tree_does_not_hang_on_the_order_in_which_things_are_told(seed: int) -> None:
    # Which joint samples a seed gives follows from the tree: ties may not be settled by rounding or by luck.
    random = np.random.default_rng(seed)
    sizes = [int(size) for size in random.choice([2, 3, 4, 6], size=300)]
    scopes = [tuple(map(int, random.choice(300, size=3, replace=False))) for _ in range(160)]
    shuffled = [tuple(map(int, random.permutation(scopes[i]))) for i in random.permutation(len(scopes))]
    assert triangulate(sizes, shuffled) == triangulate(sizes, scopes)


@pytest.mark.parametrize("engine", [TreeEngine(), PyAgrumEngine()], ids=["tree", "library"])
def test_impossible_evidence_has_no_chance_and_no_odds(engine: TreeEngine | PyAgrumEngine) -> None:
    net = network(
        [node("part", "component", (), [0.7, 0.3]), node("look", "finding", ("part",), [[1.0, 0.0], [0.4, 0.6]])]
    )
    rows = {"part": np.array([1.0, 0.0]), "look": np.array([0.0, 1.0])}
    assert engine.log_evidence(net, rows) == -np.inf
    with pytest.raises(ZeroDivisionError):
        engine.posteriors(net, rows, ["part"])


def test_only_one_state_left_is_hard() -> None:
    assert hard_state(np.array([0.0, 0.3, 0.0])) == 1
    assert hard_state(np.array([0.0, 0.3, 0.1])) is None


def test_the_same_seed_draws_the_same_samples() -> None:
    net = random_network(3)
    rows = evidence_for(net, 3)
    first, again, other = (TreeEngine().samples(net, rows, 500, seed) for seed in (7, 7, 8))
    assert all((first[name] == again[name]).all() for name in first)
    assert any((first[name] != other[name]).any() for name in first)
