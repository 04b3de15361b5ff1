"""What a section drawing is made of: parts, label places, seals, zones."""

from __future__ import annotations

from dataclasses import dataclass

from tools.section.paths import Point

__all__ = ["Drawing", "Part", "Place", "Seal"]


@dataclass(frozen=True, slots=True)
class Part:
    """One component: its shape, its material's hatch and where its leader may end."""

    key: str
    name: str
    zone: str
    material: str
    body: str
    anchors: tuple[Point, ...]
    void: str = ""
    line: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A free place for a label: the middle of its swatch, and the side its leader leaves."""

    x: float
    y: float
    side: str
    """`left`: words left of the swatch, leader to the right; `right` and `top`: the reverse."""

    @property
    def leave(self) -> list[Point]:
        """The level beginning of the leader, from swatch to elbow."""
        step = 1 if self.side == "left" else -1
        return [(self.x + 6 * step, self.y), (self.x + 14 * step, self.y)]


@dataclass(frozen=True, slots=True)
class Seal:
    """A hold point's seal: its number, where the disc hangs, what its wire goes through."""

    hold: str
    disc: Point
    eye: Point


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole section drawing, ready to be written."""

    title: str
    caption: tuple[str, ...]
    size: tuple[int, int]
    parts: tuple[Part, ...]
    places: tuple[Place, ...]
    seals: tuple[Seal, ...]
    ground: tuple[float, float, float]
    centre_lines: str
    behind: str
    level: tuple[float, float, float]
    ticks: tuple[Point, ...]
    heading: Point
