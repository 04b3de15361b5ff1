"""What each open check is worth: the expected drop of loss, per minute, within reach and never past a hold point.

Loss is summed over components; for each, the better of leaving it and putting it right, given the odds. A check's worth
is that sum now, less its expected value after the answer. One step ahead only: two checks that help only together
each seem worth nothing. Source: R. A. Howard, "Information value theory", IEEE Trans. SSC-2 (1966) (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, cast

import numpy as np

from brasswright.judgement import readings
from brasswright.judgement.compile import node_of
from brasswright.judgement.way_in import WayIn, way_in
from brasswright.sheets.model import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from brasswright.journal.job import Job
    from brasswright.judgement.compile import Network, Role, Table
    from brasswright.judgement.engine import Engine
    from brasswright.sheets.losses import Loss
    from brasswright.sheets.model import Reading, Sheet

__all__ = [
    "ASK_MINUTES",
    "NextCheck",
    "Placed",
    "Standing",
    "check_worths",
    "expected_loss",
    "next_checks",
    "perfect_worth",
    "place_check",
    "report_of",
]

ASK_MINUTES = 2.0
"""Minutes to ask an owner one question. Source: common practice, no source."""
LEAST_WORTH = 0.005
"""Worth below half a hundredth of the currency is nothing."""


@dataclass(frozen=True, slots=True)
class NextCheck:
    """A check that would pay: what to ask, its worth in the sheet's currency, its minutes, what to open first.

    `opens` is empty for a check within reach. `minutes` counts the opening. `per_minute` is worth over minutes;
    `cost` is the minutes at the labour rate and what the opening uses up, `per_money` the worth over that.
    """

    key: str
    kind: Literal["finding", "reading", "history"]
    zone: str
    ask: str
    worth: float
    minutes: float
    per_minute: float
    opens: tuple[str, ...] = ()
    caution: str = ""
    cost: float = 0.0

    @property
    def per_money(self) -> float:
        """Worth for each unit of money that the check costs."""
        return self.worth / self.cost if self.cost > 0.0 else math.inf

    @property
    def within_reach(self) -> bool:
        """Whether nothing has to be opened for it."""
        return not self.opens


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the job stands: what is open or off now, and which hold points are released."""

    open_: frozenset[str] = frozenset()
    released: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Placed:
    """A question nobody has answered yet, with its way in and the holds before it; `held` are those not released."""

    key: str
    kind: Literal["finding", "reading", "history"]
    zone: str
    ask: str
    minutes: float
    way: WayIn
    caution: str
    held: frozenset[str] = frozenset()


def expected_loss(odds: Mapping[str, Table], losses: Mapping[str, Loss]) -> float:
    """Return the loss to expect when each component gets the better action for its odds (node names as keys)."""
    return math.fsum(np.min(np.array(losses[name].actions) @ p) for name, p in odds.items())


def perfect_worth(odds: Mapping[str, Table], losses: Mapping[str, Loss]) -> float:
    """Return what knowing every condition would be worth: no check can be worth more."""
    known = sum(np.min(np.array(losses[name].actions), axis=0) @ p for name, p in odds.items())
    return expected_loss(odds, losses) - float(known)


def check_worths(
    engine: Engine,
    network: Network,
    rows: Mapping[str, Table],
    reports: Mapping[str, Table],
    losses: Mapping[str, Loss],
) -> dict[str, float]:
    """Return each check's expected drop of loss.

    Args:
        engine: what computes the odds.
        network: the compiled sheet.
        rows: evidence by node.
        reports: open check (node) -> its states x outcomes.
        losses: by node of the components that count.
    """
    if not reports:
        return {}
    outcomes = engine.outcomes(network, rows, reports, losses)
    before = engine.posteriors(network, rows, losses)
    drop = np.zeros(len(outcomes.rows))
    for name, loss in losses.items():
        actions = np.array(loss.actions)
        best_now = int(np.argmin(actions @ before[name]))
        after = outcomes.joint[name] @ actions.T
        drop += after[:, best_now] - after.min(axis=1)  # staying with today's action, less the best after the answer
    worths = dict.fromkeys(reports, 0.0)
    for (check, _), gain in zip(outcomes.rows, drop, strict=True):
        worths[check] += float(gain)
    return worths


def next_checks(
    engine: Engine,
    network: Network,
    rows: Mapping[str, Table],
    asked: tuple[Sheet, Job, Standing, Mapping[str, Loss], float],
) -> tuple[tuple[NextCheck, ...], tuple[str, ...]]:
    """Return the checks that would pay, best first, and the keys of those that wait behind a hold point.

    Checks within reach come first, by worth per minute; then those for which something must be opened, with the
    opening's minutes counted.
    """
    sheet, job, standing, losses, labour_rate = asked
    by_node = {node_of("component", key): loss for key, loss in losses.items()}
    counted = {name: loss for name, loss in by_node.items() if name in network.nodes}
    candidates = [one for one in place_check(sheet, job, standing) if node_of(one.kind, one.key) not in rows]
    behind = tuple(one.key for one in candidates if one.held)
    candidates = [one for one in candidates if not one.held]
    reports = {
        node_of(one.kind, one.key): report
        for one in candidates
        for report in [report_of((one.kind, one.key), sheet, network)]
        if report is not None
    }
    worths = check_worths(engine, network, rows, reports, counted)
    checks = [
        _check(one, worths.get(node_of(one.kind, one.key), 0.0), _used_up(one, sheet), labour_rate)
        for one in candidates
    ]
    paying = [check for check in checks if check.worth >= LEAST_WORTH]
    return tuple(sorted(paying, key=lambda check: (bool(check.opens), -check.per_minute, check.key))), behind


def _check(one: Placed, worth: float, used_up: float, labour_rate: float) -> NextCheck:
    minutes = one.minutes + one.way.minutes
    cost = used_up + minutes * labour_rate / 60.0
    opens, caution = one.way.opens, one.caution
    return NextCheck(one.key, one.kind, one.zone, one.ask, worth, minutes, worth / minutes, opens, caution, cost)


def _used_up(one: Placed, sheet: Sheet) -> float:
    """Return the price of what the way in uses up: gaskets, washers, bolts."""
    opened = (sheet.unit.get(key) or sheet.component[key] for key in one.way.opens)
    return math.fsum(thing.cost for entry in opened for thing in entry.consumes)


def report_of(check: tuple[str, str], sheet: Sheet, network: Network) -> Table | None:
    """Return what a check (kind and key) reports: its states x its outcomes; None where it can tell nothing."""
    kind, key = check
    node = network.nodes[node_of(cast("Role", kind), key)]
    if kind != "reading":
        return np.eye(len(node.states)) if node.parents or kind == "history" else None
    levels = readings.levels_of(sheet.reading[key], network.facts)
    return None if levels is None or not node.parents else readings.report(levels)


def place_check(sheet: Sheet, job: Job, standing: Standing) -> Iterable[Placed]:
    """Go over every open question, with the quickest way to it from what is open now."""
    for key, history in sheet.history.items():
        if not _answered(job, key):
            yield Placed(key, "history", "", history.ask, ASK_MINUTES, WayIn(), "")
    for key, finding in sheet.finding.items():
        if not _answered(job, key) and key not in job.sweeps:
            yield from _placed(sheet, standing, key, finding)
    for key, reading in sheet.reading.items():
        if key not in job.readings:
            yield from _placed(sheet, standing, key, reading)


def _placed(sheet: Sheet, standing: Standing, key: str, check: Finding | Reading) -> Iterable[Placed]:
    """Place a check: its zone's access and holds are its own too, unless it is meant to be asked before any opening."""
    zone = sheet.zone.get(check.zone)
    if zone is None or (isinstance(check, Finding) and check.ask_first):
        access, needs = check.access, frozenset(check.needs)
    else:
        access, needs = (*zone.access, *check.access), frozenset(check.needs) | frozenset(zone.needs)
    way = way_in(sheet, access, standing.open_)
    if way is None:
        return
    holds = way.holds | needs
    way = WayIn(way.opens, way.minutes, holds)
    if isinstance(check, Finding):
        yield Placed(
            key, "finding", check.zone, check.look, check.minutes, way, check.caution, holds - standing.released
        )
    else:
        yield Placed(
            key, "reading", check.zone, check.ask, check.minutes, way, check.caution, holds - standing.released
        )


def _answered(job: Job, key: str) -> bool:
    """Whether a question is settled; "cannot see yet" is asked again once work has gone on."""
    noted = job.answers.get(key)
    if noted is None:
        return False
    if noted.body.aside != "cannot see yet":
        return True
    went_on = [deed.seq for deed in job.deeds] + [moved.seq for moved in job.moved.values()]
    return max(went_on, default=0) < noted.seq
