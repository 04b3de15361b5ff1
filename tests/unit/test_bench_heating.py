"""A logged heating curve: what went in comes out, bends are found, contradictions named, bad logs refused."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit  # type: ignore[import-untyped] # it ships no types

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.boiler_log import read_boiler_log
from brasswright.bench.heating import heating
from brasswright.bench.rise import bend, rise_fit, time_to
from brasswright.bench.saturation import saturation_pressure_pa
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, OutsideValidity
from brasswright.units import kelvin

ROOM_K: Final = 293.15
TIMES: Final = np.arange(0.0, 900.0, 30.0)


def log_of(times: Any, kelvins: Any) -> str:
    lines = "\n".join(f"{t:g},{k:.5f}" for t, k in zip(times, kelvins, strict=True))
    return f"time [s],temperature [K]\n{lines}"


def warmed(watts: float = 1000.0, capacity: float = 9000.0, loss: float = 2.0, times: Any = TIMES) -> Any:
    return ROOM_K + watts / loss * (1 - np.exp(-loss * times / capacity))


def plain(log: str, **more: Any) -> Any:
    return heating(log=log, **{"power_w": 1000.0, "room_temperature_k": ROOM_K, **more})


@settings(max_examples=30, deadline=None)
@given(st.floats(0.02, 0.3), st.floats(1e-4, 3e-3), st.floats(250.0, 330.0))
def test_a_clean_curve_gives_slope_and_pace_back(slope: float, pace: float, start: float) -> None:
    found = rise_fit(times_s=TIMES, rises_k=start + slope * (1 - np.exp(-pace * TIMES)) / pace)
    assert found.slope == pytest.approx(slope, rel=1e-4)
    assert found.pace == pytest.approx(pace, rel=1e-2, abs=1e-8)
    assert found.start == pytest.approx(start, abs=1e-4)


def test_noise_gives_the_uncertainties_that_another_fitter_gives() -> None:
    noisy = warmed() + np.random.default_rng(3).normal(0.0, 0.2, TIMES.size)
    found = rise_fit(times_s=TIMES, rises_k=noisy)
    values, together = curve_fit(
        lambda t, a, s, k: a + s * (1 - np.exp(-k * t)) / k, TIMES, noisy, p0=(293.0, 0.1, 2e-4)
    )
    assert (found.start, found.slope, found.pace) == pytest.approx(tuple(values), rel=1e-4)
    assert np.array(found.covariance) == pytest.approx(together, rel=0.02)


def test_masses_alone_give_the_power_it_warms_with() -> None:
    both = plain(log_of(TIMES, warmed()), water_volume_m3=1.7e-3, metal_mass_kg=5.0)
    alone = plain(log_of(TIMES, warmed()), power_w=None, water_volume_m3=1.7e-3, metal_mass_kg=5.0)
    assert alone.apparent_power_w == pytest.approx(both.apparent_power_w)
    assert alone.heat_capacity_j_per_k == both.reckoned_capacity_j_per_k
    assert alone.finding == "not asked"
    assert "It warms as with" in alone.meaning


@pytest.mark.parametrize(
    ("watts", "finding"),
    [(1000.0, "power and masses agree"), (1500.0, "warms slower than"), (700.0, "warms faster than")],
)
def test_power_is_held_against_the_masses(watts: float, finding: str) -> None:
    capacity = 1.5e-3 * 998.2 * 4184 + 4.5 * 380
    found = plain(log_of(TIMES, warmed(capacity=capacity)), power_w=watts, water_volume_m3=1.5e-3, metal_mass_kg=4.5)
    assert finding in found.finding
    assert found.apparent_power_w == pytest.approx(1000.0, rel=0.02)


def test_more_power_stated_means_more_capacity_and_more_loss() -> None:
    weak, strong = (plain(log_of(TIMES, warmed()), power_w=watts) for watts in (1000.0, 1100.0))
    assert strong.heat_capacity_j_per_k == pytest.approx(1.1 * weak.heat_capacity_j_per_k)
    assert strong.loss_w_per_k == pytest.approx(1.1 * weak.loss_w_per_k)


def test_minutes_and_degrees_fahrenheit_say_the_same_as_seconds_and_kelvin() -> None:
    kelvins = warmed()
    lines = "\n".join(f"{t / 60:.6f};{(k - 273.15) * 1.8 + 32:.5f}" for t, k in zip(TIMES, kelvins, strict=True))
    other = plain(f"time [min];temperature [°F]\n{lines}")
    assert other.heat_capacity_j_per_k == pytest.approx(plain(log_of(TIMES, kelvins)).heat_capacity_j_per_k, rel=1e-4)


def test_a_bend_near_boiling_is_named() -> None:
    slower = np.where(TIMES > 600.0, 0.6, 1.0)
    kelvins = 313.15 + np.concatenate([[0.0], np.cumsum(slower[1:] * 30.0 * 0.1)])
    noisy = kelvins + np.random.default_rng(2).normal(0.0, 0.05, TIMES.size)
    found = plain(log_of(TIMES, noisy))
    assert found.bend_time_s == pytest.approx(600.0, abs=60.0)
    assert found.bend_temperature_k == pytest.approx(373.15, abs=5.0)
    assert any("pushes air out" in note for note in found.warnings)
    assert plain(log_of(TIMES, warmed())).bend_time_s is None


def test_noise_alone_makes_no_bend() -> None:
    draws = np.random.default_rng(11)
    for _ in range(20):
        assert plain(log_of(TIMES, warmed() + draws.normal(0.0, 0.3, TIMES.size))).bend_time_s is None


def test_the_set_point_is_reached_when_the_curve_says_so() -> None:
    found = plain(log_of(TIMES, warmed()), set_temperature_k=360.0)
    assert found.to_set_point_s == pytest.approx(float(np.interp(360.0, warmed(), TIMES)), abs=2.0)
    assert found.loss_at_set_point_w == pytest.approx(2.0 * (360.0 - ROOM_K), rel=0.05)
    far = plain(log_of(TIMES[:12], warmed()[:12]), set_pressure_gauge_pa=300e3)
    assert far.to_set_point_s is None
    assert any("not shown" in note for note in far.warnings)
    assert time_to(rise=rise_fit(times_s=TIMES, rises_k=warmed(loss=9.0)), height_k=ROOM_K + 500.0) is None


def test_a_short_curve_does_not_show_the_loss() -> None:
    noisy = warmed()[:9] + np.random.default_rng(4).normal(0.0, 0.3, 9)
    found = plain(log_of(TIMES[:9], noisy))
    assert found.loss_w_per_k is None
    assert "not shown" in found.meaning


def test_pressure_becomes_temperature_and_silence_below_boiling_is_left_out() -> None:
    times = np.arange(0.0, 1200.0, 20.0)
    kelvins = warmed(times=times, loss=1.5)
    gauge = [max(float(saturation_pressure_pa(temperature_k=float(k))) - 101325.0, 0.0) for k in kelvins]
    text = "time [s],pressure [bar]\n" + "\n".join(f"{t:g},{p / 1e5:.6f}" for t, p in zip(times, gauge, strict=True))
    found = plain(text, set_pressure_gauge_pa=100e3)
    assert found.heat_capacity_j_per_k == pytest.approx(9000.0, rel=0.05)
    assert found.to_set_point_s == pytest.approx(float(np.interp(100e3, gauge, times)), abs=10.0)
    assert any("without pressure" in note for note in found.warnings)


def test_an_absolute_log_is_taken_as_such_and_a_bare_one_asks() -> None:
    head, rows = "time [s],pressure [bar{}]\n", "\n".join(f"{t},{1.013 + 0.002 * t}" for t in range(0, 600, 20))
    with pytest.raises(NeedsConfirmation, match="absolute gauge"):
        plain(head.format("") + rows)
    absolute = plain(head.format(" abs") + rows)
    gauge = plain(head.format("") + rows, pressure_is_gauge=True)
    assert absolute.points < gauge.points
    log = read_boiler_log(head.format(" abs") + rows, barometer_pa=101300.0)
    assert log.pressure_gauge_pa is not None
    assert log.pressure_gauge_pa[0] == pytest.approx(0.0, abs=1.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("time [s],force [N]\n0,1\n1,2\n2,3", "neither temperature nor pressure"),
        ("time [s],temperature\n0,20\n60,30\n120,40", "no unit"),
        ("time [s],pressure [bar]\n0,0\n60,0\n120,0", "never rises"),
        ("time [s],temperature [°C]\n0,20\n60,40\n60,50\n180,60", "line 4: 'time' is there twice"),
        ("time [s],temperature [°C]\n0,20\n60,40\n120,50\n9180,60", "line 5: There is a gap"),
        ("time [s];temperature [°C]\n0,20\n60,40\n120,50", "line 2"),
        ("time [s],temperature [°C]\n0,20\n60,40\n120,60", "needs points"),
        ("time [s],temperature [°C]\n0,90\n60,60\n120,40\n180,20", "rises too little"),
    ],
)
def test_a_bad_log_is_refused_with_its_fault(text: str, told: str) -> None:
    with pytest.raises(BrasswrightError, match=told):
        plain(text)


def test_contradictions_and_gaps_in_what_was_given_are_refused() -> None:
    log = log_of(TIMES, warmed())
    with pytest.raises(ImpossibleValue, match="Neither power nor water"):
        plain(log, power_w=None)
    with pytest.raises(ImpossibleValue, match="twice"):
        plain(log, set_temperature_k=390.0, set_pressure_gauge_pa=1e5)
    with pytest.raises(ImpossibleValue, match="one figure"):
        plain(log, power_w=np.array([900.0, 1000.0]))
    with pytest.raises(OutsideValidity, match="power_w"):
        plain(log, power_w=1.0)
    with pytest.raises(ImpossibleValue, match="rises"):
        rise_fit(times_s=TIMES, rises_k=warmed()[::-1])
    assert bend(rise=rise_fit(times_s=TIMES, rises_k=warmed()), times_s=TIMES[:10], rises_k=warmed()[:10]) is None


def test_the_readings_after_the_highest_are_left_out() -> None:
    kelvins = np.concatenate([warmed(), [380.0, 370.0]])
    found = plain(log_of([*TIMES, 900.0, 930.0], kelvins))
    assert found.points == TIMES.size
    assert any("after the highest" in note for note in found.warnings)


def test_stated_uncertainty_of_the_power_goes_into_capacity_and_loss() -> None:
    one = INSTRUMENTS["heating"]
    sharp, vague = (
        answer(one, {**one.example, "power": f"1000 ± {sigma} W"})["heat_capacity_sigma_j_per_k"] for sigma in (1, 50)
    )
    assert vague == pytest.approx(np.hypot(sharp, 0.05 * 8000), rel=0.05)


def test_on_the_command_line() -> None:
    typed = [f"{key}={text}" for key, text in INSTRUMENTS["heating"].example.items()]
    said = json.loads(CliRunner().invoke(measure, ["heating", *typed, "--json"]).stdout)
    assert said["finding"] == "power and masses agree"
    assert kelvin(celsius=20.0) == ROOM_K
    assert said["loss_w_per_k"] == pytest.approx(1.6, rel=0.1)


@pytest.mark.parametrize(("air_pa", "told"), [(0.0, False), (25e3, True)])
def test_air_left_in_shows_where_gauge_and_probe_were_both_logged(air_pa: float, told: bool) -> None:
    times = np.arange(0.0, 1200.0, 30.0)
    kelvins = warmed(times=times, loss=1.5)
    gauge = np.maximum(np.asarray(saturation_pressure_pa(temperature_k=kelvins)) - 101325.0, 0.0) + air_pa
    rows = "\n".join(f"{t:g},{k:.4f},{p / 1e5:.5f}" for t, k, p in zip(times, kelvins, gauge, strict=True))
    found = plain(f"time [s],temperature [K],pressure [bar]\n{rows}")
    assert any("Gauge and probe" in note for note in found.warnings) is told
