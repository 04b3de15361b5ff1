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


WORSE = ("passed", "not shown", "investigate", "failed")


def _si(text: str, dimension: str) -> float:
    return parse(text, dimension=dimension).measured().value


def judged(proving: Proving, reading: Measured) -> Verdict | None:
    """Return the verdict of a reading against the test's limit; None where the test has no limit in figures.

    Only an instrument of the kind the test takes counts; any other gives "not shown". The value is the reading's SI
    value with its standard uncertainty; without one the usual error of such an instrument is assumed. Where a test has
    a limit on either side, the worse of the two verdicts stands.
    """
    sides: tuple[tuple[At, str | None, str | None], ...] = (
        ("most", proving.at_most, proving.fails_above),
        ("least", proving.at_least, proving.fails_below),
    )
    verdicts = [_against(limit, at, reject, proving, reading) for at, limit, reject in sides if limit is not None]
    return max(verdicts, key=lambda each: WORSE.index(each.outcome), default=None)


def _against(limit: str, at: At, reject: str | None, proving: Proving, reading: Measured) -> Verdict:
    dimension = dimension_of(reading.unit)
    right_kind = reading.instrument_kind == proving.instrument or not proving.instrument
    return verdict(
        value=Quantity(reading.value, reading.sigma, dimension, reading.unit, reading.censored, reading.text),
        limit=_si(limit, dimension),
        at=at,
        standard=proving.standard,
        instrument=(reading.instrument or reading.instrument_kind) if right_kind else "",
        circuit=reading.circuit,
        wanted_circuit=proving.circuit,
        unit=reading.unit,
        reject=None if reject is None else _si(reject, dimension),
        assumed=assumed_share(reading.instrument_kind),
    )
