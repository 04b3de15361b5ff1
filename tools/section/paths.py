"""Path makers for section drawings: small functions that return SVG path text.

Lengths are drawing units (900 wide for a whole drawing), y grows downwards.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise

__all__ = [
    "Point",
    "both",
    "circle",
    "coil",
    "mirror",
    "number",
    "poly",
    "polyline_crossing",
    "rect",
    "tube",
    "turned",
    "whole",
]

Point = tuple[float, float]

_ARC_STEPS = 5
_TURN_STEPS = 4
_OPERANDS = {"M": "xy", "L": "xy", "H": "x", "V": "y", "C": "xyxyxy", "Q": "xyxy", "Z": ""}


def number(value: float) -> str:
    """A coordinate with at most one decimal and no trailing zero."""
    return f"{round(value, 1):.1f}".removesuffix(".0")


def poly(points: list[Point]) -> str:
    """A closed polygon."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"


def rect(left: float, top: float, right: float, bottom: float) -> str:
    """A rectangle by its edges."""
    return f"M{number(left)} {number(top)}H{number(right)}V{number(bottom)}H{number(left)}Z"


def circle(x: float, y: float, radius: float) -> str:
    """A full circle as two arcs."""
    r, across = number(radius), number(2 * radius)
    return f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0 -{across} 0Z"


def mirror(path: str, axis: float) -> str:
    """The same path turned over a vertical axis; absolute M L H V C Q Z only."""
    turned_over = []
    for letter, operands in re.findall(r"([A-Za-z])([^A-Za-z]*)", path):
        if letter not in _OPERANDS:
            message = f"cannot mirror the path command {letter!r} in {path!r}"
            raise ValueError(message)
        kinds = _OPERANDS[letter]
        values = [float(word) for word in re.findall(r"-?[\d.]+", operands)]
        if kinds:
            values = [2 * axis - value if kinds[i % len(kinds)] == "x" else value for i, value in enumerate(values)]
        turned_over.append(letter + " ".join(number(value) for value in values))
    return "".join(turned_over)


def both(axis: float, path: str) -> str:
    """A path and its mirror image about a vertical axis."""
    return path + mirror(path, axis)


def whole(axis: float, half: list[Point]) -> str:
    """One outline from its left half, listed from the axis round to the axis again."""
    return poly(half + [(2 * axis - x, y) for x, y in reversed(half) if x != axis])


def _rounded(points: list[Point], radius: float) -> list[Point]:
    """The polyline with each inner corner replaced by a short curve."""
    line = [points[0]]
    for (ax, ay), (bx, by), (cx, cy) in zip(points, points[1:], points[2:], strict=False):
        before, after = math.hypot(ax - bx, ay - by), math.hypot(cx - bx, cy - by)
        reach = min(radius, before / 2, after / 2)
        start = (bx + (ax - bx) * reach / before, by + (ay - by) * reach / before)
        end = (bx + (cx - bx) * reach / after, by + (cy - by) * reach / after)
        for step in range(_ARC_STEPS + 1):
            t = step / _ARC_STEPS
            u, v, w = (1 - t) ** 2, 2 * t * (1 - t), t**2
            line.append(
                (
                    u * start[0] + v * bx + w * end[0],
                    u * start[1] + v * by + w * end[1],
                )
            )
    line.append(points[-1])
    return line


def tube(points: list[Point], width: float, radius: float = 8) -> str:
    """The outline of a bent tube or wire with square ends."""
    line = _rounded(points, radius)
    left: list[Point] = []
    right: list[Point] = []
    for i, (x, y) in enumerate(line):
        (ax, ay), (bx, by) = line[max(i - 1, 0)], line[min(i + 1, len(line) - 1)]
        length = math.hypot(bx - ax, by - ay)
        nx, ny = -(by - ay) / length * width / 2, (bx - ax) / length * width / 2
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    return poly(left + right[::-1])


def turned(foot: Point, head: Point, profile: list[Point]) -> str:
    """A turned shape (a handle) along a line; the profile lists (distance, half width)."""
    length = math.hypot(head[0] - foot[0], head[1] - foot[1])
    ux, uy = (head[0] - foot[0]) / length, (head[1] - foot[1]) / length
    smooth: list[Point] = []
    padded = [profile[0], *profile, profile[-1]]
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for step in range(_TURN_STEPS):
            t = step / _TURN_STEPS
            smooth.append((_between(t, (p0[0], p1[0], p2[0], p3[0])), _between(t, (p0[1], p1[1], p2[1], p3[1]))))
    smooth.append(profile[-1])
    one = [(foot[0] + ux * d - uy * w, foot[1] + uy * d + ux * w) for d, w in smooth]
    other = [(foot[0] + ux * d + uy * w, foot[1] + uy * d - ux * w) for d, w in smooth]
    return poly(one + other[::-1])


def _between(t: float, four: tuple[float, float, float, float]) -> float:
    """Catmull-Rom interpolation between the second and the third of four values, 0 <= t <= 1."""
    a, b, c, d = four
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)


def coil(left: float, right: float, tops: list[float], rise: float, wire: float) -> str:
    """A spring cut on its axis: a circle per cut, and the far half of each coil."""
    radius = wire / 2
    cuts = [(left, y) for y in tops] + [(right, y + rise) for y in tops]
    bands = []
    for y in tops:
        length = math.hypot(right - left, rise)
        ux, uy = (right - left) / length, rise / length
        bands.append(
            tube(
                [(left + ux * radius, y + uy * radius), (right - ux * radius, y + rise - uy * radius)],
                wire * 0.86,
            )
        )
    return "".join(circle(x, y, radius) for x, y in cuts) + "".join(bands)


def crossing(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the straight pieces a-b and c-d cross or touch."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0


def polyline_crossing(one: list[Point], other: list[Point]) -> bool:
    """Whether two polylines cross anywhere."""
    return any(crossing(a, b, c, d) for a, b in pairwise(one) for c, d in pairwise(other))
