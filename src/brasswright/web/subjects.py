"""Under which subject an instrument is listed, and what it is called there.

An instrument nobody has sorted yet stands under `OTHERS`, so that one new file is all a new instrument needs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from brasswright.web.spoken import capital

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["OTHERS", "SUBJECTS", "by_subject", "title_of"]

SUBJECTS: Final = {
    "Electrics": ("earth", "insulation", "leakage", "element"),
    "Heat and pressure": (
        "saturation", "heatup", "heating", "cooling", "cycling", "leakdown", "relief", "shell", "touch", "lagging",
    ),
    "Lever and spring": ("spring", "stroke", "lever", "shot"),
    "Water and scale": ("water", "scale"),
    "Seals and threads": ("seal", "flatgasket", "thread", "torque"),
    "Age and paint": ("datecode", "colour"),
    "Packing and papers": ("packing", "notice"),
}  # fmt: skip
"""The subjects in the order of the page, their instruments by name; one that is not on the bench is passed over."""

OTHERS: Final = "Others"

_TITLES: Final = {
    "datecode": "Date code",
    "earth": "Protective earth",
    "flatgasket": "Flat gasket",
    "heatup": "Heating up",
    "leakdown": "Leak-down",
    "notice": "Notice of damage",
    "relief": "Relief valve",
    "saturation": "Steam and pressure",
    "touch": "Hot to the touch",
}


def title_of(name: str) -> str:
    """Return what an instrument is called in headings."""
    return _TITLES.get(name, capital(name.replace("_", " ")))


def by_subject(names: Iterable[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the names by subject, each once; empty subjects are left out, the unsorted come last.

    >>> by_subject(["torque", "earth", "brand_new"])
    (('Electrics', ('earth',)), ('Seals and threads', ('torque',)), ('Others', ('brand_new',)))
    """
    there = list(names)
    sorted_ones = {name for group in SUBJECTS.values() for name in group}
    groups = [(subject, tuple(name for name in group if name in there)) for subject, group in SUBJECTS.items()]
    others = tuple(name for name in there if name not in sorted_ones)
    return tuple((subject, group) for subject, group in [*groups, (OTHERS, others)] if group)
