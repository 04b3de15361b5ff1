"""Leak-down: temperature taken off, leaks found in logs, what shows nothing says so, what must not be held refused."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.leakdown import leakdown
from brasswright.bench.tightness import expansion_per_k, full_metals, stored_energy_j, water_rise_pa_per_k
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, NeedsConfirmation, NotFound, OutsideValidity

GAS: Final[dict[str, Any]] = {
    "filled": "gas", "start_pressure_gauge_pa": 15e3, "end_pressure_gauge_pa": 15e3, "start_temperature_k": 293.15,
    "end_temperature_k": 293.15, "hold_s": 600.0, "volume_m3": 2e-3, "pressure_sigma_pa": 20.0,
}  # fmt: skip
WATER: Final[dict[str, Any]] = {
    "filled": "water", "start_pressure_gauge_pa": 200e3, "end_pressure_gauge_pa": 200e3, "start_temperature_k": 293.15,
    "end_temperature_k": 293.15, "hold_s": 600.0, "pressure_sigma_pa": 500.0, "temperature_sigma_k": 0.01,
    "gauge": "reference gauge 1", "drip_seen": False,
}  # fmt: skip


def held(base: dict[str, Any], **more: Any) -> Any:
    return leakdown(**{**base, **more})


@given(st.floats(-9e4, 15e3).filter(lambda gauge: gauge not in {-999.0, -9999.0}), st.floats(-4.0, 4.0))
def test_gas_that_keeps_its_amount_loses_nothing(gauge: float, warmer: float) -> None:
    start = gauge + 101325.0
    end = start * (293.15 + warmer) / 293.15 - 101325.0
    found = held(GAS, start_pressure_gauge_pa=gauge, end_pressure_gauge_pa=end)
    moved = held(GAS, start_pressure_gauge_pa=gauge, end_pressure_gauge_pa=end, end_temperature_k=293.15 + warmer)
    assert moved.drop_unexplained_pa == pytest.approx(0.0, abs=1e-6)
    assert moved.gas_gain_mol_per_s == pytest.approx(0.0, abs=1e-12)
    assert found.drop_unexplained_pa == pytest.approx(-start * warmer / 293.15, abs=1e-6)


@given(st.floats(1.01, 4.0), st.floats(10.0, 3000.0))
def test_gas_flow_goes_with_volume_and_against_time(times: float, drop: float) -> None:
    one, wide, slow = (
        held(GAS, end_pressure_gauge_pa=15e3 - drop, **more)
        for more in ({}, {"volume_m3": 2e-3 * times}, {"hold_s": 600.0 * times})
    )
    assert one.gas_gain_mol_per_s < 0
    assert wide.gas_gain_mol_per_s == pytest.approx(times * one.gas_gain_mol_per_s)
    assert slow.gas_gain_mol_per_s == pytest.approx(one.gas_gain_mol_per_s / times)
    assert one.leak_m3_per_s == pytest.approx(-one.gas_gain_mol_per_s * 8.314462618 * 293.15 / 101325.0)


def test_a_leak_is_told_from_a_drift_of_temperature() -> None:
    drift = held(WATER, end_pressure_gauge_pa=166e3, end_temperature_k=293.05)
    leak = held(WATER, end_pressure_gauge_pa=166e3)
    assert drift.outcome == "not shown"
    assert abs(drift.significance) < 1
    assert drift.drop_by_temperature_pa == pytest.approx(34e3, rel=0.02)
    assert any("Most of the change is temperature" in note for note in drift.warnings)
    assert leak.outcome == "investigate"
    assert leak.significance > 3
    assert "look for the leak" in leak.meaning


def test_more_pressure_than_warmth_explains_is_named_even_with_a_limit() -> None:
    fed = held(WATER, end_pressure_gauge_pa=230e3, drop_limit_pa=20e3)
    assert fed.outcome == "investigate"
    assert "feeds or warms" in fed.meaning


@pytest.mark.parametrize(
    ("more", "outcome"),
    [
        ({"drop_limit_pa": 20e3}, "passed"),
        ({"drop_limit_pa": 5e3}, "not shown"),
        ({"drop_limit_pa": 20e3, "end_pressure_gauge_pa": 150e3}, "failed"),
        ({"drop_limit_pa": 20e3, "gauge": ""}, "not shown"),
        ({"drop_limit_pa": 20e3, "drip_seen": True}, "failed"),
        ({"drop_limit_pa": 20e3, "drip_seen": None}, "not shown"),
        ({"drop_limit_pa": 20e3, "start_temperature_k": None, "end_temperature_k": None}, "not shown"),
        ({}, "not shown"),
    ],
)
def test_a_hold_full_of_water_against_its_limit(more: dict[str, Any], outcome: str) -> None:
    assert held(WATER, **more).outcome == outcome


def test_without_temperatures_it_shows_no_more_than_the_drip() -> None:
    blind = held(WATER, start_temperature_k=None, end_temperature_k=None, end_pressure_gauge_pa=199e3)
    unsaid = held(WATER, start_temperature_k=None, end_temperature_k=None, drip_seen=None)
    assert "no more than no drip seen" in blind.meaning
    assert "shows nothing" in unsaid.meaning
    assert any("was not said" in note for note in unsaid.warnings)
    assert blind.drop_pa == pytest.approx(1e3)
    assert blind.drop_unexplained_pa is None


def test_a_cooling_boiler_shows_nothing() -> None:
    found = held(WATER, filled="steam", start_temperature_k=393.0, end_temperature_k=380.0)
    assert found.outcome == "not shown"
    assert "saturation line" in found.meaning


def test_a_vacuum_leaks_inwards() -> None:
    found = held(GAS, start_pressure_gauge_pa=-50e3, end_pressure_gauge_pa=-48e3)
    assert found.gas_gain_mol_per_s > 0
    assert found.outcome == "investigate"
    assert found.stored_energy_j == 0


def logged(leak_pa_per_s: float, seed: int = 1, *, temperature: bool = True) -> str:
    draws, t = np.random.default_rng(seed), np.arange(0.0, 1800.0, 30.0)
    kelvins = 293.15 - 0.1 * t / 1800.0
    rise = float(water_rise_pa_per_k(temperature_k=293.1, metal="copper"))
    pascals = 200e3 + rise * (kelvins - 293.15) - leak_pa_per_s * t + draws.normal(0.0, 100.0, t.size)
    head = "time [s],pressure [bar]" + (",temperature [°C]" if temperature else "")
    return f"{head}\n" + "\n".join(
        f"{a:g},{p / 1e5:.5f}" + (f",{k - 273.15:.4f}" if temperature else "")
        for a, p, k in zip(t, pascals, kelvins, strict=True)
    )


@pytest.mark.parametrize(("leak", "outcome"), [(0.0, "not shown"), (40.0, "investigate")])
def test_a_log_parts_leak_and_drift(leak: float, outcome: str) -> None:
    found = leakdown(filled="water", log=logged(leak), temperature_sigma_k=0.005, drip_seen=False)
    assert found.outcome == outcome
    assert found.drop_unexplained_sigma_pa is not None
    assert found.drop_unexplained_pa == pytest.approx(leak * 1770.0, abs=4 * found.drop_unexplained_sigma_pa)


def test_a_log_without_temperature_shows_no_more_than_the_drip() -> None:
    found = leakdown(filled="water", log=logged(0.0, temperature=False), drip_seen=False)
    assert found.outcome == "not shown"
    assert found.significance is None


@settings(max_examples=40)
@given(st.sampled_from(full_metals()), st.floats(275.0, 330.0), st.floats(0.1, 3.0))
def test_a_full_vessel_rises_faster_the_warmer_it_is(metal: str, kelvins: float, more: float) -> None:
    cool, warm = (float(water_rise_pa_per_k(temperature_k=t, metal=metal)) for t in (kelvins, kelvins + more))
    assert warm > cool


def test_a_metal_outside_the_table_is_refused() -> None:
    with pytest.raises(NotFound, match="copper"):
        expansion_per_k(metal="lead")
    assert stored_energy_j(volume_m3=1.0e-3, pressure_absolute_pa=90e3, outside_pa=101e3) == 0


@pytest.mark.parametrize(
    ("base", "more", "told"),
    [
        (GAS, {"volume_m3": None}, "needs the volume"),
        (GAS, {"start_pressure_gauge_pa": 30e3}, "gas_pressure_gauge_pa"),
        (GAS, {"volume_m3": 0.05}, "too much energy"),
        (GAS, {"cap": "cast"}, "phenolic or cast"),
        (WATER, {"cap": "old phenolic"}, "phenolic or cast"),
        (WATER, {"end_temperature_k": None}, "One temperature"),
        (WATER, {"hold_s": None}, "time between are needed"),
        (WATER, {"start_temperature_k": 360.0}, "temperature_k"),
        (WATER, {"log": logged(0.0)}, "one of them"),
        (WATER, {"hold_s": 0.0}, "hold_s"),
        ({"filled": "water"}, {"log": "time [s],temperature [°C]\n0,20\n1,20\n2,20\n3,20\n4,20"}, "needs pressure"),
        ({"filled": "water"}, {"log": "time [s],pressure [bar]\n0,2\n1,2\n2,2"}, "too few rows"),
        ({"filled": "water"}, {"log": "time [s],pressure [bar]\n0,2\n1,2\n2,-999\n3,2\n4,2"}, "line 4"),
    ],
)
def test_what_must_not_or_cannot_be_held_is_refused(base: dict[str, Any], more: dict[str, Any], told: str) -> None:
    with pytest.raises(BrasswrightError, match=told):
        held(base, **more)


def test_absolute_where_gauge_is_meant_asks_back() -> None:
    with pytest.raises(NeedsConfirmation, match="absolute gauge"):
        held(WATER, start_pressure_gauge_pa=101e3, end_pressure_gauge_pa=101e3)
    sure = held(WATER, start_pressure_gauge_pa=101e3, end_pressure_gauge_pa=101e3, pressure_is_gauge=True)
    assert sure.drop_pa == 0
    with pytest.raises(NeedsConfirmation):
        held(WATER, start_pressure_gauge_pa=89.9e3, end_pressure_gauge_pa=89.9e3, altitude_m=1000.0)
    with pytest.raises(OutsideValidity, match="barometer"):
        held(WATER, barometer_pressure_pa=10e3)


def test_uncertainty_of_a_reading_goes_through_and_units_do_not_matter() -> None:
    one = INSTRUMENTS["leakdown"]
    typed = {**one.example, "end_pressure": "2.05 ± 0.01 bar"}
    said = answer(one, typed)
    assert said["uncertainty"]["drop_pa"]["sigma"] == pytest.approx(1000.0, rel=0.05)
    other = answer(one, {**one.example, "start_pressure": "220 kPa", "end_pressure": "205 kPa", "time": "1200 s"})
    assert other["drop_unexplained_pa"] == pytest.approx(said["drop_unexplained_pa"])


def test_on_the_command_line() -> None:
    typed = [f"{key}={text}" for key, text in INSTRUMENTS["leakdown"].example.items()]
    said = json.loads(CliRunner().invoke(measure, ["leakdown", *typed, "--json"]).stdout)
    assert said["outcome"] == "not shown"
    assert said["rise_pa_per_k"] == pytest.approx(340e3, rel=0.02)
