"""Where a question of the sheet is answered, and how its own words stand on a page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.judgement.evidence import question_words
from brasswright.web.spoken import listed, minutes

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.sheets.model import Sheet

__all__ = ["Ask", "ask_of", "place_of", "unit_names", "zone_name"]

ASKED = "Asked of the owner"


@dataclass(frozen=True, slots=True)
class Ask:
    """A question in a list: what, where on the machine, how long, where it is answered."""

    href: str
    ask: str
    where: str
    minutes: str


def place_of(sheet: Sheet, base: str, key: str) -> str:
    """Return the address at which a question, reading or component of a job is answered or set."""
    if key in sheet.reading:
        return f"{base}/bench-tests/{key}"
    if key in sheet.finding:
        return f"{base}/walk-round/{sheet.finding[key].zone}#q-{key}"
    if key in sheet.history:
        return f"{base}/walk-round/before#q-{key}"
    return f"{base}/odds/{key}"


def zone_name(sheet: Sheet, key: str) -> str:
    """Return the name of the zone in which a question or reading is answered."""
    asked = sheet.finding.get(key) or sheet.reading.get(key)
    zone = sheet.zone.get(asked.zone) if asked is not None else None
    return zone.name if zone is not None else ASKED


def unit_names(sheet: Sheet, keys: Iterable[str]) -> str:
    """Return units and components as a list in words: "case and base plate"."""
    named = [sheet.unit.get(key) or sheet.component.get(key) for key in keys]
    return listed(tuple(one.name[:1].lower() + one.name[1:] for one in named if one is not None))


def ask_of(sheet: Sheet, base: str, key: str) -> Ask:
    """Return a question or reading, by its key, as a line of a list."""
    asked = sheet.finding.get(key) or sheet.reading.get(key)
    return Ask(
        place_of(sheet, base, key),
        question_words(sheet, key),
        zone_name(sheet, key),
        minutes(asked.minutes) if asked is not None else "",
    )
