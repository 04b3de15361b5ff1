"""Which label stands at which place: the shortest leaders, which for that reason do not cross."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from tools.section.model import Drawing, Part, Place
from tools.section.paths import Point, polyline_crossing

__all__ = ["Label", "crossings", "lay_out"]

_WORTH_A_CHANGE = 1e-6


@dataclass(frozen=True, slots=True)
class Label:
    """A part's label: where it stands and the line to its dot."""

    part: Part
    place: Place
    leader: tuple[Point, ...]


def _length(part: Part, place: Place) -> float:
    """Length of the shortest straight leader from a place's elbow to the part."""
    return min(math.dist(place.leave[1], anchor) for anchor in part.anchors)


def _leader(part: Part, place: Place) -> tuple[Point, ...]:
    dot = min(part.anchors, key=lambda anchor: math.dist(place.leave[1], anchor))
    return (*place.leave, dot)


def _swapped(parts: list[Part], order: list[Place], i: int, j: int) -> float:
    """What the leaders together gain in length if two places change hands."""
    before = _length(parts[i], order[i]) if i < len(parts) else 0.0
    before += _length(parts[j], order[j]) if j < len(parts) else 0.0
    after = _length(parts[i], order[j]) if i < len(parts) else 0.0
    after += _length(parts[j], order[i]) if j < len(parts) else 0.0
    return before - after


def _shortest(parts: list[Part], places: list[Place]) -> list[Place]:
    """A place for each part: places change hands in pairs until no change shortens the leaders.

    Two straight leaders that cross can always be shortened by changing places, so none cross at the end
    (the level beginnings apart, which the caller checks).
    """
    order = sorted(places, key=lambda place: (place.y, place.x))
    parts_down = sorted(range(len(parts)), key=lambda i: parts[i].anchors[0][1])
    down = [parts[i] for i in parts_down]
    changed = True
    while changed:
        changed = False
        for i, j in combinations(range(len(order)), 2):
            if _swapped(down, order, i, j) > _WORTH_A_CHANGE:
                order[i], order[j] = order[j], order[i]
                changed = True
    found = dict(zip(parts_down, order, strict=False))
    return [found[i] for i in range(len(parts))]


def lay_out(drawing: Drawing) -> list[Label]:
    """A label for every part, top to bottom within each side."""
    parts, places = list(drawing.parts), list(drawing.places)
    if len(places) < len(parts):
        message = f"{len(parts)} parts, but only {len(places)} places for labels"
        raise ValueError(message)
    labels = []
    for part, place in zip(parts, _shortest(parts, places), strict=True):
        labels.append(Label(part, place, _leader(part, place)))
    return sorted(labels, key=lambda label: (label.place.side, label.place.y, label.place.x))


def crossings(labels: list[Label]) -> list[tuple[str, str]]:
    """Pairs of parts whose leaders cross."""
    return [
        (one.part.key, other.part.key)
        for one, other in combinations(labels, 2)
        if polyline_crossing(list(one.leader), list(other.leader))
    ]
