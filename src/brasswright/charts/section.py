"""The section drawing with a job's state on it: only classes and words change, the geometry stays as drawn.

A sheet's drawing is an SVG with one group a part (`data-component`), one a label (`data-for`), one a seal
(`data-hold`). The state goes into `class` and into the label's word. A plate is the same drawing through another
window. Nothing but drawing elements is let through, so that a drawing can bring no script into page or paper. On paper
labels and seals are left away, because a list stands beside the drawing, and the colours go into the file itself.
"""

from __future__ import annotations

import copy
import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from brasswright.charts.conditions import Shown
from brasswright.charts.paper_rules import paper_rules
from brasswright.errors import StoreRefused
from brasswright.sheets.merge import PACKAGED

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

__all__ = [
    "ALLOWED",
    "STATE",
    "SVG",
    "Plate",
    "Wanted",
    "drawing_name",
    "drawing_of",
    "marked",
    "paper_section",
    "parsed",
    "plates",
    "svg_text",
    "swatch",
    "window_of",
]

SVG = "http://www.w3.org/2000/svg"
ALLOWED = frozenset(
    {"svg", "title", "desc", "defs", "pattern", "g", "path", "use", "circle", "rect", "text", "tspan", "line", "a"}
)
"""Elements a drawing may be made of."""
STATE = frozenset({"unknown", "pencil", "ink", "absent", "fixed", "now", "r0", "r1", "r2", "r3"})
"""Classes that say a part's state; all others say how it is drawn, and stay."""
AWAY_ON_PAPER = frozenset({"labels", "seals"})
Window = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Plate:
    """A window on the drawing: left, top, width, height in drawing units, and its title."""

    title: str
    view_box: Window


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to draw: parts by component, seals by hold number, the part in hand, and through which window."""

    parts: Mapping[str, Shown]
    seals: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))
    now: str = ""
    plate: Plate | None = None


@functools.cache
def parsed(text: str) -> ET.Element:
    """Return the drawing's root; it is kept and shared, so copy it before changing anything.

    Raises:
        StoreRefused: it is no SVG, or holds something that is no drawing: a script, a style, a handler.
    """
    try:
        root = ET.fromstring(text)  # noqa: S314 - our own packaged drawings, and only drawing elements are let through
    except ET.ParseError as error:
        raise StoreRefused(f"The drawing cannot be read: {error}.", remedy="Mend the SVG.") from None
    for element in root.iter():
        tag = element.tag.removeprefix(f"{{{SVG}}}")
        if tag not in ALLOWED or any(name.startswith("on") or name == "style" for name in element.attrib):
            allowed = ", ".join(sorted(ALLOWED))
            raise StoreRefused("The drawing holds something that is no drawing.", got=tag, allowed=allowed)
    return root


def drawing_name(sheet: Sheet) -> str:
    """Return the name, without ending, under which a sheet's drawing and its plates lie."""
    return (sheet.sheet.drawing or sheet.sheet.key).removesuffix(".svg")


@functools.cache
def drawing_of(name: str) -> str | None:
    """Return the text of a packaged sheet's drawing, or None where the sheet has none."""
    path = PACKAGED / f"{name}.svg"
    return path.read_text(encoding="utf-8") if path.is_file() else None


@functools.cache
def plates(name: str) -> Mapping[str, Plate]:
    """Return the plates of a packaged sheet's drawing by zone; empty where there are none."""
    path = PACKAGED / f"{name}.plates.toml"
    if not path.is_file():
        return MappingProxyType({})
    tables = tomllib.loads(path.read_text(encoding="utf-8")).get("plate", {})
    return MappingProxyType(
        {key: Plate(table["title"], tuple(table["view_box"])) for key, table in tables.items()},
    )


def marked(text: str, wanted: Wanted) -> ET.Element:
    """Return a fresh copy of the drawing with a job's state on it."""
    root = copy.deepcopy(parsed(text))
    if wanted.plate is not None:
        root.set("viewBox", _view_box(wanted.plate.view_box))
    for group in root.iter(f"{{{SVG}}}g"):
        _mark(group, wanted)
    return root


def _view_box(window: Window) -> str:
    return " ".join(f"{number:g}" for number in window)


def _mark(group: ET.Element, wanted: Wanted) -> None:
    key = group.get("data-component") or group.get("data-for")
    if key is not None:
        state = wanted.parts.get(key)
        css = state.css if state is not None else "unknown"
        kept = [name for name in (group.get("class") or "").split() if name not in STATE]
        group.set("class", " ".join([*kept, css, *(["now"] if key == wanted.now else [])]))
        if group.get("data-for") is not None and state is not None:
            _say(group, state)
    hold = group.get("data-hold")
    if hold is not None:
        group.set("class", f"seal {wanted.seals.get(int(hold), '')}".strip())


def _say(label: ET.Element, state: Shown) -> None:
    for text in label.iter(f"{{{SVG}}}text"):
        if text.get("class") == "wd":
            text.text = state.word


def svg_text(root: ET.Element) -> str:
    """Return a drawing as text, without prefixes, the same each time."""
    ET.register_namespace("", SVG)
    return ET.tostring(root, encoding="unicode")


def window_of(name: str, text: str) -> Window:
    """Return the window that holds the machine without its labels: all plates together, else the whole drawing."""
    boxes = [plate.view_box for plate in plates(name).values()]
    if not boxes:
        left, top, width, height = (float(number) for number in (parsed(text).get("viewBox") or "0 0 1 1").split())
        return left, top, width, height
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, low = max(box[0] + box[2] for box in boxes), max(box[1] + box[3] for box in boxes)
    return left, top, right - left, low - top


def paper_section(text: str, parts: Mapping[str, Shown], *, window: Window) -> str:
    """Return a drawing for paper as SVG: `text` the sheet's drawing, `window` its left, top, width and height shown."""
    root = marked(text, Wanted(parts, plate=Plate("", window)))
    for layer in list(root):
        if AWAY_ON_PAPER.intersection((layer.get("class") or "").split()):
            root.remove(layer)
    _dress(root)
    return svg_text(root)


def swatch(text: str, css: str) -> str:
    """Return one condition's mark as a small square for a key on paper, with the drawing's own hatches."""
    root = ET.Element(f"{{{SVG}}}svg", {"viewBox": "0 0 24 24", "width": "24", "height": "24"})
    for hatches in parsed(text).findall(f"{{{SVG}}}defs"):
        root.append(copy.deepcopy(hatches))
    group = ET.SubElement(root, f"{{{SVG}}}g", {"class": f"part {css} m-s45"})
    for name in ("body", "tex"):
        ET.SubElement(group, f"{{{SVG}}}rect", {"class": name, "x": "2", "y": "2", "width": "20", "height": "20"})
    _dress(root)
    return svg_text(root)


def _dress(root: ET.Element) -> None:
    """Put the colours of paper into the file."""
    style = ET.Element(f"{{{SVG}}}style")
    style.text = paper_rules()
    root.insert(0, style)
