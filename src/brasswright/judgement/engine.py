"""What the rest of judgement asks of whatever computes the odds: one small protocol, exact answers only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.judgement.compile import Network, Table

__all__ = ["Engine", "Outcomes", "hard_state"]


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What each open check would make of the odds.

    `rows` names (check, outcome number) of every row. `joint[component]` has one line for each row: the chance that the
    outcome comes and the component is in each state. `chance` is the chance of each row's outcome.
    """

    rows: tuple[tuple[str, int], ...]
    chance: NDArray[np.float64]
    joint: Mapping[str, NDArray[np.float64]]


class Engine(Protocol):
    """Exact inference in one compiled network."""

    def posteriors(self, network: Network, evidence: Mapping[str, Table], nodes: Iterable[str]) -> dict[str, Table]:
        """Chances of each named node's states, given the evidence.

        Raises:
            ZeroDivisionError: the evidence cannot happen together.
        """

    def log_evidence(self, network: Network, evidence: Mapping[str, Table]) -> float:
        """Natural logarithm of the evidence's chance (of its likelihood, for soft evidence); -inf if impossible."""

    def outcomes(
        self, network: Network, evidence: Mapping[str, Table], checks: Mapping[str, Table], components: Iterable[str]
    ) -> Outcomes:
        """What each open check would make of the named nodes.

        `checks` maps an unobserved node to its report: one row for each of its states, one column for each outcome,
        chances of the outcome in that state. For a question whose answer is the state itself that is the identity.
        """

    def samples(
        self, network: Network, evidence: Mapping[str, Table], n: int, seed: int
    ) -> dict[str, NDArray[np.int64]]:
        """Draw n exact joint samples of all histories and components given the evidence, as numbers of states."""


def hard_state(likelihood: Table) -> int | None:
    """Number of the only state that the likelihood leaves possible, or None when it leaves several."""
    left = np.flatnonzero(likelihood)
    return int(left[0]) if left.size == 1 else None
