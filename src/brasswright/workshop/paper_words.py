"""The small words of a paper: money, days, lists, odds of a fault, and what all of them are taken from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from brasswright.charts.conditions import LIKELY, spoken
from brasswright.reckoning.money import rounded
from brasswright.workshop.estimating import Estimated
from brasswright.workshop.folder import OpenJob
from brasswright.workshop.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from brasswright.journal.job import Job
    from brasswright.judgement.opinion import Judgement
    from brasswright.planning.model import Fault, Option, Problem
    from brasswright.reckoning.estimate import Estimate
    from brasswright.sheets.model import Sheet

__all__ = ["Basis", "and_more", "capital", "condition_words", "day", "listed", "lower", "whole", "whole_money"]

MINOR_PER_UNIT = 100
NAMED_WITH = 0.15
"""A second condition is named beside the likeliest from this chance on."""


@dataclass(frozen=True)
class Basis:
    """What a paper about money stands on: the job, the workshop's settings, and the estimate of the job."""

    opened: OpenJob
    settings: Settings
    estimated: Estimated

    @property
    def sheet(self) -> Sheet:
        """The sheet the job is pinned to."""
        return self.opened.sheet

    @property
    def job(self) -> Job:
        """The folded journal."""
        return self.opened.job

    @property
    def figures(self) -> Estimate:
        """The estimate's figures."""
        return self.estimated.estimate

    @property
    def problem(self) -> Problem:
        """The problem the plan answers."""
        return self.estimated.planned.problem

    @property
    def judgement(self) -> Judgement:
        """The odds the problem was built from."""
        return self.estimated.planned.judgement

    @cached_property
    def faults(self) -> dict[str, Fault]:
        """The problem's faults by id."""
        return {fault.id: fault for fault in self.problem.faults}

    @cached_property
    def options(self) -> dict[str, Option]:
        """The problem's treatments by id."""
        return {option.id: option for option in self.problem.options}

    def seen(self, fault: Fault) -> bool:
        """Whether somebody saw, found or set this condition, rather than the odds making it likely."""
        return self.judgement.odds[fault.component].stage in {"ink", "gone"}

    def money(self, minor: int) -> str:
        """Return whole money with its currency."""
        return whole_money(minor, self.figures.currency)

    def fault(self, fault: Fault) -> str:
        """Return a fault as "mains flex cracked"."""
        name = self.sheet.component[fault.component].name
        return f"{lower(name)} {spoken(fault.condition)}"

    def how_sure(self, fault: Fault) -> str:
        """Return how a condition is known: seen, likely or possible."""
        if fault.missing:
            return "missing"
        if self.seen(fault):
            return "seen"
        return "likely" if fault.probability >= LIKELY else "possible"


def condition_words(faults: Sequence[Fault], *, seen: bool) -> str:
    """Return the conditions of one component as "cracked, seen" or "likely hard or torn".

    `faults` are conditions of the same component; they exclude each other, so their chances add up.
    """
    ordered = sorted(faults, key=lambda fault: (-fault.probability, fault.id))
    if ordered[0].missing:
        return "missing"
    if seen:
        return f"{spoken(ordered[0].condition)}, seen"
    named = [ordered[0], *(fault for fault in ordered[1:2] if fault.probability >= NAMED_WITH)]
    said = " or ".join(spoken(fault.condition) for fault in named)
    return f"likely {said}" if sum(fault.probability for fault in faults) >= LIKELY else f"perhaps {said}"


def whole(minor: int) -> str:
    r"""Return minor units as whole units, thousands parted by a narrow space that does not break.

    >>> whole(260223).replace("\u202f", "_"), whole(49)
    ('2_602', '0')
    """
    return f"{rounded(minor / MINOR_PER_UNIT):,}".replace(",", "\u202f")


def whole_money(minor: int, currency: str) -> str:
    """Return minor units as whole money with its currency."""
    return f"{whole(minor)}\u00a0{currency}"


def day(moment: date) -> str:
    """Return a day as "4 March 2026"."""
    return f"{moment.day} {moment:%B} {moment.year}"


def lower(text: str) -> str:
    """Return the text with its first letter small, unless the word is an abbreviation.

    >>> lower("Mains flex"), lower("LED")
    ('mains flex', 'LED')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def capital(text: str) -> str:
    """Return the text with its first letter large."""
    return text[:1].upper() + text[1:]


def listed(words: Iterable[str]) -> str:
    """Return words as "a, b and c"."""
    each = list(words)
    return f"{', '.join(each[:-1])} and {each[-1]}" if len(each) > 1 else "".join(each)


def and_more(words: Sequence[str], most: int, *, joint: str = ", ") -> str:
    """Return the first few of these words, and how many more there are.

    >>> and_more(["flex", "plug", "feet"], 2)
    'flex, plug, and 1 more'
    """
    rest = len(words) - most
    return joint.join([*words[:most], *([f"and {rest} more"] if rest > 0 else [])])
