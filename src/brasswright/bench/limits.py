"""From a value to an outcome: a limit, whose limit it is, and a guard band of the expanded uncertainty.

Passed: on the right side by more than the expanded uncertainty (k = 2). Not shown: on the right side, but not by that
much; or instrument, circuit state or bound are not stated. Failed: beyond the reject line by more than the uncertainty.
Investigate: between pass and fail. Nothing here says more than "this test passed against this limit".
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from brasswright.errors import ImpossibleValue
from brasswright.tables import constant
from brasswright.units import Censored, Measured, Quantity, words

__all__ = ["COVERAGE", "At", "Outcome", "Verdict", "assumed_share", "verdict"]

At = Literal["most", "least"]
Outcome = Literal["passed", "failed", "not shown", "investigate"]

COVERAGE: Final = 2.0
"""Coverage factor of the expanded uncertainty, about 95 % (JCGM 100:2008, 6.3.3)."""


_TESTERS: Final = frozenset({"low-ohm tester", "insulation tester", "appliance tester"})


def assumed_share(instrument_kind: str) -> float:
    """Return the expanded uncertainty to assume, as share of the reading, for a kind of instrument that states none.

    Testers of protective measures: 30 %, the most that a conforming one may be out (iec-61557, from memory). A
    multimeter: twice its usual standard uncertainty (common practice, no source). Any other kind: none, and the verdict
    says that none was stated.

    >>> assumed_share("low-ohm tester"), assumed_share("multimeter"), assumed_share("steel rule")
    (0.3, 0.02, 0.0)
    """
    if instrument_kind == "multimeter":
        return COVERAGE * constant("meter_uncertainty")
    return constant("tester_uncertainty") if instrument_kind in _TESTERS else 0.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """One test against one limit: the outcome, a sentence, and what it stands on."""

    outcome: Outcome
    words: str
    value_words: str
    limit_words: str
    standard: str
    instrument: str
    circuit: str


@dataclass(frozen=True, slots=True)
class _Line:
    """The limit and the reject line, turned so that smaller is always better."""

    limit: float
    reject: float
    sign: float


def verdict(  # noqa: PLR0913 - keyword-only: a verdict names everything it stands on
    *,
    value: Measured | Quantity | Censored,
    limit: float,
    at: At,
    standard: str,
    instrument: str,
    circuit: str,
    wanted_circuit: str = "",
    unit: str = "",
    reject: float | None = None,
    assumed: float = 0.0,
) -> Verdict:
    """Return the outcome of a value against a limit, all in SI.

    `at` "most" wants the value at or below the limit, "least" at or above it. `reject` is the line beyond which it has
    failed (the limit itself if not given). `assumed` is the expanded uncertainty as share of the value, used where the
    reading came without one. A reading without a number passes only with its bound. Without instrument, or without the
    circuit state where one is wanted, the outcome is "not shown".

    >>> verdict(value=Measured(0.08, 0.005), limit=0.3, at="most", standard="DIN VDE 0701-0702",
    ...         instrument="low-ohm tester", circuit="", unit="ohm").outcome
    'passed'
    """
    if not math.isfinite(limit) or (reject is not None and not math.isfinite(reject)):
        raise ImpossibleValue("A limit is a finite number.", got=limit)
    sign = 1.0 if at == "most" else -1.0
    line = _Line(sign * limit, sign * (limit if reject is None else reject), sign)
    outcome, reason = _outcome(value, line, assumed)
    missing = [
        said
        for said, is_missing in (
            ("the instrument is not named", not instrument.strip()),
            (f"the circuit state is not stated ({wanted_circuit})", bool(wanted_circuit) and not circuit.strip()),
        )
        if is_missing
    ]
    if missing:
        reason = f"{' and '.join(missing)}; without that the reading would be: {outcome}, {reason}"
        outcome = "not shown"
    shown = _shown(value, unit)
    edge = f"at {at} {_figure(limit, unit)}"
    tail = f", with {instrument}" if instrument.strip() else ""
    sentence = f"{outcome}: {shown} against {edge} ({standard}){tail}: {reason}."
    return Verdict(outcome, sentence, shown, edge, standard, instrument, circuit)


def _outcome(value: Measured | Quantity | Censored, line: _Line, assumed: float) -> tuple[Outcome, str]:
    """Return the outcome by the figures alone, and why."""
    if isinstance(value, str):
        return _without_number(value, None, line)
    if isinstance(value, Quantity):
        if value.censored is not None or value.value is None:
            return _without_number(value.censored or "over range", value.value, line)
        stated = value.sigma is not None
        expanded = COVERAGE * value.sigma if value.sigma is not None else assumed * abs(value.value)
        said = " by more than its uncertainty" if stated or assumed else "; no uncertainty was stated"
        return _with_number(line.sign * value.value, expanded, line, said)
    return _with_number(line.sign * value.value, COVERAGE * value.sigma, line, " by more than its uncertainty")


def _with_number(turned: float, expanded: float, line: _Line, said: str) -> tuple[Outcome, str]:
    """Return the outcome of a turned value with its expanded uncertainty."""
    if line.limit - turned > expanded or (expanded == 0 and turned == line.limit):
        return "passed", f"within the limit{said}"
    if turned <= line.limit:
        return "not shown", "within the limit, but not by more than its uncertainty"
    if turned - line.reject > expanded:
        return "failed", f"beyond the limit{said}"
    return "investigate", "between pass and fail"


def _without_number(word: Censored, bound: float | None, line: _Line) -> tuple[Outcome, str]:
    """Return the outcome of a reading without a number: it passes only with its bound."""
    worse = (word == "over range") == (line.sign > 0)
    if bound is None:
        if worse:
            return "failed", f"the instrument shows {word}"
        example = "'> 200 Mohm'" if word == "over range" else "'< 0.01 ohm'"
        return "not shown", f"{word} without its bound; write it as {example}"
    turned = line.sign * bound
    if worse:
        return ("failed", "beyond the limit") if turned >= line.reject else ("investigate", "the bound lies inside")
    if turned <= line.limit:
        return "passed", "the whole side that the instrument leaves open lies within the limit"
    return "not shown", "the bound does not reach the limit"


def _figure(value: float, unit: str) -> str:
    """Return a figure in its unit, or bare where no unit is given."""
    return words(value, unit=unit) if unit else f"{value:g}"


def _shown(value: Measured | Quantity | Censored, unit: str) -> str:
    """Return the reading in words."""
    if isinstance(value, str):
        return value
    if isinstance(value, Quantity):
        if value.censored is not None or value.value is None:
            sign = ">" if value.censored == "over range" else "<"
            return value.censored or "" if value.value is None else f"{sign} {_figure(value.value, unit or value.unit)}"
        return words(value.value, value.sigma, unit=unit or value.unit, dimension=value.dimension)
    return words(value.value, value.sigma, unit=unit) if unit else f"{value.value:g}"
