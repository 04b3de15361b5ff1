"""A section drawing as SVG text: one geometry per part, used four times, its state in classes only."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

from tools.section.labels import Label, crossings, lay_out
from tools.section.paths import number

if TYPE_CHECKING:
    from tools.section.model import Drawing, Part, Seal

__all__ = ["write"]

_NOT_KNOWN = "not known"
_DESCRIPTION = (
    "Side view cut on the centre line, front left. Each part carries its condition; "
    "the same list stands beside the drawing as text."
)

_PATTERNS = (
    # name, tile, turn in degrees, class of the line, path
    ("s45", 5.5, 45, "h", "M0 0V5.5"),
    ("s135", 5.5, -45, "h", "M0 0V5.5"),
    ("fine", 3.0, 45, "h", "M0 0V3"),
    ("x2", 5.5, 45, "h b", "M0 0V5.5M0 0H5.5"),
    ("x3", 5.0, 45, "v", "M0 0V5"),
    ("q1", 6.0, 45, "q", "M0 0V6"),
    ("q2", 6.0, 45, "q", "M0 0V6M0 0H6"),
    ("q3", 3.6, 45, "q", "M0 0V3.6M0 0H3.6"),
)


def _patterns() -> list[str]:
    lines = ["<defs>"]
    for name, tile, turn, line_class, path in _PATTERNS:
        size = number(tile)
        lines.append(
            f'<pattern id="{name}" width="{size}" height="{size}" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate({turn})"><path class="{line_class}" d="{path}"/></pattern>'
        )
    lines.append(
        '<pattern id="lag" width="10" height="8" patternUnits="userSpaceOnUse">'
        '<path class="h n" d="M0 2q2.5-3.5 5 0t5 0M0 6q2.5-3.5 5 0t5 0"/></pattern>'
    )
    lines.append("</defs>")
    return lines


def _part(part: Part) -> str:
    uses = "".join(f'<use class="{use}" href="#d-{part.key}"/>' for use in ("halo", "gap", "body", "tex"))
    void = f'<path class="void" d="{part.void}"/>' if part.void else ""
    line = f'<path class="line" d="{part.line}"/>' if part.line else ""
    return (
        f'<g class="part unknown m-{part.material}" id="p-{part.key}" data-component="{part.key}" '
        f'data-name="{escape(part.name)}" data-zone="{part.zone}">'
        f'<defs><path id="d-{part.key}" d="{part.body}"/></defs>{uses}{void}{line}</g>'
    )


def _swatch(name: str, x: float, y: float, size: float) -> str:
    left, top, side = number(x - size / 2), number(y - size / 2), number(size)
    return f'<rect class="{name}" x="{left}" y="{top}" width="{side}" height="{side}"/>'


def _label(label: Label) -> str:
    part, place = label.part, label.place
    start, elbow, dot = label.leader
    leader = f"M{number(start[0])} {number(start[1])}H{number(elbow[0])}L{number(dot[0])} {number(dot[1])}"
    left = place.side == "left"
    words = number(place.x - 13 if left else place.x + 13)
    anchor = ' text-anchor="end"' if left else ""
    return (
        f'<g class="lab unknown" data-for="{part.key}" data-zone="{part.zone}">'
        f'<path class="leader" d="{leader}"/>'
        f'<circle class="dot" cx="{number(dot[0])}" cy="{number(dot[1])}" r="2.2"/>'
        f"{_swatch('so', place.x, place.y, 17.2)}{_swatch('sw', place.x, place.y, 12)}"
        f"{_swatch('tex', place.x, place.y, 12)}"
        f'<text class="nm" x="{words}" y="{number(place.y - 1)}"{anchor}>{escape(part.name)}</text>'
        f'<text class="wd" x="{words}" y="{number(place.y + 14)}"{anchor}>{_NOT_KNOWN}</text></g>'
    )


def _seal(seal: Seal) -> str:
    """Every state of a seal; the class on the group says which of them shows."""
    (x, y), (ex, ey) = seal.disc, seal.eye
    length = math.dist(seal.disc, seal.eye)
    ux, uy = (ex - x) / length, (ey - y) / length
    nx, ny = -uy, ux

    def at(along: float, aside: float) -> str:
        return f"{number(x + ux * along + nx * aside)} {number(y + uy * along + ny * aside)}"

    far = length + 9
    wire = (
        f"M{at(11, 8)}C{at(length * 0.4, 12)} {at(length - 12, 10)} {at(length, 9)}"
        f"C{at(far + 3, 8)} {at(far + 3, -8)} {at(length, -9)}"
        f"C{at(length - 12, -10)} {at(length * 0.4, -12)} {at(11, -8)}"
    )
    ends = f"M{at(11, 8)}Q{at(18, 11)} {at(21, 17)}M{at(11, -8)}Q{at(20, -8)} {at(24, -14)}"
    crack = f"{at(15, 2)}L{at(5, -3)}L{at(0, 3)}L{at(-6, -3)}L{at(-15, 1)}"
    strike = f"M{number(x - 17)} {number(y + 13)}L{number(x + 17)} {number(y - 13)}"
    disc = f'cx="{number(x)}" cy="{number(y)}"'
    return (
        f'<g class="seal" data-hold="{seal.hold}"><path class="wire" d="{wire}"/><path class="ends" d="{ends}"/>'
        f'<circle class="lead" {disc} r="14"/><circle class="rim" {disc} r="10.5"/>'
        f'<path class="crack" d="M{crack}"/><path class="strike" d="{strike}"/>'
        f'<text x="{number(x)}" y="{number(y + 5.3)}">{seal.hold}</text></g>'
    )


def _water(drawing: Drawing) -> str:
    left, right, level = (number(value) for value in drawing.level)
    x, y = drawing.level[1] - 40, drawing.level[2]
    mark = (
        f"M{number(x)} {number(y - 12)}h14l-7 12zM{number(x - 2)} {number(y + 4)}h18"
        f"M{number(x + 1)} {number(y + 8)}h12M{number(x + 4)} {number(y + 12)}h6"
    )
    ticks = "".join(f"M{number(tx)} {number(ty)}h12" for tx, ty in drawing.ticks)
    surface = f'<path class="lvl" d="M{left} {level}H{right}"/>'
    return f'{surface}<path class="thin" d="{mark}"/><path class="faint" d="{ticks}"/>'


def _ground(drawing: Drawing) -> str:
    left, right, y = drawing.ground
    strokes = "".join(f"M{number(left + 10 + 18 * i)} {number(y)}l-7 7" for i in range(int((right - left) // 18)))
    return f'<path class="thin" d="M{number(left)} {number(y)}H{number(right)}"/><path class="thin" d="{strokes}"/>'


def _heading(drawing: Drawing) -> list[str]:
    x, y = drawing.heading
    lines = [f'<text class="cap" x="{number(x)}" y="{number(y)}">Section on the centre line</text>']
    for i, line in enumerate(drawing.caption):
        lines.append(f'<text class="wd" x="{number(x)}" y="{number(y + 24 + 18 * i)}">{escape(line)}</text>')
    return lines


def write(drawing: Drawing) -> str:
    """The drawing as SVG text, every part and label in the state `unknown`.

    Raises:
        ValueError: two leaders cross; move a place or an anchor in the geometry.
    """
    labels = lay_out(drawing)
    if crossed := crossings(labels):
        message = f"leaders cross: {crossed}"
        raise ValueError(message)
    width, height = drawing.size
    root = f'xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" class="section"'
    lines = [
        f'<svg {root} role="group" aria-labelledby="sec-t sec-d">',
        f'<title id="sec-t">{escape(drawing.title)}</title>',
        f'<desc id="sec-d">{_DESCRIPTION}</desc>',
        *_patterns(),
        f'<g class="ground">{_ground(drawing)}</g>',
        f'<g class="behind"><path class="thin" d="{drawing.behind}"/></g>',
        f'<g class="water">{_water(drawing)}</g>',
        '<g class="parts">',
        *(_part(part) for part in drawing.parts),
        "</g>",
        f'<g class="centre"><path d="{drawing.centre_lines}"/></g>',
        '<g class="seals">',
        *(_seal(seal) for seal in drawing.seals),
        "</g>",
        '<g class="labels">',
        *_heading(drawing),
        *(_label(label) for label in labels),
        "</g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"
