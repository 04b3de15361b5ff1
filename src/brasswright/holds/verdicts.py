"""From a reading in the journal to the outcome of the proving test it belongs to, by the bench's guard-band rule."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.bench.limits import Verdict, assumed_share, verdict
from brasswright.units import Quantity, dimension_of, parse

if TYPE_CHECKING:
    from brasswright.bench.limits import At
    from brasswright.journal.entries import Measured
    from brasswright.sheets.model import Proving

__all__ = ["judged"]


def _limit(text: str | None, dimension: str) -> float | None:
    return None if text is None else parse(text, dimension=dimension).value


def judged(proving: Proving, reading: Measured) -> Verdict | None:
    """Return the verdict of a reading against the test's limit; None where the test has no limit in figures.

    Only an instrument of the kind the test takes counts; any other gives "not shown". The value is the reading's SI
    value with its standard uncertainty; without one the usual error of such an instrument is assumed.
    """
    dimension = dimension_of(reading.unit)
    at: At = "most" if proving.at_most is not None else "least"
    limit = _limit(proving.at_most if at == "most" else proving.at_least, dimension)
    if limit is None:
        return None
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
        reject=_limit(proving.fails_above if at == "most" else proving.fails_below, dimension),
        assumed=assumed_share(reading.instrument_kind),
    )
