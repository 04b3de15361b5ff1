"""Protective earth from plug pin to metal: which limit holds for this cord, and whether the reading shows it.

In-service limits, type test and workshop practice are kept apart: each verdict carries the name of its rule.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.instrument import Input, Instrument, Output
from brasswright.bench.limits import Verdict, assumed_share, verdict
from brasswright.bench.validity import Array, Figure, plain, within
from brasswright.errors import ImpossibleValue, NotFound
from brasswright.tables import constant, rows
from brasswright.units import Censored, Measured, Quantity, to_si, words

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "INSTRUMENT",
    "TESTERS",
    "EarthLimit",
    "EarthResult",
    "cord_resistance_ohm",
    "earth",
    "earth_limit",
]

TESTERS: Final = ("low-ohm tester", "appliance tester", "multimeter", "insulation tester", "other")
_CAN_SHOW: Final = TESTERS[:2]
_SECTION_M2: Final = to_si(1.5, unit="mm2")
_METRES: Final = (0.1, 100.0)
_AMPERES: Final = 60.0
_MOST_OHM: Final = to_si(100.0, unit="kohm")


@dataclass(frozen=True, slots=True)
class EarthLimit:
    """The limit for one cord: whose rule, what kind of test, and the least test current it wants.

    `reject_ohm` is the line beyond which it has failed; between the two the bad joint is looked for.
    """

    limit_ohm: float
    reject_ohm: float
    cord_ohm: float
    standard: str
    kind: str
    current_least_a: float
    source: str


@dataclass(frozen=True, slots=True)
class EarthResult:
    """What a protective-earth reading shows."""

    path_resistance_ohm: Figure | None
    cord_ohm: float
    limit_ohm: float
    reject_ohm: float
    kind: str
    standard: str
    outcome: str
    meaning: str
    warnings: tuple[str, ...]


def cord_resistance_ohm(*, length_m: float, section_m2: float = _SECTION_M2) -> float:
    """Most resistance one conductor of a copper cord may have at 20 °C [ohm].

    Valid for 0.1 m to 100 m of the sections 0.5 to 4 mm2. Source: iec-60228, table 3, class 5.

    >>> round(cord_resistance_ohm(length_m=2.0), 4)
    0.0266
    """
    length = float(within("cord_length_m", length_m, low=_METRES[0], high=_METRES[1], source="iec-60228"))
    usual = {to_si(float(row["section_mm2"]), unit="mm2"): float(row["ohm_per_km"]) for row in rows("cords")}
    for section, per_km in usual.items():
        if math.isclose(section, section_m2, rel_tol=0.01):
            return length * per_km / 1000
    raise NotFound(
        "No cord of that section is in the table.",
        got=words(section_m2, unit="mm2"),
        allowed=", ".join(words(section, unit="mm2") for section in usual),
    )


def earth_limit(
    *, rule: str = "workshop", cord_length_m: float | None = None, cord_section_m2: float = _SECTION_M2
) -> EarthLimit:
    """Return the limit of a rule for a cord; a cord of unknown length gets the strictest limit of its rule.

    "steps": a base limit up to a free length, then a step for each further length begun (din-vde-0701-0702).
    "added": a base limit plus the cord's own resistance (iet-code-of-practice, en-50106, common-practice).
    "excluded": the cord is taken off the reading instead (iec-60335-1, clause 27.5).
    Valid for the cord sections and lengths that the rule names.

    >>> earth_limit(rule="vde", cord_length_m=10.0).limit_ohm
    0.4
    """
    row = next((row for row in rows("earth_limits") if row["key"] == rule), None)
    if row is None:
        raise NotFound(f"There is no rule '{rule}'.", allowed=", ".join(r["key"] for r in rows("earth_limits")))
    most_section = to_si(float(row["section_most_mm2"] or "1e3"), unit="mm2")
    within("cord_section_m2", cord_section_m2, low=0.0, high=most_section * 1.001, source=row["source"])
    base, own = float(row["limit_ohm"]), 0.0
    if cord_length_m is not None:
        within("cord_length_m", cord_length_m, low=0.0, high=float(row["length_most_m"] or "100"), source=row["source"])
        own = cord_resistance_ohm(length_m=cord_length_m, section_m2=cord_section_m2)
    limit = _for_cord(row, base, cord_length_m, own)
    reject = limit - base + float(row["reject_ohm"]) if row["reject_ohm"] else limit
    return EarthLimit(
        limit_ohm=limit,
        reject_ohm=reject,
        cord_ohm=own,
        standard=row["standard"],
        kind=row["kind"],
        current_least_a=float(row["current_least_a"]),
        source=row["source"],
    )


def _for_cord(row: Mapping[str, str], base: float, length_m: float | None, own: float) -> float:
    """Return the limit with what the rule gives for the cord."""
    if row["cord"] == "added":
        return base + own
    if row["cord"] == "steps" and row["step_m"] and length_m is not None:
        begun = math.ceil(max(0.0, length_m - float(row["free_m"])) / float(row["step_m"]) - 1e-9)
        return round(min(base + begun * float(row["step_ohm"]), float(row["most_ohm"])), 9)
    return base


def earth(  # noqa: PLR0913 - keyword-only: what stands on the bench
    *,
    resistance_ohm: Figure | None = None,
    resistance_sigma_ohm: float | None = None,
    resistance_censored: Censored | None = None,
    tester: str = "",
    test_current_a: float | None = None,
    lead_resistance_ohm: Figure = 0.0,
    cord_length_m: float | None = None,
    cord_section_m2: float = _SECTION_M2,
    rule: str = "workshop",
) -> EarthResult:
    """What a protective-earth reading shows against a limit.

    Symbols: R reading [ohm], R_l test leads, R_c cord conductor; path R - R_l (type test: R - R_l - R_c). Uncertainty
    that was not stated is taken as 30 % of the reading, the most a conforming tester may be out. Only a low-ohm or
    appliance tester can show a pass: a multimeter's current does not load a bad joint. Where the test current is not
    stated, the 0.2 A that such a tester must have at least is taken, and said.
    Valid for 0 to 100 kohm. Source: din-vde-0701-0702; iet-code-of-practice; iec-60335-1; iec-61557; iec-60228.

    >>> earth(resistance_ohm=0.06, tester="low-ohm tester").outcome
    'passed'
    >>> earth(resistance_ohm=0.06, tester="multimeter").outcome
    'not shown'
    """
    limit = earth_limit(rule=rule, cord_length_m=cord_length_m, cord_section_m2=cord_section_m2)
    off = limit.cord_ohm if limit.kind == "type test" else 0.0
    path = None if resistance_ohm is None else _path_ohm(resistance_ohm, lead_resistance_ohm, off)
    judged = verdict(
        value=_reading(path, resistance_sigma_ohm, resistance_censored),
        limit=limit.limit_ohm,
        at="most",
        standard=", ".join(dict.fromkeys((limit.standard, limit.kind))),
        instrument=tester,
        circuit="",
        unit="ohm",
        reject=limit.reject_ohm,
        assumed=assumed_share("low-ohm tester"),
    )
    doubts = _doubts(tester, test_current_a, limit)
    return EarthResult(
        path_resistance_ohm=None if path is None else plain(path),
        cord_ohm=limit.cord_ohm,
        limit_ohm=limit.limit_ohm,
        reject_ohm=limit.reject_ohm,
        kind=limit.kind,
        standard=limit.standard,
        outcome="not shown" if doubts else judged.outcome,
        meaning=f"not shown: {' '.join(doubts)} By its figure alone: {judged.words}" if doubts else judged.words,
        warnings=(*_current_words(tester, test_current_a), *_warnings(judged, cord_length_m, limit)),
    )


def _path_ohm(resistance_ohm: Figure, lead_resistance_ohm: Figure, cord_ohm: float) -> Array:
    """Return the resistance of the earth path without leads (and without the cord, for the type test)."""
    gross = within("resistance_ohm", resistance_ohm, low=0.0, high=_MOST_OHM, source="iec-61557")
    leads = within("lead_resistance_ohm", lead_resistance_ohm, low=0.0, high=20.0, source="iec-61557")
    if np.any(leads > gross):
        raise ImpossibleValue(
            "The test leads cannot have more resistance than leads and path together.",
            got=f"{float(np.max(leads)):g} ohm of leads",
            allowed=f"up to {float(np.min(gross)):g} ohm",
        )
    return np.asarray(np.maximum(gross - leads - cord_ohm, 0.0))


def _reading(path: Array | None, sigma: float | None, censored: Censored | None) -> Measured | Quantity:
    """Return the reading as the verdict wants it; many samples stand for their mean and spread."""
    if path is None and censored is None:
        raise ImpossibleValue("No reading was given.", allowed="a resistance, or 'over range'")
    value = None if path is None else float(path.mean())
    if censored is None and value is not None and path is not None and path.ndim:
        return Measured(value, float(path.std()))
    return Quantity(value, sigma, "resistance", "ohm", censored, "")


def _doubts(tester: str, current_a: float | None, limit: EarthLimit) -> list[str]:
    """Return why this reading cannot show a pass."""
    if current_a is not None:
        within("test_current_a", current_a, low=0.0, high=_AMPERES, source="iec-61557")
    if tester and tester not in _CAN_SHOW:
        return [f"A {tester} sends too little current through a bad joint; use a low-ohm tester."]
    least = limit.current_least_a
    wanted = f"{limit.standard} wants a test current of at least {words(least, unit='A')}"
    if current_a is not None and current_a < least:
        return [f"{wanted}; it was {words(current_a, unit='A')}."]
    if current_a is None and limit.kind in {"type test", "production test"}:
        return [f"{wanted}; none was stated."]
    return []


def _current_words(tester: str, current_a: float | None) -> tuple[str, ...]:
    """Return what is taken of the test current where nobody stated it: the least its kind of tester must have."""
    if current_a is not None or tester not in _CAN_SHOW:
        return ()
    least = words(constant("low_ohm_least_a"), unit="A")
    return (f"Test current not stated: taken as the {least} that a {tester} has at least. Write it with the reading.",)


def _warnings(judged: Verdict, cord_length_m: float | None, limit: EarthLimit) -> tuple[str, ...]:
    """Return what must not be missed."""
    found = []
    if cord_length_m is None:
        found.append("Cord length not stated: the strictest limit of the rule was taken.")
    if judged.outcome in {"investigate", "failed"}:
        found.append(
            "Clean and tighten the joints one by one while the reading is watched; move the cord while it is read."
        )
    if limit.kind == "type test":
        found.append("A type test belongs to a new design; for a machine in use the in-service limits hold.")
    return tuple(found)


INSTRUMENT: Final = Instrument(
    name="earth",
    summary="protective earth from plug pin to metal: the limit for this cord, and what the reading shows",
    inputs=(
        Input(
            "resistance", "resistance_ohm", "plug pin to the metal part", dimension="resistance", unit="ohm",
            required=True, low=0.0, high=_MOST_OHM, plausible=(0.001, 50.0), sigma="resistance_sigma_ohm",
            censored="resistance_censored",
        ),
        Input("tester", "tester", "what it was read with", kind="choice", choices=TESTERS),
        Input(
            "test_current", "test_current_a", "current of the tester", dimension="current", unit="A",
            low=0.0, high=_AMPERES,
        ),
        Input(
            "lead_resistance", "lead_resistance_ohm", "test leads, if not nulled", dimension="resistance", unit="ohm",
            low=0.0, high=20.0, plausible=(0.0, 2.0),
        ),
        Input(
            "cord_length", "cord_length_m", "length of the mains cord", dimension="length", unit="m",
            low=_METRES[0], high=_METRES[1], plausible=(0.3, 30.0),
        ),
        Input(
            "cord_section", "cord_section_m2", "section of one conductor", dimension="area", unit="mm²",
            low=to_si(0.5, unit="mm2"), high=to_si(4.0, unit="mm2"),
        ),
        Input(
            "rule", "rule", "whose limit", kind="choice",
            choices=tuple(row["key"] for row in rows("earth_limits")),
        ),
    ),
    outputs=(
        Output("path_resistance_ohm", "ohm", "earth path without test leads"),
        Output("cord_ohm", "ohm", "most the cord's own conductor may have"),
        Output("limit_ohm", "ohm", "the limit for this cord"),
        Output("reject_ohm", "ohm", "beyond this it has failed"),
        Output("kind", "", "kind of test: in service, type test, production test or workshop practice"),
        Output("standard", "", "rule: whose limit it is"),
        Output("outcome", "", "outcome: passed, failed, not shown or investigate"),
        Output("meaning", "", "meaning: the outcome in a sentence"),
        Output("warnings", "", "note: what must not be missed"),
    ),
    validity="0 to 100 kohm; cords of 0.1 to 100 m, 0.5 to 4 mm², as far as the rule goes",
    example={"resistance": "0.06 ohm", "tester": "low-ohm tester", "cord_length": "2 m"},
    cautions=(
        "Plug out. Every metal part that can be touched is tested, not one.",
        "A multimeter finds a break; it cannot show that a joint carries a fault current.",
    ),
    sources=(
        "din-vde-0701-0702", "en-50678", "iet-code-of-practice", "en-50106", "iec-60335-1", "iec-61557", "iec-60228",
        "common-practice",
    ),
    call=earth,
)  # fmt: skip
