"""Odds and worths of every packaged sheet against a general library for Bayesian networks, on made-up evidence."""

from __future__ import annotations

import numpy as np
import pytest

from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import machine_facts
from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.worth import check_worths
from brasswright.sheets.load import load_packaged, packaged
from brasswright.sheets.losses import losses
from tests.agrum import PyAgrumEngine
from tests.networks import evidence_for

CLOSE = 1e-10


@pytest.mark.parametrize("seed", range(1))
@pytest.mark.parametrize("key", packaged())
def test_odds_and_worths_of_a_packaged_sheet_agree_with_another_library(key: str, seed: int) -> None:
    sheet = load_packaged(key).sheet
    network = compile_network(sheet, machine_facts(sheet))
    rows = evidence_for(network, seed, share=0.3)
    ours, other = TreeEngine(), PyAgrumEngine()
    names = [node.name for node in network.of_role("component")]
    assert ours.log_evidence(network, rows) == pytest.approx(other.log_evidence(network, rows), abs=1e-9)
    mine, theirs = ours.posteriors(network, rows, names), other.posteriors(network, rows, names)
    for name in names:
        assert np.allclose(mine[name], theirs[name], atol=CLOSE), name
    table = {node_of("component", part): loss for part, loss in losses(sheet).items()}
    free = [node.name for node in network.of_role("finding") if node.name not in rows and node.parents]
    checks = {name: np.eye(len(network.nodes[name].states)) for name in free[:: max(len(free) // 3, 1)][:3]}
    one, two = (check_worths(engine, network, rows, checks, table) for engine in (ours, other))
    dearest = max(max(loss.leave) for loss in table.values())
    for name in checks:
        assert one[name] == pytest.approx(two[name], abs=CLOSE * dearest)
