"""The carbonate model against PHREEQC with its own database, over a grid of tap waters and temperatures.

The oracle runs where its binding exists. It answers -999 in silence where it cannot tell: here that is a failure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pytest

from brasswright.bench.carbonate import Deposit, Dissolved, Water, deposit, heated, pure_with, speciate
from brasswright.bench.carbonate_constants import log_solubility
from brasswright.units import kelvin

oracle = pytest.importorskip("phreeqpython", reason="the binding exists for one platform only")

SENTINEL = -99.0
TEMPERATURES = (10.0, 25.0, 60.0, 90.0, 100.0, 110.0, 120.0)
LOG_CO2 = -3.4


class OracleSilent(ValueError):
    """PHREEQC gave its figure for "no value"."""


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap water in mmol/kg of water; alkalinity in meq."""

    name: str
    ca: float
    mg: float
    na: float
    k: float
    cl: float
    so4: float
    alkalinity: float
    ph: float


TAPS = (
    Tap("rain over granite", 0.15, 0.05, 0.25, 0.02, 0.25, 0.05, 0.27, 6.8),
    Tap("soft upland", 0.4, 0.1, 0.4, 0.03, 0.4, 0.1, 0.8, 7.2),
    Tap("middling", 1.2, 0.3, 0.6, 0.05, 0.8, 0.3, 2.1, 7.6),
    Tap("hard", 2.5, 0.5, 0.5, 0.0, 1.0, 0.25, 4.9956, 7.5),
    Tap("chalk", 3.2, 0.2, 0.9, 0.05, 1.2, 0.4, 5.2, 7.2),
    Tap("dolomite", 1.9, 1.6, 0.3, 0.03, 0.3, 0.4, 6.2, 7.4),
    Tap("gypsum", 4.5, 1.5, 1.5, 0.1, 1.5, 3.6, 4.8, 7.1),
    Tap("softened", 0.15, 0.05, 6.0, 0.05, 1.0, 0.25, 4.9, 7.8),
    Tap("salty", 2.0, 1.2, 8.0, 0.2, 9.5, 1.0, 3.1, 7.7),
    Tap("lime treated", 0.7, 0.15, 0.8, 0.05, 0.8, 0.3, 1.1, 8.8),
)


@cache
def phreeqc() -> Any:
    return oracle.PhreeqPython(database="phreeqc.dat")


def told(value: float) -> float:
    """Refuse what PHREEQC says when it has nothing to say."""
    if not math.isfinite(value) or value <= SENTINEL:
        raise OracleSilent(value)
    return value


def theirs(tap: Tap) -> Any:
    made = phreeqc().add_solution(
        {
            "temp": 25.0, "pH": tap.ph, "units": "mmol/kgw", "Alkalinity": f"{tap.alkalinity} meq/kgw",
            "Ca": tap.ca, "Mg": tap.mg, "Na": tap.na, "K": tap.k, "Cl": tap.cl, "S(6)": tap.so4,
        }
    )  # fmt: skip
    assert made.total("Ca") == pytest.approx(tap.ca, rel=1e-6), "the oracle took the water differently"
    return made


def ours(tap: Tap) -> Dissolved:
    mmol = 1e-3
    water = Water(tap.ca * mmol, tap.mg * mmol, tap.na * mmol, tap.so4 * mmol, (tap.k + tap.cl) / 2 * mmol)
    return speciate(water, alkalinity=tap.alkalinity * mmol, temperature_k=kelvin(celsius=25.0), ph=tap.ph)


def their_drop(tap: Tap, celsius: float, *, open_to_air: bool) -> float:
    hot = theirs(tap).change_temperature(celsius)
    before = told(hot.total("Ca"))
    if open_to_air:
        hot.equalize(["Calcite", "CO2(g)"], [0.0, LOG_CO2], [0.0, 10.0])
    else:
        hot.equalize(["Calcite"], [0.0], [0.0])
    after = told(hot.total("Ca"))
    assert told(hot.si("Calcite")) < 1e-4, "the oracle did not settle"
    return before - after


def our_drop(hot: Dissolved, *, open_to_air: bool) -> Deposit:
    return deposit(hot, co2_atm=10**LOG_CO2 if open_to_air else None)


@pytest.mark.parametrize("celsius", TEMPERATURES)
@pytest.mark.parametrize("tap", TAPS, ids=lambda tap: tap.name)
class TestOverTheGrid:
    def test_saturation_and_ph_when_heated_closed(self, tap: Tap, celsius: float) -> None:
        hot, said = heated(ours(tap), temperature_k=kelvin(celsius=celsius)), theirs(tap).change_temperature(celsius)
        assert hot.saturation("calcite") == pytest.approx(told(said.si("Calcite")), abs=0.005)
        assert hot.ph == pytest.approx(told(said.pH), abs=0.005)
        assert np.log10(hot.co2_atm) == pytest.approx(told(said.si("CO2(g)")), abs=0.005)
        assert hot.saturation("gypsum") == pytest.approx(told(said.si("Gypsum")), abs=0.01)
        assert hot.saturation("anhydrite") == pytest.approx(told(said.si("Anhydrite")), abs=0.01)

    @pytest.mark.parametrize("open_to_air", [False, True], ids=["kept", "lost"])
    def test_what_drops_out_within_two_per_cent(self, tap: Tap, celsius: float, *, open_to_air: bool) -> None:
        hot = heated(ours(tap), temperature_k=kelvin(celsius=celsius))
        expected = their_drop(tap, celsius, open_to_air=open_to_air)
        assert our_drop(hot, open_to_air=open_to_air).amount * 1e3 == pytest.approx(expected, rel=0.02, abs=2e-4)


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_pure_water_over_calcite(celsius: float) -> None:
    for log_co2 in (None, LOG_CO2, -2.0):
        made = phreeqc().add_solution({"temp": celsius, "pH": "7 charge", "units": "mmol/kgw"})
        phases = ["Calcite"] if log_co2 is None else ["Calcite", "CO2(g)"]
        made.equalize(phases, [0.0] if log_co2 is None else [0.0, log_co2], [10.0] * len(phases))
        found = pure_with(temperature_k=kelvin(celsius=celsius), co2_atm=None if log_co2 is None else 10**log_co2)
        assert -found.amount * 1e3 == pytest.approx(told(made.total("Ca")), rel=0.005)
        assert found.left.ph == pytest.approx(told(made.pH), abs=0.005)


@pytest.mark.parametrize("celsius", TEMPERATURES)
def test_species_one_by_one(celsius: float) -> None:
    tap = TAPS[6]
    hot, said = heated(ours(tap), temperature_k=kelvin(celsius=celsius)), theirs(tap).change_temperature(celsius)
    for name in ("Ca+2", "CaHCO3+", "CaCO3", "CaSO4", "HCO3-", "CO3-2", "CO2", "MgHCO3+", "MgCO3", "MgSO4", "NaHCO3"):
        assert hot.amount(name) == pytest.approx(told(said.molality(name, "mol")), rel=0.01), name


def test_the_oracle_may_not_be_silent() -> None:
    said = theirs(TAPS[3])
    with pytest.raises(OracleSilent):
        told(said.si("Calcium nothing"))
    with pytest.raises(OracleSilent):
        told(math.nan)


def test_calcite_by_the_papers_own_expression() -> None:
    assert log_solubility(name="calcite", temperature_k=kelvin(celsius=25.0)) == pytest.approx(-8.48, abs=0.001)
