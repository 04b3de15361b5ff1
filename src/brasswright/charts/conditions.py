"""How a component's odds are drawn and said: stage, rank and word, the same on drawing, list, page and paper.

Paper is not known, pencil is odds only, ink is seen or measured. A ladder of any length is drawn in four ranks: the
first condition is 0, the last is 3, those between are spread over 1 and 2.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.sheets.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.judgement.opinion import Odds

__all__ = ["LIKELY", "Shown", "rank", "shown", "spoken"]

WORST = 3
LIKELY = 0.5
"""From these odds on a condition is called likely; below, "perhaps"."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One component as drawn and said: `css` are the classes of part, label and swatch, `word` is the condition."""

    key: str
    name: str
    css: str
    word: str


def rank(place: int, length: int) -> int:
    """Return the rank (0 best to 3 worst) in which the condition at `place` of a ladder is drawn.

    >>> [rank(place, 3) for place in range(3)], [rank(place, 5) for place in range(5)]
    ([0, 1, 3], [0, 1, 1, 2, 3])
    """
    if place == 0:
        return 0
    if place >= length - 1:
        return WORST
    return 1 if length <= WORST else 1 + int((place - 1) / (length - WORST) + 0.49)


def shown(odds: Odds, people: Mapping[str, str]) -> Shown:
    """Return how one component is drawn and said."""
    css, word = _drawn(odds)
    if odds.set_by:
        css, word = f"{css} fixed", f"{word}, set by {people.get(odds.set_by, odds.set_by)}"
    if odds.presence in {"foreign", "extra"}:
        word = f"{word}, {odds.presence}"
    return Shown(odds.component, odds.name, css, word)


def _drawn(odds: Odds) -> tuple[str, str]:
    if odds.stage == "gone":
        return "absent", odds.presence
    if odds.stage in {"paper", "silent"} or not odds.p:
        return "unknown", "not known"
    best = max(range(len(odds.p)), key=odds.p.__getitem__)
    said = spoken(odds.states[best])
    mark = f"r{rank(best, len(odds.states))}"
    if odds.stage == "ink":
        return f"ink {mark}", said
    return f"pencil {mark}", f"likely {said}" if odds.p[best] >= LIKELY else f"perhaps {said}"
