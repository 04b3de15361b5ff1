"""The first lines of a new sheet: names and zones, ready to use with silent odds, and places left for knowledge."""

from __future__ import annotations

import json
import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.errors import ImpossibleValue

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Beginning", "Place", "key_for", "sheet_text"]

LADDER = ("sound", "worn", "broken")
"""Conditions that a new component starts with, to be replaced by its own."""
_TAIL = """
# What you know goes below, line by line; none of it is needed to begin. docs/how-to/write-a-sheet.md shows how.
#
# [history.stored_wet]
# ask = "Was it put away with water in it?"
# states = ["no", "yes"]
# usual = [0.75, 0.25]
# source = "bench"
#
# [unit.case]
# name = "Case"
# open_minutes = [5, 10, 20]
# close_minutes = [5, 8, 15]
# does = ["cover"]
# source = "bench"
#
# In a component: alone = [0.80, 0.15, 0.05] gives it odds; causes, access and minutes follow.
# Then: brasswright sheet check FILE, and brasswright sheet try FILE stored_wet=yes
"""


@dataclass(frozen=True, slots=True)
class Place:
    """A zone by its name, with the names of the components there."""

    name: str
    components: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Beginning:
    """What a person is asked for: the machine's name, what it is, money and year, zones outside to inside."""

    name: str
    describes: str
    currency: str
    price_year: int
    places: tuple[Place, ...]


def key_for(name: str, taken: Sequence[str] = ()) -> str:
    """Return a key for a name: small letters, digits and underscores, numbered where it is taken.

    >>> key_for("Cylinder sleeve, the bore"), key_for("Hähnchen", ["hahnchen"])
    ('cylinder_sleeve_the_bore', 'hahnchen_2')

    Raises:
        ImpossibleValue: nothing of the name can be written so.
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    key = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")
    if not key:
        raise ImpossibleValue("A name needs a letter or a digit.", got=repr(name))
    if key[0].isdigit():
        key = f"no_{key}"
    number = 2
    found = key
    while found in taken:
        found, number = f"{key}_{number}", number + 1
    return found


def sheet_text(wanted: Beginning) -> str:
    """Return the sheet's text: it passes the checker, and its odds are silent.

    Raises:
        ImpossibleValue: no name, no zone, no component, or a name given twice.
    """
    if not wanted.name.strip() or not any(place.components for place in wanted.places):
        raise ImpossibleValue("A sheet needs a name, and one zone with a component.", got=repr(wanted.name))
    names = [part.casefold() for place in wanted.places for part in place.components]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise ImpossibleValue("A component is named twice.", got=", ".join(twice), remedy="Say which is which.")
    lines = [
        "# Conditions stand best first. Keys (in square brackets) stay once a job has used them.",
        "[sheet]",
        f"key = {_text(key_for(wanted.name))}",
        f"name = {_text(wanted.name.strip())}",
        "version = 1",
        f"describes = {_text(wanted.describes.strip() or wanted.name.strip())}",
        f"currency = {_text(wanted.currency)}",
        f"price_year = {wanted.price_year}",
    ]
    zones: list[str] = []
    parts: list[str] = []
    for order, place in enumerate(wanted.places, 1):
        zones.append(key_for(place.name, zones))
        lines += ["", f"[zone.{zones[-1]}]", f"name = {_text(place.name.strip())}", f"order = {order}"]
    for zone, place in zip(zones, wanted.places, strict=True):
        for part in place.components:
            parts.append(key_for(part, parts))
            lines += [
                "",
                f"[component.{parts[-1]}]",
                f"name = {_text(part.strip())}",
                f"zone = {_text(zone)}",
                f"states = {json.dumps(list(LADDER))}",
                'source = "bench"',
            ]
    return "\n".join(lines) + "\n" + _TAIL


def _text(words: str) -> str:
    """Return words as a TOML text."""
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")
