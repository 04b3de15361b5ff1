"""What a logged heating curve says: heat capacity, loss, minutes to the set point; whether power and masses agree."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.boiler_log import BoilerLog, ask_if_absolute, read_boiler_log, single
from brasswright.bench.heat_balance import Balance, Powers, balance, stretched_k
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.rise import Bend, Rise, bend, rise_fit, time_to
from brasswright.bench.saturation import barometer_pa, saturation, saturation_temperature_k
from brasswright.bench.warming import metals
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import kelvin, to_si, words

if TYPE_CHECKING:
    from brasswright.bench.validity import Array

__all__ = ["INSTRUMENT", "HeatingFit", "heating"]

_SOURCE: Final = "lumped-model"
_WATTS: Final = (50.0, 20_000.0)
_VOLUME: Final = (to_si(0.05, unit="l"), to_si(50.0, unit="l"))
_KILOGRAMS: Final = (0.0, 200.0)
_ROOM: Final = (kelvin(celsius=0.0), kelvin(celsius=45.0))
_KELVINS: Final = (kelvin(celsius=5.0), kelvin(celsius=200.0))
_PASCALS: Final = (to_si(0.05, unit="bar"), to_si(15.0, unit="bar"))
_LEAST_RISE_K: Final = 10.0
_CLEAR: Final = 2.0
_CLEAR_BEND: Final = 5.0
_LEAST_BEND: Final = 0.05
_TOGETHER: Final = 0.9
_VAGUE: Final = 0.1
_BEYOND: Final = 0.5
"""How far beyond its log a curve is followed, as share of the rise that was logged."""


@dataclass(frozen=True, slots=True)
class HeatingFit:
    """A heating curve read; figures are None where what they need was not given or cannot be shown by this log.

    `heat_capacity_j_per_k` is at the first temperature used. `correlation` is that of capacity and loss.
    `disagreement` is how far the capacity found is from the one reckoned, in standard uncertainties.
    """

    heat_capacity_j_per_k: float | None
    heat_capacity_sigma_j_per_k: float | None
    loss_w_per_k: float | None
    loss_sigma_w_per_k: float | None
    correlation: float | None
    to_set_point_s: float | None
    to_set_point_sigma_s: float | None
    loss_at_set_point_w: float | None
    reckoned_capacity_j_per_k: float | None
    apparent_power_w: float | None
    apparent_power_sigma_w: float | None
    disagreement: float | None
    finding: str
    bend_time_s: float | None
    bend_temperature_k: float | None
    bend_change: float | None
    spread_k: float
    points: int
    meaning: str
    warnings: tuple[str, ...]


def heating(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    log: str,
    power_w: float | None = None,
    water_volume_m3: float | None = None,
    metal_mass_kg: float | None = None,
    metal: str = "brass",
    room_temperature_k: float | None = None,
    set_temperature_k: float | None = None,
    set_pressure_gauge_pa: float | None = None,
    altitude_m: float = 0.0,
    pressure_is_gauge: bool = False,
    power_sigma_w: float | None = None,
) -> HeatingFit:
    r"""What a log of a boiler heating up with steady power says of its heat capacity, its loss and its power.

    Symbols: C heat capacity, G loss conductance, P power, T_r room; C dT/dt = P - G (T - T_r), so that u = u_0 +
    s (1 - exp(-k t)) / k, with G = k C and P = C (s + k (T_0 - T_r)). u is the temperature stretched by the specific
    heat of water, so that its rise with temperature is not taken for less loss. Pressure becomes temperature by the
    saturation line. One of P and the masses is enough; with both, power and masses are held against each other.
    Valid for eight points or more that rise by 10 K or more, steady power, nothing drawn, one lump; loss within 1 % for
    the stretching. Arrays are refused. Source: lumped-model; gauss-newton; iapws-r7-97; iso-2533; common-practice.

    >>> rows = "".join(f"{m},{20 + 90 * (1 - 2.718281828 ** (-m / 60)):.4f}\n" for m in range(0, 40, 2))
    >>> found = heating(log="time [min],temperature [°C]\n" + rows, power_w=600.0)
    >>> round(found.heat_capacity_j_per_k / 1000)
    24
    """
    outside = float(
        barometer_pa(altitude_m=single("altitude_m", altitude_m, low=-400.0, high=5000.0, source="iso-2533"))
    )
    t, temperature, notes = _points(log, outside, confirmed=pressure_is_gauge)
    room = None
    if room_temperature_k is not None:
        room = single("room_temperature_k", room_temperature_k, low=_ROOM[0], high=_ROOM[1], source=_SOURCE)
    powers = _powers(power_w, power_sigma_w, (water_volume_m3, metal_mass_kg, metal), float(temperature[0]))
    u = stretched_k(temperature_k=temperature, water_share=powers.water_share)
    rise = rise_fit(times_s=t - t[0], rises_k=u)
    found = balance(rise=rise, powers=powers, room_k=room)
    target = _target(set_temperature_k, set_pressure_gauge_pa, outside)
    there = _there(rise, (t, temperature, u), target, powers.water_share)
    notes = (*notes, *_warnings(rise, found, room), *_far(there, target, rise))
    return _told(_Read(found, powers, rise, target, there), _hinge(rise, (t, temperature, u)), outside, notes)


@dataclass(frozen=True, slots=True)
class _Read:
    """What was found: balance and powers, curve, temperature to reach, and when it is reached."""

    found: Balance
    powers: Powers
    rise: Rise
    target: float | None
    there: tuple[float, float] | None


def _hinge(rise: Rise, curve: tuple[Array, Array, Array]) -> tuple[Bend, float] | None:
    """Return the bend with its temperature, where there is a clear one; its time counts from the log's first line."""
    t, temperature, u = curve
    found = bend(rise=rise, times_s=t - t[0], rises_k=u)
    if found is None or abs(found.significance) < _CLEAR_BEND or abs(found.change) < _LEAST_BEND:
        return None
    at = float(np.interp(found.time_s, t - t[0], temperature))
    return Bend(found.time_s + float(t[0]), found.change, found.significance), at


def _told(read: _Read, hinge: tuple[Bend, float] | None, outside: float, notes: tuple[str, ...]) -> HeatingFit:
    """Return everything that the curve says."""
    found, powers, rise, there = read.found, read.powers, read.rise, read.there
    return HeatingFit(
        heat_capacity_j_per_k=found.capacity,
        heat_capacity_sigma_j_per_k=found.capacity_sigma,
        loss_w_per_k=found.loss if found.loss_shown else None,
        loss_sigma_w_per_k=found.loss_sigma,
        correlation=found.correlation,
        to_set_point_s=None if there is None else there[0],
        to_set_point_sigma_s=None if there is None else there[1],
        loss_at_set_point_w=None if read.target is None or not found.loss_shown else found.loss_to(read.target),
        reckoned_capacity_j_per_k=powers.reckoned,
        apparent_power_w=found.apparent,
        apparent_power_sigma_w=found.apparent_sigma,
        disagreement=found.disagreement,
        finding=_finding(found, powers),
        bend_time_s=None if hinge is None else hinge[0].time_s,
        bend_temperature_k=None if hinge is None else hinge[1],
        bend_change=None if hinge is None else hinge[0].change,
        spread_k=rise.spread,
        points=rise.points,
        meaning=_meaning(found, powers, there),
        warnings=(*notes, *_bent(hinge, outside)),
    )


def _points(log: str, outside: float, *, confirmed: bool) -> tuple[Array, Array, tuple[str, ...]]:
    """Return times and temperatures of the part that rises, and what was left out."""
    held = read_boiler_log(log, barometer_pa=outside)
    t, notes = held.time_s, []
    if held.pressure_gauge_pa is not None:
        first = float(held.pressure_gauge_pa[0])
        ask_if_absolute(first, barometer_pa=outside, confirmed=confirmed, where="log, pressure")
    if held.temperature_k is not None:
        temperature = held.temperature_k
    else:
        gauge = np.asarray(held.pressure_gauge_pa)
        boils = gauge >= constant("heating_boil_pa")
        if not np.any(boils):
            raise ImpossibleValue("The pressure never rises: it says nothing of the temperature.", where="log")
        if not np.all(boils):
            notes.append(f"{int(np.sum(~boils))} readings without pressure say nothing of the temperature: left out.")
        notes.append("Air left in counts as pressure and makes the boiler look hotter than it is.")
        t, temperature = t[boils], np.asarray(saturation_temperature_k(pressure_pa=gauge[boils] + outside))
    end = int(np.argmax(temperature)) + 1
    notes += _beside(held, end - 1, outside)
    if end < temperature.size:
        notes.append(f"The last {temperature.size - end} readings lie after the highest: left out.")
    t, temperature = t[:end], temperature[:end]
    rise = float(temperature[-1] - temperature[0])
    if rise < _LEAST_RISE_K:
        raise ImpossibleValue(
            "The curve rises too little to tell capacity and loss.", where="log",
            got=words(rise, unit="K", dimension="temperature_difference"), allowed="10 K or more",
            remedy="Log from cold, with the element on all the time.",
        )  # fmt: skip
    return t, temperature, tuple(notes)


def _beside(held: BoilerLog, place: int, outside: float) -> list[str]:
    """Return what gauge and probe say together at the highest reading, where both were logged and disagree."""
    if held.temperature_k is None or held.pressure_gauge_pa is None:
        return []
    gauge, kelvins = float(held.pressure_gauge_pa[place]), float(held.temperature_k[place])
    if gauge < constant("heating_boil_pa"):
        return []
    both = saturation(pressure_gauge_pa=gauge, temperature_k=kelvins, barometer_pressure_pa=outside)
    return [] if both.finding == "agree" else [f"Gauge and probe at the highest reading: {both.meaning}"]


def _powers(
    power_w: float | None, sigma: float | None, make_up: tuple[float | None, float | None, str], first_k: float
) -> Powers:
    """Return power and reckoned capacity, each with its uncertainty, where they were given."""
    volume, metal_kg, metal = make_up
    if power_w is None and volume is None:
        raise ImpossibleValue("Neither power nor water was given.", allowed="power, water_volume, or both of them")
    power = None if power_w is None else single("power_w", power_w, low=_WATTS[0], high=_WATTS[1], source=_SOURCE)
    water = None
    if volume is not None:
        water = single("water_volume_m3", volume, low=_VOLUME[0], high=_VOLUME[1], source=_SOURCE)
    mass = 0.0
    if metal_kg is not None:
        mass = single("metal_mass_kg", metal_kg, low=_KILOGRAMS[0], high=_KILOGRAMS[1], source=_SOURCE)
    return Powers.of(power_w=power, power_sigma_w=sigma, water_m3=water, metal=(mass, metal), first_k=first_k)


def _target(temperature_k: float | None, pressure_gauge_pa: float | None, outside: float) -> float | None:
    """Return the temperature to reach, given as such or as gauge pressure."""
    if temperature_k is not None and pressure_gauge_pa is not None:
        raise ImpossibleValue("Set temperature and set pressure say the same thing twice.", allowed="one of the two")
    if temperature_k is not None:
        return single("set_temperature_k", temperature_k, low=_KELVINS[0], high=_KELVINS[1], source=_SOURCE)
    if pressure_gauge_pa is None:
        return None
    gauge = single("set_pressure_gauge_pa", pressure_gauge_pa, low=_PASCALS[0], high=_PASCALS[1], source=_SOURCE)
    return float(saturation_temperature_k(pressure_pa=gauge + outside))


def _there(
    rise: Rise, curve: tuple[Array, Array, Array], target: float | None, share: float
) -> tuple[float, float] | None:
    """Return when the set point is reached, from the log's first line on; None where that cannot be said."""
    if target is None:
        return None
    t, temperature, u = curve
    height = float(stretched_k(temperature_k=np.array([temperature[0], target]), water_share=share)[1])
    if height < float(u[0]) or height - float(u[-1]) > _BEYOND * float(u[-1] - u[0]):
        return None
    found = time_to(rise=rise, height_k=height)
    return None if found is None else (found[0] + float(t[0]), found[1])


def _finding(found: Balance, powers: Powers) -> str:
    """Return whether power and masses agree."""
    if powers.power is None or powers.reckoned is None or found.disagreement is None:
        return "not asked"
    if abs(found.disagreement) < _CLEAR:
        return "power and masses agree"
    return "warms slower than it should" if found.disagreement > 0 else "warms faster than it should"


def _meaning(found: Balance, powers: Powers, there: tuple[float, float] | None) -> str:
    """Return what the curve says in a sentence or two."""
    said = []
    if there is not None:
        said.append(f"At the set point after {words(there[0], there[1] or None, unit='min', dimension='time')}.")
    if found.loss is not None and found.loss_shown:
        said.append(f"It loses {words(found.loss, found.loss_sigma, unit='W/K')} over the room.")
    else:
        said.append("Its loss is not shown by this log: log longer, or let it cool and read that.")
    which = _finding(found, powers)
    if found.apparent is not None and powers.power is not None and which != "not asked":
        apparent = words(found.apparent, found.apparent_sigma, unit="W")
        said.append(
            f"For the masses given it warms as with {apparent}, against {words(powers.power, unit='W')} stated."
        )
        causes = {
            "warms slower than it should": "Part of the element open, low mains, a wrong plate, scale, or more water "
            "and metal than given: read the element's resistance cold.",
            "warms faster than it should": "Less water than given, a stronger element, higher mains, or a probe near "
            "the element: look that the element is under water.",
        }
        said.append(causes.get(which, "They agree within their uncertainty."))
    elif found.apparent is not None and powers.power is None:
        said.append(f"It warms as with {words(found.apparent, found.apparent_sigma, unit='W')}.")
    return " ".join(said)


def _warnings(rise: Rise, found: Balance, room: float | None) -> tuple[str, ...]:
    """Return what must not be missed of the fit."""
    notes = []
    if room is None:
        notes.append("The room was not given: taken as the usual 20 °C.")
    vague = found.loss_sigma is not None and found.loss is not None and found.loss_sigma > _VAGUE * abs(found.loss)
    if vague and found.correlation is not None and abs(found.correlation) > _TOGETHER:
        notes.append("Capacity and loss hang together in this log: a longer one, or a cooling curve, parts them.")
    if rise.pace < 0 and -rise.pace > _CLEAR * rise.pace_sigma:
        notes.append("It warms faster and faster: heat was still flowing into metal, or the probe lagged at first.")
    return tuple(notes)


def _bent(bent: tuple[Bend, float] | None, outside: float) -> tuple[str, ...]:
    """Return what a bend may be, by where it stands and which way it goes."""
    if bent is None:
        return ()
    hinge, at_k = bent
    boils = float(saturation_temperature_k(pressure_pa=outside))
    where = f"The curve bends at {words(at_k, unit='°C')}: {'slower' if hinge.change < 0 else 'faster'} from there by "
    said = f"{where}{abs(hinge.change):.0%} of its first slope."
    if hinge.change < 0 and abs(at_k - boils) < _LEAST_RISE_K:
        return (f"{said} Near boiling: steam pushes air out, or escapes at vent, cap or valve.",)
    if hinge.change < 0:
        return (f"{said} Power fell (a rod, a switch), something was drawn, or air gathered about the probe.",)
    return (f"{said} Power rose, the probe lagged at first, or air about it gave way to steam.",)


def _far(there: tuple[float, float] | None, target: float | None, rise: Rise) -> tuple[str, ...]:
    """Return why there is no time to the set point, where one was asked."""
    if target is None or there is not None:
        return ()
    if math.isfinite(rise.settles):
        return ("The set point lies below the log, too far beyond it, or above where this curve settles: not shown.",)
    return ("The set point lies below the log or too far beyond it: not shown.",)


INSTRUMENT: Final = Instrument(
    name="heating",
    summary="a logged heating curve: heat capacity, loss, minutes to the set point, and whether power and masses agree",
    inputs=(
        Input(
            "log", "log", "a CSV file (or its text): time with temperature, or with pressure above the air outside",
            kind="log", required=True,
        ),
        Input(
            "power", "power_w", "power of the element, hot, on this mains", dimension="power", unit="W",
            low=_WATTS[0], high=_WATTS[1], plausible=(200.0, 8000.0), sigma="power_sigma_w",
        ),
        Input(
            "water_volume", "water_volume_m3", "cold water filled in", dimension="volume", unit="l", low=_VOLUME[0],
            high=_VOLUME[1], plausible=(to_si(0.2, unit="l"), to_si(30.0, unit="l")),
        ),
        Input(
            "metal_mass", "metal_mass_kg", "boiler, group and all metal that gets as hot", dimension="mass",
            unit="kg", low=_KILOGRAMS[0], high=_KILOGRAMS[1],
        ),
        Input("metal", "metal", "what it is mostly made of", kind="choice", choices=metals()),
        Input(
            "room_temperature", "room_temperature_k", "the room", dimension="temperature", unit="°C", low=_ROOM[0],
            high=_ROOM[1],
        ),
        Input(
            "set_temperature", "set_temperature_k", "temperature to reach", dimension="temperature", unit="°C",
            low=_KELVINS[0], high=_KELVINS[1],
        ),
        Input(
            "set_pressure", "set_pressure_gauge_pa", "or the pressure to reach", dimension="pressure_gauge",
            unit="bar", low=_PASCALS[0], high=_PASCALS[1], plausible=(to_si(0.2, unit="bar"), to_si(2.5, unit="bar")),
        ),
        Input("altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0),
        Input("pressure_is_gauge", "pressure_is_gauge", "the gauge shows zero on an open vessel", kind="yes or no"),
    ),
    outputs=(
        Output("heat_capacity_j_per_k", "J/K", "heat capacity of water and metal together", "kJ/K"),
        Output("heat_capacity_sigma_j_per_k", "J/K", "its standard uncertainty", "kJ/K"),
        Output("loss_w_per_k", "W/K", "loss for each kelvin over the room"),
        Output("loss_sigma_w_per_k", "W/K", "its standard uncertainty"),
        Output("correlation", "1", "correlation of the two"),
        Output("to_set_point_s", "s", "time to the set point", "min"),
        Output("to_set_point_sigma_s", "s", "its standard uncertainty", "min"),
        Output("loss_at_set_point_w", "W", "loss at the set point"),
        Output("reckoned_capacity_j_per_k", "J/K", "heat capacity reckoned from water and metal", "kJ/K"),
        Output("apparent_power_w", "W", "power with which the masses given would warm so"),
        Output("apparent_power_sigma_w", "W", "its standard uncertainty"),
        Output("disagreement", "1", "how far found and reckoned capacity are apart, in standard uncertainties"),
        Output("finding", "", "finding: whether power and masses agree"),
        Output("bend_time_s", "s", "time of a bend in the curve", "min"),
        Output("bend_temperature_k", "K", "temperature of the bend", "°C"),
        Output("bend_change", "1", "change of slope there, as share of the first", "%"),
        Output("spread_k", "K", "standard deviation of the points about the curve"),
        Output("points", "", "points: how many were used"),
        Output("meaning", "", "meaning: what the curve says"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="eight readings or more that rise by 10 K or more, 0 to 200 °C, element on all the time, nothing drawn",
    example={
        "log": "time [min],temperature [°C]\n0,20.3\n1,27.7\n2,35.1\n3,42.5\n4,49.6\n5,56.9\n6,63.9\n7,70.8\n8,77.4\n"
        "9,84.0\n10,90.7\n11,97.5\n12,104.3\n13,110.1\n14,117.0",
        "power": "1000 ± 20 W", "water_volume": "1.5 l", "metal_mass": "4.5 kg", "room_temperature": "20 °C",
        "set_temperature": "120 °C",
    },
    cautions=(
        "First power only after earth, insulation, water pressure and relief valve have each been shown; never alone.",
        "Water over the element, steam space above it, before it is switched on; the probe is fixed while all is cold.",
        "A pressure that rises past the set point: switch off at the supply, leave it, let it cool and vent.",
        "Old lagging is not touched to place a probe.",
    ),
    sources=("lumped-model", "gauss-newton", "iapws-r7-97", "iso-2533", "material-tables", "common-practice"),
    call=heating,
)  # fmt: skip
