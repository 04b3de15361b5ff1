"""What a hold of pressure shows: what temperature explains of a drop, what is left, and what that comes to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.limits import Outcome, verdict
from brasswright.bench.tightness import KELVINS, water_rise_pa_per_k
from brasswright.bench.validity import Array, Figure, within
from brasswright.tables import constant
from brasswright.units import Measured, words

if TYPE_CHECKING:
    from brasswright.bench.leak_readings import Hold

__all__ = ["Left", "Vessel", "left_of", "notes_of", "outcome_of"]

_CLEAR: Final = 3.0


@dataclass(frozen=True, slots=True)
class Vessel:
    """What was held: filling, metal, volume, air outside, energy stored."""

    filled: str
    metal: str
    volume: Array | None
    outside: Array
    energy: Figure | None


@dataclass(frozen=True, slots=True)
class Left:
    """Rise by a kelvin, drop by temperature, drop that is left with its uncertainty."""

    rise: Array
    by_temperature: Array
    unexplained: Array
    sigma: float


def left_of(vessel: Vessel, held: Hold) -> Left | None:
    """Return what temperature leaves unexplained; None without temperatures, and for steam."""
    if held.temperatures is None or vessel.filled == "steam":
        return None
    t1, t2 = (
        within("temperature_k", one, low=KELVINS[0], high=KELVINS[1], source="iapws-r7-97") for one in held.temperatures
    )
    if vessel.filled == "gas":
        rise, model = np.asarray((held.start_pa + vessel.outside) / t1), 0.0
    else:
        rise = np.asarray(water_rise_pa_per_k(temperature_k=(t1 + t2) / 2, metal=vessel.metal))
        model = constant("leakdown_model_share")
    by_temperature = -rise * (t2 - t1)
    sigma = math.hypot(
        held.pressure_sigma,
        float(np.abs(rise).mean()) * held.temperature_sigma,
        model * float(np.abs(by_temperature).mean()),
    )
    return Left(rise, np.asarray(by_temperature), np.asarray(held.start_pa - held.end_pa - by_temperature), sigma)


def outcome_of(
    *, vessel: Vessel, held: Hold, left: Left | None, drip: bool | None, against: tuple[str, Array | None]
) -> tuple[Outcome, str]:
    """Return the outcome and its sentence; `against` is gauge and limit. Without a limit nothing passes."""
    if drip:
        return "failed", "A drip was seen: it leaks, whatever the pressure did."
    if left is None:
        return "not shown", _blind(vessel.filled, drip=drip)
    sign = -1.0 if vessel.filled == "gas" and float(np.mean(held.start_pa)) < 0 else 1.0
    lost = sign * float(left.unexplained.mean())
    gauge, limit = against
    z, shown = lost / left.sigma, words(abs(lost), left.sigma, unit="bar")
    if z < -_CLEAR:
        return "investigate", f"{shown} the other way, beyond what temperature explains: something feeds or warms it."
    if limit is not None:
        return _judged(
            Measured(max(lost, 0.0), left.sigma), limit, gauge, looked=vessel.filled == "gas" or drip is False
        )
    if z > _CLEAR:
        return "investigate", f"{shown} is beyond what temperature explains: look for the leak, and for air inside."
    least = words(_CLEAR * left.sigma, unit="bar")
    return "not shown", f"Within {least} temperature explains it: no leak shown, and no smaller one excluded."


def _judged(lost: Measured, limit: Array, gauge: str, *, looked: bool) -> tuple[Outcome, str]:
    """Return the verdict on what was lost; a hold of water passes only where somebody looked for drips."""
    one = verdict(
        value=lost, limit=float(limit.mean()), at="most", standard="change beyond temperature, limit as given",
        instrument=gauge, circuit="", unit="bar",
    )  # fmt: skip
    if one.outcome == "passed" and not looked:
        return "not shown", f"not shown: nobody says whether a drip was seen; the pressure alone: {one.words}"
    return one.outcome, one.words


def _blind(filled: str, *, drip: bool | None) -> str:
    """Return why a hold shows nothing of pressure."""
    if filled == "steam":
        said = "A boiler that cools loses pressure along its saturation line, tight or not: this hold shows nothing."
        return f"{said} Hold it cold, full of water."
    if drip is False and filled == "water":
        return "Without temperatures it shows no more than no drip seen: a tenth of a kelvin moves it as a leak would."
    return "Without temperatures the pressure shows nothing: a little warmth moves it as a leak would."


def notes_of(vessel: Vessel, left: Left | None, *, drip: bool | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    notes = []
    if vessel.filled == "water":
        notes.append("Air left inside hides a small leak: it keeps up the pressure. All of it has to be out.")
        if drip is None:
            notes.append("Whether a drip was seen was not said: dry every joint, lay paper under it, and look.")
    if left is not None and float(np.abs(left.by_temperature).mean()) > abs(float(left.unexplained.mean())):
        notes.append("Most of the change is temperature: let it stand until it is as warm as the room, and hold again.")
    if vessel.filled == "gas":
        notes.append("Soapy water finds the place; a drop of pressure only says that there is one.")
    return tuple(notes)
