"""What an acid bath must not meet: materials, closed vessels, heat."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from brasswright.bench.validity import Figure, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import kelvin, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["AFTERWARDS", "BATH_K", "VESSELS", "sorted_materials", "vessel_rule", "warmth_rule"]

VESSELS: Final = ("open vessel", "open boiler", "closed boiler")
BATH_K: Final = (kelvin(celsius=5.0), kelvin(celsius=80.0))
AFTERWARDS: Final = (
    "electrical tests again: earth, insulation with the element in the circuit, resistance; scale seals cracks",
    "cold water-pressure test and leak-down again: scale may have sealed a pinhole, a seam or a thread",
    "look for pink metal: a film that wipes off is copper; soft or porous pink is dezincified, and the part is out",
    "every passage rinsed through: loose flakes jam valves later",
    "spent bath and first rinses hold copper, zinc, lead: collected, and disposed of by the rules of the place",
)

_BETWEEN: Final = re.compile(r"\s*(?:,|;|/|\+|\band\b|\bwith\b)\s*")


def sorted_materials(named: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what must stay out, and what may bathe, each with its reason; refuses metals that acid must not meet.

    Several materials stand between commas. What the table does not know stays out until it is known.
    Source: common-practice.

    >>> sorted_materials("brass, nickel-plated")[0][0].partition(":")[0]
    'nickel plated'
    """
    out: list[str] = []
    bathes: list[str] = []
    refused: list[str] = []
    for phrase in filter(None, _BETWEEN.split(" ".join(named.lower().replace("-", " ").split()))):
        met = _met(phrase)
        if not met:
            out.append(f"{phrase}: not in the table; keep it out until somebody knows what acid does to it")
        for row in met:
            line = f"{row['material']}: {row['why']}"
            if row["does"] == "refused":
                refused.append(line)
            elif row["does"] == "keep out":
                out.append(line)
            else:
                bathes.append(line if row["does"] == "bathes" else f"{line} ({row['does']})")
    if refused:
        raise ImpossibleValue(
            f"No acid bath: {'; '.join(dict.fromkeys(refused))}.",
            where="materials",
            remedy="Take that part off and ask again without it; what cannot come off is scraped, or left as it is.",
        )
    return tuple(dict.fromkeys(out)), tuple(dict.fromkeys(bathes))


def vessel_rule(vessel: str) -> tuple[str, ...]:
    """Return what the vessel asks for; refuses a closed one."""
    if vessel not in VESSELS:
        raise NotFound(f"'{vessel}' is no vessel of the list.", allowed=", ".join(VESSELS))
    if vessel == "closed boiler":
        raise ImpossibleValue(
            "No acid in a closed boiler: the gas has nowhere to go and bursts what holds it.",
            where="vessel",
            allowed="open vessel, open boiler",
            remedy="Take it off, open its largest opening, and let nothing be able to shut.",
        )
    if vessel == "open boiler":
        return (
            "In the boiler itself: unplugged and proved dead, its largest opening clear and upwards.",
            "Valve, gauge, glass and pressurestat off it; filled with warm water, not heated by its element.",
            "Flakes that come loose stay in it until they are rinsed out.",
        )
    return ()


def warmth_rule(bath_temperature_k: Figure | None, *, acid: str) -> tuple[str, ...]:
    """Return what the temperature of the bath asks for."""
    usual = kelvin(celsius=constant("bath_usual_c"))
    t = within(
        "bath_temperature_k",
        usual if bath_temperature_k is None else bath_temperature_k,
        low=BATH_K[0],
        high=BATH_K[1],
        source="common-practice",
    )
    low, high = (kelvin(celsius=constant(f"bath_{end}_c")) for end in ("low", "high"))
    band = f"{words(low, unit='°C')} to {words(high, unit='°C')} by trade practice, never boiling"
    middle = float(t.mean())
    found = []
    if middle > high:
        found.append(f"Hotter than {band}: more vapour, more metal lost, salts may settle harder.")
        if acid == "sulfamic":
            found.append("Hot sulfamic acid splits into sulfate: gypsum settles, and no acid takes that off.")
    elif middle < low:
        found.append(f"Colder than {band}: it works, slowly; overnight, watched and open.")
    return tuple(found)


def _met(phrase: str) -> list[Mapping[str, str]]:
    """Return the rows that a phrase names, longer names first, each word used once."""
    spelt = sorted(
        ((word, row) for row in rows("bath_materials") for word in row["words"].split(";")),
        key=lambda pair: -len(pair[0]),
    )
    found = []
    for word, row in spelt:
        pattern = rf"\b{re.escape(word)}\b"
        if re.search(pattern, phrase):
            found.append(row)
            phrase = re.sub(pattern, " ", phrase)
    return found
