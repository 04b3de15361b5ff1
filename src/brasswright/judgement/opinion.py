"""The judgement of a job: the odds of every component, how well each is known, and the next checks.

A pure function of sheet and journal. A condition is drawn in one of five ways: *ink* (a person found or set it, or saw
something that settles it), *pencil* (evidence moved the odds), *paper* (nothing known beyond the sheet), *gone* (not
there) and *silent* (the sheet cannot speak about it).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np

from brasswright.journal.job import Job
from brasswright.judgement.compile import MachineFacts, Network, Table, compile_network, node_of
from brasswright.judgement.engine import Engine, hard_state
from brasswright.judgement.evidence import Evidence, Item, gather, settle
from brasswright.judgement.overlay import Overlay, overlaid
from brasswright.judgement.treated import Treated, spared, treated
from brasswright.judgement.tree import TreeEngine
from brasswright.judgement.way_in import open_now
from brasswright.judgement.worth import NextCheck, Standing, next_checks
from brasswright.sheets.losses import LABOUR_RATE, Loss, losses
from brasswright.sheets.model import Sheet

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from brasswright.journal.entries import Learnt
    from brasswright.journal.job import Noted

__all__ = ["DECISIVE", "Judgement", "Odds", "Stage", "judge", "machine_facts", "presence_of", "priors", "swept_only"]

Stage = Literal["paper", "pencil", "ink", "gone", "silent"]

MOVED = 1e-3
"""Share of probability that evidence must move before the odds count as moved."""
DECISIVE = 0.9
"""A finding seen on the component itself settles it when one condition reaches these odds..."""
SPEAKS_PLAINLY = 10.0
"""...and the finding alone tells conditions apart by this factor. Source of both: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Odds:
    """The odds of one component: `p` and `prior` by state, best first; both empty where nothing can be said.

    `set_by` is who found or set the condition, empty otherwise. `presence` is "fitted" unless the journal says else.
    """

    component: str
    name: str
    states: tuple[str, ...]
    p: tuple[float, ...]
    prior: tuple[float, ...]
    stage: Stage
    set_by: str = ""
    presence: str = "fitted"

    @property
    def likeliest(self) -> str:
        """The likeliest condition, empty where nothing can be said."""
        return self.states[int(np.argmax(self.p))] if self.p else ""

    @property
    def trouble(self) -> float | None:
        """Chance that the component is worse than its best condition."""
        return 1.0 - self.p[0] if self.p else None


@dataclass(frozen=True, eq=False)
class Judgement:
    """What the sheet makes of the journal. `behind_holds` are open checks that wait for a hold point's release.

    `treated` are finished treatments by component: the odds tell how it came. `standing` is what is open and which hold
    points are released. `learning` is what was laid over the sheet, if any.
    """

    sheet: Sheet
    job: Job
    odds: Mapping[str, Odds]
    checks: tuple[NextCheck, ...]
    warnings: tuple[str, ...]
    behind_holds: tuple[str, ...]
    network: Network
    engine: Engine
    evidence: Evidence
    losses: Mapping[str, Loss]
    standing: Standing = field(default_factory=Standing)
    learning: Overlay | None = None
    treated: Mapping[str, tuple[Treated, ...]] = field(default_factory=dict)
    _kept: dict[str, dict[str, Table]] = field(default_factory=dict, repr=False)

    @property
    def rows(self) -> dict[str, Table]:
        """Evidence as the engine takes it: likelihood by node."""
        return self.evidence.rows

    def samples(self, n: int, seed: int) -> dict[str, NDArray[np.int64]]:
        """Draw n exact joint samples: number of the state by component. Silent and missing components are left out.

        Conditions set by hand are that condition in every sample.
        """
        drawn = self.engine.samples(self.network, self.rows, n, seed)
        found: dict[str, NDArray[np.int64]] = {}
        for key, odds in self.odds.items():
            if odds.set_by:
                found[key] = np.full(n, int(np.argmax(odds.p)), dtype=np.int64)
            elif odds.p:
                found[key] = drawn[node_of("component", key)]
        return found

    def without(self, item: Item) -> dict[str, Table]:
        """Return the chances of every component's node if this one piece of evidence were not there."""
        if item.node not in self._kept:
            rows = {node: row for node, row in self.rows.items() if node != item.node}
            if hard_state(item.row) != 0:  # a flat row says nothing, and the engine can keep its tree's shape
                rows[item.node] = np.ones_like(item.row)
            names = [node.name for node in self.network.of_role("component")]
            self._kept[item.node] = self.engine.posteriors(self.network, rows, names)
        return self._kept[item.node]


def machine_facts(sheet: Sheet, job: Job | None = None) -> MachineFacts:
    """Return what the plate says, from the journal where it was entered or corrected, else from the sheet."""
    return MachineFacts(
        (job.rated_voltage_v if job is not None else None) or sheet.sheet.rated_voltage_v,
        (job.rated_power_w if job is not None else None) or sheet.sheet.rated_power_w,
    )


def presence_of(job: Job) -> dict[str, str]:
    """Return what the journal says about each component's being there."""
    return {key: noted.body.presence for key, noted in job.presence.items()}


def swept_only(job: Job) -> frozenset[str]:
    """Return the questions that were looked at in a sweep and never answered singly."""
    single = {key for key, noted in job.answers.items() if noted.body.aside is None}
    return frozenset(job.sweeps) - single


def priors(sheet: Sheet) -> dict[str, tuple[float, ...]]:
    """Return each component's chances with nothing known; components without numbers are left out."""
    network = compile_network(sheet)
    nodes = network.of_role("component")
    odds = TreeEngine().posteriors(network, {}, [node.name for node in nodes])
    return {node.key: tuple(map(float, odds[node.name])) for node in nodes}


def judge(  # noqa: PLR0913 - keyword-only after sheet and job
    sheet: Sheet,
    job: Job,
    *,
    released: frozenset[str] = frozenset(),
    labour_rate: float = LABOUR_RATE,
    engine: Engine | None = None,
    with_checks: bool = True,
    learnt: Noted[Learnt] | None = None,
) -> Judgement:
    """Judge a job by its sheet.

    Args:
        sheet: the sheet the job is pinned to.
        job: the folded journal.
        released: keys of the hold points that are released now; no check is proposed past another.
        labour_rate: price of an hour, in the sheet's currency; it sets what a check is worth.
        engine: what computes the odds; the junction tree by default.
        with_checks: also work out the next checks, which takes most of the time.
        learnt: what the workshop learned for this sheet and adopted; its rows take the place of the sheet's own.

    Never raises for what a person entered: what cannot be understood or cannot all be so becomes a warning.
    """
    engine = engine or TreeEngine()
    sheet, overlay = overlaid(sheet, learnt)
    network = compile_network(sheet, machine_facts(sheet, job), presence_of(job), swept=swept_only(job))
    evidence = settle(engine, network, gather(sheet, job, network))
    names = [node.name for node in network.of_role("component")]
    now = engine.posteriors(network, evidence.rows, names)
    before = engine.posteriors(network, {}, names) if evidence.items else now
    odds = {key: _odds(key, (sheet, job, network, evidence), now, before) for key in sheet.component}
    done = treated(sheet, job, network, evidence.items)
    table = spared(losses(sheet, labour_rate=labour_rate), done)
    standing = Standing(open_now(job, sheet), released)
    asked = (sheet, job, standing, table, labour_rate)
    checks, behind = next_checks(engine, network, evidence.rows, asked) if with_checks else ((), ())
    warnings = (*network.warnings, *evidence.warnings, *(overlay.warnings if overlay else ()))
    known = (sheet, job, odds, checks, warnings, behind, network, engine, evidence, table, standing, overlay, done)
    return Judgement(*known)


def _odds(
    key: str,
    known: tuple[Sheet, Job, Network, Evidence],
    now: Mapping[str, Table],
    before: Mapping[str, Table],
) -> Odds:
    sheet, job, network, evidence = known
    component, node = sheet.component[key], node_of("component", key)
    presence = job.presence[key].body.presence if key in job.presence else "fitted"
    states = component.states
    if key in network.gone:
        return Odds(key, component.name, states, (), (), "gone", presence=presence)
    prior = tuple(map(float, before[node])) if node in before else ()
    condition, by = _set_by_hand(job, key)
    if condition in states:
        exact = tuple(float(state == condition) for state in states)
        return Odds(key, component.name, states, exact, prior, "ink", by, presence)
    if key in network.silent:
        return Odds(key, component.name, states, (), (), "silent", presence=presence)
    p = tuple(map(float, now[node]))
    return Odds(key, component.name, states, p, prior, _stage(node, p, prior, network, evidence), presence=presence)


def _set_by_hand(job: Job, key: str) -> tuple[str | None, str]:
    """Return the condition a person found or set, the later of the two, and who."""
    found, fixed = job.found.get(key), job.fixed.get(key)
    if fixed is not None and fixed.body.condition is not None and (found is None or fixed.seq > found.seq):
        return fixed.body.condition, fixed.by
    return (found.body.condition, found.by) if found is not None else (None, "")


def _stage(node: str, p: tuple[float, ...], prior: tuple[float, ...], network: Network, evidence: Evidence) -> Stage:
    own = [item for item in evidence.items if node in network.causes_of(item.node)]
    if max(p) >= DECISIVE and any(item.sees and _speaks_plainly(item, node, network) for item in own):
        return "ink"
    moved = 0.5 * math.fsum(abs(a - b) for a, b in zip(p, prior, strict=True)) > MOVED
    return "pencil" if own or moved else "paper"


def _speaks_plainly(item: Item, node: str, network: Network) -> bool:
    """Whether a finding on the component itself tells its conditions apart, all other parts being sound."""
    leaf = network.nodes[item.node]
    if node not in leaf.parents:  # one of many causes, behind a link
        return False
    place = tuple(slice(None) if parent == node else 0 for parent in leaf.parents)
    agree = leaf.table[place] @ item.row
    return bool(agree.max() >= SPEAKS_PLAINLY * max(agree.min(), 1e-12))
