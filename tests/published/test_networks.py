"""Judgement against published worked examples: a network of eight nodes, and a decision whether to drill for oil."""

from __future__ import annotations

import numpy as np
import pytest

from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.worth import check_worths, expected_loss, perfect_worth
from brasswright.sheets.losses import Loss
from tests.agrum import PyAgrumEngine
from tests.networks import enumerated, network, node

NO, YES = np.array([1.0, 0.0]), np.array([0.0, 1.0])
ENGINES = [TreeEngine(), PyAgrumEngine()]
# S. L. Lauritzen and D. J. Spiegelhalter, "Local computations with probabilities on graphical structures and their
# application to expert systems", J. R. Statist. Soc. B 50 (1988) 157-224, table of conditional probabilities.
CHEST_CLINIC = network(
    [
        node("asia", "history", (), [0.99, 0.01]),
        node("smoking", "history", (), [0.5, 0.5]),
        node("tuberculosis", "component", ("asia",), [[0.99, 0.01], [0.95, 0.05]]),
        node("lung", "component", ("smoking",), [[0.99, 0.01], [0.9, 0.1]]),
        node("bronchitis", "component", ("smoking",), [[0.7, 0.3], [0.4, 0.6]]),
        node("either", "link", ("tuberculosis", "lung"), [[[1, 0], [0, 1]], [[0, 1], [0, 1]]]),
        node("xray", "finding", ("either",), [[0.95, 0.05], [0.02, 0.98]]),
        node("dyspnoea", "finding", ("either", "bronchitis"), [[[0.9, 0.1], [0.2, 0.8]], [[0.3, 0.7], [0.1, 0.9]]]),
    ]
)
# OpenBUGS examples, "Asia: expert system": node statistics of 200,000 samples with asia = dyspnoea = yes.
SAMPLED = {"either": 0.183, "lung": 0.100, "smoking": 0.627, "tuberculosis": 0.088, "xray": 0.220}


@pytest.mark.parametrize("engine", ENGINES, ids=["tree", "library"])
def test_the_clinic_agrees_with_the_published_samples(engine: TreeEngine | PyAgrumEngine) -> None:
    odds = engine.posteriors(CHEST_CLINIC, {"asia": YES, "dyspnoea": YES}, SAMPLED)
    for name, published in SAMPLED.items():
        # 200,000 dependent samples rounded to three places: five thousandths is about four standard errors.
        assert odds[name][1] == pytest.approx(published, abs=0.005), name


@pytest.mark.parametrize("engine", ENGINES, ids=["tree", "library"])
@pytest.mark.parametrize(
    "evidence",
    [
        {},
        {"asia": YES, "dyspnoea": YES},
        {"asia": YES, "dyspnoea": YES, "xray": YES},
        {"asia": YES, "dyspnoea": YES, "xray": NO},
        {"asia": YES, "dyspnoea": YES, "smoking": NO},
        {"either": YES, "xray": np.array([0.3, 0.7])},
    ],
    ids=["nothing", "visit and breath", "and film", "and clear film", "and no smoke", "soft film"],
)
def test_the_clinic_agrees_with_adding_up_every_case(
    engine: TreeEngine | PyAgrumEngine, evidence: dict[str, np.ndarray[tuple[int], np.dtype[np.float64]]]
) -> None:
    chance, odds = enumerated(CHEST_CLINIC, evidence)
    got = engine.posteriors(CHEST_CLINIC, evidence, CHEST_CLINIC.nodes)
    for name, row in odds.items():
        np.testing.assert_allclose(got[name], row, atol=1e-12)
    assert engine.log_evidence(CHEST_CLINIC, evidence) == pytest.approx(np.log(chance), abs=1e-12)


# H. Raiffa, "Decision Analysis" (1968), the oil wildcatter; the test's chances as in P. P. Shenoy, "Valuation-based
# systems for Bayesian decision analysis", Operations Research 40 (1992). Thousands of dollars; drilling costs 70.
WELL = network(
    [
        node("well", "component", (), [0.2, 0.3, 0.5]),  # soaking, wet, dry
        node("seismic", "finding", ("well",), [[0.5, 0.4, 0.1], [0.3, 0.4, 0.3], [0.1, 0.3, 0.6]]),
    ]
)
WELL_LOSS = {"well": Loss(("soaking", "wet", "dry"), (0.0, 0.0, 0.0), (-200.0, -50.0, 70.0))}
SEISMIC = {"seismic": np.eye(3)}


@pytest.mark.parametrize("engine", ENGINES, ids=["tree", "library"])
def test_the_seismic_test_is_worth_what_the_textbook_says(engine: TreeEngine | PyAgrumEngine) -> None:
    odds = engine.posteriors(WELL, {}, ["well"])
    assert -expected_loss(odds, WELL_LOSS) == pytest.approx(20.0)
    worth = check_worths(engine, WELL, {}, SEISMIC, WELL_LOSS)["seismic"]
    assert worth == pytest.approx(12.5)
    assert 20.0 + worth - 10.0 == pytest.approx(22.5)  # the test costs 10: the published best value
    assert perfect_worth(odds, WELL_LOSS) == pytest.approx(35.0)
