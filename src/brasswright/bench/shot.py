"""A shot reckoned beforehand: pressure and flow against time, spring or hand lever, through a puck that gives way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.shot_given import (
    BASKET,
    DEPTH,
    DOSE,
    FLOW,
    KAPPA,
    KELVINS,
    LEAK,
    NEWTONS,
    PASCALS,
    PISTON,
    RATE,
    RATIO,
    SECONDS,
    SOAK,
    SOFTENING,
    SQUEEZED,
    STROKE,
    UPTAKE,
    bed_of,
    change_of,
    drive_of,
    drunk_m3,
    rest_of,
    warmth_k,
)
from brasswright.bench.shot_puck import Puck
from brasswright.bench.shot_run import Drive, Pull, pulled
from brasswright.bench.steam import water_volume_m3_per_kg
from brasswright.bench.validity import Array, Figure, plain
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["INSTRUMENT", "ShotResult", "shot"]

_ALIKE: Final = 1e-12
"""Samples nearer to one another than this share of them are one figure."""


@dataclass(frozen=True, slots=True)
class ShotResult:
    """A pull from the first water on; times to a mass are None where it does not come to it.

    The curves have one length; of many samples they are those of the means.
    """

    pressure_start_pa: Figure
    pressure_peak_pa: Figure
    pressure_end_pa: Figure
    first_drop_s: Figure | None
    to_small_cup_s: Figure | None
    to_full_cup_s: Figure | None
    end_s: Figure
    delivered_m3: Figure
    delivered_kg: Figure
    taken_up_m3: Figure
    past_seals_m3: Figure
    swept_m3: Figure
    mean_flow_m3_per_s: Figure | None
    work_j: Figure
    end_reason: str
    curve_time_s: tuple[float, ...]
    curve_pressure_pa: tuple[float, ...]
    curve_flow_m3_per_s: tuple[float, ...]
    curve_volume_m3: tuple[float, ...]
    meaning: str
    warnings: tuple[str, ...]


def shot(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    piston_diameter_m: Figure,
    stroke_m: Figure,
    spring_rate_n_per_m: Figure | None = None,
    spring_compression_m: Figure | None = None,
    hand_force_n: Figure | None = None,
    hand_force_end_n: Figure | None = None,
    lever_ratio: Figure | None = None,
    steady_pressure_gauge_pa: Figure | None = None,
    friction_n: Figure = 0.0,
    dose_kg: Figure | None = None,
    uptake: Figure | None = None,
    first_flow_m3_per_s: Figure | None = None,
    last_flow_m3_per_s: Figure | None = None,
    softening_volume_m3: Figure | None = None,
    permeability_m2: Figure | None = None,
    bed_depth_m: Figure | None = None,
    basket_diameter_m: Figure | None = None,
    temperature_k: Figure | None = None,
    soak_pressure_gauge_pa: Figure = 0.0,
    soak_time_s: Figure = 0.0,
    leak_flow_m3_per_s: Figure = 0.0,
) -> ShotResult:
    """What one pull of a lever gives: pressure, flow and cup against time.

    Symbols: A = pi d^2 / 4 piston, x travel, F force on it; spring F = k (c - x) with rate k and compression c when
    cocked; hand F = i (H_1 + (H_2 - H_1) x / s) with lever ratio i over stroke s; p = (F - friction) / A. Water passes
    the puck as q = p / R. It drinks dose times uptake first, R growing with the wet part; then R goes from that of the
    first flow to that of the last (both at 9 bar) over the softening volume. In place of the first flow, permeability
    kappa: R = mu L / (kappa A_b), mu viscosity, L depth, A_b basket. A leak past the seals goes with pressure too.
    Pre-infusion: soak pressure for the soak time, the piston at rest. Left out: air in the chamber, the puck pressed
    denser, inertia, heat lost.
    Valid for pistons of 20 to 100 mm, strokes of 3 to 150 mm, up to 20 bar. Source: force-over-area; darcy-1856;
    iapws-sr6-08; iapws-r7-97; common-practice.

    >>> found = shot(
    ...     piston_diameter_m=0.054, stroke_m=0.020, spring_rate_n_per_m=4 * 9806.65, spring_compression_m=0.053
    ... )
    >>> round(found.pressure_start_pa / 1e5, 2), round(found.pressure_end_pa / 1e5, 2)
    (9.08, 5.65)
    """
    drive = drive_of(
        sizes=(piston_diameter_m, stroke_m), spring=(spring_rate_n_per_m, spring_compression_m),
        hand=(hand_force_n, hand_force_end_n, lever_ratio), steady_pa=steady_pressure_gauge_pa, friction_n=friction_n,
    )  # fmt: skip
    warmth = warmth_k(temperature_k)
    by_volume = np.asarray(water_volume_m3_per_kg(pressure_pa=constant("shot_reference_pa"), temperature_k=warmth))
    sizes = (bed_depth_m, basket_diameter_m)
    bed = bed_of(first_flow_m3_per_s=first_flow_m3_per_s, permeability_m2=permeability_m2, sizes=sizes, warmth_k=warmth)
    drunk = drunk_m3(dose_kg=dose_kg, uptake=uptake, by_volume=by_volume)
    change = change_of(bed=bed, last_flow_m3_per_s=last_flow_m3_per_s, softening_volume_m3=softening_volume_m3)
    rest = rest_of(leak_m3_per_s=leak_flow_m3_per_s, soak_pa=soak_pressure_gauge_pa, soak_s=soak_time_s)
    assumed = first_flow_m3_per_s is None and permeability_m2 is None
    return _run((drunk, bed, *change, *drive, *rest), by_volume, assumed=assumed)


def _run(given: tuple[Array, ...], by_volume: Array, *, assumed: bool) -> ShotResult:
    """Reckon the pull of what was given: puck, drive and the rest in the order of their records."""
    parts = np.broadcast_arrays(*given, by_volume)
    flat = [np.atleast_1d(np.asarray(part, dtype=np.float64)) for part in parts]
    run = pulled(puck=Puck(*flat[:4]), drive=Drive(*flat[4:11]))
    return _result(run, flat[11], many=parts[0].ndim > 0, assumed=assumed)


def _result(run: Pull, by_volume: Array, *, many: bool, assumed: bool) -> ShotResult:
    """Return what a pull gives, as figures where single ones went in."""

    def told(values: Array) -> Figure:
        alike = np.ptp(values) <= _ALIKE * np.max(np.abs(values))
        return plain(values if many and not alike else values[0])

    puck, drive = run.puck, run.drive
    travel = run.travel_m(run.end_m3)
    in_cup = np.maximum(run.end_m3 - puck.wet_m3, 0.0)
    first = run.time_at(puck.wet_m3)
    cups = [run.time_at(puck.wet_m3 + constant(key) * by_volume) for key in ("shot_cup_small_kg", "shot_cup_full_kg")]
    drips = bool(np.all(np.isfinite(first) & (in_cup > 0)))
    start, end = drive.pressure(np.zeros_like(travel)), drive.pressure(travel)
    past_seals = drive.leak * (puck.impulse(run.end_m3) - puck.impulse(run.soaked_m3))
    curve = [tuple(float(one) for one in row) for row in run.means().curve()]
    return ShotResult(
        pressure_start_pa=told(start),
        pressure_peak_pa=told(np.maximum(start, end)),
        pressure_end_pa=told(end),
        first_drop_s=told(first) if drips else None,
        to_small_cup_s=_reached(cups[0], told),
        to_full_cup_s=_reached(cups[1], told),
        end_s=told(run.end_s),
        delivered_m3=told(in_cup),
        delivered_kg=told(np.asarray(in_cup / by_volume)),
        taken_up_m3=told(np.minimum(run.end_m3, puck.wet_m3)),
        past_seals_m3=told(np.asarray(past_seals)),
        swept_m3=told(np.asarray(drive.area_m2 * travel)),
        mean_flow_m3_per_s=told(np.asarray(in_cup / (run.end_s - first))) if drips else None,
        work_j=told(np.asarray(drive.area_m2 * travel * (start + end) / 2)),
        end_reason=_ended(run),
        curve_time_s=curve[0],
        curve_pressure_pa=curve[1],
        curve_flow_m3_per_s=curve[2],
        curve_volume_m3=curve[3],
        meaning=_meaning(run, by_volume),
        warnings=_warnings(run, by_volume, assumed=assumed),
    )


def _reached(when: Array, told: Callable[[Array], Figure]) -> Figure | None:
    """Return a time that every sample comes to, or None."""
    return told(when) if np.all(np.isfinite(when)) else None


def _ended(run: Pull) -> str:
    """Return why most pulls of these samples end."""
    if np.mean(run.by_time) > 0.5:
        return "the longest time is up"
    short = run.drive.last_travel_m() < run.drive.stroke_m
    return "pressure is spent" if np.mean(short) > 0.5 else "the stroke is at its end"


def _meaning(run: Pull, by_volume: Array) -> str:
    """Return what it comes to in a sentence, of many samples for the means."""
    in_cup = float(np.mean(np.maximum(run.end_m3 - run.puck.wet_m3, 0.0) / by_volume))
    start, end = (
        words(float(np.mean(run.drive.pressure(x))), unit="bar", figures=2)
        for x in (np.zeros_like(run.end_m3), run.travel_m(run.end_m3))
    )
    seconds = float(np.mean(run.end_s))
    first = run.time_at(run.puck.wet_m3)
    said = f"From {start} to {end}; {1000 * in_cup:.0f} g in the cup after {seconds:.0f} s"
    if np.all(np.isfinite(first)) and in_cup > 0:
        said += f", the first drop after {float(np.mean(first)):.0f} s"
    return f"{said}. It ends because {_ended(run)}."


def _warnings(run: Pull, by_volume: Array, *, assumed: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    in_cup = float(np.mean(np.maximum(run.end_m3 - run.puck.wet_m3, 0.0) / by_volume))
    peak = float(np.mean(run.drive.pressure(np.zeros_like(run.end_m3))))
    left = float(np.mean(run.drive.pressure(run.travel_m(run.end_m3))))
    if assumed:
        found.append("The puck was assumed ordinary: say the flow through it, and times will be of this one.")
    if in_cup <= 0:
        found.append("Nothing reaches the cup: the puck drinks all that one stroke brings.")
    elif in_cup < constant("shot_cup_small_kg"):
        found.append("One pull does not fill a small cup: a second pull, pre-infusion or a smaller dose does.")
    if peak > constant("shot_high_pa"):
        found.append("More than 12 bar: look at lugs, pins and seals before a pull; is every figure in the right unit?")
    if np.mean(run.by_time) > 0.5 and left > constant("shot_charged_pa"):
        found.append("The puck lets next to nothing through: the lever stays charged, nobody opens the portafilter.")
    lost = float(np.mean(run.drive.leak * (run.puck.impulse(run.end_m3) - run.puck.impulse(run.soaked_m3))))
    swept = float(np.mean(run.drive.area_m2 * run.travel_m(run.end_m3)))
    if lost > constant("shot_lost_share") * swept:
        found.append(f"{lost / swept:.0%} of the stroke goes past the seals: new seals before anything else is judged.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="shot",
    summary="a shot reckoned: pressure, flow and cup against time, spring or hand lever, through a puck that gives way",
    inputs=(
        Input(
            "piston", "piston_diameter_m", "bore the piston runs in", dimension="length", unit="mm", required=True,
            low=PISTON[0], high=PISTON[1], plausible=(0.03, 0.07),
        ),
        Input(
            "stroke", "stroke_m", "travel of the piston once it presses", dimension="length", unit="mm", required=True,
            low=STROKE[0], high=STROKE[1], plausible=(0.008, 0.08),
        ),
        Input(
            "spring_rate", "spring_rate_n_per_m", "rate of the spring", dimension="stiffness", unit="N/mm",
            low=RATE[0], high=RATE[1], plausible=(1000.0, 90_000.0),
        ),
        Input(
            "spring_compression", "spring_compression_m", "how much shorter than free the spring is when cocked",
            dimension="length", unit="mm", low=SQUEEZED[0], high=SQUEEZED[1],
        ),
        Input(
            "hand_force", "hand_force_n", "hand on the lever as the pull begins", dimension="force", unit="kgf",
            low=NEWTONS[0], high=NEWTONS[1], plausible=(10.0, 600.0),
        ),
        Input(
            "hand_force_end", "hand_force_end_n", "hand as it ends; without it, the same", dimension="force",
            unit="kgf", low=NEWTONS[0], high=NEWTONS[1], plausible=(10.0, 600.0),
        ),
        Input(
            "lever_ratio", "lever_ratio", "force on the piston over force of the hand", dimension="ratio", unit="1",
            low=RATIO[0], high=RATIO[1],
        ),
        Input(
            "steady_pressure", "steady_pressure_gauge_pa", "or a pressure held all along",
            dimension="pressure_gauge", unit="bar", low=PASCALS[0], high=PASCALS[1],
        ),
        Input(
            "friction", "friction_n", "friction of seals and lever, at the piston", dimension="force", unit="N",
            low=NEWTONS[0], high=NEWTONS[1],
        ),
        Input("dose", "dose_kg", "dry coffee", dimension="mass", unit="g", low=DOSE[0], high=DOSE[1]),
        Input(
            "uptake", "uptake", "water the puck keeps, over its dry mass", dimension="ratio", unit="1", low=UPTAKE[0],
            high=UPTAKE[1],
        ),
        Input(
            "first_flow", "first_flow_m3_per_s", "flow the puck lets through at 9 bar, at the first drop",
            dimension="flow", unit="ml/s", low=FLOW[0], high=FLOW[1],
        ),
        Input(
            "last_flow", "last_flow_m3_per_s", "the same late in the shot; less than the first where it swells",
            dimension="flow", unit="ml/s", low=FLOW[0], high=FLOW[1],
        ),
        Input(
            "softening_volume", "softening_volume_m3", "water over which 63 % of that change is done",
            dimension="volume", unit="ml", low=SOFTENING[0], high=SOFTENING[1],
        ),
        Input(
            "permeability", "permeability_m2", "of the soaked bed, in place of the first flow", dimension="area",
            unit="m²", low=KAPPA[0], high=KAPPA[1],
        ),
        Input(
            "bed_depth", "bed_depth_m", "depth of the bed, with the permeability", dimension="length", unit="mm",
            low=DEPTH[0], high=DEPTH[1],
        ),
        Input(
            "basket", "basket_diameter_m", "diameter of the bed, with the permeability", dimension="length",
            unit="mm", low=BASKET[0], high=BASKET[1],
        ),
        Input(
            "temperature", "temperature_k", "water in the puck", dimension="temperature", unit="°C", low=KELVINS[0],
            high=KELVINS[1],
        ),
        Input(
            "soak_pressure", "soak_pressure_gauge_pa", "boiler pressure during pre-infusion",
            dimension="pressure_gauge", unit="bar", low=SOAK[0], high=SOAK[1],
        ),
        Input(
            "soak_time", "soak_time_s", "time the lever is held down", dimension="time", unit="s", low=SECONDS[0],
            high=SECONDS[1],
        ),
        Input(
            "leak", "leak_flow_m3_per_s", "water past the piston's seals at 9 bar", dimension="flow", unit="ml/s",
            low=LEAK[0], high=LEAK[1],
        ),
    ),
    outputs=(
        Output("pressure_start_pa", "Pa", "pressure as the piston begins to press", "bar"),
        Output("pressure_peak_pa", "Pa", "highest pressure", "bar"),
        Output("pressure_end_pa", "Pa", "pressure as the pull ends", "bar"),
        Output("first_drop_s", "s", "first drop, from the first water on"),
        Output("to_small_cup_s", "s", "25 g in the cup"),
        Output("to_full_cup_s", "s", "30 g in the cup"),
        Output("end_s", "s", "end of the pull"),
        Output("delivered_m3", "m3", "water through the puck into the cup", "ml"),
        Output("delivered_kg", "kg", "its mass", "g"),
        Output("taken_up_m3", "m3", "water the puck keeps", "ml"),
        Output("past_seals_m3", "m3", "water past the seals", "ml"),
        Output("swept_m3", "m3", "water the piston moves", "ml"),
        Output("mean_flow_m3_per_s", "m3/s", "mean flow from the first drop on", "ml/s"),
        Output("work_j", "J", "work of the piston on the water"),
        Output("end_reason", "", "it ends because: stroke, pressure or time"),
        Output("curve_time_s", "s", "time"),
        Output("curve_pressure_pa", "Pa", "pressure", "bar"),
        Output("curve_flow_m3_per_s", "m3/s", "flow into the cup", "ml/s"),
        Output("curve_volume_m3", "m3", "volume in the cup", "ml"),
        Output("meaning", "", "meaning: what it comes to in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="pistons of 20 to 100 mm, strokes of 3 to 150 mm, up to 20 bar, chamber full of water, slow flow",
    example={
        "piston": "54 mm", "stroke": "24 mm", "spring_rate": "4 kgf/mm", "spring_compression": "53 mm",
        "friction": "150 N", "dose": "14 g", "first_flow": "1.1 ± 0.1 ml/s", "last_flow": "1.8 ml/s",
        "soak_pressure": "1.0 bar", "soak_time": "5 s",
    },
    cautions=(
        "A cocked lever is a loaded spring: nobody over it, and never pulled with an empty or loose portafilter.",
        "The portafilter stays locked until the gauge and the lever have both come to rest: hot coffee under pressure.",
        "Springs are measured on a restrained rig only; a cocked lever is not hooked or weighed.",
    ),
    sources=(
        "force-over-area", "darcy-1856", "corrochano-2015", "iapws-sr6-08", "iapws-r7-97", "first-order-decay",
        "common-practice",
    ),
    call=shot,
)  # fmt: skip
