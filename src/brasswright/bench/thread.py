"""A thread from caliper and rule: which standard ones fit, how likely each is, and what tells look-alikes apart."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, cast

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.thread_table import Side, Thread, crest_band_m, drills, threads
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant
from brasswright.units import words

__all__ = ["INSTRUMENT", "NONE_FITS", "Candidate", "ThreadResult", "thread"]

NONE_FITS: Final = "none of these"
_DIAMETER: Final = (0.001, 0.07)
_PITCH: Final = (0.0002, 0.007)
_OVER: Final = (0.001, 0.2)
_COUNT: Final = (2.0, 200.0)
_ANGLES: Final = {"60 degrees": 60.0, "55 degrees": 55.0, "47.5 degrees": 47.5}
_SOURCE: Final = "iso-724"
_LEAST: Final = 0.01
"""Threads less likely than this are not listed."""
_SHOWN: Final = 6
_HALF: Final = 0.5
_TURNS: Final = 10
_CLEAR_PITCH: Final = 0.02
_CLEAR_CREST_M: Final = 0.0001
_ALIKE_DIAMETER: Final = 0.06
_ALIKE_PITCH: Final = 0.12
_ALIKE_SHOWN: Final = 4


@dataclass(frozen=True, slots=True)
class Candidate:
    """One standard thread that explains the measurement."""

    name: str
    family: str
    probability: float
    major_diameter_m: float
    pitch_m: float


@dataclass(frozen=True, slots=True)
class ThreadResult:
    """The standard threads that fit; `likeliest` is "none of these" where the measurement speaks against all.

    Its probability, drills and nominal sizes belong to the likeliest thread and are None where none fits.
    """

    pitch_m: Figure | None
    likeliest: str
    probability: float | None
    none_probability: float
    major_diameter_m: float | None
    nominal_pitch_m: float | None
    tap_drill_m: float | None
    clearance_drill_m: float | None
    drills_from: str
    candidates: tuple[Candidate, ...]
    look_alikes: tuple[str, ...]
    next_check: str
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Reading:
    """What was measured, as single figures: crest diameter, pitch, flank angle; with standard uncertainties."""

    side: Side
    diameter_m: float
    diameter_sigma_m: float
    pitch_m: float | None
    pitch_sigma_m: float
    angle_deg: float | None


def thread(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    diameter_m: Figure,
    side: str = "male",
    pitch_m: Figure | None = None,
    threads_counted: float | None = None,
    over_m: Figure | None = None,
    flank_angle: str | None = None,
    diameter_sigma_m: float | None = None,
    pitch_sigma_m: float | None = None,
    over_sigma_m: float | None = None,
) -> ThreadResult:
    """Which standard threads a measured thread can be, each with its probability.

    Symbols: d diameter over the crests (male: outside; female: the bore), p pitch, or n whole threads over a length L,
    p = L / n. A real crest lies anywhere between the limits of its thread (rectangular), blurred by caliper and wear;
    the pitch is exact, blurred by its reading. Threads in no table carry 5 % beforehand, spread evenly over the
    logarithms of diameter and pitch. Weights of the threads say how often each is met.
    Valid for 1 to 70 mm, pitch 0.2 to 7 mm, parallel threads. Source: iso-724; iso-965-1; iso-228-1; bs-93; bs-84;
    asme-b1-1; iso-1478; common-practice for weights and for uncertainties that were not stated.

    >>> result = thread(diameter_m=0.00965, threads_counted=10, over_m=0.00907)
    >>> result.likeliest
    'G1/8'
    """
    if side not in {"male", "female"}:
        raise NotFound(f"'{side}' is no side of a thread.", allowed="male, female")
    if flank_angle is not None and flank_angle not in _ANGLES:
        raise NotFound(f"'{flank_angle}' is no flank angle of the tables.", allowed=", ".join(_ANGLES))
    crest = within("diameter_m", diameter_m, low=_DIAMETER[0], high=_DIAMETER[1], source=_SOURCE)
    pitch, pitch_sigma = _pitch(pitch_m, threads_counted, over_m, pitch_sigma_m, over_sigma_m)
    reading = _Reading(
        cast("Side", side),
        float(crest.mean()),
        constant("thread_caliper_sigma_m") if diameter_sigma_m is None else diameter_sigma_m,
        None if pitch is None else float(pitch.mean()),
        pitch_sigma,
        None if flank_angle is None else _ANGLES[flank_angle],
    )
    ranked, none = _ranked(reading)
    return _result(None if pitch is None else plain(pitch), reading, ranked, none)


def _pitch(
    pitch_m: Figure | None,
    counted: float | None,
    over_m: Figure | None,
    pitch_sigma_m: float | None,
    over_sigma_m: float | None,
) -> tuple[Array | None, float]:
    """Return the pitch, read or counted, with its standard uncertainty; None where there is neither."""
    if pitch_m is not None and (counted is not None or over_m is not None):
        raise ImpossibleValue("The pitch is given twice.", allowed="pitch, or threads and over", remedy="Keep one.")
    if pitch_m is not None:
        read = within("pitch_m", pitch_m, low=_PITCH[0], high=_PITCH[1], source=_SOURCE)
        usual = constant("thread_gauge_sigma") * float(read.mean())
        return read, usual if pitch_sigma_m is None else pitch_sigma_m
    n = None if counted is None else within("threads_counted", counted, low=_COUNT[0], high=_COUNT[1], source=_SOURCE)
    length = None if over_m is None else within("over_m", over_m, low=_OVER[0], high=_OVER[1], source=_SOURCE)
    if n is None and length is None:
        return None, 0.0
    if n is None or length is None:
        raise ImpossibleValue("Threads and the length over them belong together.", allowed="both, or neither")
    usual = constant("thread_count_sigma_m") if over_sigma_m is None else over_sigma_m
    got = within("pitch_m", np.asarray(length / n), low=_PITCH[0], high=_PITCH[1], source=_SOURCE)
    return got, usual / float(n.mean())


def _ranked(reading: _Reading) -> tuple[tuple[tuple[Thread, float], ...], float]:
    """Return the threads with their probabilities, likeliest first, and the probability that it is none of them."""
    possible = [one for one in threads() if reading.side == "male" or one.source != "iso-1478"]
    total_weight = sum(one.weight for one in possible)
    prior = constant("thread_none_prior")
    scored = [(one, (1 - prior) * one.weight / total_weight * _density(one, reading)) for one in possible]
    none = prior * _none_density(reading)
    total = none + sum(score for _, score in scored)
    ranked = sorted(((one, score / total) for one, score in scored), key=lambda pair: (-pair[1], pair[0].name))
    return tuple(ranked), none / total


def _density(one: Thread, reading: _Reading) -> float:
    """Return the density of the reading if it is that thread."""
    low, high = crest_band_m(one, reading.side)
    blur = math.hypot(reading.diameter_sigma_m, constant("thread_wear_m")) * math.sqrt(2)
    d = reading.diameter_m
    found = (math.erf((high - d) / blur) - math.erf((low - d) / blur)) / (2 * (high - low))
    if reading.pitch_m is not None:
        z = (reading.pitch_m - one.pitch_m) / reading.pitch_sigma_m
        found *= math.exp(-z * z / 2) / (reading.pitch_sigma_m * math.sqrt(2 * math.pi))
    if reading.angle_deg is not None and reading.angle_deg != one.flank_angle_deg:
        found *= _LEAST
    return found


def _none_density(reading: _Reading) -> float:
    """Return the density of the reading if it is a thread of no standard."""
    low, high = constant("thread_none_diameter_low_m"), constant("thread_none_diameter_high_m")
    found = 1 / (reading.diameter_m * math.log(high / low))
    if reading.pitch_m is not None:
        shares = constant("thread_none_pitch_high") / constant("thread_none_pitch_low")
        found /= reading.pitch_m * math.log(shares)
    return found


def _result(
    pitch: Figure | None, reading: _Reading, ranked: tuple[tuple[Thread, float], ...], none: float
) -> ThreadResult:
    """Return what the ranking means."""
    first, probability = ranked[0]
    fits = none < _HALF
    drilled = drills(first) if fits else None
    return ThreadResult(
        pitch_m=pitch,
        likeliest=first.name if fits else NONE_FITS,
        probability=probability if fits else None,
        none_probability=none,
        major_diameter_m=first.major_m if fits else None,
        nominal_pitch_m=first.pitch_m if fits else None,
        tap_drill_m=None if drilled is None else drilled.tap_m,
        clearance_drill_m=None if drilled is None else drilled.clearance_m,
        drills_from="not asked" if drilled is None else drilled.origin,
        candidates=tuple(
            Candidate(one.name, one.family, p, one.major_m, one.pitch_m) for one, p in ranked[:_SHOWN] if p >= _LEAST
        ),
        look_alikes=_look_alikes(first, reading.side) if fits else (),
        next_check=_next(ranked, none, reading),
        warnings=_warnings(first, reading, fits=fits),
    )


def _look_alikes(one: Thread, side: Side) -> tuple[str, ...]:
    """Return the threads that are taken for this one, nearest first, and what tells each apart."""
    near = []
    for other in threads():
        off = abs(other.major_m / one.major_m - 1) / _ALIKE_DIAMETER
        pitch_off = abs(other.pitch_m / one.pitch_m - 1) / _ALIKE_PITCH
        if other is not one and max(off, pitch_off) <= 1 and (side == "male" or other.source != "iso-1478"):
            near.append((off + pitch_off, other))
    nearest = sorted(near, key=lambda pair: (pair[0], pair[1].name))[:_ALIKE_SHOWN]
    return tuple(f"{other.name}: {_tells(one, other, side)}" for _, other in nearest)


def _tells(one: Thread, other: Thread, side: Side) -> str:
    """Return what to measure to tell two threads apart."""
    found = []
    if abs(one.pitch_m / other.pitch_m - 1) > _CLEAR_PITCH:
        each = (f"{words(_TURNS * t.pitch_m, unit='mm')} for {t.name}" for t in (one, other))
        found.append(f"length over {_TURNS} threads, {' or '.join(each)}")
    crests = [sum(crest_band_m(t, side)) / 2 for t in (one, other)]
    if abs(crests[0] - crests[1]) > _CLEAR_CREST_M:
        what = "outside diameter" if side == "male" else "bore over the crests"
        each = (f"about {c * 1000:.2f} mm for {t.name}" for c, t in zip(crests, (one, other), strict=True))
        found.append(f"{what}, {' or '.join(each)}")
    if one.flank_angle_deg != other.flank_angle_deg:
        each = (f"{t.flank_angle_deg:g} degrees for {t.name}" for t in (one, other))
        found.append(f"flank angle against a thread gauge, {' or '.join(each)}")
    return "; ".join(found) or "only a mating part or the limits of the thread tell"


def _next(ranked: tuple[tuple[Thread, float], ...], none: float, reading: _Reading) -> str:
    """Return the measurement that would tell most."""
    if none >= _HALF:
        return (
            "Measure again on clean, unworn threads, over as many as there are; check that it is parallel. If it "
            "stays so, cut the part to fit its mate and write the sizes down."
        )
    if reading.pitch_m is None:
        return f"The pitch: count {_TURNS} threads or more and measure the length over them."
    (first, _), (second, probability) = ranked[0], ranked[1]
    if probability < _LEAST:
        return "Try a known mate by hand before anything is cut or forced."
    return f"{first.name} or {second.name}: {_tells(first, second, reading.side)}."


def _warnings(first: Thread, reading: _Reading, *, fits: bool) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if not fits:
        found.append("Most likely in no table: makers' own threads are met on old machines, so are worn crests.")
    if fits and first.family == "ISO 228 pipe":
        found.append("A pipe thread may be tapered: measure both ends. ISO 228 seals on a face, not on its thread.")
    if reading.pitch_m is None:
        found.append("From the diameter alone: metric, inch and pipe threads lie close together.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="thread",
    summary="a thread from diameter and pitch: which standard ones fit, look-alikes, drills",
    inputs=(
        Input(
            "diameter", "diameter_m", "over the crests: outside of a male thread, bore of a female one",
            dimension="length", unit="mm", required=True, low=_DIAMETER[0], high=_DIAMETER[1],
            plausible=(0.0015, 0.065), sigma="diameter_sigma_m",
        ),
        Input("side", "side", "male or female", kind="choice", choices=("male", "female")),
        Input(
            "pitch", "pitch_m", "from crest to crest, as a thread gauge says", dimension="length", unit="mm",
            low=_PITCH[0], high=_PITCH[1], plausible=(0.00025, 0.0065), sigma="pitch_sigma_m",
        ),
        Input(
            "threads", "threads_counted", "or: whole threads counted", dimension="count", unit="1",
            low=_COUNT[0], high=_COUNT[1],
        ),
        Input(
            "over", "over_m", "and the length over them", dimension="length", unit="mm",
            low=_OVER[0], high=_OVER[1], sigma="over_sigma_m",
        ),
        Input("flank_angle", "flank_angle", "if a gauge told it", kind="choice", choices=tuple(_ANGLES)),
    ),
    outputs=(
        Output("pitch_m", "m", "pitch as measured", "mm"),
        Output("likeliest", "", "likeliest: a standard thread, or none of these"),
        Output("probability", "1", "its probability", "%"),
        Output("none_probability", "1", "probability that it is in no table", "%"),
        Output("major_diameter_m", "m", "its nominal diameter", "mm"),
        Output("nominal_pitch_m", "m", "its nominal pitch", "mm"),
        Output("tap_drill_m", "m", "drill before tapping", "mm"),
        Output("clearance_drill_m", "m", "drill to clear it", "mm"),
        Output("drills_from", "", "drills: from the table, partly reckoned or reckoned"),
        Output("candidates", "", "fits: standard threads, each with probability, diameter and pitch"),
        Output("look_alikes", "", "look-alikes: threads taken for the likeliest, and what tells them apart"),
        Output("next_check", "", "measure next: what would tell most"),
        Output("warnings", "", "warning: what must not be missed"),
    ),
    validity="parallel threads of 1 to 70 mm, pitch 0.2 to 7 mm",
    example={"diameter": "9.65 mm", "threads": "10", "over": "9.1 mm"},
    cautions=(
        "Cold and vented before a joint of the boiler is opened to measure it.",
        "Never force a thread that starts hard: back it out and measure again.",
        "Which way it winds is not told by these figures: look at the slope before a tool goes on.",
    ),
    sources=(
        "iso-724", "iso-965-1", "iso-228-1", "bs-93", "bs-84", "asme-b1-1", "iso-1478", "drills-cad-library",
        "thread-forms", "common-practice",
    ),
    call=thread,
)  # fmt: skip
