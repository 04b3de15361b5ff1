"""Evidence that fits nothing well: what was answered, however unlikely by everything else that was answered.

For each piece of evidence: its chance given all the rest, against its chance with nothing known. Evidence that the rest
makes much less likely fits badly; the other evidence whose leaving out would make it fit best is what it disagrees
with. Source of the measure: F. V. Jensen and others, "Analysis in HUGIN of data conflict", Uncertainty in Artificial
Intelligence 1990 (from memory): conflict is ln(product of single chances / chance of all together).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from brasswright.judgement.compile import Table
    from brasswright.judgement.evidence import Item
    from brasswright.judgement.opinion import Judgement

__all__ = ["FITS_BADLY", "LITTLE", "Misfit", "conflict", "misfits"]

FITS_BADLY = 0.1
"""Evidence fits badly when the rest makes it less than this many times as likely as it was with nothing known..."""
LITTLE = 0.05
"""...and its chance given the rest is below this. Source of both: common practice, no source."""

PLAINLY = 0.2
"""Evidence about as likely as this by the samples fits; only the rest is worked out exactly."""
SAMPLES = 2000
SEED = 20_260_302
LEAVES = ("finding", "reading")


@dataclass(frozen=True, slots=True)
class Misfit:
    """Evidence that fits badly: in words, its chance given all else and alone, and what it disagrees with most."""

    words: str
    seq: int
    chance: float
    alone: float
    against: tuple[str, ...]

    @property
    def rarity(self) -> str:
        """How seldom it would be so, as a clause."""
        one_in = max(round(1.0 / max(self.chance, 1e-6)), 2)
        return f"given everything else, that would be so on 1 of {one_in:,} machines"

    @property
    def said(self) -> str:
        """The misfit as a sentence."""
        tail = f" It disagrees most with: {'; '.join(self.against)}." if self.against else ""
        return f"{self.words}: {self.rarity}.{tail} Look again."


def conflict(judgement: Judgement) -> float:
    """Return ln(product of the single chances / chance of all together): above zero, evidence disagrees."""
    items = judgement.evidence.items
    return math.fsum(map(math.log, _alone(judgement, items))) - _log(judgement, items)


def misfits(judgement: Judgement) -> tuple[Misfit, ...]:
    """Return the evidence that fits badly, worst first; conditions that a person set or found are not questioned.

    Samples tell quickly which evidence fits well; the rest is worked out exactly.
    """
    items = judgement.evidence.items
    asked = [item for item in items if not item.by_hand and item.row.min() < item.row.max()]
    doubtful = _doubtful(judgement, asked)
    whole = _log(judgement, items) if doubtful else 0.0
    found = []
    for item, alone in zip(doubtful, _alone(judgement, doubtful), strict=True):
        rest = [other for other in items if other is not item]
        given = whole - _log(judgement, rest)
        if given < math.log(LITTLE) and given - math.log(alone) < math.log(FITS_BADLY):
            found.append(Misfit(item.words, item.seq, math.exp(given), alone, _against(judgement, item, rest)))
    return tuple(sorted(found, key=lambda misfit: (misfit.chance, misfit.seq)))


def _doubtful(judgement: Judgement, items: list[Item]) -> list[Item]:
    """Leave out evidence that plainly fits: its chance given the rest is 1 / mean of 1 / (chance given the parts)."""
    if not items:
        return []
    drawn = judgement.engine.samples(judgement.network, judgement.rows, SAMPLES, SEED)
    return [item for item in items if _roughly(judgement, item, drawn) < PLAINLY]


def _roughly(judgement: Judgement, item: Item, drawn: Mapping[str, NDArray[np.int64]]) -> float:
    """Estimate a piece of evidence's chance given the rest; 0, which is looked into, where samples cannot tell."""
    node = judgement.network.nodes[item.node]
    if node.gate is None:
        single = np.flatnonzero(item.row).size == 1
        return 0.0 if single or item.node not in drawn else 1.0 / float(np.mean(1.0 / item.row[drawn[item.node]]))
    sums = np.ones((SAMPLES, len(node.states))) * node.gate.background
    for parent, rows in node.gate.causes.items():
        sums = sums * rows[drawn[parent]]
    chance = np.diff(sums, axis=1, prepend=0.0) @ item.row
    return 1.0 / float(np.mean(1.0 / np.maximum(chance, 1e-12)))


def _alone(judgement: Judgement, items: Sequence[Item]) -> list[float]:
    """Return each piece of evidence's chance with nothing known."""
    network, engine = judgement.network, judgement.engine
    leaves = {item.node: item.row[:, None] for item in items if network.nodes[item.node].role in LEAVES}
    roots = [item.node for item in items if item.node not in leaves]
    chances = {name: float(row @ _row(items, name)) for name, row in engine.posteriors(network, {}, roots).items()}
    if leaves:
        told = engine.outcomes(network, {}, {name: np.hstack([row, 1.0 - row]) for name, row in leaves.items()}, ())
        chances |= {
            name: float(chance) for (name, kind), chance in zip(told.rows, told.chance, strict=True) if kind == 0
        }
    return [max(chances[item.node], 1e-300) for item in items]


def _row(items: Sequence[Item], name: str) -> Table:
    return next(item.row for item in items if item.node == name)


def _against(judgement: Judgement, item: Item, rest: list[Item]) -> tuple[str, ...]:
    """Return the one or two other pieces without which this one would fit much better."""
    given = _log(judgement, [*rest, item]) - _log(judgement, rest)
    gains = []
    for other in rest:
        left = [one for one in rest if one is not other]
        gain = _log(judgement, [*left, item]) - _log(judgement, left) - given
        if gain > math.log(2.0):
            gains.append((gain, other.words))
    return tuple(words for _, words in sorted(gains, reverse=True)[:2])


def _log(judgement: Judgement, items: Sequence[Item]) -> float:
    return judgement.engine.log_evidence(judgement.network, {item.node: item.row for item in items})
