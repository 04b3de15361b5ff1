"""The data plate and the stamps beside it: volts, watts, year code; the top line is worn away."""

from __future__ import annotations

from tools.pictures.pen import SHADE, Colour, Pen, arc, box, smooth

__all__ = ["draw"]

LIGHT: Colour = (250, 251, 249)


def _screw(pen: Pen, x: float, y: float, turn: float) -> None:
    pen.shape(arc((x, y), (26, 26)), fill=LIGHT)
    pen.line([(x - 18, y - turn), (x + 18, y + turn)], 7)
    pen.line(arc((x, y), (31, 31), 20, 130), 1.6)


def _panel(pen: Pen) -> None:
    sheet = box(60, 60, 1540, 1080)
    pen.shape(sheet, fill=(228, 233, 232))
    pen.hatch(sheet, angle=2, pitch=15, weight=0.7)
    pen.line([(60, 1026), (1540, 1026)], 2.4)
    pen.hatch(box(60, 1028, 1540, 1080), angle=60, pitch=12, weight=1.2)
    for x, y, turn in ((130, 130, 6.0), (1470, 130, -12.0), (130, 960, 14.0), (1470, 960, 2.0)):
        _screw(pen, x, y, turn)
    for outline, count in (
        ([(60, 700), (330, 820), (300, 1026), (60, 1026)], 420),
        ([(1250, 60), (1540, 60), (1540, 330), (1420, 260)], 260),
    ):
        pen.within(sheet)
        pen.wash(smooth([*outline, outline[0]]), SHADE, 0.45)
        pen.within(None)
        pen.stipple(outline, count * 2, 2.4)


def _plate(pen: Pen) -> None:
    plate = box(250, 190, 1090, 900)
    pen.wash(box(262, 204, 1104, 914), (122, 161, 199), 0.5)
    pen.shape(plate, fill=LIGHT, weight=4.4)
    pen.line([*box(272, 212, 1068, 878), (272, 212)], 1.8)
    for x, y in ((292, 232), (1048, 232), (292, 858), (1048, 858)):
        pen.shape(arc((x, y), (15, 15)), fill=SHADE, weight=2.6)
        pen.line(arc((x - 2, y - 2), (8, 8), 170, 280), 1.6)
    worn = box(350, 250, 990, 350)
    pen.shape(worn, fill=(228, 233, 232), weight=1.8)
    pen.hatch(worn, angle=8, pitch=6, weight=1.2)
    pen.hatch(worn, angle=-14, pitch=15, weight=1.6)
    for _ in range(9):
        left, top = pen.chance(360, 900), pen.chance(262, 340)
        pen.line([(left, top), (left + pen.chance(40, 120), top + pen.chance(-16, 16))], pen.chance(1.6, 3), LIGHT)
    rows = (("VOLT", "220"), ("~ Hz", "50"), ("WATT", "1000"), ("No.", "41127"))
    for i, (name, value) in enumerate(rows):
        base = 452 + i * 112
        pen.words((336, base), name, 50)
        pen.shape(box(540, base - 66, 1004, base + 22), fill=None, weight=1.6)
        _stamped(pen, value, 572, base)


def _stamped(pen: Pen, text: str, left: float, base: float) -> None:
    """Figures struck one by one with hand punches: a little uneven."""
    x = left
    for figure in text:
        shift = pen.chance(-5, 5)
        pen.words((x + 3, base + shift + 3), figure, 70, heading=True, colour=(195, 214, 232))
        pen.words((x, base + shift), figure, 70, heading=True)
        x += pen.width(figure, 70, heading=True) + 14


def _year(pen: Pen) -> None:
    pen.wash(arc((1286, 520), (132, 132)), SHADE, 0.35)
    pen.line(arc((1286, 520), (118, 118)), 3)
    pen.line(arc((1286, 520), (96, 96)), 1.8)
    for i in range(12):
        turn = -90 + 30 * i
        spoke = arc((1286, 520), (107, 107), turn, turn + 1)[0]
        pen.shape(arc(spoke, (5, 5)), fill=(21, 34, 44) if i <= 2 else None, weight=1.6)
    x = 1286 - pen.width("62", 84, heading=True) / 2
    pen.words((x + 3, 553), "62", 84, heading=True, colour=(195, 214, 232))
    pen.words((x, 550), "62", 84, heading=True)
    pen.line([(1286, 660), (1286, 716)], 1.8)
    pen.shape(box(1134, 720, 1446, 770), fill=LIGHT, weight=1.8)
    pen.words((1152, 754), "year code, third month?", 26)


def draw(pen: Pen) -> str:
    """Draw the picture; returns its caption."""
    _panel(pen)
    _plate(pen)
    _year(pen)
    return "Data plate and stamps; the top line is worn away"
