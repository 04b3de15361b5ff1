"""Safety valve: the steam the element can raise against what the valve's seat can pass.

Reckoned for a clean valve that opens; whether this one opens, and at what pressure, is shown on a test bench only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import Outcome, verdict
from brasswright.bench.nozzle import critical_ratio, napier_capacity_kg_per_s, nozzle_capacity_kg_per_s
from brasswright.bench.saturation import barometer_pa, saturation_temperature_k
from brasswright.bench.steam import latent_heat_j_per_kg
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant, rows
from brasswright.units import Measured, to_si, words

__all__ = ["INSTRUMENT", "ReliefResult", "relief", "steam_raised_kg_per_s"]

_PASCALS: Final = (to_si(0.1, unit="bar"), to_si(20.0, unit="bar"))
_WATTS: Final = (5.0, 20_000.0)
_VOLTS: Final = (6.0, 500.0)
_METRES: Final = (0.0005, 0.05)
_COEFFICIENT: Final = (0.05, 1.0)


@dataclass(frozen=True, slots=True)
class ReliefResult:
    """What the element raises and what the valve passes, both at relieving pressure.

    `capacity_kg_per_s` is the lesser of the two forms; `napier_kg_per_s` is None where the flow is not choked.
    `margin` is capacity over steam raised.
    """

    relieving_pressure_absolute_pa: Figure
    steam_temperature_k: Figure
    power_most_w: Figure
    raised_kg_per_s: Figure
    flow: str
    flow_area_m2: Figure
    napier_kg_per_s: Figure | None
    nozzle_kg_per_s: Figure
    capacity_kg_per_s: Figure
    margin: Figure
    needed_area_m2: Figure
    needed_diameter_m: Figure
    outcome: Outcome
    meaning: str
    warnings: tuple[str, ...]


def steam_raised_kg_per_s(*, power_w: Figure, pressure_absolute_pa: Figure) -> Figure:
    """Most steam that a heating power raises from water at its boiling point [kg/s]; losses left out.

    Symbols: P power [W], r latent heat at the pressure [J/kg]; m = P / r. Valid for 611.212 Pa to 16.529 MPa.
    Source: iapws-r7-97.

    >>> round(steam_raised_kg_per_s(power_w=1000.0, pressure_absolute_pa=250e3) * 3600, 2)
    1.65
    """
    watts = within("power_w", power_w, low=0.0, high=1.0e6, source="arithmetic")
    return plain(watts / np.asarray(latent_heat_j_per_kg(pressure_pa=pressure_absolute_pa)))


def relief(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    set_pressure_gauge_pa: Figure,
    rated_power_w: Figure,
    seat_diameter_m: Figure,
    lift_m: Figure | None = None,
    discharge_coefficient: Figure | None = None,
    certificate: bool | None = None,
    rated_voltage_v: Figure | None = None,
    highest_supply_voltage_v: Figure | None = None,
    vessel_limit_gauge_pa: Figure | None = None,
    altitude_m: Figure = 0.0,
    set_pressure_sigma_pa: float | None = None,
    rated_power_sigma_w: float | None = None,
    seat_diameter_sigma_m: float | None = None,
    discharge_coefficient_sigma: float | None = None,
) -> ReliefResult:
    """Whether a safety valve passes the steam that the element can raise, by calculation.

    Symbols: p_s set pressure (gauge), relieving pressure p = p_s + the greater of 10 % and 0.1 bar + barometer; P upper
    end of the rated power's band, times (U_high / U)^2 where voltages are given; r latent heat at p; raised P / r.
    Flow area: bore pi d^2 / 4 with a certificate, else the lesser of bore and curtain pi d l, with l = d / 24 where no
    lift was measured, and K_d 0.5. Capacity: the lesser of Napier (choked only) and the nozzle equation. Without a
    certificate nothing passes; it fails where even the open bore without any loss would be too small.
    Valid for dry saturated steam into the open air, set at 0.1 to 20 bar, bores of 0.5 to 50 mm.
    Source: api-520; iso-4126-1; iso-4126-7 (from memory); iapws-r7-97; common-practice.

    >>> result = relief(set_pressure_gauge_pa=140e3, rated_power_w=1000.0, seat_diameter_m=0.006,
    ...                 discharge_coefficient=0.6, certificate=True)
    >>> result.flow, result.outcome
    ('choked', 'passed')
    """
    boiler = _boiler(
        _power(rated_power_w, rated_voltage_v, highest_supply_voltage_v), set_pressure_gauge_pa, altitude_m
    )
    seat = _seat(seat_diameter_m, lift_m, discharge_coefficient, certified=bool(certificate))
    share = math.hypot(
        _share(set_pressure_sigma_pa, boiler.set_pa, constant("relief_set_share")),
        _share(rated_power_sigma_w, np.asarray(rated_power_w), constant("relief_power_share")),
        2 * _share(seat_diameter_sigma_m, seat.diameter, None),
        _share(discharge_coefficient_sigma, seat.coefficient, constant("relief_coefficient_share")),
    )
    notes = _warnings(seat, vessel_limit_gauge_pa, lift_given=lift_m is not None)
    if _flow(boiler.relieving_pa, boiler.outside_pa) != "choked":
        notes += ("Set this low the flow is not choked: the steam form is silent, the nozzle equation alone counts.",)
    return _result(boiler, seat, share, _above(boiler.set_pa, vessel_limit_gauge_pa), notes)


@dataclass(frozen=True, slots=True)
class _Boiler:
    """Set pressure, relieving pressure over vacuum, air outside; most power, and the steam it raises."""

    set_pa: Array
    relieving_pa: Array
    outside_pa: Array
    power_w: Array
    raised: Array


@dataclass(frozen=True, slots=True)
class _Seat:
    """Bore and its area, the area that the steam finds, discharge coefficient; whether both are certified."""

    diameter: Array
    bore: Array
    area: Array
    coefficient: Array
    certified: bool


def _boiler(power_w: Array, set_pressure_gauge_pa: Figure, altitude_m: Figure) -> _Boiler:
    """Return the boiler while its valve is open."""
    p_set = within("set_pressure_gauge_pa", set_pressure_gauge_pa, low=_PASCALS[0], high=_PASCALS[1], source="api-520")
    outside = np.asarray(barometer_pa(altitude_m=altitude_m))
    over = np.maximum(constant("relief_over_share") * p_set, constant("relief_over_pa"))
    p = np.asarray(p_set + over + outside)
    raised = np.asarray(steam_raised_kg_per_s(power_w=power_w, pressure_absolute_pa=p))
    return _Boiler(p_set, p, outside, power_w, raised)


def _result(boiler: _Boiler, seat: _Seat, share: float, above_pa: float, notes: tuple[str, ...]) -> ReliefResult:
    """Return everything that boiler and seat say together."""
    p, outside = boiler.relieving_pa, boiler.outside_pa
    napier, nozzle, capacity = _capacity(np.asarray(seat.area * seat.coefficient), p, outside)
    needed = np.asarray(seat.area * boiler.raised / capacity)
    case = _Case(
        capacity=float(capacity.mean()),
        raised=float(boiler.raised.mean()),
        most=float(_capacity(seat.bore, p, outside)[2].mean()),
        share=share,
        certified=seat.certified,
        above_pa=above_pa,
    )
    outcome, meaning = _meaning(case)
    return ReliefResult(
        relieving_pressure_absolute_pa=plain(p),
        steam_temperature_k=saturation_temperature_k(pressure_pa=p),
        power_most_w=plain(boiler.power_w),
        raised_kg_per_s=plain(boiler.raised),
        flow=_flow(p, outside),
        flow_area_m2=plain(seat.area),
        napier_kg_per_s=None if napier is None else plain(napier),
        nozzle_kg_per_s=plain(nozzle),
        capacity_kg_per_s=plain(capacity),
        margin=plain(capacity / boiler.raised),
        needed_area_m2=plain(needed),
        needed_diameter_m=plain(np.sqrt(4 * needed / math.pi)),
        outcome=outcome,
        meaning=meaning,
        warnings=notes,
    )


@dataclass(frozen=True, slots=True)
class _Case:
    """Capacity, steam raised, open bore without loss; relative uncertainty; certified; set how far above the limit."""

    capacity: float
    raised: float
    most: float
    share: float
    certified: bool
    above_pa: float


def _power(rated_power_w: Figure, rated: Figure | None, highest: Figure | None) -> Array:
    """Return the most power the element may draw: the upper end of its band, at the highest mains."""
    watts = within("rated_power_w", rated_power_w, low=_WATTS[0], high=_WATTS[1], source="iec-60335-1")
    upper = watts
    for row in reversed(rows("rated_power")):
        top = watts + np.maximum(watts * float(row["plus_percent"]) / 100, float(row["plus_least_w"]))
        upper = np.where(watts <= float(row["to_w"] or "inf"), top, upper)
    if highest is None and rated is None:
        return upper
    if highest is None or rated is None:
        raise ImpossibleValue(
            "Rated voltage and highest supply voltage count only together.", allowed="both of them, or neither"
        )
    low, high = (
        within(name, volts, low=_VOLTS[0], high=_VOLTS[1], source="arithmetic")
        for name, volts in (("rated_voltage_v", rated), ("highest_supply_voltage_v", highest))
    )
    return np.asarray(upper * (high / low) ** 2)


def _seat(
    seat_diameter_m: Figure, lift_m: Figure | None, discharge_coefficient: Figure | None, *, certified: bool
) -> _Seat:
    """Return the seat: with a certificate its bore counts, else the lesser of bore and curtain."""
    d = within("seat_diameter_m", seat_diameter_m, low=_METRES[0], high=_METRES[1], source="iso-4126-1")
    bore = np.asarray(math.pi * d**2 / 4)
    low_lift = d / constant("relief_low_lift")
    lift = low_lift if lift_m is None else within("lift_m", lift_m, low=0.0, high=_METRES[1], source="iso-4126-1")
    if np.any(lift <= 0):
        raise ImpossibleValue("A valve that does not lift passes nothing.", got=lift_m, allowed="a lift above zero")
    k_d = constant("relief_coefficient") if discharge_coefficient is None else discharge_coefficient
    k = within("discharge_coefficient", k_d, low=_COEFFICIENT[0], high=_COEFFICIENT[1], source="api-520")
    area = bore if certified else np.asarray(np.minimum(bore, math.pi * d * lift))
    return _Seat(d, bore, area, k, certified and discharge_coefficient is not None)


def _capacity(area: Array, p: Array, outside: Array) -> tuple[Array | None, Array, Array]:
    """Return what an area passes: by Napier where choked throughout, by the nozzle equation, and the lesser."""
    nozzle = np.asarray(nozzle_capacity_kg_per_s(area_m2=area, pressure_absolute_pa=p, back_pressure_pa=outside))
    if _flow(p, outside) != "choked":
        return None, nozzle, nozzle
    napier = np.asarray(napier_capacity_kg_per_s(area_m2=area, pressure_absolute_pa=p, back_pressure_pa=outside))
    return napier, nozzle, np.asarray(np.minimum(napier, nozzle))


def _flow(p: Array, outside: Array) -> str:
    """Return whether the flow is choked; of many samples, whether all of them are."""
    return "choked" if bool(np.all(outside <= critical_ratio() * p)) else "not choked"


def _share(sigma: float | None, value: Array, usual: float | None) -> float:
    """Return a standard uncertainty as share of its value; without one the usual share, or that of a calliper."""
    if sigma is None and usual is not None:
        return usual
    return (constant("relief_calliper_m") if sigma is None else sigma) / float(value.mean())


def _above(p_set: Array, limit_pa: Figure | None) -> float:
    """Return by how much the valve is set above the vessel's limit; zero or less where it is not, or none is known."""
    if limit_pa is None:
        return 0.0
    limit = within("vessel_limit_gauge_pa", limit_pa, low=0.0, high=2 * _PASCALS[1], source="common-practice")
    return float(p_set.mean()) - float(limit.mean())


def _meaning(case: _Case) -> tuple[Outcome, str]:
    """Return the outcome and its sentence."""
    if case.above_pa > 0:
        above = words(case.above_pa, unit="bar")
        return "failed", f"failed: set {above} above the vessel's limit. Do not heat the vessel with this valve."
    judged = verdict(
        value=Measured(case.capacity, case.capacity * case.share),
        limit=case.raised,
        at="least",
        standard="steam the element can raise, by calculation",
        instrument="the valve's certificate" if case.certified else "measured seat",
        circuit="",
        unit="kg/h",
    )
    if case.certified:
        return judged.outcome, f"{judged.words} That it opens, and at what pressure, remains to be shown on a bench."
    if case.most < case.raised * (1 - 2 * case.share):
        most, raised = (words(one, unit="kg/h") for one in (case.most, case.raised))
        return "failed", f"failed: even the open bore without any loss passes {most}, and the element raises {raised}."
    return "not shown", (
        "not shown: without flow diameter and discharge coefficient from the valve's own plate or certificate a seat "
        f"shows no capacity. By its figure alone: {judged.words}"
    )


def _warnings(seat: _Seat, limit_pa: Figure | None, *, lift_given: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if limit_pa is None:
        found.append("The vessel's limit is not stated: that the valve is set at or below it is not shown.")
    if float(seat.diameter.mean()) < constant("relief_bore_m"):
        found.append("The standard for safety valves covers flow diameters from 4 mm on; this one is smaller.")
    if not seat.certified:
        taken = "the lift as measured" if lift_given else "a lift of one part in 24 of the bore"
        found.append(f"No certificate: {taken} is taken. The travel of the disc by hand is not its lift under steam.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="relief",
    summary="safety valve: steam the element can raise against what the valve's seat can pass",
    inputs=(
        Input(
            "set_pressure", "set_pressure_gauge_pa", "pressure at which the valve is set to open",
            dimension="pressure_gauge", unit="bar", required=True, low=_PASCALS[0], high=_PASCALS[1],
            plausible=(to_si(0.5, unit="bar"), to_si(4.0, unit="bar")), sigma="set_pressure_sigma_pa",
        ),
        Input(
            "rated_power", "rated_power_w", "all heating elements together, from the plate", dimension="power",
            unit="W", required=True, low=_WATTS[0], high=_WATTS[1], plausible=(100.0, 8000.0),
            sigma="rated_power_sigma_w",
        ),
        Input(
            "seat_diameter", "seat_diameter_m", "narrowest bore before the seat (flow diameter)", dimension="length",
            unit="mm", required=True, low=_METRES[0], high=_METRES[1], plausible=(0.001, 0.025),
            sigma="seat_diameter_sigma_m",
        ),
        Input(
            "lift", "lift_m", "lift of the disc, measured; not needed with a certificate", dimension="length",
            unit="mm", low=0.0, high=_METRES[1], plausible=(0.0001, 0.01),
        ),
        Input(
            "discharge_coefficient", "discharge_coefficient", "derated coefficient of discharge for steam, as stamped",
            dimension="ratio", unit="1", low=_COEFFICIENT[0], high=_COEFFICIENT[1],
            sigma="discharge_coefficient_sigma",
        ),
        Input(
            "certificate", "certificate", "bore and coefficient stand on the valve's own plate or certificate",
            kind="yes or no",
        ),
        Input(
            "rated_voltage", "rated_voltage_v", "voltage on the plate", dimension="voltage", unit="V",
            low=_VOLTS[0], high=_VOLTS[1], plausible=(100.0, 250.0),
        ),
        Input(
            "highest_supply_voltage", "highest_supply_voltage_v", "highest the mains may reach", dimension="voltage",
            unit="V", low=_VOLTS[0], high=_VOLTS[1], plausible=(90.0, 275.0),
        ),
        Input(
            "vessel_limit", "vessel_limit_gauge_pa", "highest pressure allowed in the vessel",
            dimension="pressure_gauge", unit="bar", low=0.0, high=2 * _PASCALS[1],
        ),
        Input(
            "altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0,
        ),
    ),
    outputs=(
        Output("relieving_pressure_absolute_pa", "Pa", "relieving pressure over vacuum", "bar abs"),
        Output("steam_temperature_k", "K", "temperature of the steam then", "°C"),
        Output("power_most_w", "W", "most power the element may draw"),
        Output("raised_kg_per_s", "kg/s", "steam it can raise", "kg/h"),
        Output("flow", "", "flow: choked or not choked"),
        Output("flow_area_m2", "m2", "area the steam finds", "mm²"),
        Output("napier_kg_per_s", "kg/s", "what the valve passes, steam form of API 520", "kg/h"),
        Output("nozzle_kg_per_s", "kg/s", "what the valve passes, nozzle equation", "kg/h"),
        Output("capacity_kg_per_s", "kg/s", "the lesser of them", "kg/h"),
        Output("margin", "1", "what it passes over what is raised"),
        Output("needed_area_m2", "m2", "least area that would do", "mm²"),
        Output("needed_diameter_m", "m", "bore of that area", "mm"),
        Output("outcome", "", "outcome: passed, failed, not shown or investigate"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="dry saturated steam straight into the open air, set at 0.1 to 20 bar, bores of 0.5 to 50 mm",
    example={
        "set_pressure": "1.6 bar", "rated_power": "1000 W", "seat_diameter": "6.0 mm",
        "discharge_coefficient": "0.55", "certificate": "yes",
    },
    cautions=(
        "A figure on paper opens no valve: set pressure is proved on a test bench, off the machine, cold first.",
        "Never prove a valve by defeating the pressurestat with the machine hot beside a person.",
        "A pipe, hose or scale behind or before the seat passes less than is reckoned here.",
        "Over-pressure: switch off at the supply, leave it, let it cool and vent; find the cause cold.",
        "Rules for heated steam vessels of the place come first; re-setting and sealing is for those they name.",
    ),
    sources=(
        "api-520", "iso-4126-1", "iso-4126-7", "zeuner", "iapws-r7-97", "iec-60335-1", "iso-2533", "common-practice",
    ),
    call=relief,
)  # fmt: skip
