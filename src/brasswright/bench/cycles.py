"""Full cycles of a boiler's switch in a log: spread of highs, lows and dead band, times on and off, what is hidden."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from brasswright.bench.switching import Spread, Swings, least_swing, missed_peak, spread_of, swings
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant

if TYPE_CHECKING:
    from brasswright.bench.boiler_log import BoilerLog
    from brasswright.bench.validity import Array

__all__ = ["Cycles", "cycles_of"]


@dataclass(frozen=True, slots=True)
class Cycles:
    """Spread of cut-out, cut-in and dead band; times; `hidden` and `too_slow` say what the log cannot show."""

    high: Spread
    low: Spread
    band: Spread
    hidden: float
    too_slow: bool
    drift: float
    chatter: int
    on_s: float
    off_s: float
    duty: float
    duty_sigma: float
    notes: tuple[str, ...]


def cycles_of(*, held: BoilerLog, swing: float | None, lag_s: float) -> Cycles:
    """Find the cycles in a log; refuses fewer than three.

    Symbols: `swing` smallest reversal to count, from the noise where None; `lag_s` time constant of the sensor.
    Valid for logs of pressure or temperature. Source: common-practice; iso-16269-6.
    """
    values = held.pressure_gauge_pa if held.pressure_gauge_pa is not None else np.asarray(held.temperature_k)
    t = held.time_s
    if values.size < 2 * constant("cycling_least_readings") or float(np.ptp(values)) == 0:
        raise ImpossibleValue("The trace does not swing.", where="log", remedy="Log over several switchings.")
    fine = least_swing(values=values) if swing is None else swing
    every = swings(times_s=t, values=values, swing=fine)
    main, chatter = every, 0
    if swing is None and every.values.size > 1:
        large = float(np.quantile(np.abs(np.diff(every.values)), 0.9)) * constant("cycling_main_swing")
        main = swings(times_s=t, values=values, swing=max(fine, large))
        chatter = max((every.values.size - main.values.size) // 2, 0)
    main, notes = _without_first(main, values)
    high, low = spread_of(main.of(high=True)), spread_of(main.of(high=False))
    band = spread_of(main.steps(rising=False))
    ons, offs, short = _times(main, held)
    steepest = max(
        float(np.max(main.steps(rising=way) / main.legs_s(rising=way), initial=0.0)) for way in (True, False)
    )
    step = float(np.median(np.diff(t)))
    hidden = float(missed_peak(slope_per_s=steepest, step_s=step, lag_s=lag_s))
    shortest = min(float(np.median(main.legs_s(rising=way))) for way in (True, False))
    too_slow = (
        hidden > constant("cycling_most_missed") * band.mean or shortest < constant("cycling_least_readings") * step
    )
    duty, duty_sigma = _duty(ons, offs, step)
    drift = _drift(main)
    times = (float(ons.mean()), float(offs.mean()))
    return Cycles(high, low, band, hidden, too_slow, drift, chatter + short, *times, duty, duty_sigma, notes)


def _without_first(main: Swings, values: Array) -> tuple[Swings, tuple[str, ...]]:
    """Return the swings without the first high where the log began cold: it overshoots."""
    lows = main.of(high=False)
    if main.values.size < 2 or not main.is_high[0] or lows.size == 0:
        return main, ()
    band = float(np.median(np.abs(np.diff(main.values))))
    if float(values[0]) > float(lows.min()) - band:
        return main, ()
    over = float(main.values[0] - np.median(main.of(high=True)[1:])) / band if main.of(high=True).size > 1 else 0.0
    kept = Swings(main.times_s[1:], main.values[1:], main.is_high[1:])
    return kept, (f"The first cut-out, from cold, lies {over:+.0%} of a dead band over the others: left out of them.",)


def _times(main: Swings, held: BoilerLog) -> tuple[Array, Array, int]:
    """Return times on and off of full stretches, and how many were too short to be meant."""
    if held.heater_on is None:
        return main.legs_s(rising=True), main.legs_s(rising=False), 0
    on = held.heater_on.astype(bool)
    edges = np.flatnonzero(on[1:] != on[:-1]) + 1
    if edges.size < 4:
        raise ImpossibleValue("The heater column hardly switches.", where="log", got=f"{edges.size} changes")
    at, lengths = on[edges[:-1]], np.diff(held.time_s[edges])
    meant = lengths >= constant("cycling_short_time") * float(np.median(lengths))
    return lengths[at & meant], lengths[~at & meant], int(np.sum(~meant))


def _duty(ons: Array, offs: Array, step: float) -> tuple[float, float]:
    """Return the share of the time on; its standard uncertainty from the spread of the times and from the readings.

    A time lies anywhere within a step at either end: step / sqrt(6), not made less by repeating in time with the log.
    """
    on, off = float(ons.mean()), float(offs.mean())
    duty = on / (on + off)
    shares = [
        math.hypot(float(times.std(ddof=1)) / math.sqrt(times.size), step / math.sqrt(6)) / float(times.mean())
        if times.size > 1
        else 1.0
        for times in (ons, offs)
    ]
    return duty, duty * (1 - duty) * math.hypot(*shares)


def _drift(main: Swings) -> float:
    """Return the slope of the highs over time, in its standard uncertainties."""
    high = main.is_high.astype(bool)
    t, y = main.times_s[high], main.values[high]
    if y.size < 4:
        return 0.0
    x = t - t.mean()
    slope = float(x @ y) / float(x @ x)
    left = y - y.mean() - slope * x
    sigma = math.sqrt(float(left @ left) / (y.size - 2) / float(x @ x))
    return slope / sigma if sigma > 1e-12 * float(np.ptp(main.values)) / float(np.ptp(t)) else 0.0
