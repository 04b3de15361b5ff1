"""Solid bodies for sketches: a parallel projection, boxes and cylinders drawn by their visible faces."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tools.pictures.pen import Colour, Pen, Point

__all__ = ["Spot", "View", "hull"]

Spot = tuple[float, float, float]


def hull(points: list[Point]) -> list[Point]:
    """The outline round a set of points (monotone chain)."""

    def half(ordered: list[Point]) -> list[Point]:
        chain: list[Point] = []
        for p in ordered:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0:
                chain.pop()
            chain.append(p)
        return chain[:-1]

    ordered = sorted(set(points))
    return half(ordered) + half(ordered[::-1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


@dataclass(frozen=True, slots=True)
class View:
    """Where the origin falls on paper and how one millimetre along x, y and z is drawn."""

    origin: Point
    x: Point
    y: Point
    z: Point

    def at(self, spot: Spot) -> Point:
        """A spot in space, on paper."""
        a, b, c = spot
        return (
            self.origin[0] + a * self.x[0] + b * self.y[0] + c * self.z[0],
            self.origin[1] + a * self.x[1] + b * self.y[1] + c * self.z[1],
        )

    def ring(self, centre: Spot, radius: float, axis: str) -> list[Point]:
        """A circle round an axis (`x`, `y` or `z`), on paper."""
        points = []
        for i in range(48):
            u, v = radius * math.cos(i * math.pi / 24), radius * math.sin(i * math.pi / 24)
            offset = {"x": (0.0, u, v), "y": (u, 0.0, v), "z": (u, v, 0.0)}[axis]
            points.append(self.at((centre[0] + offset[0], centre[1] + offset[1], centre[2] + offset[2])))
        return points

    def cylinder(self, pen: Pen, ends: tuple[Spot, Spot], radii: tuple[float, float], axis: str) -> list[Point]:
        """A cylinder or cone from one end to the other, the second end in view. Returns its outline."""
        far, near = (self.ring(end, radius, axis) for end, radius in zip(ends, radii, strict=True))
        outline = hull(far + near)
        pen.shape(outline)
        pen.shape(near, fill=None, weight=2.6)
        return outline

    def slab(self, pen: Pen, low: Spot, high: Spot, seen: dict[str, Colour]) -> dict[str, list[Point]]:
        """A box between two corners; `seen` names the faces in view, back to front, and their colours."""
        (ax, ay, az), (bx, by, bz) = low, high
        corners = {
            "-x": [(ax, ay, az), (ax, by, az), (ax, by, bz), (ax, ay, bz)],
            "+x": [(bx, ay, az), (bx, by, az), (bx, by, bz), (bx, ay, bz)],
            "-y": [(ax, ay, az), (bx, ay, az), (bx, ay, bz), (ax, ay, bz)],
            "+y": [(ax, by, az), (bx, by, az), (bx, by, bz), (ax, by, bz)],
            "-z": [(ax, ay, az), (bx, ay, az), (bx, by, az), (ax, by, az)],
            "+z": [(ax, ay, bz), (bx, ay, bz), (bx, by, bz), (ax, by, bz)],
        }
        faces = {face: [self.at(corner) for corner in corners[face]] for face in seen}
        for face, colour in seen.items():
            pen.shape(faces[face], fill=colour)
        return faces
