"""How a pressurestat or thermostat switches, from a logged trace: cut-in, cut-out, dead band, duty, standing loss."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from brasswright.bench.boiler_log import BoilerLog, ask_if_absolute, read_boiler_log, single
from brasswright.bench.cycles import Cycles, cycles_of
from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import Outcome, Verdict, verdict
from brasswright.bench.saturation import barometer_pa
from brasswright.bench.switching import duty_loss_w
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import Measured, kelvin, to_si, words

if TYPE_CHECKING:
    from brasswright.bench.validity import Figure

__all__ = ["INSTRUMENT", "CyclingResult", "cycling"]

_SOURCE: Final = "common-practice"
_WATTS: Final = (5.0, 20_000.0)
_PASCALS: Final = (to_si(0.05, unit="bar"), to_si(20.0, unit="bar"))
_BAND_PA: Final = (to_si(0.005, unit="bar"), to_si(5.0, unit="bar"))
_BAND_K: Final = (0.1, 100.0)
_KELVINS: Final = (kelvin(celsius=20.0), kelvin(celsius=250.0))
_LAG_S: Final = (0.0, 600.0)
_WORST: Final[tuple[Outcome, ...]] = ("failed", "investigate", "not shown", "passed")
_CLEAR: Final = 3.0


@dataclass(frozen=True, slots=True)
class CyclingResult:
    """Switching read off a log: in Pa for a log of pressure, in K for one of temperature, the others None.

    `_low`, `_high`: limits for 95 % of switchings with 95 % confidence; `hidden`: most beyond what was logged.
    """

    cut_in_pa: float | None
    cut_in_sd_pa: float | None
    cut_in_low_pa: float | None
    cut_out_pa: float | None
    cut_out_sd_pa: float | None
    cut_out_high_pa: float | None
    dead_band_pa: float | None
    dead_band_sd_pa: float | None
    hidden_pa: float | None
    cut_in_k: float | None
    cut_in_sd_k: float | None
    cut_in_low_k: float | None
    cut_out_k: float | None
    cut_out_sd_k: float | None
    cut_out_high_k: float | None
    dead_band_k: float | None
    dead_band_sd_k: float | None
    hidden_k: float | None
    cut_ins: int
    cut_outs: int
    tolerance_factor: float
    drift: float
    chatter: int
    on_s: float
    off_s: float
    duty: float
    duty_sigma: float
    standing_loss_w: float | None
    standing_loss_sigma_w: float | None
    loss_finding: str
    outcome: Outcome | Literal["not asked"]
    verdicts: tuple[str, ...]
    meaning: str
    warnings: tuple[str, ...]


def cycling(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    log: str,
    logger: str = "",
    power_w: float | None = None,
    expected_loss_w: float | None = None,
    relief_set_gauge_pa: float | None = None,
    band_limit_pa: float | None = None,
    cut_out_limit_k: float | None = None,
    band_limit_k: float | None = None,
    sensor_time_s: float = 0.0,
    least_swing_pa: float | None = None,
    least_swing_k: float | None = None,
    altitude_m: float = 0.0,
    pressure_is_gauge: bool = False,
    power_sigma_w: float | None = None,
    expected_loss_sigma_w: float | None = None,
) -> CyclingResult:
    r"""How a pressurestat or thermostat switches, from a log of pressure or temperature.

    Symbols: extremes by hysteresis; mean, standard deviation s and n of highs (cut-out) and lows (cut-in); limits mean
    +- k s with 95 % and 95 %; hidden: steepest slope times (time between readings + sensor's time constant); loss
    P t_on / (t_on + t_off). Extremes are what the boiler reaches: a switch acts a little before them. On and off
    times are those of a `heater` column, else of rise and fall. The limit of a cut-out is the relief valve's set
    pressure. Verdicts need ten switchings, readings close enough, and the logger named.
    Valid for three full cycles or more, nothing drawn. Arrays are refused. Source: iso-16269-6; nist-handbook;
    arithmetic; common-practice.

    >>> rows = "".join(f"{t},{1.0 + 0.01 * min(t % 20, 20 - t % 20)}\n" for t in range(0, 260, 1))
    >>> found = cycling(log="time [s],pressure [bar]\n" + rows, power_w=1000.0)
    >>> round(found.dead_band_pa), round(found.duty, 2)
    (10000, 0.5)
    """
    metres = single("altitude_m", altitude_m, low=-400.0, high=5000.0, source="iso-2533")
    held = _log(log, float(barometer_pa(altitude_m=metres)), confirmed=pressure_is_gauge)
    of_pressure = held.pressure_gauge_pa is not None
    lag = single("sensor_time_s", sensor_time_s, low=_LAG_S[0], high=_LAG_S[1], source=_SOURCE)
    swings = (_maybe("least_swing_pa", least_swing_pa, _BAND_PA), _maybe("least_swing_k", least_swing_k, _BAND_K))
    found = cycles_of(held=held, swing=swings[0 if of_pressure else 1], lag_s=lag)
    limits = _limits(
        of_pressure=of_pressure,
        pressures=(
            _maybe("relief_set_gauge_pa", relief_set_gauge_pa, _PASCALS),
            _maybe("band_limit_pa", band_limit_pa, _BAND_PA),
        ),
        temperatures=(
            _maybe("cut_out_limit_k", cut_out_limit_k, _KELVINS),
            _maybe("band_limit_k", band_limit_k, _BAND_K),
        ),
    )
    judged = _verdicts(found, limits, logger, of_pressure=of_pressure)
    loss = _loss(found, _maybe("power_w", power_w, _WATTS), power_sigma_w)
    expected = _maybe("expected_loss_w", expected_loss_w, _WATTS)
    return _told(found, judged, loss, _agreement(*loss, expected, expected_loss_sigma_w), of_pressure=of_pressure)


def _told(
    found: Cycles,
    judged: tuple[Verdict, ...],
    loss: tuple[float | None, float | None],
    finding: str,
    *,
    of_pressure: bool,
) -> CyclingResult:
    """Return everything that the log says."""
    return CyclingResult(
        **_in_its_unit(found, of_pressure=of_pressure),
        cut_ins=found.low.count,
        cut_outs=found.high.count,
        tolerance_factor=found.high.factor,
        drift=found.drift,
        chatter=found.chatter,
        on_s=found.on_s,
        off_s=found.off_s,
        duty=found.duty,
        duty_sigma=found.duty_sigma,
        standing_loss_w=loss[0],
        standing_loss_sigma_w=loss[1],
        loss_finding=finding,
        outcome=min((one.outcome for one in judged), key=_WORST.index) if judged else "not asked",
        verdicts=tuple(one.words for one in judged),
        meaning=_meaning(found, *loss, of_pressure=of_pressure),
        warnings=_warnings(found, finding, of_pressure=of_pressure),
    )


def _maybe(name: str, value: Figure | None, edges: tuple[float, float]) -> float | None:
    """Return a checked figure, or None where it was not given."""
    return None if value is None else single(name, value, low=edges[0], high=edges[1], source=_SOURCE)


def _log(text: str, outside: float, *, confirmed: bool) -> BoilerLog:
    """Return the log; asks where it looks like absolute pressure from a cold, open boiler."""
    held = read_boiler_log(text, barometer_pa=outside)
    gauge = held.pressure_gauge_pa
    if gauge is not None and float(gauge.max()) > 1.5 * outside and float(gauge.min()) >= float(gauge[0]):
        ask_if_absolute(float(gauge[0]), barometer_pa=outside, confirmed=confirmed, where="log, pressure")
    return held


def _limits(
    *,
    of_pressure: bool,
    pressures: tuple[float | None, float | None],
    temperatures: tuple[float | None, float | None],
) -> tuple[float | None, float | None]:
    """Return the limits of cut-out and dead band that go with the log; refuses those of the other kind."""
    mine, others = (pressures, temperatures) if of_pressure else (temperatures, pressures)
    if any(one is not None for one in others):
        raise ImpossibleValue(
            "A limit was given that this log cannot be held against.",
            got=f"a log of {'pressure' if of_pressure else 'temperature'}",
            allowed="relief_set and band_limit with pressure; cut_out_limit and band_limit_temperature otherwise",
        )
    return mine


def _in_its_unit(found: Cycles, *, of_pressure: bool) -> dict[str, Any]:
    """Return the figures of the trace under their names, in Pa or in K; the other names hold None."""
    figures = {
        "cut_in": found.low.mean,
        "cut_in_sd": found.low.sd,
        "cut_in_low": found.low.low,
        "cut_out": found.high.mean,
        "cut_out_sd": found.high.sd,
        "cut_out_high": found.high.high,
        "dead_band": found.band.mean,
        "dead_band_sd": found.band.sd,
        "hidden": found.hidden,
    }
    mine, other = ("pa", "k") if of_pressure else ("k", "pa")
    return {f"{name}_{unit}": figures[name] if unit == mine else None for name in figures for unit in (mine, other)}


def _verdicts(
    found: Cycles, limits: tuple[float | None, float | None], logger: str, *, of_pressure: bool
) -> tuple[Verdict, ...]:
    """Return cut-out and dead band against their limits; too few or too slow readings show nothing."""
    usual = constant("gauge_sigma_pa") if of_pressure else constant("probe_sigma_k")
    asked = (("cut-out", found.high, usual, limits[0], "°C"), ("dead band", found.band, 0.0, limits[1], "K"))
    few = min(found.high.count, found.low.count) < constant("cycling_least_cycles")
    judged = []
    for name, spread, sensor, limit, degrees in asked:
        if limit is None:
            continue
        half = spread.factor * spread.sd + found.hidden * (1 if sensor else 2)
        one = verdict(
            value=Measured(spread.mean, math.hypot(half / 2, sensor)), limit=limit, at="most",
            standard=f"{name}, limit as given", instrument=logger, circuit="", unit="bar" if of_pressure else degrees,
        )  # fmt: skip
        if one.outcome == "passed" and (few or found.too_slow):
            why = "readings too far apart to see the extremes" if found.too_slow else "fewer than ten switchings"
            one = Verdict(
                "not shown", f"not shown: {why}; it would be: {one.words}", one.value_words, one.limit_words,
                one.standard, one.instrument, one.circuit,
            )  # fmt: skip
        judged.append(one)
    return tuple(judged)


def _loss(found: Cycles, power: float | None, sigma: float | None) -> tuple[float | None, float | None]:
    """Return the standing loss and its uncertainty, where the power is known."""
    if power is None:
        return None, None
    loss = float(duty_loss_w(power_w=power, on_s=found.on_s, off_s=found.off_s))
    share = constant("heating_power_share") if sigma is None else sigma / power
    return loss, math.hypot(loss * share, power * found.duty_sigma)


def _agreement(loss: float | None, sigma: float | None, expected: float | None, of_expected: float | None) -> str:
    """Return whether the loss by duty is the one expected, by a fifth of it or by the uncertainty."""
    if loss is None or sigma is None or expected is None:
        return "not asked"
    allowed = constant("cycling_loss_agrees") * expected
    unsure = 2 * math.hypot(sigma, of_expected or 0.0)
    apart = loss - expected
    if abs(apart) <= allowed:
        return "they agree within a fifth" if abs(apart) + unsure <= 2 * allowed else "not shown: too uncertain"
    if abs(apart) - unsure <= allowed:
        return "not shown: too uncertain"
    if apart > 0:
        return "more is lost than expected: steam or drips escape, lagging is missing, or the power is not what it says"
    return "less is lost than expected: the sensor lags, the power is higher, or it was not yet warm through"


def _meaning(found: Cycles, loss: float | None, sigma: float | None, *, of_pressure: bool) -> str:
    """Return how it switches in a sentence or two."""
    level, step = ("bar", "bar") if of_pressure else ("°C", "K")
    gap = "pressure_gauge" if of_pressure else "temperature_difference"
    low, high = (words(one.mean, one.sd or None, unit=level) for one in (found.low, found.high))
    band = words(found.band.mean, found.band.sd or None, unit=step, dimension=gap)
    said = f"In at {low}, out at {high} (mean and standard deviation): a dead band of {band}."
    on, off = (words(one, unit="min", dimension="time") for one in (found.on_s, found.off_s))
    said = f"{said} On for {on}, off for {off}, {found.duty:.0%} of the time."
    return said if loss is None else f"{said} Standing it loses {words(loss, sigma or None, unit='W')}."


def _warnings(found: Cycles, loss_finding: str, *, of_pressure: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    notes = list(found.notes)
    step = ("bar", "pressure_gauge") if of_pressure else ("K", "temperature_difference")
    if found.too_slow:
        hidden = words(found.hidden, unit=step[0], dimension=step[1])
        notes.append(f"Between readings and behind the sensor up to {hidden} may be hidden: read more often.")
    if found.chatter:
        notes.append(
            f"Chatter: {found.chatter} short reversals. Burnt or dirty contacts, a loose wire, a dead band gone."
        )
    if abs(found.drift) > _CLEAR:
        way = "up" if found.drift > 0 else "down"
        notes.append(
            f"The cut-out drifts {way}: not yet warm through, air going out, or a set screw or diaphragm moving."
        )
    if loss_finding.startswith(("more", "less")):
        notes.append(f"Loss by duty: {loss_finding}.")
    return tuple(notes)


def _figures(unit: str, level: str) -> tuple[Output, ...]:
    """Return the outputs that a log of this kind fills."""
    name, shown = unit.lower(), "bar" if unit == "Pa" else ""
    return (
        Output(f"cut_in_{name}", unit, "cut-in, mean of the lows", level),
        Output(f"cut_in_sd_{name}", unit, "its standard deviation", shown),
        Output(f"cut_in_low_{name}", unit, "lower limit for 95 % of cut-ins with 95 % confidence", level),
        Output(f"cut_out_{name}", unit, "cut-out, mean of the highs", level),
        Output(f"cut_out_sd_{name}", unit, "its standard deviation", shown),
        Output(f"cut_out_high_{name}", unit, "upper limit for 95 % of cut-outs with 95 % confidence", level),
        Output(f"dead_band_{name}", unit, "dead band", shown),
        Output(f"dead_band_sd_{name}", unit, "its standard deviation", shown),
        Output(f"hidden_{name}", unit, "most that may be hidden beyond the highest reading", shown),
    )


INSTRUMENT: Final = Instrument(
    name="cycling",
    summary="how a pressurestat or thermostat switches, from a log: cut-in, cut-out, dead band, duty, standing loss",
    inputs=(
        Input(
            "log", "log", "a CSV file (or its text): time with pressure or temperature; heater [%] or [W] if logged",
            kind="log", required=True,
        ),
        Input("logger", "logger", "what pressure or temperature was logged with", kind="words"),
        Input(
            "power", "power_w", "power of the element, hot, on this mains", dimension="power", unit="W", low=_WATTS[0],
            high=_WATTS[1], plausible=(200.0, 8000.0), sigma="power_sigma_w",
        ),
        Input(
            "expected_loss", "expected_loss_w", "standing loss by cooling or heating curve", dimension="power",
            unit="W", low=_WATTS[0], high=_WATTS[1], plausible=(10.0, 2000.0), sigma="expected_loss_sigma_w",
        ),
        Input(
            "relief_set", "relief_set_gauge_pa", "set pressure of the relief valve", dimension="pressure_gauge",
            unit="bar", low=_PASCALS[0], high=_PASCALS[1], plausible=(to_si(0.5, unit="bar"), to_si(4.0, unit="bar")),
        ),
        Input(
            "band_limit", "band_limit_pa", "widest dead band allowed", dimension="pressure_gauge", unit="bar",
            low=_BAND_PA[0], high=_BAND_PA[1],
        ),
        Input(
            "cut_out_limit", "cut_out_limit_k", "highest cut-out allowed, for a log of temperature",
            dimension="temperature", unit="°C", low=_KELVINS[0], high=_KELVINS[1],
        ),
        Input(
            "band_limit_temperature", "band_limit_k", "widest dead band allowed, for a log of temperature",
            dimension="temperature_difference", unit="K", low=_BAND_K[0], high=_BAND_K[1],
        ),
        Input(
            "sensor_time", "sensor_time_s", "time constant of the sensor", dimension="time", unit="s", low=_LAG_S[0],
            high=_LAG_S[1],
        ),
        Input(
            "least_swing", "least_swing_pa", "smallest swing to count, if not found from the noise",
            dimension="pressure_gauge", unit="bar", low=_BAND_PA[0], high=_BAND_PA[1],
        ),
        Input(
            "least_swing_temperature", "least_swing_k", "the same for a log of temperature",
            dimension="temperature_difference", unit="K", low=_BAND_K[0], high=_BAND_K[1],
        ),
        Input("altitude", "altitude_m", "height above the sea", dimension="length", unit="m", low=-400.0, high=5000.0),
        Input("pressure_is_gauge", "pressure_is_gauge", "the gauge shows zero on an open vessel", kind="yes or no"),
    ),
    outputs=(
        *_figures("Pa", "bar"),
        *_figures("K", "°C"),
        Output("cut_ins", "", "cut-ins: how many were seen"),
        Output("cut_outs", "", "cut-outs: how many were seen"),
        Output("tolerance_factor", "1", "factor of the limits for so many cut-outs"),
        Output("drift", "1", "drift of the cut-out, in standard uncertainties"),
        Output("chatter", "", "chatter: short reversals between the switchings"),
        Output("on_s", "s", "element on, each time", "min"),
        Output("off_s", "s", "element off, each time", "min"),
        Output("duty", "1", "share of the time it is on", "%"),
        Output("duty_sigma", "1", "its standard uncertainty", "%"),
        Output("standing_loss_w", "W", "standing loss by duty"),
        Output("standing_loss_sigma_w", "W", "its standard uncertainty"),
        Output("loss_finding", "", "loss against the one expected"),
        Output("outcome", "", "outcome: passed, failed, investigate, not shown; not asked without a limit"),
        Output("verdicts", "", "verdict: cut-out and dead band against their limits"),
        Output("meaning", "", "meaning: how it switches"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="three full cycles or more (ten for a verdict), warm through, nothing drawn, readings close together",
    example={
        "log": "time [s],pressure [bar]\n"
        "0,0.900\n30,0.950\n60,1.000\n90,0.983\n120,0.967\n150,0.950\n180,0.933\n210,0.917\n240,0.900\n270,0.950\n300,1.003\n"
        "330,0.983\n360,0.967\n390,0.950\n420,0.933\n450,0.917\n480,0.900\n510,0.950\n540,1.000\n570,0.983\n600,0.967\n630,0.950\n"
        "660,0.933\n690,0.917\n720,0.900\n750,0.950\n780,1.003\n810,0.983\n840,0.967\n870,0.950\n900,0.933\n930,0.917\n960,0.900\n"
        "990,0.950\n1020,1.000\n1050,0.983\n1080,0.967\n1110,0.950\n1140,0.933\n1170,0.917\n1200,0.900\n1230,0.950\n1260,1.003\n1290,0.983\n"
        "1320,0.967\n1350,0.950",
        "power": "1000 W", "logger": "pressure logger 2", "relief_set": "1.8 bar",
    },
    cautions=(
        "Powered, under pressure: only after earth, insulation, water pressure and relief valve have each been shown.",
        "Never alone, never left running; the relief valve is not helped, held, or proved by a failed cut-out.",
        "A cut-out that does not come: switch off at the supply, leave it, let it cool and vent; diagnose it cold.",
        "Steam and hot metal burn; sensor lines are fitted and taken off cold and vented.",
    ),
    sources=("iso-16269-6", "nist-handbook", "arithmetic", "common-practice"),
    call=cycling,
)  # fmt: skip
