"""The same protocol on a general library for Bayesian networks: slower, and there to check the tree against.

Three habits of that library matter here: its arrays have their axes the other way round, evidence is handed over whole
each time, and targets are left at their default.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pyagrum

from brasswright.judgement.engine import Outcomes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from numpy.typing import NDArray

    from brasswright.judgement.compile import Network, Table

__all__ = ["PyAgrumEngine"]


class PyAgrumEngine:
    """Exact inference by lazy propagation, one run for each question."""

    def posteriors(self, network: Network, evidence: Mapping[str, Table], nodes: Iterable[str]) -> dict[str, Table]:
        """Chances of each named node's states; ZeroDivisionError if the evidence cannot happen together."""
        inference = self._run(_net(network), evidence)
        return {name: inference.posterior(name).toarray().astype(np.float64) for name in nodes}

    def log_evidence(self, network: Network, evidence: Mapping[str, Table]) -> float:
        """Natural logarithm of the evidence's chance; -inf if it cannot happen together."""
        try:
            inference = self._run(_net(network), evidence)
        except ZeroDivisionError:
            return -math.inf
        return math.log(inference.evidenceProbability()) if evidence else 0.0

    def outcomes(
        self, network: Network, evidence: Mapping[str, Table], checks: Mapping[str, Table], components: Iterable[str]
    ) -> Outcomes:
        """What each open check would make of the named components, one run for each outcome."""
        net, wanted = _net(network), tuple(components)
        before = self._run(net, evidence)
        labels: list[tuple[str, int]] = []
        chances: list[float] = []
        joint: dict[str, list[Table]] = {name: [] for name in wanted}
        for check, report in checks.items():
            odds = before.posterior(check).toarray()
            for outcome in range(report.shape[1]):
                chance = float(odds @ report[:, outcome])
                labels.append((check, outcome))
                chances.append(chance)
                after = self._run(net, {**evidence, check: report[:, outcome]}) if chance > 0 else before
                for name in wanted:
                    joint[name].append(chance * after.posterior(name).toarray())
        return Outcomes(tuple(labels), np.array(chances), {name: np.array(rows) for name, rows in joint.items()})

    def samples(
        self, network: Network, evidence: Mapping[str, Table], n: int, seed: int
    ) -> dict[str, NDArray[np.int64]]:
        """Draw n joint samples node by node, each given those before it; one run for each prefix that was drawn."""
        random = np.random.default_rng(seed)
        names = [node.name for node in network.of_role("history", "component", "link")]
        net = _net(network)
        drawn = np.zeros((len(names), n), dtype=np.int64)
        for place, name in enumerate(names):
            uniform = random.random(n)
            prefixes, which = (
                np.unique(drawn[:place], axis=1, return_inverse=True) if place else (None, np.zeros(n, int))
            )
            for group in range(int(which.max()) + 1):
                given = dict(evidence)
                for other, state in zip(names, [] if prefixes is None else prefixes[:, group], strict=False):
                    given[other] = np.eye(len(network.nodes[other].states))[state]
                sums = np.cumsum(self._run(net, given).posterior(name).toarray())
                mine = which.ravel() == group
                drawn[place, mine] = np.minimum(np.searchsorted(sums, uniform[mine], side="right"), sums.size - 1)
        return dict(zip(names, drawn, strict=True))

    @staticmethod
    def _run(net: Any, evidence: Mapping[str, Table]) -> Any:  # the library ships no types
        inference = pyagrum.LazyPropagation(net)  # type: ignore[no-untyped-call]
        inference.setEvidence({name: [float(x) for x in row] for name, row in evidence.items()})
        try:
            inference.makeInference()
            if evidence and inference.evidenceProbability() <= 0.0:
                raise ZeroDivisionError("the evidence has chance zero")
        except (pyagrum.IncompatibleEvidence, pyagrum.UndefinedElement) as refused:
            raise ZeroDivisionError("the evidence has chance zero") from refused
        return inference


def _net(network: Network) -> Any:  # the library ships no types
    net = pyagrum.BayesNet()  # type: ignore[no-untyped-call]
    for node in network.nodes.values():
        labels = [f"s{i}" for i in range(len(node.states))]
        net.add(pyagrum.LabelizedVariable(node.name, node.name, labels))  # type: ignore[no-untyped-call]
    for node in network.nodes.values():
        for parent in node.parents:
            net.addArc(parent, node.name)
        table = net.cpt(node.name)
        order = [*node.parents, node.name]
        axes = [order.index(name) for name in reversed(table.names)]
        table[:] = np.ascontiguousarray(node.table.transpose(axes))
    return net
