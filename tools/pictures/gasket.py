"""The group from below: gasket brittle, screen clogged."""

from __future__ import annotations

import math

from tools.pictures.pen import INK, SHADE, Colour, Pen, Point, arc, box, smooth

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)
CENTRE: Point = (780, 560)
CRUST: Colour = (120, 116, 106)


def _polar(radius: float, turn: float) -> Point:
    return (
        CENTRE[0] + radius * math.cos(math.radians(turn)),
        CENTRE[1] + 0.97 * radius * math.sin(math.radians(turn)),
    )


def _ring(radius: float, start: float = 0, end: float = 360) -> list[Point]:
    return arc(CENTRE, (radius, radius * 0.97), start, end)


def _sector(inner: float, outer: float, start: float, end: float) -> list[Point]:
    return _ring(outer, start, end) + _ring(inner, start, end)[::-1]


def _bayonet(pen: Pen) -> None:
    pen.hatch([(0, 0), (1600, 0), (1600, 1128), (0, 1128)], angle=35, pitch=26, weight=0.8)
    pen.wash(_ring(540), SHADE, 0.5)
    pen.shape(_ring(510), fill=LIGHT, weight=4.6)
    pen.line(_ring(494), 1.8)
    rim = _sector(424, 494, 20, 340)
    pen.hatch(rim, angle=70, pitch=15, weight=1.0)
    pen.shape(_ring(424), fill=(170, 184, 194), weight=4)
    for turn in (30, 150, 270):
        lug = _sector(392, 466, turn - 38, turn + 38)
        pen.shape(lug, fill=LIGHT, weight=3.6)
        pen.line(_ring(404, turn - 34, turn + 34), 1.6)
    for turn in (-16, 104, 224):
        a, b = _polar(476, turn), _polar(500, turn)
        pen.line([a, b], 5)


def _gasket(pen: Pen) -> None:
    band = _ring(372)
    pen.shape(band, fill=(72, 90, 104), weight=4)
    pen.hatch(_sector(286, 370, 0, 359), angle=45, pitch=10, weight=1.5)
    for turn in (6, 33, 71, 98, 131, 166, 190, 221, 262, 300, 331):
        outer = _polar(370, turn + pen.chance(-3, 3))
        middle = _polar(334, turn + pen.chance(-4, 4))
        inner = _polar(292 + pen.chance(0, 26), turn + pen.chance(-5, 5))
        pen.line([outer, middle, inner], 6)
        pen.line([(p[0] + 4, p[1] + 3) for p in (outer, middle, inner)], 2.2, LIGHT)
    for turn, span in ((84, 9), (205, 6), (312, 11)):
        missing = [
            _polar(374, turn - span),
            _polar(344, turn - span * 0.6),
            _polar(352, turn + 2),
            _polar(332, turn + span),
            _polar(374, turn + span),
        ]
        pen.shape(missing, fill=(170, 184, 194), weight=3)
        pen.hatch(missing, angle=-30, pitch=8, weight=1.2)


def _screen(pen: Pen) -> None:
    pen.shape(_ring(286), fill=(226, 231, 230), weight=4.4)
    pen.line(_ring(270), 2)
    clogged = 0
    for ring in range(1, 9):
        count = 6 * ring
        for i in range(count):
            x, y = _polar(31 * ring, 360 * i / count + 11 * ring)
            if pen.chance(0, 1) < 0.22:
                pen.shape(arc((x, y), (7.5, 7.5)), fill=INK, weight=1)
            else:
                clogged += 1
                pen.line(arc((x, y), (7.5, 7.5)), 1.4)
                pen.stipple(arc((x, y), (7, 7)), 3, 1.8, CRUST)
    for turn, radius, size in ((200, 150, 120), (20, 190, 90), (95, 90, 110), (300, 200, 84)):
        x, y = _polar(radius, turn)
        blot = []
        for i in range(14):
            reach = size * pen.chance(0.66, 1.1)
            blot.append((x + reach * math.cos(i * math.pi / 7), y + reach * 0.9 * math.sin(i * math.pi / 7)))
        blot = smooth([*blot, blot[0]])
        pen.within(_ring(284))
        pen.wash(blot, CRUST, 0.5)
        pen.stipple(blot, 330, 2.2)
        pen.within(None)
    pen.shape(arc(CENTRE, (30, 29)), fill=LIGHT, weight=3.4)
    pen.line([(CENTRE[0] - 24, CENTRE[1] - 8), (CENTRE[0] + 24, CENTRE[1] + 8)], 8)


def _notes(pen: Pen) -> None:
    for text, at, start, end in (
        ("gasket: breaks under a nail", (1180, 110), (1290, 126), _polar(352, -34)),
        ("screen: one hole in five open", (1150, 1060), (1240, 1022), _polar(208, 34)),
    ):
        left, base = at
        wide = pen.width(text, 30)
        pen.shape(box(left - 16, base - 38, left + wide + 16, base + 16), fill=LIGHT, weight=2)
        pen.words(at, text, 30)
        pen.line([start, end], 2.2)
        pen.shape(arc(end, (6, 6)), fill=INK, weight=1)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _bayonet(pen)
    _gasket(pen)
    _screen(pen)
    _notes(pen)
    return "Group from below: gasket and screen"
