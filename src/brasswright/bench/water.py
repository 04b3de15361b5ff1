"""Feed water: how near to limescale, what drops out at boiler heat with carbon dioxide kept or lost, how long it lasts.

The most that can drop is reckoned, at equilibrium, for water that passes once; a boiler that gives only steam keeps
everything that is not steam.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.carbonate import Dissolved, deposit, heated, speciate
from brasswright.bench.carbonate_constants import water_kg_per_m3
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.saturation import saturation_temperature_k
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.bench.water_care import care_litres_m3, hardness_words, langelier_index, range_notes
from brasswright.bench.water_given import EDGES, Composed, Readings, composed, molar_kg
from brasswright.bench.water_said import meaning, taken_for_granted, warnings
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant
from brasswright.units import kelvin, to_si, words

__all__ = ["CO2", "INSTRUMENT", "WaterResult", "water"]

CO2: Final = ("not known", "kept", "lost")
"""What becomes of carbon dioxide set free by the heat: not known spans both."""

_SOURCE: Final = "plummer-busenberg-1982"
_PH: Final = (4.0, 11.0)
_SOURCE_K: Final = (kelvin(celsius=1.0), kelvin(celsius=60.0))
_BOILER_K: Final = (kelvin(celsius=40.0), kelvin(celsius=135.0))
_GAUGE_PA: Final = (0.0, to_si(2.1, unit="bar"))
_CO2_PA: Final = (0.01, to_si(1.0, unit="bar"))
_WEEKLY_M3: Final = (to_si(0.1, unit="l"), 10.0)
_WEEK_S: Final = to_si(1.0, unit="week")
_MEASURED_TO_K: Final = kelvin(celsius=90.0)


@dataclass(frozen=True, slots=True)
class WaterResult:
    """What a water does in a boiler; hardness as CaCO3, calcium and magnesium as themselves.

    `deposit_low_kg_per_m3` to `deposit_high_kg_per_m3` span what the choice of carbon dioxide leaves open. The
    intervals go from 2.5 g at the high deposit to 5 g at the low one; None where next to nothing drops.
    """

    hardness_kg_per_m3: Figure
    hardness_in_units: str
    calcium_kg_per_m3: Figure
    magnesium_kg_per_m3: Figure
    solids_kg_per_m3: Figure
    source_co2_pa: Figure
    source_saturation: Figure
    langelier: Figure | None
    boiler_temperature_k: Figure
    boiler_ph: Figure
    boiler_saturation: Figure
    sulfate_saturation: Figure | None
    deposit_kept_kg_per_m3: Figure
    deposit_lost_kg_per_m3: Figure
    deposit_low_kg_per_m3: Figure
    deposit_high_kg_per_m3: Figure
    care_low_m3: Figure | None
    care_high_m3: Figure | None
    care_low_s: Figure | None
    care_high_s: Figure | None
    meaning: str
    assumed: tuple[str, ...]
    ranges: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked beside the composition, checked, each step taken for granted said."""

    ph: Array
    source_k: Array
    boiler_k: Array
    co2_atm: Array
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Boiled:
    """The water cold and hot, and what drops from it [kg/m3] with carbon dioxide kept and lost."""

    cold: Dissolved
    hot: Dissolved
    kept: Array
    lost: Array


@dataclass(frozen=True, slots=True)
class _Judged:
    """All of it: composition, question, boiling, deposit span [kg/m3], and means of what ranges are kept for."""

    made: Composed
    asked: _Asked
    boiled: _Boiled
    low: Array
    high: Array
    means: dict[str, float]


def water(  # noqa: PLR0913 - keyword-only: what strips, kits and laboratories read
    *,
    alkalinity_kg_per_m3: Figure,
    hardness_kg_per_m3: Figure | None = None,
    calcium_kg_per_m3: Figure | None = None,
    magnesium_kg_per_m3: Figure | None = None,
    ph: Figure | None = None,
    source_temperature_k: Figure | None = None,
    boiler_temperature_k: Figure | None = None,
    boiler_gauge_pa: Figure | None = None,
    co2: str = CO2[0],
    co2_pressure_pa: Figure | None = None,
    weekly_m3: Figure | None = None,
    chloride_kg_per_m3: Figure | None = None,
    sulfate_kg_per_m3: Figure | None = None,
    sodium_kg_per_m3: Figure | None = None,
    potassium_kg_per_m3: Figure | None = None,
    tds_kg_per_m3: Figure | None = None,
    conductivity_s_per_m: Figure | None = None,
) -> WaterResult:
    """Limescale from a water at boiler heat, and how much water it takes to the next descaling.

    Symbols: SI = log10(IAP / Ksp) of calcite; the water is heated closed, then calcite drops until SI = 0, with all
    carbon dioxide kept, or given off to a low pressure (that of outside air unless given). Alkalinity and hardness as
    CaCO3, ions as themselves. Missing readings are assumed openly: see `assumed`. Arrays stand for many waters.
    Valid for 1 to 135 °C (calcite measured to 90 °C), pH 4 to 11, fresh and slightly brackish water. Refuses impossible
    readings and a balance that does not settle. Source: plummer-busenberg-1982; phreeqc-dat; truesdell-jones-1974.

    >>> result = water(alkalinity_kg_per_m3=0.25, calcium_kg_per_m3=0.1, ph=7.5, boiler_temperature_k=393.15)
    >>> round(result.boiler_saturation, 1), result.deposit_kept_kg_per_m3 < result.deposit_lost_kg_per_m3
    (1.5, True)
    """
    if co2 not in CO2:
        raise NotFound(f"'{co2}' is no fate of carbon dioxide.", allowed=", ".join(CO2))
    asked = _asked((ph, source_temperature_k), (boiler_temperature_k, boiler_gauge_pa), co2_pressure_pa)
    made = composed(
        Readings(
            alkalinity_kg_per_m3, hardness_kg_per_m3, calcium_kg_per_m3, magnesium_kg_per_m3, sodium_kg_per_m3,
            potassium_kg_per_m3, chloride_kg_per_m3, sulfate_kg_per_m3, tds_kg_per_m3, conductivity_s_per_m,
        ),
        source_temperature_k=asked.source_k,
    )  # fmt: skip
    boiled = _boil(made, asked)
    low = boiled.lost if co2 == "lost" else boiled.kept
    high = boiled.kept if co2 == "kept" else boiled.lost
    shares = {"ph": asked.ph, "alkalinity": alkalinity_kg_per_m3, "hardness": made.hardness, "tds": made.solids}
    shares |= {"calcium hardness": made.calcium / molar_kg("ca") * molar_kg("caco3")}
    maybe = {**shares, "chloride": chloride_kg_per_m3, "sulfate": sulfate_kg_per_m3}
    means = {name: float(np.mean(value)) for name, value in maybe.items() if value is not None}
    return _told(_Judged(made, asked, boiled, low, high, means), weekly_m3)


def _asked(
    reading: tuple[Figure | None, Figure | None],
    boiler: tuple[Figure | None, Figure | None],
    co2_pressure_pa: Figure | None,
) -> _Asked:
    """Return pH, temperatures and pressure of carbon dioxide, with what was taken for granted."""
    assumed = []
    ph, source_k = reading
    if ph is None:
        ph = constant("water_usual_ph")
        assumed.append(f"The pH was not read: {ph:g} was taken.")
    if source_k is None:
        source_k = kelvin(celsius=constant("water_usual_source_c"))
        assumed.append(f"Readings were taken to be made at {words(source_k, unit='°C')}.")
    boiler_k, gauge = boiler
    if boiler_k is not None and gauge is not None:
        raise ImpossibleValue(
            "Temperature and pressure of the boiler were both given.", allowed="one of them: the other follows"
        )
    if boiler_k is None:
        if gauge is None:
            gauge = to_si(constant("water_usual_boiler_bar"), unit="bar")
            assumed.append(f"The boiler was taken to stand at {words(gauge, unit='bar')}.")
        above = within("boiler_gauge_pa", gauge, low=_GAUGE_PA[0], high=_GAUGE_PA[1], source=_SOURCE)
        boiler_k = saturation_temperature_k(pressure_pa=above + constant("atmosphere_pa"))
    hot = within("boiler_temperature_k", boiler_k, low=_BOILER_K[0], high=_BOILER_K[1], source=_SOURCE)
    if float(np.mean(hot)) > _MEASURED_TO_K:
        assumed.append("Calcite was measured to 90 °C: above it the expression is carried on, as PHREEQC does.")
    air = constant("water_air_co2_atm") * constant("atmosphere_pa")
    pressure = air if co2_pressure_pa is None else co2_pressure_pa
    gas = within("co2_pressure_pa", pressure, low=_CO2_PA[0], high=_CO2_PA[1], source=_SOURCE)
    return _Asked(
        ph=within("ph", ph, low=_PH[0], high=_PH[1], source=_SOURCE),
        source_k=within("source_temperature_k", source_k, low=_SOURCE_K[0], high=_SOURCE_K[1], source=_SOURCE),
        boiler_k=hot,
        co2_atm=np.asarray(gas / constant("atmosphere_pa")),
        assumed=tuple(assumed),
    )


def _boil(made: Composed, asked: _Asked) -> _Boiled:
    """Return the water cold and hot, and what drops from it; losing carbon dioxide never takes any up."""
    cold = speciate(made.water, alkalinity=made.alkalinity_mol_per_kg, temperature_k=asked.source_k, ph=asked.ph)
    hot = heated(cold, temperature_k=asked.boiler_k)
    kept = deposit(hot)
    lost = deposit(hot, co2_atm=np.minimum(asked.co2_atm, kept.left.co2_atm))
    mass = molar_kg("caco3") * np.asarray(water_kg_per_m3(temperature_k=asked.source_k))
    fallen = np.asarray(kept.amount * mass)
    return _Boiled(cold, hot, fallen, np.maximum(np.asarray(lost.amount * mass), fallen))


def _told(judged: _Judged, weekly_m3: Figure | None) -> WaterResult:
    """Return the result."""
    made, asked, boiled, means = judged.made, judged.asked, judged.boiled, judged.means
    care = care_litres_m3(deposit_low_kg_per_m3=judged.low, deposit_high_kg_per_m3=judged.high)
    times = _times(care, weekly_m3)
    sulfate = _sulfate(boiled.hot, judged.means)
    return WaterResult(
        hardness_kg_per_m3=plain(made.hardness),
        hardness_in_units=hardness_words(means["hardness"]),
        calcium_kg_per_m3=plain(made.calcium),
        magnesium_kg_per_m3=plain(made.magnesium),
        solids_kg_per_m3=plain(made.solids),
        source_co2_pa=plain(np.asarray(boiled.cold.co2_atm * constant("atmosphere_pa"))),
        source_saturation=boiled.cold.saturation("calcite"),
        langelier=_langelier(made, asked, means),
        boiler_temperature_k=plain(asked.boiler_k),
        boiler_ph=boiled.hot.ph,
        boiler_saturation=boiled.hot.saturation("calcite"),
        sulfate_saturation=sulfate,
        deposit_kept_kg_per_m3=plain(boiled.kept),
        deposit_lost_kg_per_m3=plain(boiled.lost),
        deposit_low_kg_per_m3=plain(judged.low),
        deposit_high_kg_per_m3=plain(judged.high),
        care_low_m3=care[0],
        care_high_m3=care[1],
        care_low_s=times[0],
        care_high_s=times[1],
        meaning=meaning((boiled.kept, boiled.lost), care, times),
        assumed=(*made.assumed, *asked.assumed, *taken_for_granted(means, asked.co2_atm)),
        ranges=range_notes(means),
        warnings=(*made.warnings, *warnings(means, cold_co2_atm=boiled.cold.co2_atm, sulfate=sulfate)),
    )


def _sulfate(hot: Dissolved, means: dict[str, float]) -> Figure | None:
    """Return how near calcium sulfate is to dropping out, None where sulfate was not read."""
    if "sulfate" not in means:
        return None
    return plain(np.maximum(hot.saturation("gypsum"), hot.saturation("anhydrite")))


def _times(care: tuple[Figure | None, Figure | None], weekly_m3: Figure | None) -> tuple[Figure | None, Figure | None]:
    """Return the interval in time [s], None where the weekly use or the interval is not known."""
    if weekly_m3 is None:
        return None, None
    weekly = within("weekly_m3", weekly_m3, low=_WEEKLY_M3[0], high=_WEEKLY_M3[1], source="common-practice")
    low, high = (None if one is None else plain(np.asarray(one / weekly * _WEEK_S)) for one in care)
    return low, high


def _langelier(made: Composed, asked: _Asked, means: dict[str, float]) -> Figure | None:
    """Return the index by the trade's formula, None where an amount is too small for its logarithms."""
    least = to_si(1.0, unit="mg/l")
    calcium = np.asarray(made.calcium / molar_kg("ca") * molar_kg("caco3"))
    if np.any(calcium < least) or np.any(made.solids < least) or means["alkalinity"] < least:
        return None
    per_kg = made.alkalinity_mol_per_kg * np.asarray(water_kg_per_m3(temperature_k=asked.source_k))
    return langelier_index(
        ph=asked.ph,
        temperature_k=asked.source_k,
        calcium_hardness_kg_per_m3=calcium,
        alkalinity_kg_per_m3=np.maximum(per_kg * molar_kg("caco3") / 2, least),
        solids_kg_per_m3=made.solids,
    )


def _ion(key: str, asks: str, most: float) -> Input:
    """Return the input for an ion, in mg of itself for each litre."""
    low, high = EDGES[key]
    return Input(
        key, f"{key}_kg_per_m3", f"{asks}, as itself", dimension="concentration", unit="mg/l", low=low, high=high,
        plausible=(0.0, to_si(most, unit="mg/l")),
    )  # fmt: skip


INSTRUMENT: Final = Instrument(
    name="water",
    summary="feed water: saturation, limescale at boiler heat, litres and weeks to the next descaling",
    inputs=(
        Input(
            "alkalinity", "alkalinity_kg_per_m3", "alkalinity (carbonate hardness, KH); mmol/l is acid taken up",
            dimension="alkalinity", unit="mg/l CaCO3", required=True, low=EDGES["alkalinity"][0],
            high=EDGES["alkalinity"][1], plausible=(to_si(3.0, unit="mg/l"), to_si(500.0, unit="mg/l")),
        ),
        Input(
            "hardness", "hardness_kg_per_m3", "total hardness (GH)", dimension="hardness", unit="mg/l CaCO3",
            low=EDGES["hardness"][0], high=EDGES["hardness"][1], plausible=(0.0, to_si(700.0, unit="mg/l")),
        ),
        Input(
            "calcium", "calcium_kg_per_m3", "calcium; plain mg/l is of calcium itself", dimension="calcium",
            unit="mg/l", low=EDGES["calcium"][0], high=EDGES["calcium"][1], plausible=(0.0, to_si(250.0, unit="mg/l")),
        ),
        Input(
            "magnesium", "magnesium_kg_per_m3", "magnesium; plain mg/l is of magnesium itself", dimension="magnesium",
            unit="mg/l", low=EDGES["magnesium"][0], high=EDGES["magnesium"][1],
            plausible=(0.0, to_si(120.0, unit="mg/l")),
        ),
        Input(
            "ph", "ph", "pH at the tap, if not 7.5", dimension="count", unit="1", low=_PH[0], high=_PH[1],
            plausible=(5.5, 9.5),
        ),
        Input(
            "source", "source_temperature_k", "temperature at which it was read, if not 20 °C", dimension="temperature",
            unit="°C", low=_SOURCE_K[0], high=_SOURCE_K[1],
        ),
        Input(
            "boiler", "boiler_temperature_k", "temperature in the boiler, or give its pressure",
            dimension="temperature", unit="°C", low=_BOILER_K[0], high=_BOILER_K[1],
        ),
        Input(
            "pressure", "boiler_gauge_pa", "pressure of the boiler, if not 1 bar", dimension="pressure_gauge",
            unit="bar", low=_GAUGE_PA[0], high=_GAUGE_PA[1],
        ),
        Input("co2", "co2", "carbon dioxide set free: kept in the water, or lost", kind="choice", choices=CO2),
        Input(
            "co2_pressure", "co2_pressure_pa", "carbon dioxide at which lost water ends, if not outside air's",
            dimension="pressure_absolute", unit="Pa", low=_CO2_PA[0], high=_CO2_PA[1],
        ),
        Input(
            "weekly", "weekly_m3", "water through the machine in a week", dimension="volume", unit="l",
            low=_WEEKLY_M3[0], high=_WEEKLY_M3[1], plausible=(to_si(0.5, unit="l"), 1.0),
        ),
        _ion("chloride", "chloride", 500.0),
        _ion("sulfate", "sulfate", 700.0),
        _ion("sodium", "sodium", 500.0),
        _ion("potassium", "potassium", 100.0),
        Input(
            "tds", "tds_kg_per_m3", "dissolved solids, dried or by meter", dimension="concentration", unit="mg/l",
            low=EDGES["tds"][0], high=EDGES["tds"][1], plausible=(0.0, to_si(2000.0, unit="mg/l")),
        ),
        Input(
            "conductivity", "conductivity_s_per_m", "conductivity, where solids were not read",
            dimension="conductivity", unit="µS/cm", low=EDGES["conductivity"][0], high=EDGES["conductivity"][1],
        ),
    ),
    outputs=(
        Output("hardness_kg_per_m3", "kg/m3", "hardness, as CaCO3", "mg/l"),
        Output("hardness_in_units", "", "hardness in other units: the same figure"),
        Output("calcium_kg_per_m3", "kg/m3", "calcium", "mg/l"),
        Output("magnesium_kg_per_m3", "kg/m3", "magnesium", "mg/l"),
        Output("solids_kg_per_m3", "kg/m3", "dissolved solids", "mg/l"),
        Output("source_co2_pa", "Pa", "carbon dioxide in balance with the cold water", "Pa"),
        Output("source_saturation", "1", "saturation index of calcite, cold"),
        Output("langelier", "1", "saturation index by the trade's formula, cold"),
        Output("boiler_temperature_k", "K", "temperature in the boiler", "°C"),
        Output("boiler_ph", "1", "pH in the boiler before anything drops"),
        Output("boiler_saturation", "1", "saturation index of calcite, hot"),
        Output("sulfate_saturation", "1", "saturation index of gypsum or anhydrite, hot"),
        Output("deposit_kept_kg_per_m3", "kg/m3", "limescale, carbon dioxide kept", "mg/l"),
        Output("deposit_lost_kg_per_m3", "kg/m3", "limescale, carbon dioxide lost", "mg/l"),
        Output("deposit_low_kg_per_m3", "kg/m3", "limescale, least of what was asked", "mg/l"),
        Output("deposit_high_kg_per_m3", "kg/m3", "limescale, most of what was asked", "mg/l"),
        Output("care_low_m3", "m3", "descale after, at the earliest", "l"),
        Output("care_high_m3", "m3", "descale after, at the latest", "l"),
        Output("care_low_s", "s", "earliest time of descaling", "week"),
        Output("care_high_s", "s", "latest time of descaling", "week"),
        Output("meaning", "", "meaning: what to make of it"),
        Output("assumed", "", "assumed: what was taken for granted"),
        Output("ranges", "", "asked by the trade: the usual ranges beside this water"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="fresh to slightly brackish water, pH 4 to 11, 1 to 135 °C (calcite measured to 90), one pass",
    example={
        "alkalinity": "140 ± 10 mg/l CaCO3", "hardness": "10 ± 1 °dH", "ph": "7.6 ± 0.2", "pressure": "1 bar",
        "chloride": "22 mg/l", "weekly": "9 l",
    },
    cautions=(
        "A boiler that gives mainly steam keeps what is dissolved: it wants emptying and refilling, cold and vented.",
        "Descale only in open vessels, never a closed boiler, never zinc, aluminium or springs; rinse and test again.",
        "Freshly descaled brass, bronze and solder give off more lead and copper: flush before anyone drinks.",
        "This says nothing about germs, iron, chlorine or what else makes a water unfit to drink.",
    ),
    sources=(
        "plummer-busenberg-1982", "phreeqc-dat", "truesdell-jones-1974", "davies-1962", "bradley-pitzer-1979",
        "blount-dickson-1973", "lsi-write-up", "water-faq", "maker-water-sheet", "coffee-water-table",
        "coffee-water-handbook", "common-practice",
    ),
    call=water,
)  # fmt: skip
