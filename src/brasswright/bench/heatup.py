"""Heating up: minutes to pressure, what it loses standing, how often and how long the pressurestat switches on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.saturation import barometer_pa, saturation_temperature_k
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.bench.warming import Lump, metals, specific_heat_j_per_kg_k, time_between_s, water_mass_kg
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import from_si, kelvin, to_si, words

__all__ = ["INSTRUMENT", "HeatupResult", "heatup"]

_SOURCE: Final = "lumped-model"
_WATTS: Final = (50.0, 20_000.0)
_VOLUME: Final = (to_si(0.05, unit="l"), to_si(50.0, unit="l"))
_PASCALS: Final = (to_si(0.05, unit="bar"), to_si(15.0, unit="bar"))
_KILOGRAMS: Final = (0.0, 200.0)
_ROOM: Final = (kelvin(celsius=0.0), kelvin(celsius=45.0))
_START: Final = (kelvin(celsius=0.0), kelvin(celsius=99.0))
_SECONDS: Final = (to_si(1.0, unit="min"), to_si(48.0, unit="h"))
_STEPS: Final = 4


@dataclass(frozen=True, slots=True)
class HeatupResult:
    """How a boiler warms and stands; None where no loss, or no cut-in pressure, was given.

    `without_loss_s` is the least time there can be. `duty` is the share of the time the element is on.
    """

    target_temperature_k: Figure
    water_kg: Figure
    without_loss_s: Figure
    to_pressure_s: Figure
    loss_w: Figure | None
    duty: Figure | None
    cooling_time_s: Figure | None
    on_s: Figure | None
    off_s: Figure | None
    cycles_per_hour: Figure | None
    milestones: tuple[str, ...]
    meaning: str
    warnings: tuple[str, ...]


def heatup(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    power_w: Figure,
    water_volume_m3: Figure,
    target_pressure_gauge_pa: Figure,
    metal_mass_kg: Figure = 0.0,
    metal: str = "brass",
    element_mass_kg: Figure = 0.0,
    lagging_mass_kg: Figure = 0.0,
    case_mass_kg: Figure = 0.0,
    vessel_volume_m3: Figure | None = None,
    standing_loss_w: Figure | None = None,
    cooling_time_s: Figure | None = None,
    cut_in_pressure_gauge_pa: Figure | None = None,
    start_temperature_k: Figure | None = None,
    room_temperature_k: Figure | None = None,
    altitude_m: Figure = 0.0,
) -> HeatupResult:
    """How long a boiler takes to pressure, and how it then stands.

    Symbols: P power hot [W]; C heat capacity of water m_w c(T), metal, element, half the lagging, part of the case,
    and of filling the space over the water with steam [J/K]; T_s steam temperature at the target; T_r room; loss
    G (T - T_r) with G = L / (T_s - T_r) from the standing loss L, or G = C / tau from the time tau in which the
    excess over the room falls to 1/e. Time: integral of C / (P - G (T - T_r)). Duty: L / P.
    Left out: heat the wire holds over the water, air, water that grows into the steam space.
    Valid for 50 W to 20 kW, 0.05 to 50 l, 0.05 to 15 bar, saturated steam, air vented. Source: lumped-model;
    iapws-r7-97; material-tables; iso-2533; common-practice.

    >>> result = heatup(power_w=1000.0, water_volume_m3=0.0015, target_pressure_gauge_pa=100e3, metal_mass_kg=5.0)
    >>> round(result.to_pressure_s / 60, 1)
    13.7
    """
    room = _room(room_temperature_k)
    start = room if start_temperature_k is None else start_temperature_k
    started = within("start_temperature_k", start, low=_START[0], high=_START[1], source=_SOURCE)
    water = water_mass_kg(
        volume_m3=within("water_volume_m3", water_volume_m3, low=_VOLUME[0], high=_VOLUME[1], source=_SOURCE),
        temperature_k=started,
    )
    rest = _rest(metal_mass_kg, metal, element_mass_kg, lagging_mass_kg, case_mass_kg)
    still = Lump(np.asarray(water), rest, np.asarray(0.0), room, _steam_space(vessel_volume_m3, water_volume_m3))
    target = _steam("target_pressure_gauge_pa", target_pressure_gauge_pa, altitude_m)
    lossy = _with_loss(still, target, standing_loss_w, cooling_time_s)
    cut_in = None if cut_in_pressure_gauge_pa is None else _steam("cut_in", cut_in_pressure_gauge_pa, altitude_m)
    power = within("power_w", power_w, low=_WATTS[0], high=_WATTS[1], source=_SOURCE)
    return _result(_Run(power, started, target, cut_in), still, lossy)


@dataclass(frozen=True, slots=True)
class _Run:
    """Power, the temperature it starts from, that of the target, and that at which the pressurestat cuts in."""

    power: Array
    started: Array
    target: Array
    cut_in: Array | None


def _result(run: _Run, still: Lump, lossy: Lump | None) -> HeatupResult:
    """Return how a boiler of that make-up warms and stands."""
    least = time_between_s(lump=still, power_w=run.power, from_k=run.started, to_k=run.target)
    lump = still if lossy is None else lossy
    to_pressure = time_between_s(lump=lump, power_w=run.power, from_k=run.started, to_k=run.target)
    loss = None if lossy is None else np.asarray(lossy.loss_w_per_k * (run.target - lossy.room_k))
    on, off = _cycle(run, lossy)
    cooling = None if lossy is None else lossy.capacity_j_per_k(run.target) / lossy.loss_w_per_k
    return HeatupResult(
        target_temperature_k=plain(run.target),
        water_kg=plain(still.water_kg),
        without_loss_s=least,
        to_pressure_s=to_pressure,
        loss_w=None if loss is None else plain(loss),
        duty=None if loss is None else plain(loss / run.power),
        cooling_time_s=None if cooling is None else plain(cooling),
        on_s=on,
        off_s=off,
        cycles_per_hour=None if on is None or off is None else plain(to_si(1.0, unit="h") / np.asarray(on + off)),
        milestones=_milestones(run, lump),
        meaning=_meaning(run, to_pressure, loss, (on, off)),
        warnings=_warnings(run, still, lossy),
    )


def _room(room_temperature_k: Figure | None) -> Array:
    """Return the temperature of the room, the usual one where it was not read."""
    room = kelvin(celsius=constant("room_c")) if room_temperature_k is None else room_temperature_k
    return within("room_temperature_k", room, low=_ROOM[0], high=_ROOM[1], source=_SOURCE)


def _rest(metal_kg: Figure, metal: str, element_kg: Figure, lagging_kg: Figure, case_kg: Figure) -> Array:
    """Return the heat capacity of metal, element, half the lagging and part of the case."""
    body, element, lagging, case = (
        within(name, mass, low=_KILOGRAMS[0], high=_KILOGRAMS[1], source=_SOURCE)
        for name, mass in (
            ("metal_mass_kg", metal_kg),
            ("element_mass_kg", element_kg),
            ("lagging_mass_kg", lagging_kg),
            ("case_mass_kg", case_kg),
        )
    )
    return np.asarray(
        body * specific_heat_j_per_kg_k(metal=metal)
        + element * constant("element_heat_j_per_kg_k")
        + lagging * constant("lagging_heat_j_per_kg_k") * constant("lagging_share")
        + case * specific_heat_j_per_kg_k(metal="mild steel") * constant("case_share")
    )


def _steam_space(vessel_m3: Figure | None, water_m3: Figure) -> Array:
    """Return the space over the water; none where the vessel's volume is not known."""
    if vessel_m3 is None:
        return np.asarray(0.0)
    vessel = within("vessel_volume_m3", vessel_m3, low=_VOLUME[0], high=2 * _VOLUME[1], source=_SOURCE)
    space = np.asarray(vessel - np.asarray(water_m3))
    if np.any(space <= 0):
        raise ImpossibleValue(
            "There is no space for steam over this much water.", where="vessel_volume_m3",
            allowed="a vessel larger than its water", remedy="A boiler without steam space is never heated closed.",
        )  # fmt: skip
    return space


def _steam(name: str, pressure_gauge_pa: Figure, altitude_m: Figure) -> Array:
    """Return the steam temperature at a gauge pressure."""
    gauge = within(name, pressure_gauge_pa, low=_PASCALS[0], high=_PASCALS[1], source=_SOURCE)
    return np.asarray(saturation_temperature_k(pressure_pa=gauge + np.asarray(barometer_pa(altitude_m=altitude_m))))


def _with_loss(still: Lump, target: Array, loss_w: Figure | None, cooling_s: Figure | None) -> Lump | None:
    """Return the boiler with its loss, from standing loss or from the time in which it cools; None where neither is."""
    if loss_w is not None and cooling_s is not None:
        raise ImpossibleValue("Standing loss and cooling time say the same thing twice.", allowed="one of the two")
    if loss_w is not None:
        loss = within("standing_loss_w", loss_w, low=1.0, high=_WATTS[1], source=_SOURCE)
        return Lump(
            still.water_kg, still.rest_j_per_k, np.asarray(loss / (target - still.room_k)), still.room_k, still.steam_m3
        )
    if cooling_s is None:
        return None
    seconds = within("cooling_time_s", cooling_s, low=_SECONDS[0], high=_SECONDS[1], source=_SOURCE)
    loss_w_per_k = np.asarray(still.capacity_j_per_k(target) / seconds)
    return Lump(still.water_kg, still.rest_j_per_k, loss_w_per_k, still.room_k, still.steam_m3)


def _cycle(run: _Run, lossy: Lump | None) -> tuple[Figure | None, Figure | None]:
    """Return how long the element is on and off between cut-in and cut-out."""
    if run.cut_in is None:
        return None, None
    if np.any(run.cut_in >= run.target):
        raise ImpossibleValue("The pressurestat cuts in below the pressure at which it cuts out.")
    if lossy is None:
        return None, None
    on = time_between_s(lump=lossy, power_w=run.power, from_k=run.cut_in, to_k=run.target)
    return on, time_between_s(lump=lossy, power_w=0.0, from_k=run.target, to_k=run.cut_in)


def _milestones(run: _Run, lump: Lump) -> tuple[str, ...]:
    """Return the heating curve in words: temperatures on the way and when they come; of many samples the mean."""
    start, end = float(run.started.mean()), float(run.target.mean())
    mean = Lump(
        *(
            np.asarray(part.mean())
            for part in (lump.water_kg, lump.rest_j_per_k, lump.loss_w_per_k, lump.room_k, lump.steam_m3)
        )
    )
    found = []
    for step in range(1, _STEPS + 1):
        t = start + (end - start) * step / _STEPS
        seconds = time_between_s(lump=mean, power_w=float(run.power.mean()), from_k=start, to_k=t)
        found.append(
            f"{words(t, unit='°C', figures=3)} after {words(float(seconds), unit='min', dimension='time', figures=3)}"
        )
    return tuple(found)


def _meaning(run: _Run, seconds: Figure, loss: Array | None, cycle: tuple[Figure | None, Figure | None]) -> str:
    """Return what it comes to in a sentence."""
    minutes = from_si(float(np.mean(seconds)), unit="min", dimension="time")
    said = f"To {words(float(run.target.mean()), unit='°C', figures=3)} in about {minutes:.0f} min"
    if loss is None:
        return f"{said} at the least, as no loss was given."
    said += f"; standing, it loses {words(float(loss.mean()), unit='W', figures=3)}"
    if cycle[0] is None or cycle[1] is None:
        return f"{said}, and the element is on {float(loss.mean() / run.power.mean()):.0%} of the time."
    on, off = (from_si(float(np.mean(part)), unit="min", dimension="time") for part in cycle if part is not None)
    return f"{said}, and the pressurestat is on for {on:.1f} min and off for {off:.1f} min."


def _warnings(run: _Run, still: Lump, lossy: Lump | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if not np.any(still.rest_j_per_k > 0):
        found.append("No metal was given: a boiler with its group often takes up a third as much heat as its water.")
    if lossy is None:
        found.append("Without a loss the time is the least there can be; let it cool once and read how fast.")
    elif float((lossy.loss_w_per_k * (run.target - lossy.room_k)).mean()) > constant("loss_alarm") * run.power.mean():
        found.append(
            "More than half of the power only stands the loss: lagging missing, steam escaping, or wrong power."
        )
    found.append("Much slower than this: part of the element open, low mains, scale, or air not vented. Find it cold.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="heatup",
    summary="heating up: minutes to pressure, standing loss, and how the pressurestat switches",
    inputs=(
        Input(
            "power", "power_w", "power of the element, hot, on this mains", dimension="power", unit="W",
            required=True, low=_WATTS[0], high=_WATTS[1], plausible=(200.0, 8000.0),
        ),
        Input(
            "water_volume", "water_volume_m3", "cold water filled in", dimension="volume", unit="l", required=True,
            low=_VOLUME[0], high=_VOLUME[1], plausible=(to_si(0.2, unit="l"), to_si(30.0, unit="l")),
        ),
        Input(
            "target_pressure", "target_pressure_gauge_pa", "pressure to reach: where the pressurestat cuts out",
            dimension="pressure_gauge", unit="bar", required=True, low=_PASCALS[0], high=_PASCALS[1],
            plausible=(to_si(0.2, unit="bar"), to_si(2.5, unit="bar")),
        ),
        Input(
            "metal_mass", "metal_mass_kg", "boiler, group and all metal that gets as hot", dimension="mass",
            unit="kg", low=_KILOGRAMS[0], high=_KILOGRAMS[1],
        ),
        Input("metal", "metal", "what it is mostly made of", kind="choice", choices=metals()),
        Input(
            "element_mass", "element_mass_kg", "the element", dimension="mass", unit="kg", low=_KILOGRAMS[0],
            high=_KILOGRAMS[1],
        ),
        Input(
            "lagging_mass", "lagging_mass_kg", "lagging, by estimate: it is never taken off to be weighed",
            dimension="mass", unit="kg", low=_KILOGRAMS[0], high=_KILOGRAMS[1],
        ),
        Input(
            "case_mass", "case_mass_kg", "case and frame around it, of sheet metal", dimension="mass", unit="kg",
            low=_KILOGRAMS[0], high=_KILOGRAMS[1],
        ),
        Input(
            "vessel_volume", "vessel_volume_m3", "whole volume of the boiler, water and steam space",
            dimension="volume", unit="l", low=_VOLUME[0], high=2 * _VOLUME[1],
        ),
        Input(
            "standing_loss", "standing_loss_w", "mean power it takes to stand at pressure", dimension="power",
            unit="W", low=1.0, high=_WATTS[1], plausible=(10.0, 2000.0),
        ),
        Input(
            "cooling_time", "cooling_time_s", "time in which it cools to 37 % of its excess over the room",
            dimension="time", unit="min", low=_SECONDS[0], high=_SECONDS[1],
        ),
        Input(
            "cut_in", "cut_in_pressure_gauge_pa", "pressure at which the pressurestat cuts in",
            dimension="pressure_gauge", unit="bar", low=_PASCALS[0], high=_PASCALS[1],
        ),
        Input(
            "start_temperature", "start_temperature_k", "water at the start, if not at room temperature",
            dimension="temperature", unit="°C", low=_START[0], high=_START[1],
        ),
        Input(
            "room_temperature", "room_temperature_k", "the room", dimension="temperature", unit="°C", low=_ROOM[0],
            high=_ROOM[1],
        ),
        Input(
            "altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0,
        ),
    ),
    outputs=(
        Output("target_temperature_k", "K", "temperature that belongs to the pressure", "°C"),
        Output("water_kg", "kg", "water filled in"),
        Output("without_loss_s", "s", "time to pressure if nothing were lost", "min"),
        Output("to_pressure_s", "s", "time to pressure", "min"),
        Output("loss_w", "W", "standing loss at pressure"),
        Output("duty", "1", "share of the time the element is on", "%"),
        Output("cooling_time_s", "s", "time to cool to 37 % of the excess over the room", "min"),
        Output("on_s", "s", "pressurestat on, each time", "min"),
        Output("off_s", "s", "pressurestat off, each time", "min"),
        Output("cycles_per_hour", "1", "switchings on in an hour"),
        Output("milestones", "", "heating curve: temperatures on the way"),
        Output("meaning", "", "meaning: what it comes to in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="50 W to 20 kW, 0.05 to 50 l of water, 0.05 to 15 bar, saturated steam with the air vented",
    example={
        "power": "1000 W", "water_volume": "1.5 l", "target_pressure": "1.0 bar", "metal_mass": "5 kg",
        "vessel_volume": "2.2 l", "standing_loss": "150 W", "cut_in": "0.8 bar",
    },
    cautions=(
        "First power only after earth, insulation, water pressure and relief valve have each been shown.",
        "Water over the element, steam space above it, before it is switched on; never alone.",
        "Steam and hot metal burn; a pressurestat that does not cut out: switch off at the supply and leave it.",
    ),
    sources=("lumped-model", "iapws-r7-97", "material-tables", "iso-2533", "common-practice"),
    call=heatup,
)  # fmt: skip
