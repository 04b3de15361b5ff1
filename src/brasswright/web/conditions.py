"""How much of a machine is known, as a bar of ink, pencil and bare paper; and odds as ten squares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.judgement.opinion import Odds

__all__ = ["Known", "known", "tenths"]


@dataclass(frozen=True, slots=True)
class Known:
    """How much of a machine is known: components in ink, in pencil and on bare paper, and the bar's four corners."""

    inked: int
    pencilled: int
    blank: int
    total: int
    pencil_from: float
    blank_from: float
    inked_width: float
    pencil_width: float
    blank_width: float
    words: str


BAR = 200.0


def known(odds: Iterable[Odds]) -> Known:
    """Return how much of a machine is known; a component that is known to be gone counts as seen."""
    stages = [one.stage for one in odds]
    inked = sum(stage in {"ink", "gone"} for stage in stages)
    pencilled = stages.count("pencil")
    total = len(stages)
    scale = BAR / total if total else 0.0
    first, second = round(inked * scale, 1), round((inked + pencilled) * scale, 1)
    return Known(
        inked=inked,
        pencilled=pencilled,
        blank=total - inked - pencilled,
        total=total,
        pencil_from=first,
        blank_from=second,
        inked_width=first,
        pencil_width=round(second - first, 1),
        blank_width=round(BAR - second, 1),
        words=f"{inked} of {total} inked, {pencilled} pencilled",
    )


def tenths(p: tuple[float, ...]) -> tuple[int, ...]:
    """Return ten squares shared out by the odds, largest remainders first; they always add up to ten.

    >>> tenths((0.1, 0.2, 0.7))
    (1, 2, 7)
    """
    if not p:
        return ()
    whole = [int(chance * 10 + 1e-9) for chance in p]
    order = sorted(range(len(p)), key=lambda place: whole[place] - p[place] * 10)
    for place in order[: 10 - sum(whole)]:
        whole[place] += 1
    return tuple(whole)
