"""What it costs to leave a component as it is, or to put it right, in each of its conditions: one table for all.

Judgement uses it to say what a check is worth, planning to weigh treatments. All figures are expected cost in whole
units of the sheet's currency at its price level; workshop prices and tax are the estimate's business.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet, Treatment

__all__ = ["LABOUR_RATE", "Loss", "losses", "treatment_cost"]

LABOUR_RATE = 45.0
"""Price of an hour at the bench unless told, in the sheet's currency. Source: common practice, no source."""
TWICE = 2.0
"""A condition that must be put right but was left is met again at proving: the work is then done over again."""


@dataclass(frozen=True, slots=True)
class Loss:
    """One component's expected costs by condition, best condition first.

    `leave[k]`: the machine goes home with condition k untouched. `put_right[k]`: the work is booked and done.
    A component that no treatment mends has only `leave`.
    """

    states: tuple[str, ...]
    leave: tuple[float, ...]
    put_right: tuple[float, ...] | None

    @property
    def actions(self) -> tuple[tuple[float, ...], ...]:
        """Rows of the matrix action x state, in the order leave, put right."""
        return (self.leave,) if self.put_right is None else (self.leave, self.put_right)


def treatment_cost(treatment: Treatment, sheet: Sheet, *, labour_rate: float = LABOUR_RATE) -> float:
    """Return the likely cost of one treatment: hands-on minutes, parts, and taking off and refitting what must be off.

    Opening units is left out, because one opening serves many treatments; planning prices it once.
    """
    minutes = math.fsum(step.minutes[1] for step in treatment.steps)
    cost = math.fsum(part.cost[1] for part in treatment.parts)
    for key in treatment.off:
        component = sheet.component.get(key)
        if component is not None:
            minutes += component.remove_minutes[1] + component.refit_minutes[1]
            cost += math.fsum(used.cost for used in component.consumes)
    return cost + minutes * labour_rate / 60.0


def losses(sheet: Sheet, *, labour_rate: float = LABOUR_RATE) -> dict[str, Loss]:
    """Return the losses of every component of a sheet.

    Putting right costs the cheapest treatment that takes the condition away, with the chance that it does not hold
    times what leaving would cost. Where nothing is wrong, or nothing helps, the cheapest treatment is paid in vain.
    A condition that must be put right costs at least twice the work when it is left.

    Args:
        sheet: the sheet.
        labour_rate: price of one hour, in the sheet's currency.
    """
    ways: dict[str, list[tuple[Treatment, float]]] = {key: [] for key in sheet.component}
    for treatment in sheet.treatment.values():
        cost = treatment_cost(treatment, sheet, labour_rate=labour_rate)
        for fix in treatment.fixes:
            if fix.of in ways:
                ways[fix.of].append((treatment, cost))
    return {key: _loss(key, sheet, ways[key]) for key in sheet.component}


def _loss(key: str, sheet: Sheet, ways: list[tuple[Treatment, float]]) -> Loss:
    component = sheet.component[key]
    left = [component.leaving.get(state, 0.0) for state in component.states]
    if not ways:
        return Loss(component.states, tuple(left), None)
    in_vain = min(cost for _, cost in ways)
    mended: list[float] = []
    for place, state in enumerate(component.states):
        helps = [
            cost + fix.residual * left[place]
            for treatment, cost in ways
            for fix in treatment.fixes
            if fix.of == key and state in fix.from_
        ]
        mended.append(min(helps) if helps else in_vain + left[place])
        if state in component.must:
            left[place] = max(left[place], TWICE * mended[place])
    return Loss(component.states, tuple(left), tuple(mended))
