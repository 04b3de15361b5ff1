"""A heating element from its resistance: power cold and hot, current, whether it fits its plate and its mains."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from brasswright.bench.alloys import alloys, resistance_factor, usual_wire_temperature_k
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.nameplates import Nameplate, hot_factors, likely_nameplates
from brasswright.bench.rating import Band, rated_power_band
from brasswright.bench.rods import Rods, rod_readings, surface_load_w_per_m2
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import kelvin, words

__all__ = ["INSTRUMENT", "USUAL_ALLOY", "ElementResult", "cold_resistance_ohm", "element", "hot_resistance_ohm"]

USUAL_ALLOY: Final = "Cr20Ni80"
_SOURCE: Final = "arithmetic"
_OHMS: Final = (0.5, 20_000.0)
_VOLTS: Final = (6.0, 500.0)
_WATTS: Final = (5.0, 20_000.0)


@dataclass(frozen=True, slots=True)
class ElementResult:
    """What an element's resistance means at its voltage; `hot` is at the wire temperature of the alloy assumed.

    `power_hot_low_w` and `power_hot_high_w` span all alloys of the table, as nobody sees which one is inside.
    `surface_load_w_per_m2` is that on the mains; `rods` says how several rods would explain the reading.
    """

    net_resistance_ohm: Figure
    hot_resistance_ohm: Figure
    alloy: str
    hot_factor: Figure
    wire_temperature_k: Figure
    power_cold_w: Figure
    power_hot_w: Figure
    power_hot_low_w: Figure
    power_hot_high_w: Figure
    current_cold_a: Figure
    current_hot_a: Figure
    supply_voltage_v: Figure
    power_on_supply_w: Figure
    current_on_supply_a: Figure
    power_cold_on_supply_w: Figure
    current_cold_on_supply_a: Figure
    surface_load_w_per_m2: Figure | None
    rated_band: Band | None
    rating: str
    nameplates: tuple[Nameplate, ...]
    rods: tuple[Rods, ...]
    warnings: tuple[str, ...]


def hot_resistance_ohm(*, rated_voltage_v: Figure, rated_power_w: Figure) -> Figure:
    """Resistance at working temperature that a plate calls for [ohm].

    Symbols: U rated voltage [V], P rated power [W]; R = U^2 / P.
    Valid for 6 V to 500 V, 5 W to 20 kW. Source: arithmetic.

    >>> hot_resistance_ohm(rated_voltage_v=230.0, rated_power_w=1000.0)
    52.9
    """
    volts = within("rated_voltage_v", rated_voltage_v, low=_VOLTS[0], high=_VOLTS[1], source=_SOURCE)
    watts = within("rated_power_w", rated_power_w, low=_WATTS[0], high=_WATTS[1], source=_SOURCE)
    return plain(volts**2 / watts)


def cold_resistance_ohm(
    *,
    rated_voltage_v: float,
    rated_power_w: float,
    alloy: str = USUAL_ALLOY,
    wire_temperature_k: float | None = None,
) -> float:
    """Resistance at room temperature to expect from a plate [ohm].

    Symbols: U, P of the plate, f factor of the hot wire; R = U^2 / (f P).
    Valid for 6 V to 500 V, 5 W to 20 kW, wire from 20 °C to the end of the alloy's table.
    Source: arithmetic; alloy-table-gbt-1234.

    >>> round(cold_resistance_ohm(rated_voltage_v=230.0, rated_power_w=1000.0), 2)
    51.61
    """
    hot = hot_resistance_ohm(rated_voltage_v=rated_voltage_v, rated_power_w=rated_power_w)
    return float(hot / resistance_factor(alloy=alloy, temperature_k=wire_temperature_k))


def cold_resistance_band_ohm(*, rated_voltage_v: float, rated_power_w: float) -> tuple[float, float]:
    """Lowest and highest resistance at room temperature that keeps the power within the tolerance of its plate [ohm].

    Symbols: U of the plate, P_low and P_high its band, f factor of the hot wire (usual alloy); R = U^2 / (f P).
    Valid for 6 V to 500 V, 5 W to 20 kW. Source: iec-60335-1, clause 10.1 (from memory); alloy-table-gbt-1234.

    >>> low, high = cold_resistance_band_ohm(rated_voltage_v=220.0, rated_power_w=1000.0)
    >>> round(low, 1), round(high, 1)
    (45.0, 52.5)
    """
    band = rated_power_band(rated_power_w=rated_power_w)
    low = cold_resistance_ohm(rated_voltage_v=rated_voltage_v, rated_power_w=band.high_w)
    return low, cold_resistance_ohm(rated_voltage_v=rated_voltage_v, rated_power_w=band.low_w)


def element(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    resistance_ohm: Figure,
    rated_voltage_v: Figure,
    rated_power_w: float | None = None,
    supply_voltage_v: Figure | None = None,
    lead_resistance_ohm: Figure = 0.0,
    alloy: str = USUAL_ALLOY,
    wire_temperature_k: Figure | None = None,
    heated_length_m: Figure | None = None,
    sheath_diameter_m: Figure | None = None,
    resistance_sigma_ohm: float | None = None,
) -> ElementResult:
    """What a heating element's cold resistance means.

    Symbols: R reading, R_l test leads, R_n = R - R_l; f factor of the hot wire; U rated, U_s supply voltage; cold power
    U^2 / R_n, hot power U^2 / (f R_n), on the mains U_s^2 / (f R_n); currents U / R; surface load P / (pi d L).
    Valid for 0.5 ohm to 20 kohm read between 10 and 30 °C, 6 V to 500 V. Source: arithmetic; alloy-table-gbt-1234;
    iec-60335-1, clause 10.1 for the band about the rated power.

    >>> result = element(resistance_ohm=48.4, rated_voltage_v=220.0)
    >>> round(result.power_cold_w), round(result.power_hot_w), result.alloy
    (1000, 976, 'Cr20Ni80')
    """
    wire = usual_wire_temperature_k() if wire_temperature_k is None else wire_temperature_k
    circuit = _Circuit(
        net=_net_ohm(resistance_ohm, lead_resistance_ohm),
        factor=np.asarray(resistance_factor(alloy=alloy, temperature_k=wire)),
        reach=_reach(wire),
        rated=_volts("rated_voltage_v", rated_voltage_v),
        mains=_volts("supply_voltage_v", rated_voltage_v if supply_voltage_v is None else supply_voltage_v),
    )
    band, plates = _plates(circuit, resistance_sigma_ohm, rated_power_w)
    return ElementResult(
        net_resistance_ohm=plain(circuit.net),
        hot_resistance_ohm=plain(circuit.net * circuit.factor),
        alloy=alloy,
        hot_factor=plain(circuit.factor),
        wire_temperature_k=plain(np.asarray(wire)),
        power_cold_w=plain(circuit.cold_w),
        power_hot_w=plain(circuit.hot_w),
        power_hot_low_w=plain(circuit.cold_w / circuit.reach[1]),
        power_hot_high_w=plain(circuit.cold_w / circuit.reach[0]),
        **_on_mains(circuit, heated_length_m, sheath_diameter_m),
        rated_band=band,
        rating=_rating(circuit, band),
        nameplates=plates,
        rods=_rods(circuit, resistance_sigma_ohm, rated_power_w),
        warnings=_warnings(circuit, rated_power_w, band, plates),
    )


@dataclass(frozen=True, slots=True)
class _Circuit:
    """Cold resistance without leads, hot over cold (and over all alloys), voltages; and the powers that follow."""

    net: Array
    factor: Array
    reach: tuple[Array, Array]
    rated: Array
    mains: Array

    @property
    def cold_w(self) -> Array:
        """Power at rated voltage, cold."""
        return np.asarray(self.rated**2 / self.net)

    @property
    def hot_w(self) -> Array:
        """Power at rated voltage, hot."""
        return np.asarray(self.cold_w / self.factor)

    @property
    def on_supply_w(self) -> Array:
        """Power on the mains, hot."""
        return np.asarray(self.mains**2 / (self.net * self.factor))


def _on_mains(circuit: _Circuit, length_m: Figure | None, diameter_m: Figure | None) -> dict[str, Any]:
    """Return currents at rated voltage; voltage, powers and currents on the mains; and the surface load there."""
    cold_w = np.asarray(circuit.mains**2 / circuit.net)
    return {
        "current_cold_a": plain(circuit.cold_w / circuit.rated),
        "current_hot_a": plain(circuit.hot_w / circuit.rated),
        "supply_voltage_v": plain(circuit.mains),
        "power_cold_on_supply_w": plain(cold_w),
        "current_cold_on_supply_a": plain(cold_w / circuit.mains),
        "power_on_supply_w": plain(circuit.on_supply_w),
        "current_on_supply_a": plain(circuit.on_supply_w / circuit.mains),
        "surface_load_w_per_m2": surface_load_w_per_m2(
            power_w=circuit.on_supply_w, length_m=length_m, diameter_m=diameter_m
        ),
    }


def _rods(circuit: _Circuit, sigma_ohm: float | None, rated_power_w: float | None) -> tuple[Rods, ...]:
    """Return how several rods would explain the reading; only against a stated power."""
    if rated_power_w is None:
        return ()
    net, volts = float(circuit.net.mean()), float(circuit.rated.mean())
    sigma = constant("meter_uncertainty") * net if sigma_ohm is None else sigma_ohm
    hot = tuple(volts**2 / (net * factor) for factor in hot_factors())
    return rod_readings(
        hot_powers_w=hot, rated_power_w=rated_power_w, blur=math.hypot(constant("element_drift"), sigma / net)
    )


def _volts(name: str, value: Figure) -> Array:
    """Return a voltage checked."""
    return within(name, value, low=_VOLTS[0], high=_VOLTS[1], source=_SOURCE)


def _reach(wire: Figure) -> tuple[Array, Array]:
    """Return the least and the greatest factor of all alloys, each no further than its table goes."""
    factors = [
        resistance_factor(alloy=name, temperature_k=np.minimum(wire, one.temperatures_k[-1]))
        for name, one in alloys().items()
    ]
    stacked = np.stack(np.broadcast_arrays(*factors))
    return stacked.min(axis=0), stacked.max(axis=0)


def _plates(
    circuit: _Circuit, sigma_ohm: float | None, rated_power_w: float | None
) -> tuple[Band | None, tuple[Nameplate, ...]]:
    """Return the band of the stated power, and the plates that explain the reading (of many samples, their mean)."""
    band = None if rated_power_w is None else rated_power_band(rated_power_w=rated_power_w)
    return band, likely_nameplates(
        resistance_ohm=float(circuit.net.mean()),
        resistance_sigma_ohm=sigma_ohm,
        rated_voltage_v=float(circuit.rated.mean()),
        rated_power_w=rated_power_w,
    )


def _net_ohm(resistance_ohm: Figure, lead_resistance_ohm: Figure) -> Array:
    """Return the resistance without the test leads."""
    leads = within("lead_resistance_ohm", lead_resistance_ohm, low=0.0, high=20.0, source="common-practice")
    gross = within("resistance_ohm", resistance_ohm, low=_OHMS[0], high=_OHMS[1], source="common-practice")
    if np.any(leads >= gross):
        raise ImpossibleValue(
            "The test leads cannot have more resistance than leads and element together.",
            got=f"{float(np.max(leads)):g} ohm of leads",
            allowed=f"less than {float(np.min(gross)):g} ohm",
        )
    return within(
        "net_resistance_ohm", np.asarray(gross - leads), low=_OHMS[0], high=_OHMS[1], source="common-practice"
    )


def _rating(circuit: _Circuit, band: Band | None) -> str:
    """Return where the hot power lies against the band about the rated power."""
    if band is None:
        return "not asked"
    hot_w = float(circuit.hot_w.mean())
    if hot_w < band.low_w:
        return "below"
    return "above" if hot_w > band.high_w else "within"


def _warnings(
    circuit: _Circuit, rated_power_w: float | None, band: Band | None, plates: tuple[Nameplate, ...]
) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    mains_w, rating = float(circuit.on_supply_w.mean()), _rating(circuit, band)
    ratio = mains_w / (float(circuit.hot_w.mean()) if rated_power_w is None else rated_power_w)
    if ratio > constant("overload"):
        found.append(
            f"Over-voltage: on this mains the element takes {words(mains_w, unit='W')}, {ratio:.2f} times its rating. "
            "Do not connect it; use a matching element, or a transformer that keeps the protective earth."
        )
    if rating == "below":
        found.append("Less power than the plate allows: one rod of several open, a poor joint, or another element.")
    if rating == "above":
        found.append(
            "More power than the plate allows: a stamp for each of several rods, an element "
            "for a higher voltage or power, or turns shorted."
        )
    if not plates:
        found.append("No usual nameplate explains this reading: measure again at the terminals, wires off.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="element",
    summary="a heating element from its resistance: power cold and hot, current, plate and mains",
    inputs=(
        Input(
            "resistance", "resistance_ohm", "across the element's terminals, wires off, cold", dimension="resistance",
            unit="ohm", required=True, low=_OHMS[0], high=_OHMS[1], plausible=(2.0, 1500.0),
            sigma="resistance_sigma_ohm",
            silent={
                "over range": "No path: the element is open. It gives no heat; look at terminals and joints first.",
                "below resolution": "A short across the element: do not connect it.",
            },
        ),
        Input(
            "rated_voltage", "rated_voltage_v", "voltage on the plate", dimension="voltage", unit="V", required=True,
            low=_VOLTS[0], high=_VOLTS[1], plausible=(100.0, 250.0),
        ),
        Input(
            "rated_power", "rated_power_w", "power on the plate", dimension="power", unit="W",
            low=_WATTS[0], high=_WATTS[1], plausible=(100.0, 6000.0),
        ),
        Input(
            "supply_voltage", "supply_voltage_v", "mains it will run on, if not the rated one", dimension="voltage",
            unit="V", low=_VOLTS[0], high=_VOLTS[1], plausible=(90.0, 260.0),
        ),
        Input(
            "lead_resistance", "lead_resistance_ohm", "test leads held together", dimension="resistance", unit="ohm",
            low=0.0, high=20.0, plausible=(0.0, 2.0),
            silent={"below resolution": "Leave the leads out: they do not show."},
        ),
        Input("alloy", "alloy", "alloy of the wire, if known", kind="choice", choices=tuple(alloys())),
        Input(
            "wire_temperature", "wire_temperature_k", "temperature of the wire at work", dimension="temperature",
            unit="°C", low=kelvin(celsius=20.0), high=kelvin(celsius=1400.0),
        ),
        Input(
            "heated_length", "heated_length_m", "heated length of sheath, all rods together", dimension="length",
            unit="mm", low=0.01, high=20.0, plausible=(0.05, 6.0),
        ),
        Input(
            "sheath_diameter", "sheath_diameter_m", "diameter of the sheath", dimension="length", unit="mm",
            low=0.002, high=0.05, plausible=(0.004, 0.02),
        ),
    ),
    outputs=(
        Output("net_resistance_ohm", "ohm", "cold resistance without the test leads"),
        Output("hot_resistance_ohm", "ohm", "resistance at the wire temperature"),
        Output("alloy", "", "alloy of the wire: assumed unless given"),
        Output("hot_factor", "1", "hot over cold resistance of that alloy"),
        Output("wire_temperature_k", "K", "wire temperature: assumed unless given", "°C"),
        Output("power_cold_w", "W", "power at rated voltage as the reading stands"),
        Output("power_hot_w", "W", "power at rated voltage at working temperature"),
        Output("power_hot_low_w", "W", "the same for the alloy that rises most"),
        Output("power_hot_high_w", "W", "the same for the alloy that rises least"),
        Output("current_cold_a", "A", "current at switch-on, rated voltage"),
        Output("current_hot_a", "A", "current at working temperature, rated voltage"),
        Output("supply_voltage_v", "V", "mains it was reckoned for"),
        Output("power_cold_on_supply_w", "W", "power at switch-on on that mains"),
        Output("current_cold_on_supply_a", "A", "current at switch-on on that mains"),
        Output("power_on_supply_w", "W", "hot power on that mains"),
        Output("current_on_supply_a", "A", "hot current on that mains"),
        Output("surface_load_w_per_m2", "W/m2", "hot power on that mains for each square of sheath", "W/cm2"),
        Output("rated_band", "", "plate allows: least and most power, and by which rule"),
        Output("rating", "", "hot power against the plate: within, below, above, or not asked"),
        Output("nameplates", "", "likely plates: usual ones that explain the reading, with probabilities"),
        Output("rods", "", "rods: how several rods would explain it against the stated power, with probabilities"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="0.5 ohm to 20 kohm, read at 10 to 30 °C; 6 to 500 V; wire from 20 °C to the end of its alloy's table",
    example={"resistance": "48.4 ohm", "rated_voltage": "220 V"},
    cautions=(
        "Plug out and proved dead; wires off the element, or parallel paths are measured with it.",
        "The right resistance says nothing about insulation: an element that leaks to its sheath reads right.",
    ),
    sources=("arithmetic", "alloy-table-gbt-1234", "alloy-fecral-datasheet", "iec-60335-1", "common-practice"),
    call=element,
)  # fmt: skip
