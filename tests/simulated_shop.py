"""Invented shops with many finished jobs: the truth is known, the sheet is off by as much as one likes.

The true strengths are the sheet's with every chance shifted by a normal draw in the logit. Machines are drawn from the
truth; a job enters some histories, findings and readings, then strips down most parts and enters what it found.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

import numpy as np

from brasswright import units
from brasswright.journal.entries import Answered, Entry, Found, Measured
from brasswright.journal.learnt import Strength
from brasswright.journal.replay import replay
from brasswright.judgement import readings
from brasswright.judgement.compile import compile_network, node_of
from brasswright.judgement.opinion import machine_facts
from brasswright.judgement.strengths import strengths_of, with_rows
from brasswright.judgement.truth import finished_job
from tests.builders import arrived

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.journal.entries import Body
    from brasswright.judgement.compile import Network
    from brasswright.judgement.truth import Finished
    from brasswright.sheets.model import Sheet

__all__ = ["Shares", "Shop", "shifted"]

SPRING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
MOST = 0.97


@dataclass(frozen=True, slots=True)
class Shares:
    """How much of a machine a job enters."""

    histories: float = 0.6
    findings: float = 0.4
    found: float = 0.85


def shifted(sheet: Sheet, sd: float, seed: int) -> Sheet:
    """The sheet with each worse state's chance moved by a normal draw of this spread in the logit; zeros stay zero."""
    strengths, dice = strengths_of(sheet), np.random.default_rng(seed)
    rows: list[Strength] = []
    for line, row in enumerate(strengths.rows):
        had = strengths.named(line, strengths.chances)
        worse = {state: _moved(chance, float(dice.normal(0.0, sd))) for state, chance in list(had.items())[1:]}
        over = max(math.fsum(worse.values()) / MOST, 1.0)
        worse = {state: chance / over for state, chance in worse.items()}
        learnt = {next(iter(had)): 1.0 - math.fsum(worse.values()), **worse}
        rows.append(Strength(place=row.place, had=had, learnt=learnt, jobs=0.0, trust=1.0))
    moved, unfit = with_rows(sheet, rows)
    assert not unfit
    return moved


def _moved(chance: float, by: float) -> float:
    if chance in {0.0, 1.0}:
        return chance
    return 1.0 / (1.0 + math.exp(-(math.log(chance / (1.0 - chance)) + by)))


class Shop:
    """A shop whose machines follow `truth` and whose jobs are pinned to `sheet`."""

    def __init__(self, sheet: Sheet, truth: Sheet, seed: int, shares: Shares | None = None) -> None:
        """Open the shop."""
        self.sheet, self.shares = sheet, shares or Shares()
        self.network: Network = compile_network(truth)
        self.facts = machine_facts(sheet)
        self.dice = np.random.default_rng(seed)

    def jobs(self, many: int, *, first: int = 1) -> tuple[Finished, ...]:
        """So many finished jobs, numbered from `first`."""
        made = (self._job(number) for number in range(first, first + many))
        return tuple(job for job in made if job is not None)

    def _job(self, number: int) -> Finished | None:
        entries = []
        start = SPRING + timedelta(days=number)
        bodies = (arrived(number=number, sheet=self.sheet.sheet.key), *self.told())
        for seq, body in enumerate(bodies, 1):
            at = start + timedelta(minutes=seq)
            entry = Entry.model_construct(
                id=UUID(int=number * 10_000 + seq), job=UUID(int=number), seq=seq, at=at, recorded_at=at, by="ic",
                body=body, prev="", digest=f"{number}-{seq}",
            )  # fmt: skip
            entries.append(entry)
        return finished_job(number, replay(entries), self.sheet)

    def told(self) -> tuple[Body, ...]:
        """All that is entered about one more machine, what was found last."""
        return tuple(self._told(self._machine()))

    def _machine(self) -> dict[str, int]:
        """One machine: the state of every node."""
        states: dict[str, int] = {}
        for node in self.network.nodes.values():
            row = node.table[tuple(states[parent] for parent in node.parents)]
            states[node.name] = int(np.searchsorted(np.cumsum(row), self.dice.random() * row.sum(), side="right"))
        return states

    def _told(self, states: dict[str, int]) -> Iterator[Body]:
        sheet, shares = self.sheet, self.shares
        for key, history in sheet.history.items():
            if self.dice.random() < shares.histories:
                yield Answered(question=key, answer=history.states[states[node_of("history", key)]], manner="seen")
        for key, finding in sheet.finding.items():
            if self.dice.random() < shares.findings:
                yield Answered(question=key, answer=finding.answers[states[node_of("finding", key)]])
        for key in sheet.reading:
            if self.dice.random() < shares.findings:
                yield from self._measured(key, states[node_of("reading", key)])
        for key, part in sheet.component.items():
            node = node_of("component", key)
            if node in states and self.dice.random() < shares.found:
                yield Found(component=key, condition=part.states[states[node]])

    def _measured(self, key: str, level: int) -> Iterator[Body]:
        reading = self.sheet.reading[key]
        levels = readings.levels_of(reading, self.facts)
        if levels is None or self.dice.random() > levels.numbers[level]:
            return
        value = math.exp(self.dice.normal(levels.centres[level], levels.spreads[level]))
        unit = units.parse(reading.plausible[0], dimension=units.dimension_of(reading.unit)).unit
        yield Measured(reading=key, text=f"{value:g}", value=value, sigma=0.0, unit=unit)
