"""Heating up: closed forms, a second integrator, and the laws of one lump."""

from __future__ import annotations

import math
from typing import Any, Final

import iapws
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp  # type: ignore[import-untyped] # it ships no types

from brasswright.bench.heatup import heatup
from brasswright.bench.warming import (
    Lump,
    metals,
    specific_heat_j_per_kg_k,
    steam_space_heat_j,
    time_between_s,
    water_mass_kg,
)
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity

BOILER: Final[dict[str, Any]] = {
    "power_w": 1000.0, "water_volume_m3": 1.5e-3, "target_pressure_gauge_pa": 100e3, "metal_mass_kg": 5.0,
    "standing_loss_w": 150.0,
}  # fmt: skip
ROOM_K: Final = 293.15


def lump(capacity: float, loss: float, water: float = 0.0) -> Lump:
    water_kg, rest, conductance, room = (np.asarray(value) for value in (water, capacity, loss, ROOM_K))
    return Lump(water_kg, rest, conductance, room)


@given(st.floats(500.0, 50_000.0), st.floats(0.1, 5.0), st.floats(600.0, 5000.0), st.floats(295.0, 395.0))
def test_constant_heat_capacity_follows_the_closed_form(capacity: float, loss: float, watts: float, end: float) -> None:
    took = time_between_s(lump=lump(capacity, loss), power_w=watts, from_k=ROOM_K, to_k=end)
    closed = -capacity / loss * math.log1p(-loss * (end - ROOM_K) / watts)
    assert took == pytest.approx(closed, rel=1e-6)


@given(st.floats(500.0, 50_000.0), st.floats(0.1, 5.0), st.floats(330.0, 395.0))
def test_cooling_follows_the_closed_form(capacity: float, loss: float, start: float) -> None:
    took = time_between_s(lump=lump(capacity, loss), power_w=0.0, from_k=start, to_k=start - 15.0)
    closed = capacity / loss * math.log((start - ROOM_K) / (start - 15.0 - ROOM_K))
    assert took == pytest.approx(closed, rel=1e-6)


def test_a_second_integrator_with_the_open_steam_library_agrees() -> None:
    result = heatup(**BOILER)
    target = float(result.target_temperature_k)
    loss = 150.0 / (target - ROOM_K)
    mass = 1.5e-3 / iapws.IAPWS97(T=ROOM_K, P=0.101325).v

    def slope(_: float, state: np.ndarray[Any, np.dtype[np.float64]]) -> list[float]:
        heat = iapws.IAPWS97(T=float(state[0]), x=0).cp * 1000 * mass + 5.0 * 380.0
        return [(1000.0 - loss * (float(state[0]) - ROOM_K)) / heat]

    there = lambda _, state: state[0] - target  # noqa: E731 - the event of the integrator
    there.terminal = True  # type: ignore[attr-defined] # how the integrator is told to stop
    run = solve_ivp(slope, (0.0, 3600.0), [ROOM_K], events=there, rtol=1e-6)
    assert result.to_pressure_s == pytest.approx(float(run.t_events[0][0]), rel=1e-3)


def test_without_a_loss_it_is_the_least_time_and_says_so() -> None:
    bare = heatup(**{**BOILER, "standing_loss_w": None})
    assert bare.to_pressure_s == bare.without_loss_s
    assert bare.loss_w is None
    assert bare.duty is None
    assert "at the least" in bare.meaning
    assert any("Without a loss" in note for note in bare.warnings)
    assert heatup(**BOILER).to_pressure_s > bare.to_pressure_s


def test_loss_and_cooling_time_say_the_same() -> None:
    by_loss = heatup(**BOILER)
    by_time = heatup(**{**BOILER, "standing_loss_w": None, "cooling_time_s": by_loss.cooling_time_s})
    assert by_time.loss_w == pytest.approx(150.0)
    assert by_time.to_pressure_s == pytest.approx(by_loss.to_pressure_s)
    with pytest.raises(ImpossibleValue, match="twice"):
        heatup(**BOILER, cooling_time_s=3600.0)


def test_the_pressurestat_is_on_for_the_share_that_the_loss_asks() -> None:
    result = heatup(**BOILER, cut_in_pressure_gauge_pa=80e3)
    assert result.on_s is not None
    assert result.off_s is not None
    assert result.duty is not None
    share = float(result.on_s) / float(result.on_s + result.off_s)
    assert share == pytest.approx(float(result.duty), rel=0.05)
    assert "pressurestat is on" in result.meaning
    assert heatup(**{**BOILER, "standing_loss_w": None}, cut_in_pressure_gauge_pa=80e3).on_s is None


def test_an_element_that_cannot_hold_the_loss_is_refused() -> None:
    with pytest.raises(OutsideValidity, match="power_w"):
        heatup(**{**BOILER, "power_w": 140.0})
    with pytest.raises(OutsideValidity, match="to_k"):
        time_between_s(lump=lump(4000.0, 1.0), power_w=0.0, from_k=330.0, to_k=ROOM_K)


def test_a_great_loss_and_missing_metal_are_named() -> None:
    notes = heatup(**{**BOILER, "standing_loss_w": 700.0, "metal_mass_kg": 0.0}).warnings
    assert any("More than half" in note for note in notes)
    assert any("No metal" in note for note in notes)


def test_metals_outside_the_table_are_refused() -> None:
    assert "copper" in metals()
    with pytest.raises(NotFound, match="brass"):
        specific_heat_j_per_kg_k(metal="unobtainium")
    with pytest.raises(OutsideValidity):
        water_mass_kg(volume_m3=1.0, temperature_k=ROOM_K)


@given(st.floats(300.0, 5000.0), st.floats(1.01, 3.0))
def test_more_power_is_never_slower(watts: float, times: float) -> None:
    weak, strong = (heatup(**{**BOILER, "power_w": power}) for power in (watts, watts * times))
    assert strong.to_pressure_s < weak.to_pressure_s
    assert strong.loss_w == pytest.approx(weak.loss_w)


@given(st.floats(2e-4, 1e-2), st.floats(1.01, 3.0), st.floats(10e3, 200e3))
def test_more_water_and_more_pressure_take_longer(volume: float, times: float, pascals: float) -> None:
    asked = {**BOILER, "water_volume_m3": volume, "target_pressure_gauge_pa": pascals}
    plain = heatup(**asked)
    assert heatup(**{**asked, "water_volume_m3": volume * times}).to_pressure_s > plain.to_pressure_s
    assert heatup(**{**asked, "target_pressure_gauge_pa": pascals * times}).without_loss_s > plain.without_loss_s


def test_samples_are_taken_together() -> None:
    watts = np.array([800.0, 1000.0, 1200.0])
    together = heatup(**{**BOILER, "power_w": watts}, cut_in_pressure_gauge_pa=80e3)
    singly = [heatup(**{**BOILER, "power_w": float(one)}, cut_in_pressure_gauge_pa=80e3) for one in watts]
    assert together.to_pressure_s == pytest.approx([one.to_pressure_s for one in singly])
    assert together.on_s == pytest.approx([one.on_s for one in singly])


def test_case_and_steam_space_take_up_heat_too() -> None:
    plain = heatup(**BOILER)
    cased = heatup(**BOILER, case_mass_kg=4.0)
    steamy = heatup(**BOILER, vessel_volume_m3=2.5e-3)
    assert cased.without_loss_s - plain.without_loss_s == pytest.approx(4.0 * 510 * 0.3 * 100.4 / 1000, rel=0.01)
    held = steam_space_heat_j(volume_m3=1e-3, from_k=ROOM_K, to_k=float(plain.target_temperature_k))
    assert steamy.without_loss_s - plain.without_loss_s == pytest.approx(float(held) / 1000.0, rel=0.01)
    with pytest.raises(ImpossibleValue, match="no space for steam"):
        heatup(**BOILER, vessel_volume_m3=1.4e-3)
    with pytest.raises(OutsideValidity, match="vessel_volume_m3"):
        heatup(**BOILER, vessel_volume_m3=1.0)


def test_a_wider_dead_band_switches_less_often() -> None:
    narrow, wide = (heatup(**BOILER, cut_in_pressure_gauge_pa=pascals) for pascals in (90e3, 60e3))
    assert narrow.cycles_per_hour is not None
    assert wide.cycles_per_hour is not None
    assert wide.cycles_per_hour < narrow.cycles_per_hour
    assert narrow.on_s is not None
    assert narrow.off_s is not None
    assert narrow.cycles_per_hour * (narrow.on_s + narrow.off_s) == pytest.approx(3600.0)
    assert heatup(**BOILER).cycles_per_hour is None
