"""Carbon dioxide that scale gives off: its volume, the air it needs, and what it would do shut in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.acids import CARBONATE, molar_mass_kg_per_mol
from brasswright.bench.saturation import barometer_pa
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import NotFound
from brasswright.tables import constant, rows
from brasswright.units import from_si, kelvin, words

__all__ = [
    "ROOM_K",
    "ROOM_M3",
    "Room",
    "air_needed_m3",
    "gas_of_scale_m3",
    "gas_volume_m3",
    "gas_words",
    "room_for",
    "room_share",
]

ROOM_M3: Final = (1.0, 90_000.0)
ROOM_K: Final = (kelvin(celsius=-10.0), kelvin(celsius=50.0))
PASCALS: Final = (50_000.0, 110_000.0)
_MILLION: Final = 1e6


@dataclass(frozen=True, slots=True)
class Room:
    """Where the gas goes: temperature, pressure of the air, size."""

    temperature_k: Array
    pressure_pa: Array
    volume_m3: Array | None


def room_for(*, temperature_k: Figure | None, volume_m3: Figure | None, altitude_m: Figure) -> Room:
    """Return the room, with what is usual where nothing is said. Source: iso-2533; common-practice."""
    usual = kelvin(celsius=constant("room_usual_c"))
    t = within(
        "room_temperature_k", usual if temperature_k is None else temperature_k, low=ROOM_K[0], high=ROOM_K[1],
        source="ideal-gas",
    )  # fmt: skip
    volume = None
    if volume_m3 is not None:
        volume = within("room_volume_m3", volume_m3, low=ROOM_M3[0], high=ROOM_M3[1], source="common-practice")
    return Room(t, np.asarray(barometer_pa(altitude_m=altitude_m)), volume)


def gas_volume_m3(*, amount_mol: Figure, temperature_k: Figure, pressure_pa: Figure) -> Figure:
    """Volume of a gas [m³]. Symbols: V = n R T / p. Valid for -10 to 50 °C, 0.5 to 1.1 bar. Source: ideal-gas.

    >>> round(1000 * gas_volume_m3(amount_mol=1.0, temperature_k=273.15, pressure_pa=101325.0), 3)
    22.414
    """
    n = within("amount_mol", amount_mol, low=0.0, high=1000.0, source="ideal-gas")
    t = within("room_temperature_k", temperature_k, low=ROOM_K[0], high=ROOM_K[1], source="ideal-gas")
    p = within("pressure_pa", pressure_pa, low=PASCALS[0], high=PASCALS[1], source="ideal-gas")
    return plain(np.asarray(n * constant("gas_constant_j_per_mol_k") * t / p))


def gas_of_scale_m3(*, scale_kg: Figure, temperature_k: Figure, pressure_pa: Figure) -> Figure:
    """Carbon dioxide from scale that is all calcium carbonate [m³].

    Symbols: a mole of CaCO3 gives a mole of gas; V = m R T / (M p). Valid as `gas_volume_m3`. Source: ideal-gas.

    >>> round(1e6 * gas_of_scale_m3(scale_kg=0.001, temperature_k=293.15, pressure_pa=101325.0), 1)
    240.3
    """
    mass = within("scale_kg", scale_kg, low=0.0, high=100.0, source="ideal-gas")
    n = np.asarray(mass / molar_mass_kg_per_mol(formula=CARBONATE))
    return gas_volume_m3(amount_mol=n, temperature_k=temperature_k, pressure_pa=pressure_pa)


def air_needed_m3(*, gas_m3: Figure) -> Figure:
    """Outdoor air that thins the gas to the eight-hour limit [m³].

    Symbols: V_gas (1 - x) / (x - x_0), x the limit and x_0 outdoor air. Valid from 0 to 100 m³, well mixed; the gas is
    heavier than air and gathers below. Source: eu-2006-15; common-practice (outdoor air).

    >>> round(air_needed_m3(gas_m3=0.01), 2)
    2.17
    """
    gas = within("gas_m3", gas_m3, low=0.0, high=100.0, source="ideal-gas")
    limit, outside = _limit("long"), constant("ppm_outdoors") / _MILLION
    return plain(np.asarray(gas * (1.0 - limit) / (limit - outside)))


def room_share(*, gas_m3: Figure, room_m3: Figure) -> Figure:
    """Share of carbon dioxide in a shut room if all gas came at once, well mixed. Source: ideal-gas."""
    gas = within("gas_m3", gas_m3, low=0.0, high=100.0, source="ideal-gas")
    room = within("room_volume_m3", room_m3, low=ROOM_M3[0], high=ROOM_M3[1], source="common-practice")
    outside = constant("ppm_outdoors") / _MILLION
    return plain(np.asarray((gas + outside * room) / (gas + room)))


def gas_words(*, gas_m3: Figure, share: Figure | None, bath_m3: Figure | None, pressure_pa: float) -> str:
    """Return what the gas means: in the room, and in anything shut."""
    gas = float(np.mean(gas_m3))
    said = f"{words(gas, unit='l', figures=2)} of carbon dioxide: open vessel, window open, heads out of tubs and pits"
    if share is not None:
        ppm = float(np.mean(share)) * _MILLION
        sides = " and ".join(
            f"{'above' if ppm > float(row['ppm']) else 'below'} {float(row['ppm']):g} ppm ({row['says']})"
            for row in rows("gas_limits")
        )
        said += f"; all at once in the shut room {ppm:.0f} ppm, {sides}"
    if bath_m3 is not None:
        bar = from_si(pressure_pa * gas / float(np.mean(bath_m3)), unit="bar")
        said += f"; shut in a space as large as the bath it would stand at about {bar:.2g} bar over the air outside"
    return said


def _limit(name: str) -> float:
    """Return a limit as share of the air."""
    for row in rows("gas_limits"):
        if row["limit"] == name:
            return float(row["ppm"]) / _MILLION
    raise NotFound(f"'{name}' is no limit of the table.", allowed=", ".join(row["limit"] for row in rows("gas_limits")))
