"""The guard band: what passes, what fails, what lies between, and what proves nothing."""

from __future__ import annotations

import math

import pytest

from brasswright.bench.limits import Verdict, assumed_share, verdict
from brasswright.errors import ImpossibleValue
from brasswright.units import Measured, parse


def earth(text: str, *, instrument: str = "low-ohm tester", reject: float | None = None) -> Verdict:
    reading = parse(text, dimension="resistance")
    return verdict(
        value=reading, limit=0.3, at="most", standard="a standard", instrument=instrument, circuit="", reject=reject
    )


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("0.20 ± 0.02 ohm", "passed"),
        ("0.27 ± 0.02 ohm", "not shown"),
        ("0.30 ± 0.02 ohm", "not shown"),
        ("0.33 ± 0.02 ohm", "investigate"),
        ("0.35 ± 0.02 ohm", "failed"),
        ("over range", "failed"),
        ("> 20 ohm", "failed"),
        ("> 0.1 ohm", "investigate"),
        ("below resolution", "not shown"),
        ("< 0.01 ohm", "passed"),
        ("< 1 ohm", "not shown"),
    ],
)
def test_at_most(text: str, outcome: str) -> None:
    assert earth(text).outcome == outcome


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("2.0 ± 0.1 Mohm", "passed"),
        ("1.1 ± 0.1 Mohm", "not shown"),
        ("0.9 ± 0.1 Mohm", "investigate"),
        ("0.5 ± 0.02 Mohm", "investigate"),
        ("0.2 ± 0.02 Mohm", "failed"),
        ("over range", "not shown"),
        ("> 200 Mohm", "passed"),
        ("> 0.5 Mohm", "not shown"),
        ("below resolution", "failed"),
        ("< 0.1 Mohm", "failed"),
        ("< 0.5 Mohm", "investigate"),
    ],
)
def test_at_least_with_a_reject_line(text: str, outcome: str) -> None:
    reading = parse(text, dimension="resistance")
    got = verdict(
        value=reading, limit=1e6, at="least", standard="a standard", instrument="tester", circuit="", reject=0.3e6
    )
    assert got.outcome == outcome


def test_without_an_instrument_nothing_is_shown() -> None:
    assert earth("0.05 ± 0.01 ohm", instrument=" ").outcome == "not shown"
    assert earth("5 ± 0.01 ohm", instrument="").outcome == "not shown"


def test_without_the_circuit_state_that_is_wanted_nothing_is_shown() -> None:
    for stated, outcome in (("", "not shown"), ("all switches closed", "passed")):
        got = verdict(
            value=Measured(5e6, 1e5), limit=1e6, at="least", standard="a standard", instrument="tester",
            circuit=stated, wanted_circuit="switches closed", unit="Mohm",
        )  # fmt: skip
        assert got.outcome == outcome
        assert got.limit_words == "at least 1 Mohm"


def test_an_assumed_uncertainty_guards_a_reading_that_states_none() -> None:
    reading = parse("0.25 ohm", dimension="resistance")
    stated = {"limit": 0.3, "at": "most", "standard": "a standard", "instrument": "tester", "circuit": ""}
    assert verdict(value=reading, **stated).outcome == "passed"  # type: ignore[arg-type] # one set of words for two calls
    assert verdict(value=reading, assumed=0.3, **stated).outcome == "not shown"  # type: ignore[arg-type] # as above


@pytest.mark.parametrize(("kind", "share"), [("appliance tester", 0.3), ("multimeter", 0.02), ("", 0.0)])
def test_testers_and_meters_have_an_assumed_share_and_nothing_else_has(kind: str, share: float) -> None:
    assert assumed_share(kind) == share


def test_words_name_value_limit_standard_and_never_call_anything_safe() -> None:
    got = earth("0.20 ± 0.02 ohm")
    for said in ("0.20 ± 0.02 ohm", "0.3", "a standard", "low-ohm tester", "passed"):
        assert said in got.words
    assert "safe" not in got.words


def test_a_limit_is_a_finite_number() -> None:
    with pytest.raises(ImpossibleValue):
        verdict(value="over range", limit=math.nan, at="most", standard="", instrument="", circuit="")
