"""The section drawing in a page: the charts' drawing with a job's state on it, its parts leading somewhere.

The drawing is hidden from screen readers and the keyboard, because the same list stands beside it in words.
"""

from __future__ import annotations

import copy
import functools
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

from markupsafe import Markup

from brasswright.charts.section import SVG, Plate, Wanted, drawing_name, drawing_of, marked, parsed, plates, svg_text

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Plate", "Wanted", "draw", "drawing_name", "drawing_of", "outline", "plates"]


def draw(text: str, wanted: Wanted, *, links: Mapping[str, str] | None = None) -> Markup:
    """Return the drawing as markup for a page, with a job's state on it; `links` maps a component to an address."""
    root = marked(text, wanted)
    root.set("aria-hidden", "true")
    for name in ("role", "aria-labelledby"):
        root.attrib.pop(name, None)
    if links:
        _link(root, links)
    return Markup(svg_text(root))  # noqa: S704 - escaped by the serialiser


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
            root = copy.deepcopy(parsed(file.read()))
    except FileNotFoundError:
        return Markup()
    root.attrib.pop("role", None)
    root.attrib.pop("aria-label", None)
    root.set("aria-hidden", "true")
    for element in root.iter():
        for name in ("stroke", "stroke-width", "stroke-linejoin", "stroke-linecap", "fill"):
            element.attrib.pop(name, None)
    return Markup(svg_text(root))  # noqa: S704 - escaped by the serialiser
