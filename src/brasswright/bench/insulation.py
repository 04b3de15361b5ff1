"""Insulation between live parts and earth: which limit holds, and whether the reading shows it.

A reading proves something only with its test voltage and with switches, thermostat and pressurestat closed, so that the
element is in the circuit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import assumed_share, verdict
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import rows
from brasswright.units import Censored, Measured, Quantity, to_si, words

__all__ = ["CLOSED", "INSTRUMENT", "TESTERS", "InsulationLimit", "InsulationResult", "insulation", "insulation_limit"]

CLOSED: Final = "switches, thermostat and pressurestat closed"
TESTERS: Final = ("insulation tester", "appliance tester", "multimeter", "low-ohm tester", "other")
_CAN_SHOW: Final = TESTERS[:2]
_CLASSES: Final = ("class I", "class I with heating elements", "class II", "class III")
_OHMS: Final = (0.0, 1.0e13)
_VOLTS: Final = (10.0, 5000.0)
_WATTS: Final = (1.0, 20_000.0)
_DRYING: Final = "dry the element out gently, never by powering it, and measure again"


@dataclass(frozen=True, slots=True)
class InsulationLimit:
    """The limit of one rule for one class: least resistance, reject line, and the test voltage it is written for."""

    limit_ohm: float
    reject_ohm: float
    test_voltage_v: float
    standard: str
    kind: str
    protective_class: str
    source: str


@dataclass(frozen=True, slots=True)
class InsulationResult:
    """What an insulation reading shows; `leakage_a` is the current through the insulation at the test voltage."""

    resistance_ohm: Figure | None
    limit_ohm: float
    reject_ohm: float
    test_voltage_v: float | None
    leakage_a: Figure | None
    kind: str
    standard: str
    protective_class: str
    outcome: str
    meaning: str
    warnings: tuple[str, ...]


def insulation_limit(
    *,
    rule: str = "workshop",
    protective_class: str = "class I with heating elements",
    rated_power_w: float | None = None,
) -> InsulationLimit:
    """Return the least insulation resistance of a rule for a protective class.

    A relaxed limit that a rule gives only from a rated power on is not taken below it, nor when the power is not
    stated: plain class I holds then. Valid for the classes the rule names.
    Source: din-vde-0701-0702; iet-code-of-practice; common-practice.

    >>> insulation_limit(rule="vde", protective_class="class II").limit_ohm / 1e6
    2.0
    """
    if rated_power_w is not None:
        within("rated_power_w", rated_power_w, low=_WATTS[0], high=_WATTS[1], source="iet-code-of-practice")
    known = [row for row in rows("insulation_limits") if row["key"] == rule]
    if not known:
        names = sorted({row["key"] for row in rows("insulation_limits")})
        raise NotFound(f"There is no rule '{rule}'.", allowed=", ".join(names))
    row = next((row for row in known if row["protective_class"] == protective_class), None)
    if row is None:
        allowed = ", ".join(row["protective_class"] for row in known)
        raise NotFound(f"'{rule}' has no limit for '{protective_class}'.", allowed=allowed)
    if row["power_least_w"] and (rated_power_w is None or rated_power_w < float(row["power_least_w"])):
        row = next(row for row in known if row["protective_class"] == "class I")
    limit = to_si(float(row["limit_mohm"]), unit="Mohm")
    return InsulationLimit(
        limit_ohm=limit,
        reject_ohm=to_si(float(row["reject_mohm"]), unit="Mohm") if row["reject_mohm"] else limit,
        test_voltage_v=float(row["test_voltage_v"]),
        standard=row["standard"],
        kind=row["kind"],
        protective_class=row["protective_class"],
        source=row["source"],
    )


def insulation(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    resistance_ohm: Figure | None = None,
    resistance_sigma_ohm: float | None = None,
    resistance_censored: Censored | None = None,
    test_voltage_v: float | None = None,
    circuit_closed: bool | None = None,
    tester: str = "",
    protective_class: str = "class I with heating elements",
    rated_power_w: float | None = None,
    rule: str = "workshop",
) -> InsulationResult:
    """What an insulation reading shows against a limit.

    Symbols: R reading [ohm], U test voltage (d.c.) [V]; leakage U / R. Uncertainty that was not stated is taken as
    30 % of the reading, the most a conforming tester may be out. "Over range" passes only with its bound.
    Valid for 0 to 10 Tohm, 10 V to 5 kV. Source: din-vde-0701-0702; iet-code-of-practice; iec-61557; common-practice.

    >>> insulation(resistance_ohm=20e6, test_voltage_v=500.0, circuit_closed=True, tester="insulation tester").outcome
    'passed'
    >>> insulation(resistance_ohm=20e6, tester="insulation tester").outcome
    'not shown'
    """
    limit = insulation_limit(rule=rule, protective_class=protective_class, rated_power_w=rated_power_w)
    ohms = _ohms(resistance_ohm)
    judged = verdict(
        value=_reading(ohms, resistance_sigma_ohm, resistance_censored),
        limit=limit.limit_ohm,
        at="least",
        standard=", ".join(dict.fromkeys((limit.standard, limit.protective_class, limit.kind))),
        instrument=tester,
        circuit=CLOSED if circuit_closed else "",
        wanted_circuit=CLOSED,
        unit="Mohm",
        reject=limit.reject_ohm,
        assumed=assumed_share("insulation tester"),
    )
    doubts = _doubts(tester, test_voltage_v, limit, circuit_closed=circuit_closed)
    return InsulationResult(
        resistance_ohm=None if ohms is None else plain(ohms),
        limit_ohm=limit.limit_ohm,
        reject_ohm=limit.reject_ohm,
        test_voltage_v=test_voltage_v,
        leakage_a=_leakage(ohms, test_voltage_v),
        kind=limit.kind,
        standard=limit.standard,
        protective_class=limit.protective_class,
        outcome="not shown" if doubts else judged.outcome,
        meaning=f"not shown: {' '.join(doubts)} By its figure alone: {judged.words}" if doubts else judged.words,
        warnings=_warnings(ohms, limit, protective_class),
    )


def _ohms(resistance_ohm: Figure | None) -> Array | None:
    """Return the reading checked, or None for one without a number."""
    if resistance_ohm is None:
        return None
    return within("resistance_ohm", resistance_ohm, low=_OHMS[0], high=_OHMS[1], source="iec-61557")


def _reading(ohms: Array | None, sigma: float | None, censored: Censored | None) -> Measured | Quantity:
    """Return the reading as the verdict wants it; many samples stand for their mean and spread."""
    if ohms is None and censored is None:
        raise ImpossibleValue("No reading was given.", allowed="a resistance, or '> 200 Mohm'")
    value = None if ohms is None else float(ohms.mean())
    if censored is None and value is not None and ohms is not None and ohms.ndim:
        return Measured(value, float(ohms.std()))
    return Quantity(value, sigma, "resistance", "Mohm", censored, "")


def _leakage(ohms: Array | None, test_voltage_v: float | None) -> Figure | None:
    """Return the current at the test voltage, where both are known and the resistance is not zero."""
    if ohms is None or test_voltage_v is None or not np.all(ohms > 0):
        return None
    return plain(test_voltage_v / ohms)


def _doubts(
    tester: str, test_voltage_v: float | None, limit: InsulationLimit, *, circuit_closed: bool | None
) -> list[str]:
    """Return why this reading cannot show a pass."""
    found = []
    if circuit_closed is False:
        found.append("With switches, thermostat or pressurestat open the element was not in the circuit.")
    if tester and tester not in _CAN_SHOW:
        found.append(f"A {tester} has no test voltage that finds damp or tracked insulation; use an insulation tester.")
    wanted = words(limit.test_voltage_v, unit="V")
    if test_voltage_v is not None:
        within("test_voltage_v", test_voltage_v, low=_VOLTS[0], high=_VOLTS[1], source="iec-61557")
    if test_voltage_v is None:
        found.append(f"The test voltage is not stated; the limit is written for {wanted} d.c.")
    elif test_voltage_v < limit.test_voltage_v and not math.isclose(test_voltage_v, limit.test_voltage_v, rel_tol=0.02):
        found.append(f"Tested at {words(test_voltage_v, unit='V')}; the limit is written for {wanted} d.c.")
    return found


def _warnings(ohms: Array | None, limit: InsulationLimit, asked_class: str) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if limit.protective_class != asked_class:
        found.append(f"The relaxed limit of {limit.standard} does not hold at this power: plain class I was taken.")
    if ohms is not None and limit.reject_ohm <= float(ohms.mean()) < limit.limit_ohm:
        found.append(f"Low: {_DRYING}; a reading that keeps falling condemns it.")
    if ohms is not None and float(ohms.mean()) < limit.reject_ohm:
        found.append("Find which part it is: take the element's wires off and measure element and wiring apart.")
        found.append(f"If it is the element, damp reads this low too: {_DRYING}. It stays failed until that passes.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="insulation",
    summary="insulation between live parts and earth: the limit for this class, and what the reading shows",
    inputs=(
        Input(
            "resistance", "resistance_ohm", "line and neutral together, against earth", dimension="resistance",
            unit="Mohm", required=True, low=_OHMS[0], high=_OHMS[1], plausible=(0.0, 1e10),
            sigma="resistance_sigma_ohm", censored="resistance_censored",
        ),
        Input(
            "test_voltage", "test_voltage_v", "direct voltage of the tester", dimension="voltage", unit="V",
            low=_VOLTS[0], high=_VOLTS[1], plausible=(50.0, 1000.0),
        ),
        Input("circuit_closed", "circuit_closed", CLOSED, kind="yes or no"),
        Input("tester", "tester", "what it was read with", kind="choice", choices=TESTERS),
        Input("protective_class", "protective_class", "class of the machine", kind="choice", choices=_CLASSES),
        Input(
            "rated_power", "rated_power_w", "power on the plate", dimension="power", unit="W",
            low=_WATTS[0], high=_WATTS[1], plausible=(100.0, 6000.0),
        ),
        Input(
            "rule", "rule", "whose limit", kind="choice",
            choices=tuple(dict.fromkeys(row["key"] for row in rows("insulation_limits"))),
        ),
    ),
    outputs=(
        Output("resistance_ohm", "ohm", "reading, or its bound", "Mohm"),
        Output("limit_ohm", "ohm", "the limit for this class", "Mohm"),
        Output("reject_ohm", "ohm", "below this it has failed", "Mohm"),
        Output("test_voltage_v", "V", "test voltage as stated"),
        Output("leakage_a", "A", "leakage: current through the insulation at the test voltage", "µA"),
        Output("kind", "", "kind of test: in service or workshop practice"),
        Output("standard", "", "rule: whose limit it is"),
        Output("protective_class", "", "class: the one whose limit was taken"),
        Output("outcome", "", "outcome: passed, failed, not shown or investigate"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0 to 10 Tohm at 10 V to 5 kV direct voltage",
    example={
        "resistance": "20 Mohm", "test_voltage": "500 V", "circuit_closed": "yes", "tester": "insulation tester",
    },
    cautions=(
        "Plug out; nobody touches the machine while it is tested; let it discharge afterwards.",
        "Take electronics and lamps with neon or condensers out of the circuit first.",
        "Insulation is measured at its test voltage; that a breaker did not trip is no measurement.",
    ),
    sources=("din-vde-0701-0702", "iet-code-of-practice", "iec-61557", "common-practice"),
    call=insulation,
)  # fmt: skip
