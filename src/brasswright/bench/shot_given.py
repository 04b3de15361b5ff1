"""What is given of a shot, checked: what presses, what the puck is, pre-infusion and leak; with the edges of each."""

from __future__ import annotations

from typing import Final

import numpy as np

from brasswright.bench.shot_puck import bed_resistance_pa_s_per_m3
from brasswright.bench.validity import Array, Figure, within
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import kelvin, to_si, words

__all__ = [
    "BASKET", "DEPTH", "DOSE", "FLOW", "KAPPA", "KELVINS", "LEAK", "NEWTONS", "PASCALS", "PISTON", "RATE", "RATIO",
    "SECONDS", "SOAK", "SOFTENING", "SQUEEZED", "STROKE", "UPTAKE", "bed_of", "change_of", "drive_of", "drunk_m3",
    "rest_of", "warmth_k",
]  # fmt: skip

_SOURCE: Final = "force-over-area"
_BED: Final = "darcy-1856"
PISTON: Final = (0.02, 0.1)
STROKE: Final = (0.003, 0.15)
RATE: Final = (100.0, 500_000.0)
SQUEEZED: Final = (0.001, 0.3)
NEWTONS: Final = (0.0, 10_000.0)
RATIO: Final = (0.5, 50.0)
PASCALS: Final = (to_si(0.5, unit="bar"), to_si(20.0, unit="bar"))
SOAK: Final = (0.0, to_si(3.0, unit="bar"))
SECONDS: Final = (0.0, 60.0)
DOSE: Final = (0.001, 0.05)
UPTAKE: Final = (0.0, 4.0)
FLOW: Final = (1e-8, 5e-5)
LEAK: Final = (0.0, 2e-5)
SOFTENING: Final = (5e-7, 5e-4)
KAPPA: Final = (1e-17, 1e-11)
DEPTH: Final = (0.002, 0.06)
BASKET: Final = (0.02, 0.08)
KELVINS: Final = (kelvin(celsius=20.0), kelvin(celsius=100.0))

_Maybe = Figure | None


def drive_of(
    *,
    sizes: tuple[Figure, Figure],
    spring: tuple[_Maybe, _Maybe],
    hand: tuple[_Maybe, _Maybe, _Maybe],
    steady_pa: _Maybe,
    friction_n: Figure,
) -> tuple[Array, Array, Array, Array]:
    """Return piston area, stroke, pressure as the pull begins and its fall by travel, from one of the three drives.

    Valid for one drive at a time; friction works against the piston. Source: force-over-area.
    """
    bore = within("piston_diameter_m", sizes[0], low=PISTON[0], high=PISTON[1], source=_SOURCE)
    stroke = within("stroke_m", sizes[1], low=STROKE[0], high=STROKE[1], source=_SOURCE)
    rub = within("friction_n", friction_n, low=NEWTONS[0], high=NEWTONS[1], source=_SOURCE)
    area = np.asarray(np.pi * bore**2 / 4)
    given = [name for name, part in (("spring", spring), ("hand", hand)) if any(one is not None for one in part)]
    given += ["steady pressure"] if steady_pa is not None else []
    if len(given) != 1:
        raise ImpossibleValue(
            "A shot is driven by one thing.", got=" and ".join(given) or "nothing",
            allowed="spring_rate with spring_compression, hand_force with lever_ratio, or steady_pressure",
        )  # fmt: skip
    if given == ["spring"]:
        first, fall = _spring(spring, stroke)
    elif given == ["hand"]:
        first, fall = _hand(hand, stroke)
    else:
        first = area * within(
            "steady_pressure_gauge_pa", np.asarray(steady_pa), low=PASCALS[0], high=PASCALS[1], source=_SOURCE
        )
        first, fall = first + rub, np.zeros_like(first)
    pressed = np.asarray((first - rub) / area)
    if np.any(pressed <= constant("shot_spent_pa")):
        raise ImpossibleValue(
            "Friction holds the piston: nothing is left to press.", got=words(float(np.min(first)), unit="N"),
            allowed=f"more than the friction of {words(float(np.max(rub)), unit='N')}",
        )  # fmt: skip
    within("pressure_start_pa", pressed, low=0.0, high=PASCALS[1], source=_SOURCE)
    within("pressure_end_pa", np.maximum(pressed - fall * stroke / area, 0.0), low=0.0, high=PASCALS[1], source=_SOURCE)
    return area, stroke, pressed, np.asarray(fall / area)


def _spring(spring: tuple[_Maybe, _Maybe], stroke: Array) -> tuple[Array, Array]:
    """Return the force of a cocked spring and its fall by travel."""
    rate, squeezed = spring
    if rate is None or squeezed is None:
        raise ImpossibleValue("A spring needs its rate and by how much it is compressed when cocked.")
    k = within("spring_rate_n_per_m", rate, low=RATE[0], high=RATE[1], source=_SOURCE)
    c = within("spring_compression_m", squeezed, low=SQUEEZED[0], high=SQUEEZED[1], source=_SOURCE)
    if np.any(c < stroke):
        raise ImpossibleValue(
            "The spring would be loose before the stroke ends.", where="spring_compression",
            got=words(float(np.min(c)), unit="mm"), allowed=f"{words(float(np.max(stroke)), unit='mm')} or more",
        )  # fmt: skip
    return np.asarray(k * c), k


def _hand(hand: tuple[_Maybe, _Maybe, _Maybe], stroke: Array) -> tuple[Array, Array]:
    """Return the force of the hand at the piston, and its fall by travel (a rise is a negative fall)."""
    begin, end, ratio = hand
    if begin is None or ratio is None:
        raise ImpossibleValue("A hand lever needs the force of the hand and the ratio of the lever.")
    times = within("lever_ratio", ratio, low=RATIO[0], high=RATIO[1], source=_SOURCE)
    first = times * within("hand_force_n", begin, low=NEWTONS[0], high=NEWTONS[1], source=_SOURCE)
    if end is None:
        return np.asarray(first), np.zeros_like(first)
    last = times * within("hand_force_end_n", end, low=NEWTONS[0], high=NEWTONS[1], source=_SOURCE)
    return np.asarray(first), np.asarray((first - last) / stroke)


def warmth_k(temperature_k: _Maybe) -> Array:
    """Return the temperature of the water in the puck, the usual one where none was given."""
    warm = kelvin(celsius=constant("shot_temperature_c")) if temperature_k is None else temperature_k
    return within("temperature_k", warm, low=KELVINS[0], high=KELVINS[1], source="iapws-sr6-08")


def drunk_m3(*, dose_kg: _Maybe, uptake: _Maybe, by_volume: Array) -> Array:
    """Return the water the puck keeps: dry mass times uptake, at the volume of a kilogram."""
    dose, ratio = (
        constant(key) if one is None else one for one, key in ((dose_kg, "shot_dose_kg"), (uptake, "shot_uptake"))
    )
    dry = within("dose_kg", dose, low=DOSE[0], high=DOSE[1], source="common-practice")
    times = within("uptake", ratio, low=UPTAKE[0], high=UPTAKE[1], source="common-practice")
    return np.asarray(dry * times * by_volume)


def bed_of(
    *, first_flow_m3_per_s: _Maybe, permeability_m2: _Maybe, sizes: tuple[_Maybe, _Maybe], warmth_k: Array
) -> Array:
    """Return the resistance of the soaked bed at the first drop, from flow at 9 bar or from permeability."""
    if permeability_m2 is None:
        if any(one is not None for one in sizes):
            raise ImpossibleValue("Depth and basket belong to a permeability.", allowed="permeability with both")
        usual = constant("shot_first_flow_m3_per_s")
        flow = usual if first_flow_m3_per_s is None else first_flow_m3_per_s
        let_through = within("first_flow_m3_per_s", flow, low=FLOW[0], high=FLOW[1], source=_BED)
        return np.asarray(constant("shot_reference_pa") / let_through)
    if first_flow_m3_per_s is not None:
        raise ImpossibleValue("First flow and permeability say the same thing twice.", allowed="one of the two")
    if sizes[0] is None or sizes[1] is None:
        raise ImpossibleValue("A permeability needs the bed's depth and the basket's diameter.")
    return np.asarray(
        bed_resistance_pa_s_per_m3(
            permeability_m2=within("permeability_m2", permeability_m2, low=KAPPA[0], high=KAPPA[1], source=_BED),
            bed_depth_m=sizes[0],
            basket_diameter_m=sizes[1],
            temperature_k=warmth_k,
        )
    )


def change_of(*, bed: Array, last_flow_m3_per_s: _Maybe, softening_volume_m3: _Maybe) -> tuple[Array, Array]:
    """Return the resistance of the bed at last, and the volume over which it changes.

    Valid for both flows stated at 9 bar; without a last flow the usual change. Source: darcy-1856; common-practice.
    """
    if last_flow_m3_per_s is None:
        last = bed * constant("shot_first_flow_m3_per_s") / constant("shot_last_flow_m3_per_s")
    else:
        flow = within("last_flow_m3_per_s", last_flow_m3_per_s, low=FLOW[0], high=FLOW[1], source=_BED)
        last = constant("shot_reference_pa") / flow
    softening = constant("shot_softening_m3") if softening_volume_m3 is None else softening_volume_m3
    over = within("softening_volume_m3", softening, low=SOFTENING[0], high=SOFTENING[1], source="common-practice")
    return np.asarray(last), over


def rest_of(*, leak_m3_per_s: Figure, soak_pa: Figure, soak_s: Figure) -> tuple[Array, Array, Array]:
    """Return the leak past the seals over pressure, and pressure and time of pre-infusion: both or neither."""
    leak = within("leak_flow_m3_per_s", leak_m3_per_s, low=LEAK[0], high=LEAK[1], source=_BED)
    pressure = within("soak_pressure_gauge_pa", soak_pa, low=SOAK[0], high=SOAK[1], source="common-practice")
    seconds = within("soak_time_s", soak_s, low=SECONDS[0], high=SECONDS[1], source="common-practice")
    if np.any((pressure > 0) != (seconds > 0)):
        raise ImpossibleValue("Pre-infusion needs its pressure and its time.", allowed="soak_pressure with soak_time")
    return np.asarray(leak / constant("shot_reference_pa")), pressure, seconds
