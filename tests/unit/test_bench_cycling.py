"""Switching read off traces: what was drawn is found, too slow or too few shows nothing, faults are named."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, norm  # type: ignore[import-untyped] # it ships no types

from brasswright.bench import INSTRUMENTS
from brasswright.bench.cycling import cycling
from brasswright.bench.switching import duty_loss_w, missed_peak, swings, tolerance_factor
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, OutsideValidity

UP: Final = 20.0
DOWN: Final = 60.0


def saw(low: float, high: float, cycles: int = 13, step: float = 1.0) -> tuple[Any, Any]:
    times = np.arange(0.0, cycles * (UP + DOWN) + 0.5, step)
    phase = times % (UP + DOWN)
    return times, low + (high - low) * np.where(phase <= UP, phase / UP, (UP + DOWN - phase) / DOWN)


def log_of(times: Any, values: Any, head: str = "pressure [bar]", scale: float = 1e5) -> str:
    return f"time [s],{head}\n" + "\n".join(f"{t:g},{v / scale:.6f}" for t, v in zip(times, values, strict=True))


def read(log: str, **more: Any) -> Any:
    return cycling(log=log, **{"logger": "logger 1", **more})


@settings(max_examples=25, deadline=None)
@given(st.floats(0.3e5, 1.5e5), st.floats(0.03e5, 0.6e5))
def test_a_drawn_saw_is_read_back(low: float, band: float) -> None:
    assume(abs(low - 101_325.0) > 10_000.0)  # what an open, cold vessel shows on an absolute gauge is asked back
    found = read(log_of(*saw(low, low + band)), power_w=1000.0)
    assert found.cut_in_pa == pytest.approx(low, abs=1.0)
    assert found.cut_out_pa == pytest.approx(low + band, abs=1.0)
    assert found.dead_band_pa == pytest.approx(band, abs=1.5)
    assert found.duty == pytest.approx(UP / (UP + DOWN), abs=1e-9)
    assert found.standing_loss_w == pytest.approx(250.0)
    assert found.cut_in_k is None


@settings(max_examples=25, deadline=None)
@given(st.integers(3, 120), st.floats(0.6, 0.98), st.floats(0.6, 0.98))
def test_factors_lie_near_the_common_approximation(count: int, share: float, confidence: float) -> None:
    exact = tolerance_factor(count=count, share=share, confidence=confidence)
    near = norm.ppf((1 + share) / 2) * np.sqrt((count - 1) * (1 + 1 / count) / chi2.ppf(1 - confidence, count - 1))
    assert exact == pytest.approx(near, rel=0.06)
    if count < 120:
        assert tolerance_factor(count=count + 1, share=share, confidence=confidence) < exact


def test_limits_hold_what_they_promise() -> None:
    draws = np.random.default_rng(8).normal(0.0, 1.0, (4000, 10))
    half = tolerance_factor(count=10) * draws.std(axis=1, ddof=1)
    held = norm.cdf(draws.mean(axis=1) + half) - norm.cdf(draws.mean(axis=1) - half)
    assert float(np.mean(held >= 0.95)) == pytest.approx(0.95, abs=0.012)


def test_noise_spreads_the_switchings_and_is_not_chatter() -> None:
    times, values = saw(0.9e5, 1.1e5, cycles=20)
    found = read(log_of(times, values + np.random.default_rng(2).normal(0.0, 150.0, times.size)))
    assert found.chatter == 0
    assert found.cut_outs == 20
    assert 10 < found.cut_out_sd_pa < 400
    assert found.cut_out_high_pa == pytest.approx(found.cut_out_pa + found.tolerance_factor * found.cut_out_sd_pa)


def test_a_cold_start_overshoots_and_is_left_out() -> None:
    _, values = saw(0.9e5, 1.1e5)
    cold = np.concatenate([np.linspace(0.0, 1.25e5, 100), np.linspace(1.24e5, 0.91e5, 60), values])
    found = read(log_of(np.arange(cold.size), cold))
    assert found.cut_out_sd_pa == pytest.approx(0.0, abs=1.0)
    assert any("from cold" in note for note in found.warnings)


def test_chatter_is_counted_and_named() -> None:
    times, values = saw(0.9e5, 1.1e5)
    for start in (45, 205, 365):
        values[start : start + 9] += np.array([0, 3, 6, 9, 6, 3, 0, 3, 0]) * 300.0
    found = read(log_of(times, values))
    assert found.chatter >= 3
    assert any("contacts" in note for note in found.warnings)


def test_a_heater_column_gives_the_times_and_short_contacts() -> None:
    times, values = saw(0.9e5, 1.1e5)
    heater = np.where((times % 80) <= 20, 100, 0)
    heater[200] = 100
    rows = "\n".join(f"{t:g},{v / 1e5:.5f},{h}" for t, v, h in zip(times, values, heater, strict=True))
    found = read(f"time [s],pressure [bar],heater [%]\n{rows}", power_w=1000.0)
    assert found.on_s == pytest.approx(21.0, abs=1.0)
    assert found.chatter == 1
    watts = read(f"time [s],pressure [bar],heater [W]\n{rows}")
    assert watts.on_s == found.on_s
    flat = "\n".join(f"{t:g},{v / 1e5:.5f},100" for t, v in zip(times, values, strict=True))
    with pytest.raises(ImpossibleValue, match="hardly switches"):
        read(f"time [s],pressure [bar],heater [%]\n{flat}")


def test_a_log_of_temperature_fills_the_other_fields() -> None:
    found = read(
        log_of(*saw(388.15, 393.15), head="temperature [K]", scale=1.0), cut_out_limit_k=400.0, band_limit_k=8.0
    )
    assert found.dead_band_k == pytest.approx(5.0)
    assert found.cut_out_k == pytest.approx(393.15)
    assert found.dead_band_pa is None
    assert found.outcome == "passed"
    tight = read(log_of(*saw(388.15, 393.15), head="temperature [K]", scale=1.0), band_limit_k=4.0)
    assert tight.outcome == "failed"


@pytest.mark.parametrize(
    ("relief", "band", "outcome"),
    [(1.5e5, None, "passed"), (1.5e5, 0.4e5, "passed"), (1.0e5, None, "failed"), (1.12e5, None, "not shown"),
     (1.5e5, 0.1e5, "failed"), (None, None, "not asked")],
)  # fmt: skip
def test_cut_out_and_band_against_their_limits(relief: float | None, band: float | None, outcome: str) -> None:
    found = read(log_of(*saw(0.9e5, 1.1e5)), relief_set_gauge_pa=relief, band_limit_pa=band)
    assert found.outcome == outcome


def test_slow_readings_few_cycles_or_no_logger_show_nothing() -> None:
    slow = read(log_of(*saw(0.9e5, 1.1e5, cycles=20, step=10.0)), relief_set_gauge_pa=1.8e5)
    few = read(log_of(*saw(0.9e5, 1.1e5, cycles=6)), relief_set_gauge_pa=1.8e5)
    unnamed = read(log_of(*saw(0.9e5, 1.1e5)), relief_set_gauge_pa=1.8e5, logger="")
    lagging = read(log_of(*saw(0.9e5, 1.1e5)), relief_set_gauge_pa=1.8e5, sensor_time_s=30.0)
    assert [one.outcome for one in (slow, few, unnamed, lagging)] == ["not shown"] * 4
    assert "too far apart" in slow.verdicts[0]
    assert "fewer than ten" in few.verdicts[0]
    assert lagging.hidden_pa == pytest.approx(0.2e5 / UP * 31.0, rel=0.01)


@pytest.mark.parametrize(
    ("expected", "told"),
    [(250.0, "agree within a fifth"), (150.0, "more is lost"), (500.0, "less is lost"), (None, "not asked")],
)
def test_loss_by_duty_is_held_against_the_one_expected(expected: float | None, told: str) -> None:
    found = read(log_of(*saw(0.9e5, 1.1e5)), power_w=1000.0, expected_loss_w=expected, power_sigma_w=5.0)
    assert told in found.loss_finding
    vague = read(log_of(*saw(0.9e5, 1.1e5)), power_w=1000.0, expected_loss_w=200.0, expected_loss_sigma_w=100.0)
    assert "too uncertain" in vague.loss_finding


def test_a_drifting_cut_out_is_named() -> None:
    times, values = saw(0.9e5, 1.1e5)
    found = read(log_of(times, values + 10.0 * times + np.random.default_rng(1).normal(0.0, 50.0, times.size)))
    assert found.drift > 3
    assert any("drifts up" in note for note in found.warnings)


def test_absolute_where_gauge_is_meant_asks_back() -> None:
    _, values = saw(1.9e5, 2.1e5)
    cold = np.concatenate([np.linspace(1.013e5, 1.9e5, 100), values])
    with pytest.raises(NeedsConfirmation, match="absolute gauge"):
        read(log_of(np.arange(cold.size), cold))
    marked = read(log_of(np.arange(cold.size), cold, head="pressure [bar abs]"))
    taken = read(log_of(np.arange(cold.size), cold), pressure_is_gauge=True)
    assert taken.cut_out_pa - marked.cut_out_pa == pytest.approx(101325.0)


@pytest.mark.parametrize(
    ("log", "more", "told"),
    [
        ("time [s],pressure [bar]\n" + "\n".join(f"{t},1.0" for t in range(20)), {}, "does not swing"),
        (log_of(*saw(0.9e5, 1.1e5, cycles=2)), {}, "Too few switchings"),
        (log_of(*saw(0.9e5, 1.1e5)), {"band_limit_k": 5.0}, "cannot be held against"),
        (log_of(*saw(0.9e5, 1.1e5)), {"power_w": 1.0}, "power_w"),
        (log_of(*saw(0.9e5, 1.1e5)), {"power_w": np.array([900.0, 1000.0])}, "one figure"),
        ("time [s],pressure [bar]\n0,1.0\n1,1.1\n100,1.0\n101,1.1\n102,1.0\n", {}, "gap"),
        ("time [s],pressure [m]\n0,1.0\n1,1.1\n2,1.0\n", {}, "line 1"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused(log: str, more: dict[str, Any], told: str) -> None:
    with pytest.raises(BrasswrightError, match=told):
        read(log, **more)


def test_edges_of_the_parts() -> None:
    with pytest.raises(ImpossibleValue, match="above zero"):
        swings(times_s=np.arange(3.0), values=np.arange(3.0), swing=0.0)
    with pytest.raises(ImpossibleValue, match="both zero"):
        duty_loss_w(power_w=1.0, on_s=0.0, off_s=0.0)
    with pytest.raises(OutsideValidity):
        tolerance_factor(count=1)
    assert swings(times_s=np.arange(9.0), values=np.arange(9.0), swing=1.0).values.size == 0
    assert missed_peak(slope_per_s=np.array([1.0, 2.0]), step_s=0.5) == pytest.approx([0.5, 1.0])


@given(st.lists(st.floats(0.0, 10.0), min_size=3, max_size=60), st.floats(0.1, 5.0))
def test_extremes_alternate_and_lie_a_swing_apart(values: list[float], swing: float) -> None:
    found = swings(times_s=np.arange(float(len(values))), values=np.array(values), swing=swing)
    assert np.all(np.abs(np.diff(found.is_high)) == 1)
    assert np.all(np.abs(np.diff(found.values)) >= swing)
    assert np.all(np.diff(found.times_s) > 0)


def test_on_the_command_line() -> None:
    typed = [f"{key}={text}" for key, text in INSTRUMENTS["cycling"].example.items()]
    said = json.loads(CliRunner().invoke(measure, ["cycling", *typed, "--json"]).stdout)
    assert said["outcome"] == "not shown"
    assert said["standing_loss_w"] == pytest.approx(250.0)
