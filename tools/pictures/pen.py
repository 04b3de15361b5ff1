"""A pen for sketches: wavering ink lines, hatching, washes and a caption, the same bytes every time.

Coordinates are pixels of the finished picture, 1600 wide and 1200 high; inside, everything is drawn at twice the
size and reduced, so that lines are smooth.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image, ImageChops, ImageDraw, ImageFont

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = [
    "INK",
    "PAPER",
    "SHADE",
    "VERDIGRIS",
    "Colour",
    "Pen",
    "Point",
    "arc",
    "box",
    "rounded",
    "smooth",
]

Point = tuple[float, float]
Colour = tuple[int, int, int]

PAPER: Colour = (238, 241, 238)
INK: Colour = (21, 34, 44)
SOFT_INK: Colour = (69, 84, 94)
SHADE: Colour = (195, 214, 232)
VERDIGRIS: Colour = (126, 170, 160)

WIDTH, HEIGHT, FOOT = 1600, 1200, 72
_SCALE = 2
_STEP = 14.0
_FONTS = Path(__file__).parents[2] / "src" / "brasswright" / "web" / "static" / "fonts"


def smooth(points: Sequence[Point], steps: int = 10) -> list[Point]:
    """A curve through the points."""
    padded = [points[0], *points, points[-1]]
    curve: list[Point] = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for i in range(steps):
            t = i / steps
            curve.append(
                (
                    _between(t, (p0[0], p1[0], p2[0], p3[0])),
                    _between(t, (p0[1], p1[1], p2[1], p3[1])),
                )
            )
    return [*curve, points[-1]]


def _between(t: float, four: tuple[float, float, float, float]) -> float:
    a, b, c, d = four
    return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)


def arc(centre: Point, radii: Point, start: float = 0, end: float = 360) -> list[Point]:
    """Points along an ellipse, degrees clockwise from the right."""
    count = max(8, int(abs(end - start) / 5))
    turns = [math.radians(start + (end - start) * i / count) for i in range(count + 1)]
    return [(centre[0] + radii[0] * math.cos(t), centre[1] + radii[1] * math.sin(t)) for t in turns]


def box(left: float, top: float, right: float, bottom: float) -> list[Point]:
    """The corners of an upright rectangle."""
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def rounded(corners: Sequence[Point], radius: float) -> list[Point]:
    """An upright rectangle (see `box`) with its corners rounded."""
    (left, top), _, (right, bottom), _ = corners
    r = (radius, radius)
    return [
        *arc((left + radius, top + radius), r, 180, 270),
        *arc((right - radius, top + radius), r, 270, 360),
        *arc((right - radius, bottom - radius), r, 0, 90),
        *arc((left + radius, bottom - radius), r, 90, 180),
    ]


class Pen:
    """One sheet of paper and the pen drawing on it."""

    def __init__(self, seed: int) -> None:
        self._paper = Image.new("RGB", (WIDTH * _SCALE, HEIGHT * _SCALE), PAPER)
        self._draw = ImageDraw.Draw(self._paper)
        self._chance = random.Random(seed)  # noqa: S311  the waver of a line, not a secret
        self._inside: Image.Image | None = None

    def within(self, outline: Sequence[Point] | None) -> None:
        """From now on draw only inside an outline; None lifts that."""
        self._inside = None if outline is None else self._mask(outline)

    def line(self, points: Sequence[Point], weight: float = 3.4, colour: Colour = INK, waver: float = 1.0) -> None:
        """An ink line with a hand's waver."""
        self._on_layer([self._by_hand(points, waver)], weight, colour)

    def shape(
        self, points: Sequence[Point], fill: Colour | None = PAPER, weight: float = 3.4, waver: float = 1.0
    ) -> None:
        """A closed outline, filled so that it covers what lies behind; weight 0 leaves the edge out."""
        outline = self._by_hand([*points, points[0]], waver)
        if fill is not None:
            self._flood(outline, fill, 255)
        if weight:
            self._on_layer([[*outline, outline[1]]], weight, INK)

    def wash(self, outline: Sequence[Point], colour: Colour = SHADE, strength: float = 0.6) -> None:
        """A thin wash over whatever is there."""
        self._flood(outline, colour, int(255 * strength))

    def hatch(self, outline: Sequence[Point], angle: float = 45, pitch: float = 13, weight: float = 1.5) -> None:
        """Parallel strokes inside an outline."""
        xs, ys = [p[0] for p in outline], [p[1] for p in outline]
        middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        reach = math.hypot(max(xs) - min(xs), max(ys) - min(ys)) / 2 + pitch
        ux, uy = math.cos(math.radians(angle)), -math.sin(math.radians(angle))
        strokes = []
        offset = -reach
        while offset < reach:
            shift = offset + self._chance.uniform(-0.12, 0.12) * pitch
            cx, cy = middle[0] - uy * shift, middle[1] + ux * shift
            strokes.append(self._by_hand([(cx - ux * reach, cy - uy * reach), (cx + ux * reach, cy + uy * reach)], 0.6))
            offset += pitch
        kept = self._inside
        mask = self._mask(outline)
        self._inside = mask if kept is None else ImageChops.multiply(mask, kept)
        self._on_layer(strokes, weight, INK)
        self._inside = kept

    def stipple(self, outline: Sequence[Point], count: int, size: float = 2.2, colour: Colour = INK) -> None:
        """Dots strewn inside an outline."""
        xs, ys = [p[0] for p in outline], [p[1] for p in outline]
        mask = self._mask(outline)
        if self._inside is not None:
            mask = ImageChops.multiply(mask, self._inside)
        layer = Image.new("L", self._paper.size, 0)
        dots = ImageDraw.Draw(layer)
        for _ in range(count):
            x, y = self._chance.uniform(min(xs), max(xs)) * _SCALE, self._chance.uniform(min(ys), max(ys)) * _SCALE
            r = size * self._chance.uniform(0.6, 1.4) * _SCALE
            dots.ellipse((x - r, y - r, x + r, y + r), fill=255)
        self._paper.paste(colour, (0, 0), ImageChops.multiply(layer, mask))

    def chance(self, low: float, high: float) -> float:
        """A number between two others, the same in every run."""
        return self._chance.uniform(low, high)

    def words(self, at: Point, text: str, size: float = 34, *, heading: bool = False, colour: Colour = INK) -> None:
        """Lettering; `at` is the left end of its base line."""
        self._draw.text(
            (at[0] * _SCALE, at[1] * _SCALE), text, font=_font(size * _SCALE, heading=heading), fill=colour, anchor="ls"
        )

    def width(self, text: str, size: float, *, heading: bool = False) -> float:
        """How wide lettering will be."""
        return _font(size * _SCALE, heading=heading).getlength(text) / _SCALE

    def finish(self, caption: str, path: Path) -> None:
        """Write the caption that says this is a drawing, and the picture."""
        self._inside = None
        top = HEIGHT - FOOT
        self._flood(box(0, top, WIDTH, HEIGHT), (250, 251, 249), 255)
        self._draw.line([(0, top * _SCALE), (WIDTH * _SCALE, top * _SCALE)], fill=INK, width=5)
        self.words((36, HEIGHT - 24), caption, 30)
        note = "drawing, not a photograph"
        self.words((WIDTH - 36 - self.width(note, 30, heading=True), HEIGHT - 24), note, 30, heading=True)
        small = self._paper.resize((WIDTH, HEIGHT), Image.Resampling.LANCZOS)
        small.save(path, "JPEG", quality=80, optimize=True, progressive=False, subsampling=2)

    def _by_hand(self, points: Iterable[Point], waver: float) -> list[Point]:
        """The same line in short steps, each a little off, the offsets changing slowly."""
        line = list(points)
        drawn: list[Point] = [line[0]]
        dx = dy = 0.0
        for (ax, ay), (bx, by) in pairwise(line):
            steps = max(1, int(math.hypot(bx - ax, by - ay) / _STEP))
            for i in range(1, steps + 1):
                dx = 0.75 * dx + self._chance.uniform(-0.6, 0.6) * waver
                dy = 0.75 * dy + self._chance.uniform(-0.6, 0.6) * waver
                drawn.append((ax + (bx - ax) * i / steps + dx, ay + (by - ay) * i / steps + dy))
        return drawn

    def _mask(self, outline: Sequence[Point]) -> Image.Image:
        mask = Image.new("L", self._paper.size, 0)
        ImageDraw.Draw(mask).polygon([(x * _SCALE, y * _SCALE) for x, y in outline], fill=255)
        return mask

    def _flood(self, outline: Sequence[Point], colour: Colour, strength: int) -> None:
        if self._inside is None and strength == 255:
            self._draw.polygon([(x * _SCALE, y * _SCALE) for x, y in outline], fill=colour)
            return
        mask = self._mask(outline)
        if self._inside is not None:
            mask = ImageChops.multiply(mask, self._inside)
        self._paper.paste(colour, (0, 0), mask.point([value * strength // 255 for value in range(256)]))

    def _on_layer(self, strokes: list[list[Point]], weight: float, colour: Colour) -> None:
        width = max(1, round(weight * _SCALE))
        if self._inside is None:
            for stroke in strokes:
                self._draw.line([(x * _SCALE, y * _SCALE) for x, y in stroke], fill=colour, width=width, joint="curve")
            return
        layer = Image.new("L", self._paper.size, 0)
        pencil = ImageDraw.Draw(layer)
        for stroke in strokes:
            pencil.line([(x * _SCALE, y * _SCALE) for x, y in stroke], fill=255, width=width, joint="curve")
        self._paper.paste(colour, (0, 0), ImageChops.multiply(layer, self._inside))


def _font(size: float, *, heading: bool) -> ImageFont.FreeTypeFont:
    name = "besley-latin-wght-normal.woff2" if heading else "atkinson-hyperlegible-next-latin-wght-normal.woff2"
    font = ImageFont.truetype(_FONTS / name, round(size))
    font.set_variation_by_axes([600 if heading else 500])
    return font
