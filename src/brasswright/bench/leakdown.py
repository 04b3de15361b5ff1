"""Leak-down of a closed vessel: pressure lost beyond what temperature explains, with water or gas at low pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from brasswright.bench.boiler_log import ask_if_absolute
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.leak_findings import Vessel, left_of, notes_of, outcome_of
from brasswright.bench.leak_readings import Hold, hold_of_log, hold_of_readings
from brasswright.bench.limits import Outcome
from brasswright.bench.saturation import barometer_pa
from brasswright.bench.tightness import (
    KELVINS,
    LITRES,
    full_metals,
    gas_gain_mol_per_s,
    stored_energy_j,
)
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import to_si, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INSTRUMENT", "LeakdownResult", "leakdown"]

_PASCALS: Final = (to_si(-1.0, unit="bar"), to_si(10.0, unit="bar"))
_KELVINS: Final = (KELVINS[0], to_si(200.0, unit="°C"))
_SECONDS: Final = (1.0, to_si(7.0, unit="d"))
_DROP: Final = (1.0, to_si(5.0, unit="bar"))
_OUTSIDE: Final = (50_000.0, 110_000.0)


@dataclass(frozen=True, slots=True)
class LeakdownResult:
    """A hold read. `drop_pa` is what pressure lost; what temperature explains of it, and what is left, follow.

    Figures that need temperatures are None without them; gas and energy are None for water; all are as for gas below
    the pressure outside too, where a leak makes pressure rise and `drop_unexplained_pa` negative.
    """

    drop_pa: Figure
    rise_pa_per_k: Figure | None
    drop_by_temperature_pa: Figure | None
    drop_unexplained_pa: Figure | None
    drop_unexplained_sigma_pa: float | None
    significance: Figure | None
    gas_gain_mol_per_s: Figure | None
    gas_gain_sigma_mol_per_s: float | None
    leak_m3_per_s: Figure | None
    stored_energy_j: Figure | None
    hold_s: Figure
    outcome: Outcome | Literal["not asked"]
    meaning: str
    warnings: tuple[str, ...]


def leakdown(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    filled: str,
    log: str = "",
    start_pressure_gauge_pa: Figure | None = None,
    end_pressure_gauge_pa: Figure | None = None,
    start_temperature_k: Figure | None = None,
    end_temperature_k: Figure | None = None,
    hold_s: Figure | None = None,
    volume_m3: Figure | None = None,
    metal: str = "copper",
    cap: str = "metal",
    drip_seen: bool | None = None,
    gauge: str = "",
    drop_limit_pa: Figure | None = None,
    barometer_pressure_pa: Figure | None = None,
    altitude_m: Figure = 0.0,
    pressure_is_gauge: bool = False,
    pressure_sigma_pa: float | None = None,
    temperature_sigma_k: float | None = None,
) -> LeakdownResult:
    """Whether a closed vessel lost more than temperature explains, from two readings or a log.

    Symbols: p gauge pressure, T temperature, t hold. Gas: p_abs V = n R T, so that V / R (p2 / T2 - p1 / T1) / t came
    in; temperature alone makes p1 T2 / T1. Full of water: K (b - 3 a) (T2 - T1), the most there can be: a shell that
    gives and air that stayed make it less. z = what is left over its uncertainty, from both readings (or the scatter
    of the log) and the model. Without temperatures a hold of water shows no more than whether a drip was seen. A
    boiler that cools under its own steam loses pressure anyway: not shown.
    Gas is refused above 0.2 bar, above 100 J stored, and with a phenolic or cast cap.
    Valid for 1 to 60 °C (not for steam), up to 10 bar with water. Source: cfr-40-1065-644; iapws-r7-97;
    expansion-tables; ideal-gas-expansion; iso-2533; common-practice.

    >>> held = leakdown(filled="water", start_pressure_gauge_pa=200e3, end_pressure_gauge_pa=166e3,
    ...                 start_temperature_k=293.25, end_temperature_k=293.15, hold_s=600.0)
    >>> round(held.drop_by_temperature_pa / 1e5, 2), held.outcome
    (0.34, 'not shown')
    """
    outside = _outside(barometer_pressure_pa, altitude_m)
    volume = None if volume_m3 is None else within(
        "volume_m3", volume_m3, low=LITRES[0], high=LITRES[1], source="common-practice"
    )  # fmt: skip
    given = {
        "start_pressure_gauge_pa": start_pressure_gauge_pa,
        "end_pressure_gauge_pa": end_pressure_gauge_pa,
        "start_temperature_k": start_temperature_k,
        "end_temperature_k": end_temperature_k,
        "hold_s": hold_s,
    }
    held = _held(log, given, outside, (pressure_sigma_pa, temperature_sigma_k))
    ask_if_absolute(held.start_pa, barometer_pa=outside, confirmed=pressure_is_gauge, where="pressure")
    limit = None
    if drop_limit_pa is not None:
        limit = within("drop_limit_pa", drop_limit_pa, low=_DROP[0], high=_DROP[1], source="common-practice")
    energy = _allowed(filled, cap, held, volume, outside)
    return _told(Vessel(filled, metal, volume, outside, energy), held, (gauge, limit), drip=drip_seen)


def _outside(barometer: Figure | None, altitude: Figure) -> Array:
    """Return the pressure of the air outside."""
    standard = np.asarray(barometer_pa(altitude_m=altitude))
    if barometer is None:
        return standard
    return within("barometer_pressure_pa", barometer, low=_OUTSIDE[0], high=_OUTSIDE[1], source="iso-2533")


def _held(
    log: str, given: Mapping[str, Figure | None], outside: Array, sigmas: tuple[float | None, float | None]
) -> Hold:
    """Return the hold, from a log or from two readings; never from both."""
    edges = (_PASCALS, _PASCALS, _KELVINS, _KELVINS, _SECONDS)
    p1, p2, t1, t2, seconds = (
        None if value is None else within(name, value, low=low, high=high, source="common-practice")
        for (name, value), (low, high) in zip(given.items(), edges, strict=True)
    )
    if log:
        both = [name for name, value in given.items() if value is not None]
        if both:
            raise ImpossibleValue("A log and single readings were given.", got=", ".join(both), allowed="one of them")
        return hold_of_log(log, outside_pa=float(outside.mean()), sigmas=sigmas)
    if p1 is None or p2 is None or seconds is None:
        raise ImpossibleValue(
            "Pressure at the start, at the end, and the time between are needed.",
            allowed="start_pressure, end_pressure and time, or a log",
        )
    if (t1 is None) != (t2 is None):
        raise ImpossibleValue("One temperature corrects nothing.", allowed="both temperatures, or neither")
    return hold_of_readings((p1, p2), None if t1 is None or t2 is None else (t1, t2), seconds, sigmas)


def _allowed(filled: str, cap: str, held: Hold, volume: Array | None, outside: Array) -> Figure | None:
    """Refuse what must not be held so; return the energy stored where it is gas."""
    if cap != "metal":
        raise ImpossibleValue(
            "No pressure test on an old phenolic or cast cap, with water or with gas.", got=cap,
            remedy="Take the cap off and blank its place, or fit a new metal one, before any pressure.",
        )  # fmt: skip
    if filled != "gas":
        return None
    if volume is None:
        raise ImpossibleValue("A test with gas needs the volume: it stores energy.", allowed="volume=...")
    most = constant("leakdown_gas_most_pa")
    within("gas_pressure_gauge_pa", held.start_pa, low=_PASCALS[0], high=most, source="common-practice")
    within("gas_pressure_gauge_pa", held.end_pa, low=_PASCALS[0], high=most, source="common-practice")
    energy = stored_energy_j(volume_m3=volume, pressure_absolute_pa=held.start_pa + outside, outside_pa=outside)
    if np.any(np.asarray(energy) > constant("leakdown_gas_most_j")):
        raise ImpossibleValue(
            "This much gas under pressure stores too much energy for the bench.",
            got=words(float(np.max(energy)), unit="J"), allowed=words(constant("leakdown_gas_most_j"), unit="J"),
            remedy="Test with water only, all air out.",
        )  # fmt: skip
    return energy


def _told(vessel: Vessel, held: Hold, against: tuple[str, Array | None], *, drip: bool | None) -> LeakdownResult:
    """Return everything that the hold says."""
    left = left_of(vessel, held)
    gain = gain_sigma = leak = None
    if vessel.filled == "gas" and left is not None and held.temperatures is not None and vessel.volume is not None:
        t1, t2 = held.temperatures
        gain = np.asarray(gas_gain_mol_per_s(
            volume_m3=vessel.volume, start_pressure_absolute_pa=held.start_pa + vessel.outside,
            end_pressure_absolute_pa=held.end_pa + vessel.outside, start_temperature_k=t1, end_temperature_k=t2,
            hold_s=held.seconds,
        ))  # fmt: skip
        per_pascal = vessel.volume / constant("molar_gas_j_per_mol_k") / t2 / held.seconds
        gain_sigma = float(per_pascal.mean()) * left.sigma
        leak = np.abs(gain) * constant("molar_gas_j_per_mol_k") * t2 / vessel.outside
    outcome, meaning = outcome_of(vessel=vessel, held=held, left=left, drip=drip, against=against)
    return LeakdownResult(
        drop_pa=plain(held.start_pa - held.end_pa),
        rise_pa_per_k=None if left is None else plain(left.rise),
        drop_by_temperature_pa=None if left is None else plain(left.by_temperature),
        drop_unexplained_pa=None if left is None else plain(left.unexplained),
        drop_unexplained_sigma_pa=None if left is None else left.sigma,
        significance=None if left is None else plain(left.unexplained / left.sigma),
        gas_gain_mol_per_s=None if gain is None else plain(gain),
        gas_gain_sigma_mol_per_s=gain_sigma,
        leak_m3_per_s=None if leak is None else plain(np.asarray(leak)),
        stored_energy_j=vessel.energy,
        hold_s=plain(held.seconds),
        outcome=outcome,
        meaning=meaning,
        warnings=notes_of(vessel, left, drip=drip),
    )


INSTRUMENT: Final = Instrument(
    name="leakdown",
    summary="leak-down: pressure lost beyond what temperature explains, full of water or with gas at low pressure",
    inputs=(
        Input(
            "filled", "filled", "what holds the pressure", kind="choice", required=True,
            choices=("water", "gas", "steam"),
        ),
        Input("log", "log", "a CSV file (or its text): time, pressure, temperature; or the readings below", kind="log"),
        Input(
            "start_pressure", "start_pressure_gauge_pa", "pressure at the start", dimension="pressure_gauge",
            unit="bar", low=_PASCALS[0], high=_PASCALS[1], plausible=(_PASCALS[0], to_si(5.0, unit="bar")),
        ),
        Input(
            "end_pressure", "end_pressure_gauge_pa", "pressure at the end", dimension="pressure_gauge", unit="bar",
            low=_PASCALS[0], high=_PASCALS[1], plausible=(_PASCALS[0], to_si(5.0, unit="bar")),
        ),
        Input(
            "start_temperature", "start_temperature_k", "temperature of the shell at the start",
            dimension="temperature", unit="°C", low=_KELVINS[0], high=_KELVINS[1],
        ),
        Input(
            "end_temperature", "end_temperature_k", "the same at the end", dimension="temperature", unit="°C",
            low=_KELVINS[0], high=_KELVINS[1],
        ),
        Input("time", "hold_s", "time between", dimension="time", unit="min", low=_SECONDS[0], high=_SECONDS[1]),
        Input(
            "volume", "volume_m3", "volume of the vessel (needed for gas)", dimension="volume", unit="l",
            low=LITRES[0], high=LITRES[1],
        ),
        Input("metal", "metal", "what the shell is made of", kind="choice", choices=full_metals()),
        Input("cap", "cap", "its caps and closures", kind="choice", choices=("metal", "old phenolic", "cast")),
        Input("drip_seen", "drip_seen", "was a drip or weep seen at any joint", kind="yes or no"),
        Input("gauge", "gauge", "reference gauge or logger it was read with", kind="words"),
        Input(
            "drop_limit", "drop_limit_pa", "most drop allowed over the hold, temperature taken off",
            dimension="pressure_gauge", unit="bar", low=_DROP[0], high=_DROP[1],
        ),
        Input(
            "barometer", "barometer_pressure_pa", "pressure of the air outside", dimension="pressure_absolute",
            unit="mbar", low=_OUTSIDE[0], high=_OUTSIDE[1],
        ),
        Input(
            "altitude", "altitude_m", "or height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0,
        ),
        Input("pressure_is_gauge", "pressure_is_gauge", "the gauge shows zero on an open vessel", kind="yes or no"),
        Input(
            "pressure_sigma", "pressure_sigma_pa", "standard uncertainty of each pressure",
            dimension="pressure_gauge", unit="bar", low=1.0, high=_DROP[1],
        ),
        Input(
            "temperature_sigma", "temperature_sigma_k", "the same of each temperature, one probe read twice",
            dimension="temperature_difference", unit="K", low=1e-4, high=10.0,
        ),
    ),
    outputs=(
        Output("drop_pa", "Pa", "pressure lost", "bar"),
        Output("rise_pa_per_k", "Pa/K", "rise for each kelvin", "bar/K"),
        Output("drop_by_temperature_pa", "Pa", "of it by temperature", "bar"),
        Output("drop_unexplained_pa", "Pa", "left unexplained", "bar"),
        Output("drop_unexplained_sigma_pa", "Pa", "its standard uncertainty", "bar"),
        Output("significance", "1", "what is left, in standard uncertainties"),
        Output("gas_gain_mol_per_s", "mol/s", "gas that came in, negative where it went out", "µmol/s"),
        Output("gas_gain_sigma_mol_per_s", "mol/s", "its standard uncertainty", "µmol/s"),
        Output("leak_m3_per_s", "m3/s", "the same as gas at the pressure outside", "ml/min"),
        Output("stored_energy_j", "J", "energy the gas stores"),
        Output("hold_s", "s", "time it was held", "min"),
        Output("outcome", "", "outcome: passed, failed, investigate or not shown"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="cold, 1 to 60 °C: water up to 10 bar with all air out, gas up to 0.2 bar and 100 J; steam shows nothing",
    example={
        "filled": "water", "start_pressure": "2.20 bar", "end_pressure": "2.05 bar", "time": "20 min",
        "start_temperature": "20.0 °C", "end_temperature": "19.9 °C", "drip_seen": "no", "gauge": "reference gauge 1",
        "drop_limit": "0.1 bar",
    },
    cautions=(
        "A pressure test is with water only, all air out, on a reference gauge; gas only at a very low pressure.",
        "Relief valve, gauge, glass and pressurestat isolated or taken off first, afterwards refitted and proved.",
        "Never on an old phenolic or cast cap; never alone; nobody in line with caps, glass or plugs.",
        "Vent before anything is opened: a zero on the machine's own gauge is no evidence. Local codes come first.",
    ),
    sources=(
        "cfr-40-1065-644", "iapws-r7-97", "expansion-tables", "ideal-gas-expansion", "iso-2533", "common-practice",
    ),
    call=leakdown,
)  # fmt: skip
