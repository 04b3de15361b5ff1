"""The home spring-lever sheet, and jobs told in a line: answers, readings and what was found, judged."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from brasswright import units
from brasswright.journal.entries import Answered, Body, Found, Measured, Started, Stopped
from brasswright.judgement.compile import node_of
from brasswright.judgement.opinion import Judgement, judge
from brasswright.sheets.load import load_packaged
from tests.builders import arrived, job_of

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

__all__ = ["COLD", "found", "history_odds", "judged", "likely", "measured", "opened", "sheet", "speaking", "trouble"]

COLD = frozenset({"isolated", "cold_vented"})
"""What is released while a machine is looked through, cold, at the start."""


@cache
def sheet() -> Sheet:
    """The packaged sheet."""
    return load_packaged("home-spring-lever").sheet


def measured(reading: str, text: str) -> Measured:
    """One reading as typed."""
    unit = sheet().reading[reading].unit
    got = units.parse(text, dimension=units.dimension_of(unit))
    return Measured(reading=reading, text=text, value=got.value, sigma=got.sigma, unit=unit, censored=got.censored)


def found(component: str, condition: str) -> Found:
    """Strip-down truth."""
    return Found(component=component, condition=condition)


def judged(*bodies: Body, released: frozenset[str] | None = None, **answers: str) -> Judgement:
    """The judgement of a job in which these questions were answered so and these things entered.

    Next checks are worked out only if `released` says which hold points are.
    """
    said = [Answered(question=question, answer=answer) for question, answer in answers.items()]
    job = job_of(arrived(), *said, *bodies)
    return judge(sheet(), job, released=released or frozenset(), with_checks=released is not None)


def opened(*units_: str) -> tuple[Body, ...]:
    """Units that were opened, as the journal tells it."""
    told: list[Body] = []
    for unit in units_:
        told.append(Started(operation=f"open:{unit}", title=sheet().unit[unit].name, acts=sheet().unit[unit].does))
        told.append(Stopped(operation=f"open:{unit}", finished=True))
    return tuple(told)


def speaking(judgement: Judgement, *parents: str) -> tuple[str, ...]:
    """The next checks, best first, that say something about one of these components or histories."""
    shows = {key: finding.shows for key, finding in sheet().finding.items()}
    shows.update({key: reading.shows for key, reading in sheet().reading.items()})
    return tuple(check.key for check in judgement.checks if any(c.of in parents for c in shows.get(check.key, ())))


def likely(judgement: Judgement, component: str, *conditions: str) -> float:
    """Chance that a component is in one of these conditions."""
    odds = judgement.odds[component]
    return sum(odds.p[odds.states.index(condition)] for condition in conditions)


def trouble(judgement: Judgement, component: str) -> float:
    """Chance that a component is worse than its best condition."""
    share = judgement.odds[component].trouble
    assert share is not None
    return share


def history_odds(judgement: Judgement, history: str, state: str) -> float:
    """Chance of a history's state."""
    node = node_of("history", history)
    share = judgement.engine.posteriors(judgement.network, judgement.rows, [node])[node]
    return float(share[sheet().history[history].states.index(state)])
