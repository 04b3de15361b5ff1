"""The machine as it lay in the car boot: on its side on a blanket, portafilter loose beside it."""

from __future__ import annotations

import math

from tools.pictures.pen import PAPER, SHADE, Colour, Pen, Point, arc, smooth
from tools.pictures.solid import View, hull

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)
DARK: Colour = (122, 161, 199)

# The machine lies on its side: its height runs to the left, its front faces us, its base is at the right.
_LYING = View(origin=(1130, 842), x=(0.46, -0.66), y=(0.05, -1.06), z=(-1.52, -0.1))


def _boot(pen: Pen) -> None:
    mouth = smooth(
        [
            (110, 1000),
            (95, 720),
            (150, 330),
            (260, 190),
            (800, 158),
            (1340, 190),
            (1450, 330),
            (1505, 720),
            (1490, 1000),
        ]
    )
    pen.wash([*mouth, (1490, 1128), (110, 1128)], SHADE, 0.35)
    back = [(330, 300), (1270, 300), (1330, 560), (270, 560)]
    pen.shape(back, fill=(214, 222, 226))
    pen.hatch(back, angle=90, pitch=20, weight=1.1)
    for x in (560, 800, 1040):
        pen.line([(x + (800 - x) * 0.02, 302), (x, 558)], 2.4)
    pen.hatch([(110, 1000), (150, 330), (330, 300), (270, 560)], angle=60, pitch=16, weight=1.2)
    pen.hatch([(1490, 1000), (1450, 330), (1270, 300), (1330, 560)], angle=-60, pitch=16, weight=1.2)
    pen.shape([(270, 560), (1330, 560), (1490, 1010), (110, 1010)], fill=(226, 231, 230))
    pen.line(mouth, 5)
    outer = smooth(
        [(40, 1010), (30, 720), (90, 290), (230, 140), (800, 108), (1370, 140), (1510, 290), (1570, 720), (1560, 1010)]
    )
    pen.line(outer, 4)
    pen.shape([*smooth([(20, 1010), (420, 1030), (800, 1036), (1180, 1030), (1580, 1010)]), (1580, 1140), (20, 1140)])
    pen.line(smooth([(20, 1046), (420, 1066), (800, 1072), (1180, 1066), (1580, 1046)]), 2)
    pen.shape(arc((800, 1054), (46, 9)), fill=(214, 222, 226), weight=2)
    for side in (-1, 1):
        pen.line([(800 + side * 640, 210), (800 + side * 560, 20)], 9)
        pen.line([(800 + side * 640, 210), (800 + side * 560, 20)], 3, PAPER)
    pen.line(smooth([(190, 30), (500, 14), (800, 10), (1100, 14), (1410, 30)]), 4)


BLANKET = [
    (215, 760),
    (330, 640),
    (520, 615),
    (760, 590),
    (1010, 600),
    (1230, 622),
    (1350, 720),
    (1395, 850),
    (1330, 940),
    (1120, 965),
    (900, 950),
    (700, 985),
    (430, 965),
    (250, 930),
    (190, 850),
    (215, 760),
]


def _blanket(pen: Pen) -> None:
    edge = smooth(BLANKET)
    pen.shape(edge, fill=LIGHT)
    pen.within(edge)
    for i in range(-4, 24):
        x = 120 + i * 62
        for shift in (0, 9):
            pen.line(smooth([(x + shift, 560), (x - 40 + shift, 760), (x - 92 + shift, 1010)]), 1.3)
    for i in range(8):
        y = 640 + i * 46
        pen.line(smooth([(140, y + 50), (480, y - 6), (900, y + 8), (1440, y + 50)]), 1.3)
    for fold in (
        [(260, 880), (380, 850), (520, 872), (640, 930)],
        [(980, 930), (1100, 880), (1250, 870), (1350, 900)],
        [(1180, 660), (1260, 720), (1300, 800)],
        [(300, 720), (350, 760), (360, 830)],
    ):
        pen.line(smooth(fold), 3)
    pen.within(None)
    for i in range(34):
        at = edge[int(len(edge) * (0.42 + i * 0.0145))]
        pen.line([at, (at[0] + pen.chance(-4, 4), at[1] + pen.chance(12, 20))], 1.6)


def _machine(pen: Pen) -> None:
    """Far things first: cap and case, lever, group, tray, base."""
    view = _LYING
    shadow = [
        view.at(spot) for spot in ((-40, -98, 10), (-70, -98, 240), (60, -98, 330), (330, -98, 300), (330, -98, 0))
    ]
    pen.wash(shadow, DARK, 0.5)
    view.cylinder(pen, ((226, 0, 316), (226, 0, 262)), (30, 34), "z")
    case = view.slab(pen, (118, -86, 26), (330, 86, 270), {"+y": LIGHT, "-x": SHADE})
    pen.hatch(case["-x"], angle=4, pitch=13, weight=1.1)
    _louvres(pen, view)
    pen.shape(view.ring((118, -52, 62), 15, "x"), fill=DARK, weight=2.6)
    pen.shape(view.ring((118, -52, 100), 9, "x"), fill=LIGHT, weight=2.4)
    for z in (140, 232):
        view.cylinder(pen, ((118, 60, z), (92, 60, z)), (11, 11), "x")
    pen.line([view.at((92, 60, 140)), view.at((92, 60, 232))], 13)
    pen.line([view.at((92, 60, 140)), view.at((92, 60, 232))], 7, LIGHT)
    _lever(pen, view)
    _group(pen, view)
    tray = view.slab(pen, (-4, -72, 26), (112, 72, 44), {"+y": PAPER, "-x": LIGHT})
    pen.hatch(tray["+y"], angle=60, pitch=9, weight=1.1)
    base = view.slab(pen, (-16, -98, 4), (338, 98, 26), {"+y": LIGHT, "-x": PAPER, "-z": (203, 212, 216)})
    pen.hatch(base["-z"], angle=70, pitch=13, weight=1.3)
    opening = [view.at(spot) for spot in ((150, -52, 4), (296, -52, 4), (296, 52, 4), (150, 52, 4))]
    pen.shape(opening, fill=(52, 68, 80), weight=3)
    for x, y in ((316, -76), (316, 76), (8, 76), (8, -76)):
        view.cylinder(pen, ((x, y, 6), (x, y, -16)), (15, 12), "z")


def _louvres(pen: Pen, view: View) -> None:
    for x in range(170, 300, 22):
        pen.line([view.at((x, 86, 100)), view.at((x, 86, 200))], 4)
        pen.line([view.at((x + 6, 86, 102)), view.at((x + 6, 86, 198))], 1.4)
    for spot in ((312, 86, 46), (136, 86, 46), (312, 86, 252), (136, 86, 252)):
        pen.shape(view.ring(spot, 5, "y"), weight=2)
    rust = hull([view.at((x, 86, z)) for x, z in ((120, 30), (230, 30), (190, 62), (126, 84))])
    pen.stipple(rust, 240, 2.2)


def _group(pen: Pen, view: View) -> None:
    neck = hull(view.ring((70, 0, 170), 24, "x") + view.ring((118, 0, 170), 24, "x"))
    pen.shape(neck)
    pen.hatch(neck, angle=90, pitch=9, weight=1.1)
    view.cylinder(pen, ((46, 0, 304), (46, 0, 288)), (46, 46), "z")
    body = view.cylinder(pen, ((46, 0, 290), (46, 0, 122)), (36, 36), "z")
    under = [view.at(spot) for spot in ((20, -34, 288), (20, -34, 124), (10, -8, 124), (10, -8, 288))]
    pen.within(body)
    pen.hatch(under, angle=4, pitch=7, weight=1.3)
    pen.hatch([(x, y + 34) for x, y in under], angle=4, pitch=7, weight=1.3)
    pen.within(None)
    view.cylinder(pen, ((46, 0, 126), (46, 0, 88)), (50, 50), "z")
    pen.shape(view.ring((46, 0, 88), 37, "z"), fill=(92, 112, 128), weight=3)
    pen.shape(view.ring((46, 0, 90), 26, "z"), fill=SHADE, weight=2.4)


def _lever(pen: Pen, view: View) -> None:
    yoke = hull([view.at(spot) for spot in ((22, 0, 304), (66, 0, 304), (58, 0, 356), (30, 0, 356))])
    hub, tip, grip = view.at((44, 0, 340)), view.at((76, 8, 462)), view.at((112, 16, 566))
    pen.line([hub, tip], 24)
    pen.line([hub, tip], 17, LIGHT)
    pen.shape(yoke)
    pen.shape(arc(hub, (24, 24)), weight=3)
    pen.shape(arc(hub, (9, 9)), fill=DARK, weight=2)
    turn = math.atan2(grip[1] - tip[1], grip[0] - tip[0])
    profile = [(0.0, 13.0), (26, 15), (34, 20), (90, 28), (146, 32), (182, 26), (196, 6)]
    handle: list[Point] = []
    for sign in (1, -1):
        side = [
            (
                tip[0] + d * math.cos(turn) - sign * w * math.sin(turn),
                tip[1] + d * math.sin(turn) + sign * w * math.cos(turn),
            )
            for d, w in (profile if sign == 1 else profile[::-1])
        ]
        handle += smooth(side, 6)
    pen.shape(handle, fill=DARK)
    pen.hatch(handle, angle=-math.degrees(turn), pitch=9, weight=1.1)


def _portafilter(pen: Pen) -> None:
    """It lies in front, handle to the right."""
    x, y = 420, 872
    pen.wash(arc((x + 12, y + 58), (96, 26)), DARK, 0.4)
    handle = [(x + 70, y + 12), (x + 92, y), (x + 250, y + 20), (x + 262, y + 40), (x + 246, y + 56), (x + 86, y + 42)]
    pen.shape(handle, fill=DARK)
    pen.hatch(handle, angle=-8, pitch=8, weight=1.1)
    pen.line([(x + 120, y + 14), (x + 162, y + 24), (x + 196, y + 20), (x + 220, y + 32)], 2.6)
    pen.shape([*arc((x, y), (80, 32), 180, 360), *arc((x, y + 56), (66, 28), 0, 180)])
    pen.shape(arc((x, y), (80, 32)), weight=3)
    pen.shape(arc((x, y + 4), (64, 24)), fill=(96, 118, 136), weight=2.4)
    pen.stipple(arc((x, y + 6), (56, 19)), 120, 2.2, PAPER)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _boot(pen)
    _blanket(pen)
    _machine(pen)
    _portafilter(pen)
    return "As it came: on its side in the boot, portafilter loose"
