"""What a water means for a machine's care: litres to the next descaling, saturation index by formula, usual ranges."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.sources import cite
from brasswright.tables import constant, rows
from brasswright.units import from_si, kelvin, to_si, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["care_litres_m3", "hardness_words", "langelier_index", "range_notes"]

_SOURCE: Final = "lsi-write-up"
_LSI_C: Final = (0.0, 95.0)
_PER_MG: Final = to_si(1.0, unit="mg/l")


def care_litres_m3(
    *, deposit_low_kg_per_m3: Figure, deposit_high_kg_per_m3: Figure
) -> tuple[Figure | None, Figure | None]:
    """Return least and most water until a boiler wants descaling [m3].

    Symbols: V = m / c, m deposit of 2.5 g (least) and 5 g (most), c deposit from each m3, the high one for the least.
    An end is None where less than 1 mg drops from a litre; of many draws the middle one decides, and those under 1 mg
    stand at what 1 mg gives. Valid for a small boiler. Source: water-faq.

    >>> least, most = care_litres_m3(deposit_low_kg_per_m3=0.030, deposit_high_kg_per_m3=0.030)
    >>> round(least * 1000), round(most * 1000)
    (83, 167)
    """
    low = within("deposit_low_kg_per_m3", deposit_low_kg_per_m3, low=0.0, high=10.0, source="water-faq")
    high = within("deposit_high_kg_per_m3", deposit_high_kg_per_m3, low=0.0, high=10.0, source="water-faq")
    if np.any(low > high * (1 + 1e-9)):
        raise ImpossibleValue("The low deposit is above the high one.", allowed="low at most high")
    return _until("water_descale_low_kg", high), _until("water_descale_high_kg", low)


def _until(key: str, each: Array) -> Figure | None:
    """Return the water that brings an amount of deposit, None where next to nothing drops from the middle one."""
    least = constant("water_scale_least")
    if float(np.median(each)) < least:
        return None
    return plain(np.asarray(constant(key) / np.maximum(each, least)))


def langelier_index(
    *,
    ph: Figure,
    temperature_k: Figure,
    calcium_hardness_kg_per_m3: Figure,
    alkalinity_kg_per_m3: Figure,
    solids_kg_per_m3: Figure,
) -> Figure:
    """Saturation index by the fitted formula of the trade, for comparison; the model's own index is the better one.

    Symbols: pHs = (9.3 + A + B) - (C + D), A = (log10 TDS - 1) / 10, B = -13.12 log10(t + 273) + 34.55,
    C = log10 Ca - 0.4, D = log10 alkalinity, both as mg/l CaCO3, t in Celsius; index pH - pHs. C carries its 0.4:
    write-ups without it are 0.4 off. Valid for 0 to 95 °C and at least 1 mg/l of each. Source: lsi-write-up.

    >>> round(langelier_index(ph=7.5, temperature_k=298.15, calcium_hardness_kg_per_m3=0.150,
    ...                       alkalinity_kg_per_m3=0.034, solids_kg_per_m3=0.320), 2)
    -0.73
    """
    low, high = (kelvin(celsius=edge) for edge in _LSI_C)
    celsius = within("temperature_k", temperature_k, low=low, high=high, source=_SOURCE) - kelvin(celsius=0.0)
    acid = within("ph", ph, low=4.0, high=11.5, source=_SOURCE)
    amounts = {
        "calcium_hardness_kg_per_m3": calcium_hardness_kg_per_m3,
        "alkalinity_kg_per_m3": alkalinity_kg_per_m3,
        "solids_kg_per_m3": solids_kg_per_m3,
    }
    calcium, alkalinity, solids = (
        np.log10(within(name, value, low=_PER_MG, high=10.0, source=_SOURCE) / _PER_MG)
        for name, value in amounts.items()
    )
    a = (solids - 1) / 10
    b = constant("lsi_b_slope") * np.log10(celsius + constant("lsi_zero_k")) + constant("lsi_b_offset")
    c = calcium - constant("lsi_c_offset")
    return plain(np.asarray(acid - (constant("lsi_base") + a + b) + (c + alkalinity)))


def hardness_words(hardness_kg_per_m3: float) -> str:
    """Return one hardness in all its units.

    >>> hardness_words(0.150)
    '150 mg/l CaCO3 = 1.5 mmol/l = 8.4 °dH = 15 °fH = 10.5 °e = 8.76 gpg'
    """
    units = ("mg/l CaCO3", "mmol/l", "°dH", "°fH", "°e", "gpg")
    return " = ".join(words(hardness_kg_per_m3, unit=unit, dimension="hardness", figures=3) for unit in units)


def range_notes(found: Mapping[str, float]) -> tuple[str, ...]:
    """Return, for each range that the trade asks for, whether this water lies in it; SI in, pH plain.

    >>> range_notes({"chloride": 0.045})[0].split(":")[0]
    'chloride 45 mg/l is above 0 to 30 mg/l'
    """
    notes = []
    for row in rows("water_ranges"):
        value = found.get(row["quantity"])
        if value is None:
            continue
        plain_number = row["unit"] == "1"
        number = value if plain_number else from_si(value, unit=row["unit"])
        low, high = float(row["low"]), float(row["high"])
        place = "below" if number < low else "above" if number > high else "within"
        tail = "" if plain_number else f" {row['unit']}"
        notes.append(
            f"{row['quantity']} {number:.3g}{tail} is {place} {low:g} to {high:g}{tail}: {cite(row['source'])} "
            f"({row['provenance']})"
        )
    return tuple(notes)
