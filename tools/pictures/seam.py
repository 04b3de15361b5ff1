"""The boiler seam seen by mirror through the base opening: a green trail below one bolt."""

from __future__ import annotations

from tools.pictures.pen import SHADE, VERDIGRIS, Colour, Pen, Point, arc, box, rounded, smooth

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)
DARK: Colour = (40, 56, 68)
MIRROR: Point = (800, 560)


def _opening(pen: Pen) -> None:
    pen.shape(box(0, 0, 1600, 1128), fill=(228, 233, 232), weight=0)
    pen.hatch(box(0, 0, 1600, 1128), angle=4, pitch=18, weight=0.8)
    hole = rounded(box(190, 96, 1410, 1026), 60)
    pen.shape(hole, fill=DARK, weight=5)
    pen.line([(x + (14 if x < 800 else -14), y + (14 if y < 560 else -14)) for x, y in hole], 2, LIGHT)
    pen.within(hole)
    for x in (250, 330, 1250, 1330):
        pen.line(smooth([(x, 80), (x + 22, 400), (x - 10, 700), (x + 12, 1050)]), 12, (92, 112, 128))
        pen.line(smooth([(x - 3, 80), (x + 19, 400), (x - 13, 700), (x + 9, 1050)]), 3, (170, 184, 194))
    pen.within(None)
    for x, y in ((110, 110), (1490, 110), (110, 1010), (1490, 1010)):
        pen.shape(arc((x, y), (30, 30)), fill=LIGHT)
        pen.line([(x - 20, y - 8), (x + 20, y + 8)], 8)


def _seam(pen: Pen) -> None:
    """What the mirror shows: shell above, flange, gasket line, end plate below, bolts through both."""
    glass = arc(MIRROR, (372, 392))
    pen.shape(glass, fill=LIGHT, weight=0)
    pen.within(glass)
    shell = [(420, 120), (1180, 120), (1180, 470), (420, 440)]
    pen.shape(shell, fill=(226, 231, 230))
    for i in range(16):
        x = 430 + i * 50 + (i - 8) ** 2 * 0.4
        pen.line([(x, 130), (x, 452)], 1.1)
    pen.wash([(900, 120), (1180, 120), (1180, 470), (960, 460)], SHADE, 0.6)
    flange = smooth([(400, 452), (620, 478), (800, 484), (980, 478), (1200, 452)])
    below = smooth([(1200, 560), (980, 592), (800, 600), (620, 592), (400, 560)])
    pen.shape(flange + below, fill=LIGHT, weight=4)
    pen.hatch(flange + below, angle=80, pitch=14, weight=1.0)
    end = smooth([(400, 580), (620, 612), (800, 620), (980, 612), (1200, 580)])
    under = smooth([(1200, 690), (980, 728), (800, 738), (620, 728), (400, 690)])
    pen.shape(end + under, fill=(214, 222, 226), weight=4)
    pen.line(smooth([(400, 570), (620, 602), (800, 610), (980, 602), (1200, 570)]), 13, DARK)
    pen.shape([(400, 690), (1200, 690), (1200, 980), (400, 980)], fill=(244, 246, 244), weight=0)
    pen.shape(end + under, fill=(214, 222, 226), weight=4)
    pen.hatch(end + under, angle=-70, pitch=16, weight=1.0)
    pen.hatch([(400, 700), (1200, 700), (1200, 980), (400, 980)], angle=20, pitch=20, weight=0.9)
    for x, y in ((560, 528), (800, 538), (1040, 528)):
        _bolt(pen, x, y)
    pen.within(None)


def _bolt(pen: Pen, x: float, y: float) -> None:
    pen.shape(
        [(x - 44, y - 64), (x - 22, y - 82), (x + 22, y - 82), (x + 44, y - 64), (x + 44, y - 12), (x - 44, y - 12)]
    )
    pen.line([(x - 16, y - 80), (x - 16, y - 14)], 2)
    pen.line([(x + 18, y - 80), (x + 18, y - 14)], 2)
    pen.shape(
        [
            (x - 44, y + 196),
            (x - 44, y + 250),
            (x - 20, y + 268),
            (x + 20, y + 268),
            (x + 44, y + 250),
            (x + 44, y + 196),
        ]
    )
    pen.line([(x - 16, y + 198), (x - 16, y + 264)], 2)
    pen.line([(x + 18, y + 198), (x + 18, y + 264)], 2)


def _trail(pen: Pen) -> None:
    pen.within(arc(MIRROR, (372, 392)))
    crust = smooth(
        [(838, 596), (872, 584), (930, 586), (980, 580), (1004, 604), (958, 628), (900, 634), (852, 628), (838, 596)]
    )
    pen.shape(crust, fill=VERDIGRIS, weight=2.6)
    pen.stipple(crust, 130, 2.4)
    run = smooth(
        [
            (868, 622),
            (876, 690),
            (862, 760),
            (874, 850),
            (868, 930),
            (892, 930),
            (900, 850),
            (912, 760),
            (930, 690),
            (952, 622),
        ]
    )
    pen.wash(run, VERDIGRIS, 0.85)
    pen.line(smooth([(868, 622), (876, 690), (862, 760), (874, 850), (868, 930)]), 2)
    pen.line(smooth([(952, 622), (930, 690), (912, 760), (900, 850), (892, 930)]), 2)
    pen.stipple(run, 220, 2.0)
    pen.line(smooth([(880, 936), (876, 950), (881, 960), (886, 950), (882, 936)]), 2)
    pen.wash([(570, 240), (650, 230), (600, 400), (540, 390)], LIGHT, 0.6)
    pen.within(None)


def _mirror(pen: Pen) -> None:
    pen.line(arc(MIRROR, (372, 392)), 4)
    pen.line(arc(MIRROR, (392, 412)), 6)
    pen.hatch(
        arc(MIRROR, (392, 412), 200, 340) + arc(MIRROR, (372, 392), 200, 340)[::-1], angle=45, pitch=8, weight=1.4
    )
    pen.shape([(1070, 868), (1104, 836), (1440, 1128), (1368, 1128)], fill=LIGHT, weight=4)
    pen.hatch([(1084, 872), (1100, 856), (1404, 1128), (1376, 1128)], angle=-40, pitch=9, weight=1.3)
    pen.shape(arc((1082, 846), (34, 34)), fill=(170, 184, 194), weight=4)
    pen.shape(arc((1082, 846), (12, 12)), fill=LIGHT, weight=2.4)


def _note(pen: Pen) -> None:
    pen.shape(box(1126, 40, 1574, 134), fill=LIGHT, weight=2.4)
    pen.words((1146, 78), "in the mirror: left is right,", 29)
    pen.words((1146, 114), "trail by the third bolt", 29)
    pen.line([(1240, 134), (968, 590)], 2.4, LIGHT)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _opening(pen)
    _seam(pen)
    _trail(pen)
    _mirror(pen)
    _note(pen)
    return "Boiler seam by mirror through the base: green trail"
