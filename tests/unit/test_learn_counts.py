"""Expected counts behind a noisy-MAX against adding up every single case, and learning's laws on fixed jobs."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from brasswright.journal.learnt import Strength
from brasswright.judgement.adoption import revised
from brasswright.judgement.compile import OVERLOOKED, compile_network
from brasswright.judgement.counts import Case, contributions, count
from brasswright.judgement.families import Families
from brasswright.judgement.strengths import strengths_of, with_rows
from tests.networks import random_sheet, sheet
from tests.simulated_shop import shifted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.judgement.compile import Table
    from brasswright.judgement.strengths import Strengths
    from brasswright.sheets.model import Sheet


def ways(strengths: Strengths, lines: list[int], width: int) -> list[tuple[float, tuple[int, ...]]]:
    """Every way in which these contributions can fall out, with its chance."""
    made = []
    for fall in product(range(width), repeat=len(lines)):
        chance = float(np.prod([strengths.chances[line, state] for line, state in zip(lines, fall, strict=True)]))
        if chance > 0:
            made.append((chance, fall))
    return made


def by_hand(one: Sheet, rows: Mapping[str, Table], swept: frozenset[str] = frozenset()) -> tuple[float, Table]:
    """Chance of the evidence and expected counts of all rows, from contributions told apart one by one.

    Every history and component is counted; what evidence does not hang on is left to the caller.
    """
    strengths, net = strengths_of(one), compile_network(one)
    parts = [node.name for node in net.of_role("history", "component")]
    leaves = [name for name in rows if name not in parts]
    total, counts = 0.0, np.zeros_like(strengths.chances)
    for states in product(*(range(len(net.nodes[name].states)) for name in parts)):
        case = dict(zip(parts, states, strict=True))
        chance, said = 1.0, np.zeros_like(counts)
        for child in (*parts, *leaves):
            width = len(net.nodes[child].states)
            lines = [
                line
                for line, row in enumerate(strengths.rows)
                if row.child == child and (not row.parent or case[row.parent] == row.at)
            ]
            agree, share = 0.0, np.zeros_like(counts)
            for weight, fall in ways(strengths, lines, width):
                if child in swept:
                    good = weight * OVERLOOKED ** sum(state > 0 for state in fall)
                else:
                    likelihood = float(rows[child][max(fall)]) if child in rows else 1.0
                    good = weight * (likelihood if child not in case or max(fall) == case[child] else 0.0)
                agree += good
                for line, state in zip(lines, fall, strict=True):
                    share[line, state] += good
            chance *= agree
            if agree == 0.0:
                break
            said += share / agree
        total += chance
        counts += chance * said
    return total, counts / total


LOOKS: dict[str, Any] = {
    "trail": {
        "look": "Trail",
        "answers": ["none", "trail", "drip"],
        "minutes": 1,
        "false_alarm": {"trail": 0.1},
        "shows": [
            {"of": "shell", "is": "holed", "gives": {"trail": 0.2, "drip": 0.6}},
            {"of": "seal", "is": "worn", "gives": {"trail": 0.4}},
        ],
    },
    "noise": {
        "look": "Noise",
        "answers": ["none", "hiss"],
        "minutes": 1,
        "false_alarm": {"hiss": 0.05},
        "shows": [{"of": "seal", "is": "worn", "gives": {"hiss": 0.7}}],
    },
}


def trial() -> Sheet:
    """Two histories, two components, three findings: small enough to add up by hand."""
    return sheet(
        history={
            "wet": {"ask": "Wet?", "states": ["no", "yes"], "usual": [0.7, 0.3]},
            "knock": {"ask": "Knocked?", "states": ["no", "yes"], "usual": [0.8, 0.2]},
        },
        component={
            "shell": {
                "name": "Shell",
                "states": ["sound", "scaled", "holed"],
                "alone": [0.8, 0.15, 0.05],
                "causes": [
                    {"of": "wet", "is": "yes", "gives": {"scaled": 0.3, "holed": 0.2}},
                    {"of": "knock", "is": "yes", "gives": {"holed": 0.25}},
                ],
            },
            "seal": {
                "name": "Seal",
                "states": ["good", "worn"],
                "alone": [0.6, 0.4],
                "causes": [{"of": "shell", "is": "scaled", "gives": {"worn": 0.5}}],
            },
        },
        finding=deepcopy(LOOKS),
    )


def counted(one: Sheet, rows: dict[str, Table], swept: frozenset[str] = frozenset()) -> tuple[float, Table]:
    strengths = strengths_of(one)
    counts = count([Case(Families(one, strengths, {}), rows, swept)], strengths.chances)
    return float(np.exp(counts.log_likelihood[0])), counts.by_job[0]


HARD3 = np.eye(3)
HARD2 = np.eye(2)
EVIDENCE: dict[str, dict[str, Table]] = {
    "all found": {
        "history:wet": HARD2[1], "history:knock": HARD2[0], "component:shell": HARD3[1], "component:seal": HARD2[1],
        "finding:trail": HARD3[1], "finding:noise": HARD2[0],
    },
    "one part not opened": {
        "history:wet": HARD2[1], "component:seal": HARD2[1], "finding:trail": HARD3[2], "finding:noise": HARD2[1],
    },
    "unsure": {
        "history:wet": np.array([0.2, 1.0]), "component:shell": HARD3[2], "finding:trail": np.array([0.1, 1.0, 0.6]),
        "finding:noise": HARD2[0],
    },
    "nothing found": {"finding:trail": HARD3[0], "finding:noise": HARD2[1]},
}  # fmt: skip


@pytest.mark.parametrize("told", EVIDENCE)
def test_expected_counts_equal_adding_up_every_case(told: str) -> None:
    chance, counts = counted(trial(), EVIDENCE[told])
    expected_chance, expected = by_hand(trial(), EVIDENCE[told])
    assert chance == pytest.approx(expected_chance, rel=1e-9)
    np.testing.assert_allclose(counts, expected, atol=1e-9)


def test_a_sweep_counts_as_a_weaker_look() -> None:
    rows = {"history:wet": HARD2[1], "finding:trail": HARD3[0], "finding:noise": HARD2[1]}
    swept = frozenset({"finding:trail"})
    chance, counts = counted(trial(), rows, swept)
    expected_chance, expected = by_hand(trial(), rows, swept)
    assert chance == pytest.approx(expected_chance, rel=1e-9)
    np.testing.assert_allclose(counts, expected, atol=1e-9)
    single = counted(trial(), rows)[1]
    alarm = next(
        line for line, row in enumerate(strengths_of(trial()).rows) if row.place == "finding.trail.false_alarm"
    )
    assert single[alarm, 0] > counts[alarm, 0]


def wide() -> Sheet:
    """One finding with seven causes, more than a node may have: it is split into links."""
    component = {f"c{i}": {"name": f"c{i}", "states": ["good", "bad"], "alone": [0.7, 0.3]} for i in range(7)}
    shows = [
        {"of": key, "is": "bad", "gives": {"some": 0.1 + 0.05 * i, "much": 0.1}} for i, key in enumerate(component)
    ]
    finding = {
        "noise": {"look": "Noise", "answers": ["none", "some", "much"], "minutes": 1, "false_alarm": {"some": 0.1}}
    }
    finding["noise"]["shows"] = shows
    return sheet(component=component, finding=finding)


@pytest.mark.parametrize("answer", [0, 1, 2])
def test_a_finding_of_many_causes_is_counted_through_its_links(answer: int) -> None:
    rows: dict[str, Table] = {"finding:noise": HARD3[answer], "component:c0": HARD2[1], "component:c1": HARD2[0]}
    chance, counts = counted(wide(), rows)
    expected_chance, expected = by_hand(wide(), rows)
    assert chance == pytest.approx(expected_chance, rel=1e-9)
    np.testing.assert_allclose(counts, expected, atol=1e-9)


def test_not_looked_at_teaches_nothing() -> None:
    """A finding nobody answered and a part nobody opened leave their rows alone; a part behind a finding does not."""
    strengths = strengths_of(trial())
    _, counts = counted(trial(), {"history:wet": HARD2[1], "component:shell": HARD3[1]})
    said = {row.place: float(counts[line].sum()) for line, row in enumerate(strengths.rows)}
    assert [place for place in said if place.startswith(("finding", "component.seal")) and said[place]] == []
    assert said["component.shell.causes.wet.yes"] == pytest.approx(1.0)
    _, counts = counted(trial(), {"finding:noise": HARD2[1]})
    said = {row.place: float(counts[line].sum()) for line, row in enumerate(strengths.rows)}
    assert said["component.seal.alone"] == pytest.approx(1.0)


@pytest.mark.parametrize("seed", range(20))
def test_contributions_equal_adding_up_every_case(seed: int) -> None:
    dice = np.random.default_rng(seed)
    many, width = int(dice.integers(1, 4)), int(dice.integers(2, 5))
    rows = dice.dirichlet(np.ones(width), size=many)
    active = np.ones((1, many))
    active[0, 1:] = dice.integers(0, 2, size=many - 1)
    state = int(dice.integers(0, width))
    got = contributions(rows, active, np.ones((1, width)), np.array([state]))[0]
    expected, total = np.zeros((many, width)), 0.0
    for fall in product(range(width), repeat=many):
        speaking = [z if active[0, i] else 0 for i, z in enumerate(fall)]
        if max(speaking) == state:
            chance = float(np.prod([rows[i, z] for i, z in enumerate(fall)]))
            total += chance
            for i, z in enumerate(fall):
                expected[i, z] += chance * active[0, i]
    np.testing.assert_allclose(got, expected / total, atol=1e-12)


def test_a_row_of_one_cause_is_the_counts_beside_the_sheets_own() -> None:
    """Where no cause is hidden behind another, learning is (trust * own + count) / (trust + n)."""
    one = sheet(component={"cap": {"name": "Cap", "states": ["good", "worn", "cracked"], "alone": [0.7, 0.2, 0.1]}})
    strengths = strengths_of(one)
    seen = [0] * 3 + [1] * 5 + [2] * 1
    cases = [Case(Families(one, strengths, {}), {"component:cap": HARD3[state]}) for state in seen]
    learned = revised(strengths, count(cases, strengths.chances).by_job.sum(axis=0))
    assert learned[0] == pytest.approx([(10 * 0.7 + 3) / 19, (10 * 0.2 + 5) / 19, (10 * 0.1 + 1) / 19])
    assert revised(strengths, np.zeros((1, 3))) == pytest.approx(strengths.chances)


@pytest.mark.parametrize("seed", range(4))
def test_the_likelihood_of_fixed_jobs_never_falls_from_step_to_step(seed: int) -> None:
    one = random_sheet(seed)
    strengths = strengths_of(one)
    flat = replace(strengths, trust=np.full(len(strengths.trust), 1e-9))
    families = Families(one, strengths, {})
    net, dice = compile_network(shifted(one, 1.0, seed)), np.random.default_rng(seed)
    cases = [Case(families, drawn(net, dice)) for _ in range(25)]
    chances, before = strengths.chances, -np.inf
    for _ in range(6):
        counts = count(cases, chances)
        now = float(counts.log_likelihood.sum())
        assert now >= before - 1e-7
        chances, before = revised(flat, counts.by_job.sum(axis=0)), now


def drawn(net: Any, dice: np.random.Generator) -> dict[str, Table]:
    """Half of what one machine of this network shows."""
    states: dict[str, int] = {}
    rows: dict[str, Table] = {}
    for node in net.nodes.values():
        row = node.table[tuple(states[parent] for parent in node.parents)]
        states[node.name] = int(dice.choice(len(row), p=row / row.sum()))
        if dice.random() < 0.5 and node.role != "link":
            rows[node.name] = np.eye(len(row))[states[node.name]]
    return rows


@pytest.mark.parametrize("seed", range(6))
def test_rows_give_the_very_tables_that_the_sheet_compiles_to(seed: int) -> None:
    """The quick way from rows to tables and the sheet's own compiler agree, links, sweeps and changed rows included."""
    one = random_sheet(seed)
    other = shifted(one, 0.7, seed)
    strengths = strengths_of(one)
    leaves = [node.name for node in compile_network(one).of_role("finding")]
    swept = leaves[::2]
    quick = Families(one, strengths, {}).built(strengths_of(other).chances, leaves, swept)
    slow = compile_network(other, swept=frozenset(name.partition(":")[2] for name in swept))
    assert set(quick.nodes) == set(slow.nodes)
    for name, node in slow.nodes.items():
        np.testing.assert_allclose(quick.nodes[name].table, node.table, atol=1e-12)
        if node.gate is not None:
            gate = quick.nodes[name].gate
            assert gate is not None
            np.testing.assert_allclose(gate.background, node.gate.background, atol=1e-12)
            assert all(np.allclose(gate.causes[parent], node.gate.causes[parent]) for parent in node.gate.causes)


def test_rows_laid_over_a_sheet_that_has_other_numbers_are_named_and_left_alone() -> None:
    one, other = trial(), shifted(trial(), 0.5, 3)
    strengths = strengths_of(one)
    own = [strengths.named(line, strengths.chances) for line in range(len(strengths.rows))]
    rows = [
        Strength(place=row.place, had=had, learnt=had, jobs=1.0, trust=10.0)
        for row, had in zip(strengths.rows, own, strict=True)
    ]
    same, unfit = with_rows(one, rows)
    assert unfit == ()
    assert strengths_of(same).chances == pytest.approx(strengths.chances)
    left, unfit = with_rows(other, rows)
    assert set(unfit) == {row.place for row in rows}
    assert left is other
