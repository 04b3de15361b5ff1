"""The lagging seen by torch through a slot of the case; nobody touched it."""

from __future__ import annotations

import math

from tools.pictures.pen import Colour, Pen, Point, arc, box, smooth

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)
DARK: Colour = (36, 50, 62)
FIBRE: Colour = (222, 216, 200)


def _slot(left: float, right: float) -> list[Point]:
    middle, half = (left + right) / 2, (right - left) / 2
    return [*arc((middle, 220), (half, half * 0.8), 180, 360), *arc((middle, 900), (half, half * 0.8), 0, 180)]


def _case(pen: Pen) -> None:
    pen.shape(box(0, 0, 1600, 1128), fill=(222, 228, 229), weight=0)
    pen.hatch(box(0, 0, 1600, 1128), angle=88, pitch=16, weight=0.8)
    for left, right in ((60, 170), (1260, 1370), (1450, 1560)):
        slot = _slot(left, right)
        pen.shape(slot, fill=DARK, weight=4)
        pen.line([(x + 8, y) for x, y in slot[len(slot) // 2 :]], 1.8, LIGHT)
    for cx, cy in ((250, 90), (1200, 90), (250, 1050), (1200, 1050)):
        pen.shape(arc((cx, cy), (24, 24)), fill=LIGHT)
        pen.line([(cx - 15, cy + 6), (cx + 15, cy - 6)], 7)


def _inside(pen: Pen, slot: list[Point]) -> None:
    pen.shape(slot, fill=DARK, weight=0)
    pen.within(slot)
    lit = [(330, 250), (1120, 330), (1120, 860), (420, 960), (330, 900)]
    pen.wash(lit, (92, 112, 128), 0.7)
    shell = box(250, -20, 560, 1140)
    pen.shape(shell, fill=(203, 212, 216), weight=3.4)
    for i in range(18):
        pen.line([(256 + i * 15 + i * i * 0.25, -20), (256 + i * 15 + i * i * 0.25, 1140)], 1.2)
    edge: list[Point] = [(560 + 12 * math.sin(i * 1.1) + pen.chance(-26, 30), -20 + i * 26) for i in range(46)]
    lagging = [*smooth(edge, 3), (930, 1150), (930, -20)]
    pen.shape(lagging, fill=FIBRE, weight=3.4, waver=2.2)
    pen.within(slot)
    for i in range(66):
        top = -14 + i * 17.5
        left = pen.chance(560, 620)
        wave = [(left + j * 26, top + 7 * math.sin(j * 1.3 + i) + pen.chance(-3, 3)) for j in range(15)]
        pen.line(smooth([p for p in wave if p[0] < 930], 4), 1.5)
    for i in range(70):
        x, y = edge[i % 46]
        turn = pen.chance(150, 215)
        reach = pen.chance(20, 66)
        tip = (x + reach * math.cos(math.radians(turn)), y + reach * math.sin(math.radians(turn)) + pen.chance(-14, 20))
        pen.line(smooth([(x + 8, y), ((x + tip[0]) / 2, (y + tip[1]) / 2 - 8), tip], 5), 1.5)
    pen.stipple([(600, 860), (900, 900), (900, 1120), (600, 1120)], 160, 2.4)
    band = [(540, 520), (936, 500), (936, 566), (548, 590)]
    pen.shape(band, fill=(170, 184, 194), weight=3.4)
    pen.hatch(band, angle=70, pitch=11, weight=1.2)
    pen.shape(box(930, -20, 1130, 1150), fill=DARK, weight=3)
    pen.within(None)


def _light(pen: Pen, slot: list[Point]) -> None:
    pen.within(slot)
    beam = [(1180, 1010), (470, 250), (420, 330), (400, 760), (460, 880)]
    for dark in (
        [(300, -30), (1130, -30), (1130, 330), (700, 240), (480, 170), (300, 290)],
        [(300, 1150), (300, 800), (520, 940), (900, 1010), (1130, 1150)],
    ):
        pen.wash(dark, DARK, 0.62)
        pen.hatch(dark, angle=30, pitch=9, weight=1.4)
    pen.wash(beam, LIGHT, 0.26)
    pen.within(None)
    pen.line([*slot, slot[0]], 5)
    pen.line(slot[: len(slot) // 2 + 2], 2)


def _torch(pen: Pen) -> None:
    foot, head = (1660, 1150), (1236, 962)
    length = math.hypot(head[0] - foot[0], head[1] - foot[1])
    ux, uy = (head[0] - foot[0]) / length, (head[1] - foot[1]) / length

    def at(along: float, aside: float) -> Point:
        return (foot[0] + ux * along - uy * aside, foot[1] + uy * along + ux * aside)

    pen.wash(
        [(x + 24, y + 40) for x, y in (at(0, -60), at(length, -84), at(length, 84), at(0, 60))], (122, 161, 199), 0.5
    )
    pen.shape([at(0, -58), at(length - 130, -58), at(length - 130, 58), at(0, 58)], fill=(92, 112, 128), weight=4)
    pen.hatch([at(0, 0), at(length - 130, 0), at(length - 130, 58), at(0, 58)], angle=24, pitch=9, weight=1.4)
    pen.shape(
        [
            at(length - 130, -58),
            at(length - 70, -86),
            at(length, -88),
            at(length, 88),
            at(length - 70, 86),
            at(length - 130, 58),
        ],
        fill=LIGHT,
        weight=4,
    )
    for along in (length - 60, length - 44, length - 28):
        pen.line([at(along, -84), at(along, 84)], 2.2)
    rim = [
        (
            head[0] + 88 * (-uy) * math.sin(t) + 26 * ux * math.cos(t),
            head[1] + 88 * ux * math.sin(t) + 26 * uy * math.cos(t),
        )
        for t in (i * math.pi / 20 for i in range(41))
    ]
    pen.shape(rim, fill=LIGHT, weight=3.4)
    for aside in (-60, 0, 60):
        pen.line([at(length + 40, aside), at(length + 110, aside * 1.35)], 2)


def _notes(pen: Pen) -> None:
    pen.shape(box(1148, 560, 1560, 742), fill=LIGHT, weight=2.6)
    pen.words((1172, 612), "fibrous, frayed, one band.", 31)
    pen.words((1172, 656), "Kind not known: looked at", 31)
    pen.words((1172, 700), "from outside, not touched.", 31)
    pen.line([(1148, 640), (880, 680)], 2.6, LIGHT)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _case(pen)
    slot = _slot(330, 1110)
    _inside(pen, slot)
    _light(pen, slot)
    _torch(pen)
    _notes(pen)
    return "Lagging by torch through the case slot, not touched"
