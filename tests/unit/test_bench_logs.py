"""Logged curves: what is wrong with a log is named by line; curves through points against certified values."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit  # type: ignore[import-untyped] # it ships no types

from brasswright.bench import INSTRUMENTS
from brasswright.bench.cooling import cooling, cooling_fit
from brasswright.bench.fitting import fit
from brasswright.bench.heatup import heatup
from brasswright.bench.saturation import saturation_pressure_pa
from brasswright.bench.traces import read_trace
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, NotFound, OutsideValidity

if TYPE_CHECKING:
    from pathlib import Path

COLUMNS: Final = {"time": "time", "temperature": "temperature"}
HEAD: Final = "time [s],temperature [°C]\n"
# NIST Statistical Reference Datasets, Misra1a: data from memory, borne out by the certified sum of squares below.
PRESSURE: Final = np.array(
    [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0]
)
VOLUME: Final = np.array(
    [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78]
)


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)])
def test_the_certified_values_of_misra1a_are_met(start: tuple[float, float]) -> None:
    found = fit(lambda p: p[0] * (1 - np.exp(-p[1] * PRESSURE)), start=start, target=VOLUME)
    assert found.values == pytest.approx((238.94212918, 5.5015643181e-4), rel=1e-7)
    assert found.sigmas == pytest.approx((2.7070075241, 7.2668688436e-6), rel=1e-6)
    assert found.squares == pytest.approx(0.12455138894, rel=1e-9)


def test_a_fit_needs_points_and_a_curve_that_settles() -> None:
    with pytest.raises(ImpossibleValue, match="too few points"):
        fit(lambda p: p[0] + p[1] * np.arange(2.0), start=[0.0, 0.0], target=np.array([1.0, 2.0]))


@given(st.floats(600.0, 20_000.0), st.floats(20.0, 110.0), st.floats(283.0, 303.0))
def test_a_clean_curve_gives_its_time_back(tau: float, excess: float, room: float) -> None:
    t = np.linspace(0.0, 1.5 * tau, 20)
    found = cooling_fit(times_s=t, temperatures_k=room + excess * np.exp(-t / tau), room_temperature_k=room)
    assert found.cooling_time_s == pytest.approx(tau, rel=1e-6)
    assert found.start_temperature_k == pytest.approx(room + excess, abs=1e-5)


def test_noise_gives_the_uncertainty_that_another_fitter_gives() -> None:
    t = np.linspace(0.0, 5400.0, 60)
    noisy = 293.15 + 95.0 * np.exp(-t / 4000.0) + np.random.default_rng(5).normal(0.0, 0.3, t.size)
    found = cooling_fit(times_s=t, temperatures_k=noisy)
    values, covariance = curve_fit(lambda x, a, tau, c: c + a * np.exp(-x / tau), t, noisy, p0=(90.0, 3000.0, 290.0))
    assert found.cooling_time_s == pytest.approx(values[1], rel=1e-4)
    assert found.cooling_time_sigma_s == pytest.approx(float(np.sqrt(covariance[1, 1])), rel=1e-2)
    assert found.spread_k == pytest.approx(0.3, rel=0.3)
    assert abs(found.cooling_time_s - 4000.0) < 4 * found.cooling_time_sigma_s
    assert abs(found.drift) < 3


def test_a_curve_of_two_paces_is_named() -> None:
    t = np.linspace(0.0, 5400.0, 60)
    noise = np.random.default_rng(5).normal(0.0, 0.05, t.size)
    both = 293.15 + 60.0 * np.exp(-t / 5000.0) + 35.0 * np.exp(-t / 700.0) + noise
    found = cooling_fit(times_s=t, temperatures_k=both, room_temperature_k=293.15)
    assert found.drift > 3
    assert "faster at first" in found.meaning


def test_what_was_logged_gives_the_loss() -> None:
    lines = [f"{m},{20 + 100 * np.exp(-m / 80):.3f}" for m in range(0, 90, 5)]
    found = cooling(log="time [min],temperature [°C]\n" + "\n".join(lines))
    asked: dict[str, Any] = {
        "power_w": 1000.0,
        "water_volume_m3": 1.5e-3,
        "target_pressure_gauge_pa": 100e3,
        "metal_mass_kg": 5.0,
    }
    result = heatup(**asked, cooling_time_s=found.cooling_time_s)
    assert found.cooling_time_s == pytest.approx(80 * 60, rel=1e-3)
    assert result.loss_w == pytest.approx((1.497 * 4250 + 5 * 380) * 100.4 / 4800, rel=0.01)


def test_a_curve_that_hardly_falls_or_runs_backwards_is_refused() -> None:
    t = np.arange(0.0, 600.0, 60.0)
    with pytest.raises(ImpossibleValue, match="falls too little"):
        cooling_fit(times_s=t, temperatures_k=350.0 - t / 1000.0)
    with pytest.raises(ImpossibleValue, match="rise"):
        cooling_fit(times_s=t[::-1], temperatures_k=350.0 - t / 20.0)
    with pytest.raises(ImpossibleValue, match="needs points"):
        cooling_fit(times_s=t[:3], temperatures_k=350.0 - t[:3] / 20.0)
    with pytest.raises(OutsideValidity, match="room_temperature_k"):
        cooling_fit(times_s=t, temperatures_k=350.0 - t / 20.0, room_temperature_k=349.0)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "empty"),
        (HEAD + "0,90\n10,80\n", "too few rows"),
        ("time,temperature [°C]\n0,90\n1,80\n2,70\n", "no unit"),
        ("time [s],temperature [bar]\n0,90\n1,80\n2,70\n", "line 1"),
        ("time [s],pressure [bar]\n0,90\n1,80\n2,70\n", "'temperature' is not there"),
        ("time [s],time [s],temperature [°C]\n0,0,90\n1,1,80\n2,2,70\n", "more than once"),
        ("time [s] temperature [°C]\n0 90\n1 80\n2 70\n", "one column only"),
        (HEAD + "0,90\n10;80\n20,70\n", "parted by commas, this one by semicolons"),
        (HEAD + "0,90,5\n10,80,5\n20,70,5\n", "Decimal commas need"),
        (HEAD + "0,90\n10,\n20,70\n", r"line 3: 'temperature' is empty"),
        (HEAD + "0,90\n10,80\n10,79\n20,70\n", r"line 4: 'time' is there twice"),
        (HEAD + "0,90\n20,80\n10,85\n30,70\n", r"line 4: 'time' goes back"),
        (HEAD + "0,90\n10,80\n20,70\n30,60\n900,20\n", r"line 6: There is a gap"),
        (HEAD + "0,90\n10,-999\n20,70\n", "line 3"),
        (HEAD + "0,90\n10,nan\n20,70\n", "line 3"),
        (HEAD + "0,90\n10,over range\n20,70\n", "line 3"),
    ],
)
def test_what_is_wrong_with_a_log_is_named(text: str, told: str) -> None:
    with pytest.raises((ImpossibleValue, NotFound), match=told):
        read_trace(text, columns=COLUMNS, source="log.csv")


def test_gaps_and_unordered_columns_are_taken_when_said_so() -> None:
    gappy = HEAD + "0,90\n10,80\n20,70\n30,60\n900,20\n"
    assert len(read_trace(gappy, columns=COLUMNS, source="log.csv", gap_times=None)) == 5
    cycle = "travel [mm]\tforce [N]\n0\t0\n5,125\t100,5\n2,5\t60\n0\t2\n"
    read = read_trace(cycle, columns={"travel": "length", "force": "force"}, source="cycle.csv", rising=None)
    assert read["travel"].tolist() == pytest.approx([0.0, 5.125e-3, 2.5e-3, 0.0])
    assert read.lines == (2, 3, 4, 5)
    with pytest.raises(NotFound, match="travel"):
        read["speed"]


def test_clock_times_comments_and_other_columns_are_read() -> None:
    head = "\ufeff# boiler off at nine\nTime (min); Note ; Temperature (°C)\n"
    text = head + "0:00;lid shut;90\n\n0:01:30;;80\n0:03:00;;71\n"
    read = read_trace(text, columns=COLUMNS, source="log.csv")
    assert read["time"].tolist() == [0.0, 90.0, 180.0]
    assert read["temperature"].tolist() == pytest.approx([363.15, 353.15, 344.15])


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    try:
        read = read_trace(text, columns=COLUMNS, source="log.csv")
    except BrasswrightError as refusal:
        assert "log.csv" in str(refusal)  # noqa: PT017 - any text may be refused, but never without its place
    else:
        assert len(read) >= 3


def test_a_log_is_taken_from_its_file_or_as_text(tmp_path: Path) -> None:
    log = str(INSTRUMENTS["cooling"].example["log"])
    file = tmp_path / "evening.csv"
    file.write_text(log, encoding="utf-8")
    answers = [
        CliRunner().invoke(measure, ["cooling", f"log={given_as}", "--json"]).stdout for given_as in (log, str(file))
    ]
    assert json.loads(answers[0]) == json.loads(answers[1])
    missing = CliRunner().invoke(measure, ["cooling", f"log={tmp_path / 'morning.csv'}"])
    assert missing.exit_code == 2
    assert "cannot be read" in missing.output


def test_water_and_metal_turn_the_cooling_time_into_a_loss() -> None:
    rows = "".join(f"{m},{20 + 80 * np.exp(-m / 60):.4f}\n" for m in range(0, 60, 5))
    asked: dict[str, Any] = {"log": "time [min],temperature [°C]\n" + rows, "room_temperature_k": 293.15}
    bare, small = cooling(**asked), cooling(**asked, water_volume_m3=1e-3, metal_mass_kg=3.0)
    large = cooling(**asked, water_volume_m3=2e-3, metal_mass_kg=6.0)
    assert bare.loss_w_per_k is None
    assert small.loss_w_per_k is not None
    assert small.loss_w_per_k == pytest.approx((0.9982 * 4200 + 3 * 380) / 3600, rel=0.01)
    assert large.loss_w_per_k == pytest.approx(2 * small.loss_w_per_k)
    with pytest.raises(ImpossibleValue, match="one figure"):
        cooling(**{**asked, "room_temperature_k": np.array([293.0, 294.0])})


def test_a_log_of_pressure_cools_along_the_saturation_line() -> None:
    times = np.arange(0.0, 3000.0, 60.0)
    kelvins = 293.15 + 105.0 * np.exp(-times / 6000.0)
    gauge = np.asarray(saturation_pressure_pa(temperature_k=kelvins)) - 101325.0
    rows = "\n".join(f"{t:g},{max(p, 0.0) / 1e5:.6f}" for t, p in zip(times, gauge, strict=True))
    found = cooling(log=f"time [s],pressure [bar]\n{rows}", room_temperature_k=293.15)
    assert found.cooling_time_s == pytest.approx(6000.0, rel=1e-3)
    assert found.points < times.size
    with pytest.raises(ImpossibleValue, match="no pressure"):
        cooling(log="time [s],pressure [bar]\n0,0\n1,0\n2,0")
    with pytest.raises(NeedsConfirmation, match="absolute gauge"):
        cooling(log="time [s],pressure [bar]\n0,2.1\n60,1.6\n120,1.2\n180,1.013")
