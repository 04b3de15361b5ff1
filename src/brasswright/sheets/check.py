"""Checking a whole sheet: what refuses it, and what is only doubtful, each with file, line, entry and remedy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.errors import Problem
from brasswright.sheets.check_names import names
from brasswright.sheets.check_numbers import numbers
from brasswright.sheets.check_order import order
from brasswright.sheets.places import Places

if TYPE_CHECKING:
    from brasswright.sheets.found import Found
    from brasswright.sheets.model import Sheet

__all__ = ["problems", "warnings"]


def problems(sheet: Sheet, places: Places | None = None) -> tuple[Problem, ...]:
    """Return everything for which the sheet is refused; empty when it may be used.

    Unknown names, numbers that cannot be (shares, rows, triples, levels, limits), a worse cause that gives a better
    effect, circles, and conditions that no treatment takes away.
    """
    return _located([found for found in _all(sheet) if not found.warning], places)


def warnings(sheet: Sheet, places: Places | None = None) -> tuple[Problem, ...]:
    """Return what is allowed and probably not meant: nobody asks about it, it causes nothing, costs that fall."""
    return _located([found for found in _all(sheet) if found.warning], places)


def _all(sheet: Sheet) -> list[Found]:
    """Run every check."""
    return [*names(sheet), *numbers(sheet), *order(sheet)]


def _located(found: list[Found], places: Places | None) -> tuple[Problem, ...]:
    """Put file and line to what was found, in the order of the sheet's lines, once each."""
    known = places if places is not None else Places()
    listed = [Problem(known.where(*one.path), one.what, one.remedy) for one in found]
    return tuple(dict.fromkeys(listed))
