"""The section drawing with a job's state on it: only classes and words change, the geometry stays as drawn.

A sheet's drawing is an SVG with one group a part (`data-component`), one a label (`data-for`), one a seal
(`data-hold`). The state goes into `class` and into the label's word. A plate is the same drawing through another
window. Nothing but drawing elements is let through, so that a drawing can bring no script into a page.
"""

from __future__ import annotations

import copy
import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from markupsafe import Markup

from brasswright.charts.conditions import Shown
from brasswright.errors import StoreRefused
from brasswright.sheets.merge import PACKAGED

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

__all__ = ["Plate", "Wanted", "draw", "drawing_name", "drawing_of", "outline", "plates"]

SVG = "http://www.w3.org/2000/svg"
ALLOWED = frozenset(
    {"svg", "title", "desc", "defs", "pattern", "g", "path", "use", "circle", "rect", "text", "tspan", "line", "a"}
)
STATE = frozenset({"unknown", "pencil", "ink", "absent", "fixed", "now", "r0", "r1", "r2", "r3"})


@dataclass(frozen=True, slots=True)
class Plate:
    """A window on the drawing: left, top, width, height in drawing units, and its title."""

    title: str
    view_box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to draw on it: parts by component, seals by hold number, the part in hand, where touching a part leads.

    `links` maps a component to an address. `plain` leaves labels and seals away, as on a plate.
    """

    parts: Mapping[str, Shown]
    seals: Mapping[int, str] = field(default_factory=dict)
    now: str = ""
    links: Mapping[str, str] = field(default_factory=dict)
    plate: Plate | None = None


@functools.cache
def _parsed(text: str) -> ET.Element:
    root = ET.fromstring(text)  # noqa: S314 - our own packaged drawings, and only drawing elements are let through
    for element in root.iter():
        tag = element.tag.removeprefix(f"{{{SVG}}}")
        if tag not in ALLOWED or any(name.startswith("on") or name == "style" for name in element.attrib):
            raise StoreRefused("The drawing holds something that is no drawing.", got=tag, allowed=", ".join(ALLOWED))
    return root


def drawing_name(sheet: Sheet) -> str:
    """Return the name under which a sheet's drawing, plates and outline are kept."""
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
        return {}
    tables = tomllib.loads(path.read_text(encoding="utf-8")).get("plate", {})
    return {key: Plate(table["title"], tuple(table["view_box"])) for key, table in tables.items()}


def draw(text: str, wanted: Wanted) -> Markup:
    """Return the drawing as markup for a page, with a job's state on it.

    The drawing is hidden from screen readers and the keyboard, because the same list stands beside it in words.
    """
    root = copy.deepcopy(_parsed(text))
    root.set("aria-hidden", "true")
    for name in ("role", "aria-labelledby"):
        root.attrib.pop(name, None)
    if wanted.plate is not None:
        root.set("viewBox", " ".join(f"{number:g}" for number in wanted.plate.view_box))
    for group in list(root.iter(f"{{{SVG}}}g")):
        _mark(group, wanted)
    if wanted.links:
        _link(root, wanted.links)
    ET.register_namespace("", SVG)
    return Markup(ET.tostring(root, encoding="unicode"))  # noqa: S704 - escaped by the serialiser


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


def _link(root: ET.Element, links: Mapping[str, str]) -> None:
    """Wrap each part that leads somewhere in a link that the keyboard passes over."""
    for parent in list(root.iter(f"{{{SVG}}}g")):
        for place, child in enumerate(list(parent)):
            key = child.get("data-component") or child.get("data-for") or ""
            if key in links:
                link = ET.Element(f"{{{SVG}}}a", {"href": links[key], "tabindex": "-1"})
                link.append(child)
                child.set("class", f"{child.get('class')} pick")
                parent[place] = link


@functools.cache
def outline(path: str) -> Markup:
    """Return a sheet's small outline as inline markup in the page's own ink; empty where the file is not there."""
    try:
        with open(path, encoding="utf-8") as file:  # noqa: PTH123 - a plain string is what the cache keeps
            root = copy.deepcopy(_parsed(file.read()))
    except FileNotFoundError:
        return Markup()
    root.attrib.pop("role", None)
    root.attrib.pop("aria-label", None)
    root.set("aria-hidden", "true")
    for element in root.iter():
        for name in ("stroke", "stroke-width", "stroke-linejoin", "stroke-linecap", "fill"):
            element.attrib.pop(name, None)
    ET.register_namespace("", SVG)
    return Markup(ET.tostring(root, encoding="unicode"))  # noqa: S704 - escaped by the serialiser
