"""What a logged pull shows, held against the spring and piston stated: force missing, seals, puck, reckoned curve."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.boiler_log import single
from brasswright.bench.shot_fit import Bed, Drop, Sink, bed_fit, impulse_pa_s, line_of, sink_fit, sudden_drop
from brasswright.bench.shot_given import PISTON, RATE, SQUEEZED
from brasswright.bench.shot_puck import Puck
from brasswright.bench.shot_read import PullLog, read_pull
from brasswright.bench.shot_run import Drive, pulled
from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from brasswright.bench.validity import Array

__all__ = ["CLEAR", "Found", "Peak", "Seals", "Spring", "curves_of", "found_in", "spring_of", "wet_part"]

_SOURCE: Final = "force-over-area"
CLEAR: Final = 3.0
"""Standard uncertainties from which a departure is told."""
_POINTS: Final = 61
_Given = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Spring:
    """Piston area, rate and pressure when cocked; standard uncertainty of the force, of area and of fall as shares."""

    area: float
    rate: float
    cocked_pa: float
    force_sigma: float
    area_share: float
    fall_share: float

    @property
    def fall(self) -> float:
        """Return by how much pressure falls for each volume swept [Pa/m3]."""
        return self.rate / self.area**2


@dataclass(frozen=True, slots=True)
class Peak:
    """Force that is missing at the highest pressure, its standard uncertainty, and the one over the other."""

    missing_n: float
    sigma_n: float
    departure: float


@dataclass(frozen=True, slots=True)
class Seals:
    """Water past the seals: share of what the piston moved, or flow at 9 bar and speed of the piston, with sigmas."""

    share: float | None = None
    share_sigma: float | None = None
    flow: float | None = None
    flow_sigma: float | None = None
    sink: float | None = None
    clear: bool = False
    slower: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """All that was found in one log."""

    log: PullLog
    spring: Spring | None
    peak: Peak | None
    seals: Seals
    sink: Sink | None
    bed: Bed | None
    drop: Drop | None
    still: bool


def found_in(*, text: str, spring: Spring | None, gauge_pa: float, blind: bool) -> Found:
    """Return all that a log shows, held against the spring where one is stated.

    Source: force-over-area; darcy-1856; first-order-decay; gauss-newton; common-practice.
    """
    held = _read(text)
    drawn = 0.0 if held.cup_m3 is None else float(held.cup_m3[-1] - held.cup_m3[0])
    if blind and drawn > constant("shot_no_flow_m3"):
        raise ImpossibleValue("Water comes out of a blind basket.", where="blind", got=words(drawn, unit="ml"))
    still = blind or (held.cup_m3 is not None and drawn <= constant("shot_no_flow_m3"))
    if spring is None and held.cup_m3 is None and not blind:
        raise ImpossibleValue(
            "Pressure alone says nothing here.", where="log",
            allowed="a column volume, mass or flow, or piston, spring_rate and spring_compression of the lever",
        )  # fmt: skip
    sink = sink_fit(times_s=held.times_s, pressures_pa=held.pressures_pa) if still else None
    bed, drop = (None, None) if still else _puck(text)
    if bed is not None and held.cup_m3 is None and spring is not None:
        bed = _by_fall(bed, spring)
    seals = _blind(sink, spring) if sink is not None else _leaking(held, spring)
    return Found(held, spring, _peak(held, spring, gauge_pa), seals, sink, bed, drop, still)


@lru_cache(maxsize=8)
def _read(text: str) -> PullLog:
    """Return the log, read once however often its spring is drawn."""
    return read_pull(text)


def spring_of(*, bore: _Given, rate: _Given, squeezed: _Given) -> Spring | None:
    """Return what the spring should give, each figure with its sigma; None where nothing of it was given.

    A figure without uncertainty gets the usual one. Source: force-over-area; common-practice.
    """
    if bore[0] is None and rate[0] is None and squeezed[0] is None:
        return None
    if bore[0] is None or rate[0] is None or squeezed[0] is None:
        raise ImpossibleValue("A spring is known by its rate, its compression when cocked, and the piston.")
    d = single("piston_diameter_m", bore[0], low=PISTON[0], high=PISTON[1], source=_SOURCE)
    k = single("spring_rate_n_per_m", rate[0], low=RATE[0], high=RATE[1], source=_SOURCE)
    c = single("spring_compression_m", squeezed[0], low=SQUEEZED[0], high=SQUEEZED[1], source=_SOURCE)
    area = float(np.pi * d**2 / 4)
    of_d = (constant("shot_bore_sigma_m") if bore[1] is None else bore[1]) / d
    of_k = constant("shot_rate_share") if rate[1] is None else rate[1] / k
    of_c = (constant("shot_squeeze_sigma_m") if squeezed[1] is None else squeezed[1]) / c
    return Spring(area, k, k * c / area, k * c * float(np.hypot(of_k, of_c)), 2 * of_d, float(np.hypot(of_k, 4 * of_d)))


def _peak(held: PullLog, spring: Spring | None, gauge: float) -> Peak | None:
    """Return what is missing at the highest pressure."""
    if spring is None:
        return None
    missing = (spring.cocked_pa - held.peak_pa) * spring.area
    of_area = held.peak_pa * spring.area * spring.area_share
    sigma = float(np.sqrt(spring.force_sigma**2 + (gauge * spring.area) ** 2 + of_area**2))
    return Peak(missing, sigma, missing / sigma if sigma else 0.0)


def wet_part(held: PullLog) -> slice:
    """Return the readings from the first drop on."""
    if held.cup_m3 is None:
        return slice(None)
    return slice(int(np.argmax(held.cup_m3 > held.cup_m3[0] + constant("shot_no_flow_m3"))), None)


@lru_cache(maxsize=8)
def _puck(text: str) -> tuple[Bed | None, Drop | None]:
    """Return the puck and a sudden drop of its resistance; without a meter, volume is counted in fall of pressure."""
    held = _read(text)
    impulse = impulse_pa_s(times_s=held.times_s, pressures_pa=held.pressures_pa)
    volume = held.pressures_pa[0] - held.pressures_pa if held.cup_m3 is None else held.cup_m3
    part = wet_part(held)
    given = {"volumes_m3": volume[part], "impulses_pa_s": impulse[part]}
    if given["volumes_m3"].size < constant("shot_least_readings"):
        return None, None
    return bed_fit(**given), sudden_drop(**given)


def _by_fall(bed: Bed, spring: Spring) -> Bed:
    """Return a puck whose volumes were counted in fall of pressure, in volumes the piston moved."""
    fall, share = spring.fall, spring.fall_share
    puck = Puck(bed.puck.wet_m3, bed.puck.first * fall, bed.puck.last * fall, bed.puck.softening_m3 / fall)
    first, last = bed.first_flow / fall, bed.last_flow / fall
    sigmas = (float(np.hypot(s / fall, flow * share)) for s, flow in ((bed.first_sigma, first), (bed.last_sigma, last)))
    return Bed(first, next(sigmas), last, next(sigmas), puck, bed.spread_m3 / fall)


def _leaking(held: PullLog, spring: Spring | None) -> Seals:
    """Return what goes past the seals while the cup fills, by the fall of pressure against the water in the cup."""
    part = wet_part(held)
    if spring is None or held.cup_m3 is None or held.cup_m3[part].size < constant("shot_least_readings"):
        return Seals()
    line = line_of(volumes_m3=held.cup_m3[part], pressures_pa=held.pressures_pa[part])
    if -line.slope <= CLEAR * line.slope_sigma:
        return Seals(slower=True)
    share = 1 + spring.fall / line.slope
    ratio = spring.fall / -line.slope
    sigma = ratio * float(np.hypot(line.slope_sigma / line.slope, spring.fall_share))
    least = constant("shot_lost_share")
    return Seals(share, sigma, clear=share > max(least, CLEAR * sigma), slower=share < -max(least, CLEAR * sigma))


def _blind(sink: Sink, spring: Spring | None) -> Seals:
    """Return what goes past the seals with nothing drawn."""
    clear = sink.rate_per_s > CLEAR * sink.rate_sigma_per_s
    if spring is None:
        return Seals(clear=clear)
    leak = constant("shot_reference_pa") / spring.fall
    flow = sink.rate_per_s * leak
    speed = sink.rate_per_s * sink.start_pa / spring.fall / spring.area
    sigma = float(np.hypot(sink.rate_sigma_per_s * leak, flow * spring.fall_share))
    return Seals(flow=flow, flow_sigma=sigma, sink=speed, clear=clear)


def curves_of(*, found: Found) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], float | None]:
    """Return the log's time and pressure, thinned, the pressure reckoned with the puck found, and how far apart."""
    t, p = found.log.times_s, found.log.pressures_pa
    step = -(-t.size // _POINTS)
    shown = tuple(t[::step].tolist()), tuple(p[::step].tolist())
    if found.sink is not None:
        reckoned = found.sink.start_pa * np.exp(-found.sink.rate_per_s * (t - t[0]))
    elif found.bed is None or found.spring is None:
        return *shown, (), None
    else:
        reckoned = _reckoned(found, found.bed, found.spring)
    apart = float(np.sqrt(np.mean((reckoned - p) ** 2)))
    return *shown, tuple(float(one) for one in reckoned[::step]), apart


def _reckoned(found: Found, bed: Bed, spring: Spring) -> Array:
    """Return the pressure of the stated spring, tight, through the puck found, from the first drop of the log on."""
    part = wet_part(found.log)
    t, p = found.log.times_s, found.log.pressures_pa
    begun = float(p[part][0])
    travel = begun / (spring.fall * spring.area)
    drive = [np.array([one]) for one in (spring.area, travel, begun, spring.fall * spring.area, 0.0, 0.0, 0.0)]
    run = pulled(puck=bed.puck, drive=Drive(*drive))
    at = t - t[part][0]
    v = np.interp(at, run.times_s[:, 0], run.volumes_m3[:, 0])
    return np.asarray(np.where(at < 0, p, drive[2] - spring.fall * v), dtype=np.float64)
