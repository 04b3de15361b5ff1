"""From a reading in the journal to the outcome of the proving test it belongs to, by the bench's guard-band rule."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from brasswright.bench.element import cold_resistance_band_ohm
from brasswright.bench.limits import Verdict, assumed_share, verdict
from brasswright.errors import OutsideValidity
from brasswright.holds.plate import PREDICTION
from brasswright.units import Quantity, dimension_of, parse

if TYPE_CHECKING:
    from brasswright.bench.limits import At
    from brasswright.journal.entries import Measured
    from brasswright.journal.job import Job
    from brasswright.sheets.model import Proving, Sheet

__all__ = ["FromPlate", "from_plate", "judged"]


WORSE = ("passed", "not shown", "investigate", "failed")
VOLTAGE_SLACK = 0.02
"""How far, as share, a tester's voltage may lie below the one a limit is written for (common practice, no source)."""


def _si(text: str | None, dimension: str) -> float | None:
    return None if text is None else parse(text, dimension=dimension).measured().value


@dataclass(frozen=True, slots=True)
class FromPlate:
    """Limits in SI that follow from what the machine's plate says, where the test itself has none in figures."""

    least: float
    most: float


def from_plate(proving: Proving, job: Job, sheet: Sheet) -> FromPlate | None:
    """Return the limits that the plate gives a test of the element's resistance; None where it says too little."""
    reading = sheet.reading.get(proving.reading or "")
    if reading is None or reading.predict != PREDICTION:
        return None
    volts = job.rated_voltage_v or sheet.sheet.rated_voltage_v
    watts = job.rated_power_w or sheet.sheet.rated_power_w
    if volts is None or watts is None:
        return None
    try:
        return FromPlate(*cold_resistance_band_ohm(rated_voltage_v=volts, rated_power_w=watts))
    except OutsideValidity:  # a plate like no mains machine's gives no limit
        return None


def judged(proving: Proving, reading: Measured, plate: FromPlate | None = None) -> Verdict | None:
    """Return the verdict of a reading against the test's limit; None where it has no limit in figures, nor its plate.

    Only an instrument of the kind the test takes counts; any other gives "not shown". The value is the reading's SI
    value with its standard uncertainty; without one the usual error of such an instrument is assumed. Where a test has
    a limit on either side, the worse of the two verdicts stands. Where a test voltage is asked for and not stated, or
    falls short, nothing passes.
    """
    dimension = dimension_of(reading.unit)
    sides: tuple[tuple[At, float | None, float | None], ...] = (
        ("most", _si(proving.at_most, dimension), _si(proving.fails_above, dimension)),
        ("least", _si(proving.at_least, dimension), _si(proving.fails_below, dimension)),
    )
    if plate is not None and all(limit is None for _, limit, _ in sides):
        sides = (("most", plate.most, None), ("least", plate.least, None))
    verdicts = [_against(limit, at, reject, proving, reading) for at, limit, reject in sides if limit is not None]
    worst = max(verdicts, key=lambda each: WORSE.index(each.outcome), default=None)
    return None if worst is None else _at_voltage(worst, proving, reading)


def _at_voltage(met: Verdict, proving: Proving, reading: Measured) -> Verdict:
    """Return the verdict; a pass is "not shown" where the test voltage is not stated or falls short of the test's."""
    wanted = proving.test_voltage_v
    if wanted is None or met.outcome != "passed":
        return met
    given = reading.test_voltage_v
    if given is not None and (given >= wanted or math.isclose(given, wanted, rel_tol=VOLTAGE_SLACK)):
        return met
    lack = "the test voltage is not stated" if given is None else f"tested at {given:g} V only"
    return replace(met, outcome="not shown", words=f"not shown: {lack}, and the limit is written for {wanted:g} V")


def _against(limit: float, at: At, reject: float | None, proving: Proving, reading: Measured) -> Verdict:
    dimension = dimension_of(reading.unit)
    right_kind = reading.instrument_kind == proving.instrument or not proving.instrument
    return verdict(
        value=Quantity(reading.value, reading.sigma, dimension, reading.unit, reading.censored, reading.text),
        limit=limit,
        at=at,
        standard=proving.standard,
        instrument=(reading.instrument or reading.instrument_kind) if right_kind else "",
        circuit=reading.circuit,
        wanted_circuit=proving.circuit,
        unit=reading.unit,
        reject=reject,
        assumed=assumed_share(reading.instrument_kind),
    )
