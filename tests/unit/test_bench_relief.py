"""Safety valves and steam: the cases that catch people out, laws, and a second opinion on the nozzle."""

from __future__ import annotations

from typing import Any, Final

import iapws
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.nozzle import critical_ratio, napier_capacity_kg_per_s, nozzle_capacity_kg_per_s
from brasswright.bench.relief import relief, steam_raised_kg_per_s
from brasswright.bench.steam import (
    boiling_water_enthalpy_j_per_kg,
    latent_heat_j_per_kg,
    steam_enthalpy_j_per_kg,
    steam_volume_m3_per_kg,
    water_enthalpy_j_per_kg,
    water_volume_m3_per_kg,
)
from brasswright.errors import ImpossibleValue, OutsideValidity

AIR_PA: Final = 101_325.0
BOILER: Final[dict[str, Any]] = {
    "set_pressure_gauge_pa": 160e3, "rated_power_w": 1000.0, "seat_diameter_m": 0.006, "discharge_coefficient": 0.55,
    "certificate": True, "vessel_limit_gauge_pa": 200e3,
}  # fmt: skip
ABSOLUTE: Final = st.floats(1.2e5, 2.0e6)


@pytest.mark.parametrize("pascals", [700.0, 1e5, 2e5, 2.5e5, 1e6, 1.6e7])
def test_steam_and_water_agree_with_the_open_library(pascals: float) -> None:
    water, steam = (iapws.IAPWS97(P=pascals / 1e6, x=x) for x in (0, 1))
    assert water_enthalpy_j_per_kg(pressure_pa=pascals) == pytest.approx(water.h * 1000, rel=1e-9)
    assert steam_enthalpy_j_per_kg(pressure_pa=pascals) == pytest.approx(steam.h * 1000, rel=1e-9)
    assert water_volume_m3_per_kg(pressure_pa=pascals) == pytest.approx(water.v, rel=1e-9)
    assert steam_volume_m3_per_kg(pressure_pa=pascals) == pytest.approx(steam.v, rel=1e-9)
    assert boiling_water_enthalpy_j_per_kg(temperature_k=water.T) == pytest.approx(water.h * 1000, rel=1e-6)


@pytest.mark.parametrize("pascals", [2e5, 3e5, 5e5])
def test_the_nozzle_agrees_with_expansion_at_constant_entropy(pascals: float) -> None:
    inlet = iapws.IAPWS97(P=pascals / 1e6, x=1)
    ratios = np.linspace(0.52, 0.64, 25)
    throats = [iapws.IAPWS97(P=r * pascals / 1e6, s=inlet.s) for r in ratios]
    flux = [np.sqrt(2000 * (inlet.h - throat.h)) / throat.v for throat in throats]
    best = int(np.argmax(flux))
    assert critical_ratio() == pytest.approx(ratios[best], abs=0.012)
    ours = nozzle_capacity_kg_per_s(area_m2=1.0e-6, pressure_absolute_pa=pascals, back_pressure_pa=0.0)
    assert ours == pytest.approx(flux[best] * 1e-6, rel=0.005)


def test_outside_the_edges_of_steam_is_refused() -> None:
    with pytest.raises(OutsideValidity):
        latent_heat_j_per_kg(pressure_pa=500.0)
    with pytest.raises(OutsideValidity):
        steam_volume_m3_per_kg(pressure_pa=2.0e7)
    with pytest.raises(OutsideValidity):
        napier_capacity_kg_per_s(area_m2=1e-6, pressure_absolute_pa=160e3, back_pressure_pa=AIR_PA)
    with pytest.raises(OutsideValidity):
        nozzle_capacity_kg_per_s(area_m2=1e-6, pressure_absolute_pa=160e3, back_pressure_pa=200e3)


@pytest.mark.parametrize(
    ("stated", "outcome"),
    [
        ({}, "passed"),
        ({"certificate": None}, "not shown"),
        ({"certificate": False}, "not shown"),
        ({"discharge_coefficient": None}, "not shown"),
        ({"vessel_limit_gauge_pa": 150e3}, "failed"),
        ({"seat_diameter_m": 0.001}, "failed"),
        ({"seat_diameter_m": 0.001, "certificate": None}, "failed"),
        ({"seat_diameter_m": 0.00172, "seat_diameter_sigma_m": 1e-5}, "not shown"),
        ({"seat_diameter_m": 0.0015, "seat_diameter_sigma_m": 2e-4}, "investigate"),
    ],
)
def test_what_a_valve_needs_to_pass(stated: dict[str, object], outcome: str) -> None:
    assert relief(**{**BOILER, **stated}).outcome == outcome


def test_set_far_down_the_flow_is_not_choked_and_napier_is_silent() -> None:
    low = relief(**{**BOILER, "set_pressure_gauge_pa": 40e3})
    assert low.flow == "not choked"
    assert low.napier_kg_per_s is None
    assert low.capacity_kg_per_s == low.nozzle_kg_per_s
    assert any("nozzle equation alone" in note for note in low.warnings)
    assert not any("nozzle equation" in note for note in relief(**BOILER).warnings)


def test_without_a_certificate_a_low_lift_is_taken() -> None:
    shy = relief(**{**BOILER, "certificate": None})
    full = relief(**BOILER)
    assert shy.flow_area_m2 == pytest.approx(full.flow_area_m2 / 6)
    lifted = relief(**{**BOILER, "certificate": None}, lift_m=0.006)
    assert lifted.flow_area_m2 == pytest.approx(full.flow_area_m2)
    assert any("certificate" in note for note in shy.warnings)


def test_higher_mains_raise_more_steam_and_need_both_voltages() -> None:
    high = relief(**BOILER, rated_voltage_v=220.0, highest_supply_voltage_v=242.0)
    assert high.raised_kg_per_s == pytest.approx(relief(**BOILER).raised_kg_per_s * 1.21)
    with pytest.raises(ImpossibleValue, match="both"):
        relief(**BOILER, rated_voltage_v=220.0)
    with pytest.raises(ImpossibleValue, match="lift"):
        relief(**BOILER, lift_m=0.0)


@given(st.floats(1e3, 1.6e7), st.floats(1.001, 1.5))
def test_latent_heat_falls_with_pressure(pascals: float, times: float) -> None:
    higher = min(pascals * times, 1.65e7)
    low, high = (latent_heat_j_per_kg(pressure_pa=p) for p in (pascals, higher))
    assert high <= low


@given(ABSOLUTE, st.floats(1.001, 2.0))
def test_more_pressure_passes_more_steam(pascals: float, times: float) -> None:
    low, high = (
        nozzle_capacity_kg_per_s(area_m2=1e-6, pressure_absolute_pa=p, back_pressure_pa=AIR_PA)
        for p in (pascals, pascals * times)
    )
    assert high > low


@given(ABSOLUTE, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_back_pressure_never_helps(pascals: float, share: float, other: float) -> None:
    less, more = (
        nozzle_capacity_kg_per_s(area_m2=1e-6, pressure_absolute_pa=pascals, back_pressure_pa=pascals * part)
        for part in sorted((share, other))
    )
    assert more <= less * (1 + 1e-12)


@given(st.floats(1.8e5, 2.0e6))
def test_napier_and_the_nozzle_stay_together(pascals: float) -> None:
    napier, nozzle = (
        form(area_m2=1e-6, pressure_absolute_pa=pascals, back_pressure_pa=AIR_PA)
        for form in (napier_capacity_kg_per_s, nozzle_capacity_kg_per_s)
    )
    assert napier == pytest.approx(nozzle, rel=0.05)


@given(st.floats(30e3, 400e3), st.floats(200.0, 8000.0), st.floats(0.002, 0.02))
def test_a_seat_of_the_area_needed_just_does(pascals: float, watts: float, bore: float) -> None:
    asked = {"set_pressure_gauge_pa": pascals, "rated_power_w": watts, "discharge_coefficient": 0.5}
    result = relief(**asked, seat_diameter_m=bore, certificate=True)
    needed = float(result.needed_diameter_m)
    if 0.0005 <= needed <= 0.05:
        assert relief(**asked, seat_diameter_m=needed, certificate=True).margin == pytest.approx(1.0)
    raised = steam_raised_kg_per_s(
        power_w=result.power_most_w, pressure_absolute_pa=result.relieving_pressure_absolute_pa
    )
    assert result.margin == pytest.approx(result.capacity_kg_per_s / raised)


def test_samples_choked_or_not_are_taken_together() -> None:
    mixed = relief(**{**BOILER, "set_pressure_gauge_pa": np.array([50e3, 160e3])})
    assert mixed.napier_kg_per_s is None
    assert np.all(np.asarray(mixed.margin) > 1)
    watts = np.array([20.0, 150.0, 250.0, 1000.0])
    assert relief(**{**BOILER, "rated_power_w": watts}).power_most_w == pytest.approx([24.0, 165.0, 270.0, 1050.0])
