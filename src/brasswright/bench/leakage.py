"""Leakage current in milliamperes: which limit holds, and whether the reading shows it.

In-service limits, type test and workshop practice are kept apart; a limit that grows with the power of the element is
taken only where its rule says so. How the current was read decides what the reading can show.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import Outcome, Verdict, assumed_share, verdict
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import rows
from brasswright.units import Censored, Measured, Quantity, from_si, to_si, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["INSTRUMENT", "METHODS", "TESTERS", "LeakageLimit", "LeakageResult", "leakage", "leakage_limit"]

IN_CIRCUIT: Final = "switches, thermostat and pressurestat closed, element in the circuit"
METHODS: Final = ("direct", "differential", "substitute")
TESTERS: Final = ("leakage meter", "leakage clamp", "appliance tester", "insulation tester", "multimeter", "other")
_CAN_SHOW: Final = TESTERS[:3]
_PATHS: Final = ("protective conductor", "touch")
_EQUIPMENT: Final = ("class I portable", "class I stationary heating", "class II")
_AMPERES: Final = (0.0, 1.0)
_VOLTS: Final = (10.0, 500.0)
_WATTS: Final = (1.0, 20_000.0)
_FAILED: Final = "failed"


@dataclass(frozen=True, slots=True)
class LeakageLimit:
    """The most current of one rule for one path and kind of machine, and the line beyond which it has failed."""

    limit_a: float
    reject_a: float
    by_power: bool
    standard: str
    kind: str
    path: str
    equipment: str
    source: str


@dataclass(frozen=True, slots=True)
class LeakageResult:
    """What a leakage reading shows; `at_rated_a` is the reading brought to rated voltage where both voltages are known.

    `equivalent_ohm` is the insulation that would let it through if no part of it were capacitive.
    """

    at_rated_a: Figure | None
    limit_a: float
    reject_a: float
    equivalent_ohm: Figure | None
    kind: str
    standard: str
    equipment: str
    path: str
    outcome: Outcome
    meaning: str
    other_limits: tuple[str, ...]
    warnings: tuple[str, ...]


def leakage_limit(
    *,
    rule: str = "workshop",
    path: str = "protective conductor",
    equipment: str = "class I portable",
    rated_power_w: float | None = None,
) -> LeakageLimit:
    """Return the most leakage current a rule allows.

    Symbols: P rated power of the heating elements together [W]. Where the rule has a figure by the kilowatt, the limit
    is the greater of the plain figure and that one, up to the most it allows; only above the power the rule names.
    Valid for the paths and kinds of machine the rule names, 1 W to 20 kW.
    Source: din-vde-0701-0702; en-50699; iet-code-4; iet-code-5; iec-60335-1, clause 13.2; common-practice.

    >>> leakage_limit(rule="vde", rated_power_w=1500.0).limit_a, leakage_limit(rule="vde", rated_power_w=6000.0).limit_a
    (0.0035, 0.006)
    """
    if rated_power_w is not None:
        within("rated_power_w", rated_power_w, low=_WATTS[0], high=_WATTS[1], source="common-practice")
    known = [row for row in rows("leakage_limits") if row["key"] == rule]
    if not known:
        raise NotFound(f"There is no rule '{rule}'.", allowed=", ".join(_rules()))
    row = next((row for row in known if (row["path"], row["equipment"]) == (path, equipment)), None)
    if row is None:
        pairs = ", ".join(f"{row['path']} of {row['equipment']}" for row in known)
        raise NotFound(f"'{rule}' has no limit for '{path}' of '{equipment}'.", allowed=pairs)
    limit, by_power = _by_power(row, rated_power_w)
    reject = max(limit, to_si(float(row["reject_ma"]), unit="mA")) if row["reject_ma"] else limit
    return LeakageLimit(limit, reject, by_power, row["standard"], row["kind"], path, equipment, row["source"])


def _rules() -> tuple[str, ...]:
    """Return the keys of all rules in the order of the table."""
    return tuple(dict.fromkeys(row["key"] for row in rows("leakage_limits")))


def _by_power(row: Mapping[str, str], rated_power_w: float | None) -> tuple[float, bool]:
    """Return the limit of a row, and whether the power of the element raised it."""
    base = float(row["limit_ma"])
    if not row["per_kw_ma"] or rated_power_w is None or rated_power_w <= float(row["above_w"]):
        return to_si(base, unit="mA"), False
    grown = min(float(row["per_kw_ma"]) * from_si(rated_power_w, unit="kW"), float(row["most_ma"]))
    return to_si(max(base, grown), unit="mA"), grown > base


def leakage(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    current_a: Figure | None = None,
    current_sigma_a: float | None = None,
    current_censored: Censored | None = None,
    method: str = "",
    test_voltage_v: Figure | None = None,
    test_voltage_sigma_v: float | None = None,
    rated_voltage_v: Figure | None = None,
    circuit_closed: bool | None = None,
    both_polarities: bool | None = None,
    tester: str = "",
    path: str = "protective conductor",
    equipment: str = "class I portable",
    rated_power_w: float | None = None,
    rule: str = "workshop",
) -> LeakageResult:
    """What a leakage reading shows against a limit.

    Symbols: I reading [A], U_t voltage it was read at, U_r rated voltage [V]; at rated voltage I U_r / U_t where both
    are given; equivalent insulation U_r / I. Uncertainty that was not stated is taken as 30 % of the reading, the most
    a conforming tester may be out. What was not stated, or was done so that it could hide current, never passes; a
    reading beyond the reject line fails all the same. Valid for 0 to 1 A at 10 V to 500 V alternating voltage.
    Source: din-vde-0701-0702; en-50699; iet-code-4; iet-code-5; iec-60335-1, clause 13.2; iec-61557; common-practice.

    >>> leakage(current_a=0.4e-3, method="differential", circuit_closed=True, both_polarities=True,
    ...         tester="appliance tester").outcome
    'passed'
    >>> leakage(current_a=0.4e-3, method="differential", circuit_closed=True, tester="appliance tester").outcome
    'not shown'
    """
    limit = leakage_limit(rule=rule, path=path, equipment=equipment, rated_power_w=rated_power_w)
    read = _read((current_a, current_sigma_a), (test_voltage_v, test_voltage_sigma_v), rated_voltage_v)
    judged = _judged(_reading(read, current_censored), limit, tester, circuit_closed=circuit_closed)
    doubts = _doubts(method, limit, tester, circuit_closed=circuit_closed, both_polarities=both_polarities)
    beyond = judged.outcome == _FAILED and tester in _CAN_SHOW
    shown: Outcome = "not shown" if doubts and not beyond else judged.outcome
    return LeakageResult(
        at_rated_a=None if read.at_rated is None else plain(read.at_rated),
        limit_a=limit.limit_a,
        reject_a=limit.reject_a,
        equivalent_ohm=_equivalent(read),
        kind=limit.kind,
        standard=limit.standard,
        equipment=limit.equipment,
        path=limit.path,
        outcome=shown,
        meaning=f"{shown}: {' '.join(doubts)} By its figure alone: {judged.words}" if doubts else judged.words,
        other_limits=_others(rule, path, equipment, rated_power_w),
        warnings=_warnings(read, limit, method, rated_power_w),
    )


@dataclass(frozen=True, slots=True)
class _Read:
    """A reading brought to rated voltage, its standard uncertainty, and the voltages it was given."""

    at_rated: Array | None
    sigma_a: float | None
    tested: Array | None
    rated: Array | None


def _read(
    current: tuple[Figure | None, float | None],
    test: tuple[Figure | None, float | None],
    rated_voltage_v: Figure | None,
) -> _Read:
    """Return current and test voltage, each with its standard uncertainty, as one reading at rated voltage."""
    amps = _optional("current_a", current[0], _AMPERES)
    tested = _optional("test_voltage_v", test[0], _VOLTS)
    rated = _optional("rated_voltage_v", rated_voltage_v, _VOLTS)
    scale = np.asarray(1.0) if tested is None or rated is None else rated / tested
    at_rated = None if amps is None else amps * scale
    if current[1] is None or at_rated is None:
        return _Read(at_rated, None, tested, rated)
    share = 0.0 if tested is None or test[1] is None else test[1] / float(tested.mean())
    sigma_a = math.hypot(current[1] * float(scale.mean()), share * float(at_rated.mean()))
    return _Read(at_rated, sigma_a, tested, rated)


def _optional(name: str, value: Figure | None, edges: tuple[float, float]) -> Array | None:
    """Return a figure checked, or None where it was not given."""
    return None if value is None else within(name, value, low=edges[0], high=edges[1], source="iec-61557")


def _judged(value: Measured | Quantity, limit: LeakageLimit, tester: str, *, circuit_closed: bool | None) -> Verdict:
    """Return the verdict on the figure alone."""
    return verdict(
        value=value,
        limit=limit.limit_a,
        at="most",
        standard=", ".join(dict.fromkeys((limit.standard, limit.path, limit.equipment, limit.kind))),
        instrument=tester,
        circuit={True: IN_CIRCUIT, False: "element not in the circuit", None: ""}[circuit_closed],
        wanted_circuit=IN_CIRCUIT,
        unit="mA",
        reject=limit.reject_a,
        assumed=assumed_share("appliance tester"),
    )


def _reading(read: _Read, censored: Censored | None) -> Measured | Quantity:
    """Return the reading at rated voltage as the verdict wants it; many samples stand for their mean and spread."""
    if read.at_rated is None and censored is None:
        raise ImpossibleValue("No reading was given.", allowed="a current, or '< 0.1 mA'")
    value = None if read.at_rated is None else float(read.at_rated.mean())
    if censored is None and value is not None and read.at_rated is not None and read.at_rated.ndim:
        return Measured(value, float(read.at_rated.std()))
    return Quantity(value, read.sigma_a, "current", "mA", censored, "")


def _doubts(
    method: str, limit: LeakageLimit, tester: str, *, circuit_closed: bool | None, both_polarities: bool | None
) -> list[str]:
    """Return what could have hidden current from this reading."""
    if method not in {"", *METHODS}:
        raise NotFound(f"There is no method '{method}'.", allowed=", ".join(METHODS))
    found = []
    if circuit_closed is False:
        found.append("With switches, thermostat or pressurestat open the element was not in the circuit.")
    if not method:
        found.append(f"How it was read is not stated ({', '.join(METHODS)}).")
    elif method != "substitute" and not both_polarities:
        found.append("On the mains the plug is read both ways round, and the higher figure counts.")
    if limit.kind == "type test":
        found.append("The type test runs hot at 1.15 times rated power through its own network; this reading is less.")
    if tester and tester not in _CAN_SHOW:
        found.append(f"Not read with a leakage meter, leakage clamp or appliance tester ({tester}).")
    return found


def _equivalent(read: _Read) -> Figure | None:
    """Return the insulation that would let the current through, where voltage and a current are known."""
    volts = read.tested if read.rated is None else read.rated
    if read.at_rated is None or volts is None or not np.all(read.at_rated > 0):
        return None
    return plain(volts / read.at_rated)


def _others(rule: str, path: str, equipment: str, rated_power_w: float | None) -> tuple[str, ...]:
    """Return in words what the other rules allow for the same path and machine."""
    found = []
    for other in _rules():
        if other != rule and any(
            (row["key"], row["path"], row["equipment"]) == (other, path, equipment) for row in rows("leakage_limits")
        ):
            one = leakage_limit(rule=other, path=path, equipment=equipment, rated_power_w=rated_power_w)
            kind = "" if one.kind == one.standard else f" ({one.kind})"
            found.append(f"{one.standard}{kind}: {words(one.limit_a, unit='mA')}")
    return tuple(found)


def _warnings(read: _Read, limit: LeakageLimit, method: str, rated_power_w: float | None) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    grows = any(
        row["per_kw_ma"]
        and (row["standard"], row["path"], row["equipment"]) == (limit.standard, limit.path, limit.equipment)
        for row in rows("leakage_limits")
    )
    if grows and rated_power_w is None:
        found.append("Rated power is not stated: the limit that grows with the element was not taken.")
    elif grows and not limit.by_power:
        found.append(f"At this power {limit.standard} gives nothing by the kilowatt: the plain figure holds.")
    if method == "substitute":
        found.append("The substitute method holds the whole element at one voltage: it may read up to twice the mains.")
        if read.tested is None:
            found.append("No test voltage was stated: the figure is taken as already converted to the mains.")
    high = math.nan if read.at_rated is None else float(read.at_rated.mean())
    if high > limit.limit_a:
        found.append(
            "Unplug; take the wires off the element and read element and wiring apart. A damp element: warm it gently "
            "for hours, off the machine; let it cool, test its insulation, then this again; falling insulation ends it."
        )
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="leakage",
    summary="leakage current: the limit for this machine by named rule, and what the reading shows",
    inputs=(
        Input(
            "current", "current_a", "leakage current, the highest seen with heating on", dimension="current",
            unit="mA", required=True, low=_AMPERES[0], high=_AMPERES[1], plausible=(5e-6, 0.05),
            sigma="current_sigma_a", censored="current_censored",
        ),
        Input("method", "method", "how it was read", kind="choice", choices=METHODS),
        Input(
            "test_voltage", "test_voltage_v", "voltage it was read at, if the tester has not converted it",
            dimension="voltage", unit="V", low=_VOLTS[0], high=_VOLTS[1], plausible=(20.0, 260.0),
            sigma="test_voltage_sigma_v",
        ),
        Input(
            "rated_voltage", "rated_voltage_v", "voltage on the plate", dimension="voltage", unit="V",
            low=_VOLTS[0], high=_VOLTS[1], plausible=(100.0, 250.0),
        ),
        Input("circuit_closed", "circuit_closed", IN_CIRCUIT, kind="yes or no"),
        Input("both_polarities", "both_polarities", "plug read both ways round", kind="yes or no"),
        Input("tester", "tester", "what it was read with", kind="choice", choices=TESTERS),
        Input("path", "path", "where the current flows", kind="choice", choices=_PATHS),
        Input(
            "equipment", "equipment", "class and kind; portable: moved in use, or under 18 kg and not fixed",
            kind="choice", choices=_EQUIPMENT,
        ),
        Input(
            "rated_power", "rated_power_w", "heating elements together, from the plate", dimension="power", unit="W",
            low=_WATTS[0], high=_WATTS[1], plausible=(100.0, 8000.0),
        ),
        Input("rule", "rule", "whose limit", kind="choice", choices=_rules()),
    ),
    outputs=(
        Output("at_rated_a", "A", "leakage at rated voltage, or its bound", "mA"),
        Output("limit_a", "A", "the limit for this machine", "mA"),
        Output("reject_a", "A", "beyond this it has failed", "mA"),
        Output("equivalent_ohm", "ohm", "insulation that would let it through, were it all resistive", "kohm"),
        Output("kind", "", "kind of test: in service, type test or workshop practice"),
        Output("standard", "", "rule: whose limit it is"),
        Output("equipment", "", "machine: the class and kind whose limit was taken"),
        Output("path", "", "path: where the current flows"),
        Output("outcome", "", "outcome: passed, failed, not shown or investigate"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("other_limits", "", "other rules: what they allow for the same machine"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0 to 1 A at 10 to 500 V alternating voltage; local rules for testing come first",
    example={
        "current": "0.42 mA", "method": "differential", "circuit_closed": "yes", "both_polarities": "yes",
        "tester": "appliance tester", "rated_power": "1000 W",
    },
    cautions=(
        "Direct and differential readings are taken on live mains: only after earth and insulation have been shown.",
        "Live work is for people competent for it where the workshop is, never alone, nobody touching the machine.",
        "Water over the element before it is switched on; the machine heats: burns and steam.",
        "Never open the protective conductor of a plugged-in machine to put a meter in.",
        "Leakage is read in milliamperes; that a breaker did not trip is no measurement.",
    ),
    sources=(
        "din-vde-0701-0702", "en-50699", "iet-code-4", "iet-code-5", "iec-60335-1", "iec-60990", "iec-61557",
        "common-practice",
    ),
    call=leakage,
)  # fmt: skip
