"""Jobs on packaged sheets told in a line: answers, readings and what was found, judged.

`Kind` is one packaged sheet; the functions below it are those of the home spring-lever machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from brasswright import units
from brasswright.journal.entries import Answered, Body, Found, Identified, Measured, Started, Stopped
from brasswright.judgement.compile import node_of
from brasswright.judgement.opinion import Judgement, judge
from brasswright.sheets.load import load_packaged
from tests.builders import arrived, job_of

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

__all__ = [
    "COLD",
    "HOME",
    "Kind",
    "found",
    "history_odds",
    "judged",
    "likely",
    "measured",
    "missing",
    "opened",
    "sheet",
    "speaking",
    "trouble",
]

COLD = frozenset({"isolated", "cold_vented"})
"""What is released while a machine is looked through, cold, at the start."""


@cache
def _packaged(key: str) -> Sheet:
    return load_packaged(key).sheet


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of machine by the key of its packaged sheet."""

    key: str

    @property
    def sheet(self) -> Sheet:
        """The packaged sheet, read once."""
        return _packaged(self.key)

    def measured(self, reading: str, text: str) -> Measured:
        """One reading as typed."""
        unit = self.sheet.reading[reading].unit
        got = units.parse(text, dimension=units.dimension_of(unit))
        return Measured(reading=reading, text=text, value=got.value, sigma=got.sigma, unit=unit, censored=got.censored)

    def judged(self, *bodies: Body, released: frozenset[str] | None = None, **answers: str) -> Judgement:
        """The judgement of a job in which these questions were answered so and these things entered.

        Next checks are worked out only if `released` says which hold points are. An unknown question or answer is a
        mistake in the test.
        """
        for question, answer in answers.items():
            asked = self.sheet.finding.get(question)
            allowed = asked.answers if asked is not None else self.sheet.history[question].states
            assert answer in allowed, (question, answer, allowed)
        said = [Answered(question=question, answer=answer) for question, answer in answers.items()]
        job = job_of(arrived(), *said, *bodies)
        return judge(self.sheet, job, released=released or frozenset(), with_checks=released is not None)

    def opened(self, *units_: str) -> tuple[Body, ...]:
        """Units that were opened, as the journal tells it."""
        told: list[Body] = []
        for unit in units_:
            entry = self.sheet.unit[unit]
            told.append(Started(operation=f"open:{unit}", title=entry.name, acts=entry.does))
            told.append(Stopped(operation=f"open:{unit}", finished=True))
        return tuple(told)

    def speaking(self, judgement: Judgement, *parents: str) -> tuple[str, ...]:
        """The next checks, best first, that say something about one of these components or histories."""
        shows = {key: finding.shows for key, finding in self.sheet.finding.items()}
        shows.update({key: reading.shows for key, reading in self.sheet.reading.items()})
        return tuple(check.key for check in judgement.checks if any(c.of in parents for c in shows.get(check.key, ())))

    def history_odds(self, judgement: Judgement, history: str, state: str) -> float:
        """Chance of a history's state."""
        node = node_of("history", history)
        share = judgement.engine.posteriors(judgement.network, judgement.rows, [node])[node]
        return float(share[self.sheet.history[history].states.index(state)])


def found(component: str, condition: str) -> Found:
    """Strip-down truth."""
    return Found(component=component, condition=condition)


def missing(component: str) -> Identified:
    """A component that this machine never had."""
    return Identified(component=component, presence="absent")


def likely(judgement: Judgement, component: str, *conditions: str) -> float:
    """Chance that a component is in one of these conditions."""
    odds = judgement.odds[component]
    return sum(odds.p[odds.states.index(condition)] for condition in conditions)


def trouble(judgement: Judgement, component: str) -> float:
    """Chance that a component is worse than its best condition."""
    share = judgement.odds[component].trouble
    assert share is not None
    return share


HOME = Kind("home-spring-lever")


def sheet() -> Sheet:
    """The packaged sheet of the home spring-lever machine."""
    return HOME.sheet


measured = HOME.measured
judged = HOME.judged
opened = HOME.opened
speaking = HOME.speaking
history_odds = HOME.history_odds
