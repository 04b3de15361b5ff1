"""How hot a machine's outside gets, and whether touching it burns: reckoned from its inside, or measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.burns import BURN_RULES, TOUCHED, BurnBand, burn_band
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import COVERAGE, verdict
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.bench.warm_shell import (
    AIR_K,
    FINISHES,
    INSIDE_K,
    LAYER_M,
    SHAPES,
    SIZE_M,
    USUAL_AIR_K,
    Balance,
    balance,
    warm_shell,
)
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import Measured, kelvin, words

if TYPE_CHECKING:
    from brasswright.bench.limits import Verdict

__all__ = ["INSTRUMENT", "PROBES", "TouchResult", "touch"]

PROBES: Final = ("contact probe", "infrared", "other")
_RECKONED: Final = "reckoning"
_SECONDS: Final = (0.5, 28_800.0)
_SHINY: Final = 0.5
_LAGGING_W_PER_M_K: Final = (0.005, 5.0)


@dataclass(frozen=True, slots=True)
class TouchResult:
    """How hot a surface is and what it does to skin; figures are None where their input was not given.

    `loss_w` is what the side named gives off, `convection_w` and `radiation_w` its two parts. The band of temperatures
    in which a burn begins reaches from `burn_low_k` to `burn_high_k` (None where the table has no shorter time).
    """

    reckoned_temperature_k: Figure | None
    measured_temperature_k: Figure | None
    convection_w: Figure | None
    radiation_w: Figure | None
    loss_w: Figure | None
    burn_low_k: float
    burn_high_k: float | None
    contact_time_s: float
    outcome: str
    meaning: str
    warnings: tuple[str, ...]


def touch(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    inside_temperature_k: Figure | None = None,
    inside_sigma_k: float | None = None,
    surface_temperature_k: Figure | None = None,
    surface_sigma_k: float | None = None,
    probe: str = "",
    air_temperature_k: Figure = USUAL_AIR_K,
    air_sigma_k: float | None = None,
    shape: str = SHAPES[0],
    diameter_m: Figure | None = None,
    length_m: Figure | None = None,
    width_m: Figure | None = None,
    lagging_m: Figure = 0.0,
    lagging_w_per_m_k: Figure = 0.04,
    finish: str = "dull metal",
    draught_m_per_s: Figure = 0.0,
    touched: str = TOUCHED[0],
    contact_time_s: float | None = None,
    burn_rule: str = BURN_RULES[0],
) -> TouchResult:
    """How hot a surface gets, and whether touching it burns.

    Symbols: T surface, from the balance of heat through the lagging with moving air (free and draught, h^3 added) and
    radiation; a measured T goes before. Standard uncertainty 15 % of the excess over the air where lagged and reckoned,
    with the parts that inside and air as typed hand on to it; 0.5 K where measured and not stated. Contact of 5 s where
    none is stated. What was only reckoned never passes.
    Valid for 0 to 205 °C inside, 0 to 50 °C outside, 10 mm to 2 m, contacts of 0.5 s to 8 h.
    Source: churchill-chu-1975; popiel-2008; mcadams-1954; churchill-bernstein-1977; stefan-boltzmann; iso-13732-1;
    burn-institute; astm-c1055.

    >>> result = touch(inside_temperature_k=393.15, diameter_m=0.12, length_m=0.25, lagging_m=0.02)
    >>> round(result.reckoned_temperature_k - 273.15), result.outcome
    (42, 'not shown')
    """
    if inside_temperature_k is None and surface_temperature_k is None:
        raise ImpossibleValue("Neither inside nor surface was given.", allowed="inside, surface, or both")
    reckoned = None
    if inside_temperature_k is not None:
        shell = warm_shell(
            shape=shape, diameter_m=diameter_m, length_m=length_m, width_m=width_m, lagging_m=lagging_m,
            conductivity_w_per_m_k=lagging_w_per_m_k, finish=finish, draught_m_per_s=draught_m_per_s,
        )  # fmt: skip
        reckoned = balance(shell, inside_k=inside_temperature_k, air_k=air_temperature_k)
    surface = _Surface(
        reckoned=reckoned,
        measured=None if surface_temperature_k is None else _measured(surface_temperature_k),
        sigma=surface_sigma_k,
        typed=_Typed(inside_temperature_k, inside_sigma_k or 0.0, air_sigma_k or 0.0),
        probe=probe,
        finish=finish,
        lagged=bool(np.any(np.asarray(lagging_m) > 0)),
    )
    return _told(surface, air_temperature_k, touched, contact_time_s, burn_rule)


@dataclass(frozen=True, slots=True)
class _Typed:
    """What a reckoning starts from: the inside [K], and the standard uncertainties typed with it and with the air."""

    inside_k: Figure | None
    inside_sigma: float
    air_sigma: float


@dataclass(frozen=True, slots=True)
class _Surface:
    """What is known of the surface's temperature."""

    reckoned: Balance | None
    measured: Array | None
    sigma: float | None
    typed: _Typed
    probe: str
    finish: str
    lagged: bool


def _told(surface: _Surface, air_k: Figure, touched: str, contact_time_s: float | None, rule: str) -> TouchResult:
    """Return the result."""
    reckoned, measured = surface.reckoned, surface.measured
    seconds = constant("contact_usual_s") if contact_time_s is None else contact_time_s
    band = burn_band(touched=touched, time_s=seconds, rule=rule)
    outcome, meaning = _outcome(surface, band, _standard(rule, touched, seconds), air_k)
    return TouchResult(
        reckoned_temperature_k=None if reckoned is None else plain(reckoned.surface_k),
        measured_temperature_k=None if measured is None else plain(measured),
        convection_w=None if reckoned is None else plain(reckoned.convection_w),
        radiation_w=None if reckoned is None else plain(reckoned.radiation_w),
        loss_w=None if reckoned is None else plain(reckoned.loss_w),
        burn_low_k=band.low_k,
        burn_high_k=band.high_k,
        contact_time_s=seconds,
        outcome=outcome,
        meaning=meaning,
        warnings=_warnings(surface, band, touched, contact_time_s),
    )


def _measured(surface_temperature_k: Figure) -> Array:
    """Return a measured temperature, checked."""
    low, high = INSIDE_K
    return within("surface_temperature_k", surface_temperature_k, low=low, high=high, source="iso-13732-1")


def _standard(rule: str, touched: str, seconds: float) -> str:
    """Return whose threshold it is, of what harm, and for which contact."""
    harm = "onset of a burn" if rule == BURN_RULES[0] else "serious burn"
    return f"{rule}, {harm}, {touched}, {words(seconds, unit='s')}"


def _outcome(surface: _Surface, band: BurnBand, standard: str, air_k: Figure) -> tuple[str, str]:
    """Return the outcome against the band, and its sentence; nothing reckoned and no doubtful probe passes."""
    judged = _judged(surface, band, standard, air_k)
    doubt = _doubt(surface)
    if judged.outcome == "passed" and doubt:
        return "not shown", f"not shown: {doubt} By its figure alone: {judged.words}"
    return judged.outcome, judged.words


def _judged(surface: _Surface, band: BurnBand, standard: str, air_k: Figure) -> Verdict:
    """Return the verdict on the temperature: measured where it was, else reckoned (of many samples, their mean)."""
    least = constant("probe_sigma_k")
    if surface.measured is not None:
        value, own, instrument = surface.measured, surface.sigma, surface.probe
    else:
        value = np.asarray(air_k) if surface.reckoned is None else surface.reckoned.surface_k
        own, instrument = _reckoned_sigma(surface, value, air_k), _RECKONED
    sigma = float(value.std()) if value.ndim else least if own is None else own
    return verdict(
        value=Measured(float(value.mean()), sigma),
        limit=band.low_k,
        at="most",
        standard=standard,
        instrument=instrument,
        circuit="",
        unit="°C",
        reject=INSIDE_K[1] if band.high_k is None else band.high_k,
    )


def _reckoned_sigma(surface: _Surface, value: Array, air_k: Figure) -> float:
    """Return the standard uncertainty of a reckoned temperature: that of the balance, and what was typed, in squares.

    The excess over the air is taken to go with that of the inside: the surface follows the inside by its share of it,
    and the air by the rest.
    """
    excess = float(np.mean(value - air_k))
    own = max(constant("probe_sigma_k"), constant("reckoned_share") * excess if surface.lagged else 0.0)
    drop = 0.0 if surface.typed.inside_k is None else float(np.mean(np.asarray(surface.typed.inside_k) - air_k))
    share = min(max(excess / drop, 0.0), 1.0) if drop else 1.0
    return math.hypot(own, share * surface.typed.inside_sigma, (1.0 - share) * surface.typed.air_sigma)


def _doubt(surface: _Surface) -> str:
    """Return why this temperature cannot show that touching does not burn."""
    if surface.measured is None:
        return "The temperature was reckoned, not measured."
    if surface.probe == "infrared" and surface.finish in {"polished metal", "chrome plate", "dull metal"}:
        return f"Infrared sees the room mirrored in {surface.finish}; put matt tape on it, or use a contact probe."
    return ""


def _warnings(surface: _Surface, band: BurnBand, touched: str, contact_time_s: float | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if contact_time_s is None:
        found.append("Contact of 5 s taken, as for people who know; for a household take 60 s.")
    if band.high_k is None:
        found.append(f"The table has no shorter time for {touched}: its first figure was taken, which is too strict.")
    if surface.measured is not None and surface.reckoned is not None:
        apart = float(np.mean(surface.measured) - np.mean(surface.reckoned.surface_k))
        if abs(apart) > COVERAGE * constant("reckoned_share") * abs(float(np.mean(surface.measured)) - USUAL_AIR_K):
            found.append(f"Measured and reckoned lie {abs(apart):.0f} K apart: look at probe, lagging and sizes.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="touch",
    summary="how hot a machine's outside gets, bare or lagged, and whether touching it burns",
    inputs=(
        Input(
            "inside", "inside_temperature_k", "water or steam inside", dimension="temperature", unit="°C",
            low=INSIDE_K[0], high=INSIDE_K[1], plausible=(kelvin(celsius=30.0), kelvin(celsius=160.0)),
            sigma="inside_sigma_k",
        ),
        Input(
            "surface", "surface_temperature_k", "outside, as measured", dimension="temperature", unit="°C",
            low=INSIDE_K[0], high=INSIDE_K[1], plausible=(kelvin(celsius=10.0), kelvin(celsius=160.0)),
            sigma="surface_sigma_k",
            silent={"over range": "Hotter than the probe can tell: hands off, let it cool."},
        ),
        Input("probe", "probe", "what it was measured with", kind="choice", choices=PROBES),
        Input(
            "air", "air_temperature_k", "air in the room, if not 20 °C", dimension="temperature", unit="°C",
            low=AIR_K[0], high=AIR_K[1], sigma="air_sigma_k",
        ),
        Input("shape", "shape", "shape of the side that gives off heat", kind="choice", choices=SHAPES),
        Input(
            "diameter", "diameter_m", "diameter of the bare shell, if round", dimension="length", unit="mm",
            low=SIZE_M[0], high=SIZE_M[1], plausible=(0.02, 0.6),
        ),
        Input(
            "length", "length_m", "length of a lying, height of a standing shell", dimension="length", unit="mm",
            low=SIZE_M[0], high=SIZE_M[1], plausible=(0.03, 1.2),
        ),
        Input(
            "width", "width_m", "width, if flat", dimension="length", unit="mm", low=SIZE_M[0], high=SIZE_M[1],
            plausible=(0.03, 1.2),
        ),
        Input(
            "lagging", "lagging_m", "thickness of the lagging", dimension="length", unit="mm", low=LAYER_M[0],
            high=LAYER_M[1], plausible=(0.0, 0.06),
        ),
        Input(
            "conductivity", "lagging_w_per_m_k", "conductivity of the lagging, if not 0.04",
            dimension="thermal_conductivity", unit="W/m·K", low=_LAGGING_W_PER_M_K[0], high=_LAGGING_W_PER_M_K[1],
        ),
        Input("finish", "finish", "outermost surface", kind="choice", choices=FINISHES),
        Input(
            "draught", "draught_m_per_s", "air blown at it", dimension="speed", unit="m/s", low=0.0, high=5.0,
        ),
        Input("touched", "touched", "what a hand meets", kind="choice", choices=TOUCHED),
        Input(
            "contact", "contact_time_s", "how long it is touched", dimension="time", unit="s", low=_SECONDS[0],
            high=_SECONDS[1],
        ),
        Input("rule", "burn_rule", "whose thresholds", kind="choice", choices=BURN_RULES),
    ),
    outputs=(
        Output("reckoned_temperature_k", "K", "outside, as reckoned", "°C"),
        Output("measured_temperature_k", "K", "outside, as measured", "°C"),
        Output("convection_w", "W", "heat into moving air"),
        Output("radiation_w", "W", "heat radiated"),
        Output("loss_w", "W", "heat given off by this side"),
        Output("burn_low_k", "K", "below this the table sees no burn", "°C"),
        Output("burn_high_k", "K", "above this it does", "°C"),
        Output("contact_time_s", "s", "time of contact"),
        Output("outcome", "", "outcome: passed, failed, investigate (in the band) or not shown"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0 to 205 °C inside, 0 to 50 °C outside; 10 mm to 2 m; draughts to 5 m/s; contacts of 0.5 s to 8 h",
    example={"inside": "120 °C", "shape": "lying cylinder", "diameter": "120 mm", "length": "250 mm"},
    cautions=(
        "Heat: measure with a probe on a stick, never with the hand; steam and hot water scald at once.",
        "Thresholds are for a small patch of healthy adult skin; children, the old and the slow burn earlier.",
        "Do not open or touch fibrous lagging to measure under it: it is presumed to contain asbestos.",
    ),
    sources=(
        "churchill-chu-1975", "popiel-2008", "mcadams-1954", "churchill-bernstein-1977", "incropera", "lemmon-air",
        "stefan-boltzmann", "iso-13732-1", "burn-institute", "astm-c1055", "common-practice",
    ),
    call=touch,
)  # fmt: skip
