"""Where the law of pressure equipment puts a vessel, and the cold water pressure its rules ask for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.validity import Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import from_si, kelvin, to_si

__all__ = ["TEST_RULES", "Place", "place_in_law", "water_test_pressure_pa"]

TEST_RULES: Final = ("PED 7.4", "ASME UG-99(b)")
_LAW: Final = "ped-2014-68"
_PASCALS: Final = (0.0, to_si(16.0, unit="bar"))
_LITRES: Final = (0.01, 60.0)
_SAME: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Place:
    """Where a vessel stands: category, the article that puts it there, and the sentence that says why."""

    category: str
    rule: str
    meaning: str


def water_test_pressure_pa(*, pressure_pa: Figure, rule: str = "PED 7.4", stress_ratio: Figure = 1.0) -> Figure:
    """Hydrostatic test pressure, cold water, all air out [Pa].

    Symbols: PS most allowable pressure, r allowable stress cold over hot. PED 7.4: the greater of 1.25 r PS and
    1.43 PS; UG-99(b): 1.3 r PS. Valid for 0 to 16 bar, r of 1 to 5.
    Source: ped-2014-68, Annex I 7.4 (r PS stands for "the loading in service"); asme-viii-1, UG-99(b), from memory.

    >>> round(water_test_pressure_pa(pressure_pa=150_000.0))
    214500
    """
    p = within("pressure_gauge_pa", pressure_pa, low=_PASCALS[0], high=_PASCALS[1], source=_LAW)
    r = within("stress_ratio", stress_ratio, low=1.0, high=5.0, source=_LAW)
    if rule == "PED 7.4":
        return plain(p * np.maximum(constant("ped_loading_factor") * r, constant("ped_factor")))
    if rule == "ASME UG-99(b)":
        return plain(p * constant("ug99_factor") * r)
    raise NotFound("There is no such rule.", got=f"'{rule}'", allowed=", ".join(TEST_RULES))


def place_in_law(*, pressure_pa: float, volume_m3: float, temperature_k: float, heated: bool = True) -> Place:
    """Return where the European directive puts a vessel for steam or water.

    Symbols: PS most allowable pressure [bar], V volume [l]. Heated so that it can overheat, for steam or water above
    110 °C: V above 2 l, whatever PS V. Otherwise steam as a harmless gas: V above 1 l and PS V above 50 bar l. Water
    to 110 °C: sound engineering practice over all of the range here.
    Valid for 0 to 16 bar, 10 ml to 60 l. Source: ped-2014-68, Articles 1 and 4, Annex II tables 2 and 5, from memory.

    >>> place_in_law(pressure_pa=150_000.0, volume_m3=0.0018, temperature_k=400.0).category
    'Article 4(3)'
    >>> place_in_law(pressure_pa=150_000.0, volume_m3=0.005, temperature_k=400.0).category
    'I'
    """
    p = within("pressure_gauge_pa", pressure_pa, low=_PASCALS[0], high=_PASCALS[1], source=_LAW)
    low, high = (to_si(edge, unit="l") for edge in _LITRES)
    v = within("volume_m3", volume_m3, low=low, high=high, source=_LAW)
    bar, litres = from_si(float(p), unit="bar"), from_si(float(v), unit="l")
    if bar <= constant("ped_scope_bar") + _SAME:
        return Place("outside", "Article 1(1)", "At or below 0.5 bar the directive does not speak of it.")
    if temperature_k <= kelvin(celsius=constant("heated_steam_c")):
        return _practice("water that stays at or below 110 °C, at this pressure and volume")
    product = bar * litres
    if heated:
        if litres <= constant("heated_steam_l") + _SAME:
            return _practice("a heated steam vessel of at most 2 l")
        why = f"heated, steam above 110 °C, {litres:.3g} l: more than 2 l, whatever pressure times volume"
        return Place(_category("heated", product), "Article 4(1)(b)", _above(why, product))
    if litres <= constant("gas_vessel_l") + _SAME or _category("gas", product) == "Article 4(3)":
        return _practice("a vessel for steam that is not heated itself, of at most 1 l or 50 bar l")
    why = f"not heated itself, steam, {litres:.3g} l"
    return Place(_category("gas", product), "Article 4(1)(a)(i)", _above(why, product))


def _category(chart: str, bar_litres: float) -> str:
    """Return the category of a chart."""
    found = [row for row in rows("vessel_categories") if row["chart"] == chart]
    return next((row["category"] for row in found if bar_litres <= float(row["bar_litres_most"]) + _SAME), "IV")


def _practice(why: str) -> Place:
    """Return the place of what needs only sound engineering practice."""
    return Place(
        "Article 4(3)",
        "Article 4(3)",
        f"Sound engineering practice: {why}. It must not carry this directive's CE mark.",
    )


def _above(why: str, bar_litres: float) -> str:
    """Return the sentence for what lies above the thresholds."""
    return (
        f"{why[0].upper()}{why[1:]}; {bar_litres:.3g} bar l. Appliances of category I at most that the low-voltage or "
        "the machinery directive covers are left out of this one (Article 1(2)(f)); what holds for vessels in use is "
        "national law."
    )
