"""The flex where it enters the case: rubber cracked round the bushing, a core showing."""

from __future__ import annotations

import math

from tools.pictures.pen import SHADE, Colour, Pen, Point, arc, smooth

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)
RUBBER: Colour = (92, 112, 128)

_RUN: list[Point] = [
    (640, 560),
    (820, 556),
    (980, 592),
    (1120, 690),
    (1230, 830),
    (1330, 960),
    (1480, 1060),
    (1640, 1110),
]


def _tube(line: list[Point], radius: float) -> list[Point]:
    left, right = [], []
    for i, (x, y) in enumerate(line):
        (ax, ay), (bx, by) = line[max(0, i - 1)], line[min(len(line) - 1, i + 1)]
        length = math.hypot(bx - ax, by - ay)
        nx, ny = -(by - ay) / length * radius, (bx - ax) / length * radius
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    return left + right[::-1]


def _wall(pen: Pen) -> None:
    face = [(0, 0), (520, 0), (470, 1130), (0, 1130)]
    pen.shape(face, fill=(228, 233, 232))
    pen.hatch(face, angle=86, pitch=17, weight=0.9)
    pen.shape([(520, 0), (566, 0), (516, 1130), (470, 1130)], fill=LIGHT)
    pen.hatch([(520, 0), (566, 0), (516, 1130), (470, 1130)], angle=45, pitch=12, weight=1.6)
    pen.shape(arc((300, 210), (40, 40)), fill=LIGHT)
    pen.line([(276, 196), (324, 226)], 8)
    pen.wash([(330, 700), (480, 640), (474, 1000), (390, 1050)], SHADE, 0.5)
    pen.stipple([(330, 700), (480, 640), (474, 1000), (390, 1050)], 420, 2.4)


def _bushing(pen: Pen) -> None:
    pen.shape([(330, 380), (430, 352), (430, 768), (330, 740)], fill=RUBBER)
    pen.shape([*arc((520, 560), (72, 232), -90, 90), *arc((440, 560), (66, 214), 90, 270)], fill=RUBBER, weight=4)
    pen.shape([(540, 400), (660, 448), (676, 470), (676, 650), (660, 676), (540, 722)], fill=RUBBER, weight=4)
    for i, x in enumerate((566, 594, 622, 650)):
        pen.line([(x, 412 + 10 * i), (x, 708 - 11 * i)], 4)
    pen.hatch([(540, 560), (676, 560), (676, 650), (660, 676), (540, 722)], angle=20, pitch=8, weight=1.4)
    pen.shape(arc((678, 560), (22, 88)), fill=(52, 68, 80))
    for start in (-50, -10, 60, 110):
        across, down = 520 + 60 * math.cos(math.radians(start)), 560 + 190 * math.sin(math.radians(start))
        pen.line([(across - dx, down + dy) for dx, dy in ((0, 0), (24, 14), (30, 40), (52, 52))], 3, LIGHT)


def _flex(pen: Pen) -> None:
    run = smooth(_RUN, 14)
    shadow = [(x + 26, y + 44) for x, y in run]
    pen.wash(_tube(shadow, 40), (122, 161, 199), 0.35)
    sheath = _tube(run, 46)
    pen.shape(sheath, fill=RUBBER, weight=4)
    lower = _tube([(x - 6, y + 26) for x, y in run], 18)
    pen.hatch(lower, angle=30, pitch=8, weight=1.3)
    high = _tube([(x + 8, y - 24) for x, y in run], 4)
    pen.wash(high, LIGHT, 0.5)


def _cracks(pen: Pen) -> None:
    gap = smooth(
        [(742, 512), (778, 500), (846, 508), (872, 534), (856, 580), (820, 606), (764, 598), (734, 560), (742, 512)]
    )
    pen.shape(gap, fill=(40, 54, 66), weight=4)
    pen.within(gap)
    for shift, colour in ((-34, LIGHT), (-2, SHADE), (32, (203, 190, 140))):
        core = _tube(smooth([(700, 552 + shift), (800, 548 + shift), (910, 566 + shift)]), 13)
        pen.shape(core, fill=colour, weight=2.6)
    for i in range(5):
        pen.line(smooth([(784, 541 + i * 4), (806, 538 + i * 4), (828, 541 + i * 4)]), 1.6, (140, 92, 24))
    pen.within(None)
    for x, y, length in (
        (890, 520, 70),
        (934, 548, 84),
        (706, 506, 78),
        (984, 566, 66),
        (1034, 606, 60),
        (1080, 640, 44),
    ):
        tilt = pen.chance(-14, 14)
        crack = [
            (x, y),
            (x - 8 + tilt * 0.3, y + length * 0.35),
            (x + 6 + tilt * 0.6, y + length * 0.6),
            (x - 4 + tilt, y + length),
        ]
        pen.line(crack, 6, (24, 36, 46))
        pen.line([(px + 4, py) for px, py in crack], 1.8, LIGHT)
    for _ in range(26):
        crumb = (pen.chance(700, 1060), pen.chance(730, 830))
        pen.shape(arc(crumb, (pen.chance(3, 8), pen.chance(2, 5))), fill=RUBBER, weight=1.4)


def _note(pen: Pen) -> None:
    pen.line([(876, 330), (836, 480)], 2)
    pen.words((730, 312), "inner core bare, about 6 mm", 32)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _wall(pen)
    _flex(pen)
    _bushing(pen)
    _cracks(pen)
    _note(pen)
    return "Flex at the bushing: rubber cracked all round"
