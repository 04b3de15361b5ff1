"""Logged shots: what was put into a trace is found in it, noise alone raises nothing, what is wrong is refused."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import pytest
from click.testing import CliRunner

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.shot import shot
from brasswright.bench.shotlog import ShotLog, shotlog
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, ImpossibleValue, NotFound, OutsideValidity

if TYPE_CHECKING:
    from pathlib import Path

ML: Final = 1e-6
BAR: Final = 1e5
BEGUN: Final = 1.13 * ML
"""Flow of the traces at 9 bar when the first half millilitre is in the cup."""
AREA: Final = np.pi * 0.054**2 / 4
RATE: Final = 4 * 9806.65
FALL: Final = RATE / AREA**2
COCKED: Final = RATE * 0.053 / AREA
SPRING: Final[dict[str, Any]] = {
    "piston_diameter_m": 0.054, "spring_rate_n_per_m": RATE, "spring_compression_m": 0.053,
}  # fmt: skip


def trace(
    *, first: float = 1.1, last: float = 1.8, leak: float = 0.0, noise_bar: float = 0.0, seed: int = 1, **other: Any
) -> str:
    """A pull stepped through in small steps of time, each reading off by noise, as a log."""
    channel, lost, step = other.get("channel_s", 1e9), other.get("lost_bar", 0.0), 0.01
    rows, p, v = [], COCKED - lost * BAR, 0.0
    draws = np.random.default_rng(seed)
    for number in range(2400):
        if number % 50 == 0:
            rows.append(f"{number * step:.2f},{p / BAR + draws.normal(0.0, noise_bar):.4f},{v / ML:.3f}")
        flow = (last + (first - last) * np.exp(-v / (15 * ML))) * ML * (1.6 if number * step > channel else 1.0)
        q = flow * p / (9 * BAR)
        v += q * step
        p -= FALL * (q + leak * ML * p / (9 * BAR)) * step
    return "time [s],pressure [bar],volume [ml]\n" + "\n".join(rows)


def without_meter(text: str) -> str:
    return "\n".join(line.rpartition(",")[0] for line in text.splitlines())


def read(text: str, **other: Any) -> ShotLog:
    return shotlog(log=text, **(SPRING | other))


def test_the_puck_that_was_put_in_is_found() -> None:
    found = read(trace(noise_bar=0.02))
    assert found.first_flow_m3_per_s == pytest.approx(BEGUN, rel=0.03)
    assert found.last_flow_m3_per_s is not None
    assert 1.5 * ML < found.last_flow_m3_per_s < 1.8 * ML
    assert found.finding == "nothing departs clearly"
    assert found.reckoned_apart_pa == pytest.approx(0.02 * BAR, rel=0.4)
    assert len(found.curve_time_s) == len(found.curve_logged_pa) == len(found.curve_reckoned_pa)


@pytest.mark.parametrize("seed", range(12))
def test_noise_alone_raises_nothing(seed: int) -> None:
    assert read(trace(noise_bar=0.05, seed=seed)).finding == "nothing departs clearly"
    assert read(without_meter(trace(noise_bar=0.02, seed=seed))).drop_time_s is None


def test_a_meter_and_the_fall_of_the_spring_agree_where_nothing_leaks() -> None:
    text = trace()
    one, other = read(text), read(without_meter(text))
    assert other.first_flow_m3_per_s == pytest.approx(one.first_flow_m3_per_s, rel=0.03)
    assert other.first_flow_sigma_m3_per_s is not None
    assert one.first_flow_sigma_m3_per_s is not None
    assert other.first_flow_sigma_m3_per_s > one.first_flow_sigma_m3_per_s
    assert any("Without a meter" in warning for warning in other.warnings)


def test_a_leak_shows_only_where_the_cup_is_metered() -> None:
    text = trace(first=1.2, last=1.2, leak=0.4, noise_bar=0.02)
    found = read(text)
    assert found.past_seals_share is not None
    assert found.past_seals_sigma is not None
    assert found.past_seals_share == pytest.approx(0.25, abs=0.02)
    assert abs(found.past_seals_share - 0.25) < 3 * found.past_seals_sigma
    assert "past the seals" in found.finding
    assert read(without_meter(text)).past_seals_share is None


def test_a_small_leak_within_the_uncertainty_of_the_spring_is_not_shown() -> None:
    found = read(trace(first=1.2, last=1.2, leak=0.12), spring_rate_sigma_n_per_m=0.05 * RATE)
    assert "past the seals" not in found.finding


def test_a_channel_is_found_where_it_opened() -> None:
    found = read(trace(channel_s=10.0, noise_bar=0.02))
    assert found.drop_time_s == pytest.approx(10.0, abs=1.5)
    assert found.drop_change == pytest.approx(1 / 1.6 - 1, abs=0.08)
    assert "at once" in found.finding
    assert "channel" in found.meaning


def test_missing_pressure_is_told_with_all_it_may_come_of() -> None:
    found = read(trace(lost_bar=2.0))
    assert found.missing_force_n == pytest.approx(2 * BAR * AREA, rel=1e-3)
    assert "below" in found.finding
    for cause in ("tired spring", "friction", "air", "travel"):
        assert cause in found.meaning
    above = read(trace(), spring_compression_m=0.040)
    assert "above" in above.finding
    assert "fits the spring" in read(trace()).meaning
    vague = read(trace(lost_bar=2.0), gauge_sigma_pa=1.0 * BAR)
    assert "below" not in vague.finding


def test_a_softer_spring_than_stated_is_told() -> None:
    found = read(trace(), spring_rate_n_per_m=1.4 * RATE, spring_compression_m=0.053 / 1.4)
    assert "too slowly" in found.finding
    assert "softer spring" in found.meaning


def blind_rows(rate_per_s: float, noise: float = 0.0) -> str:
    draws = np.random.default_rng(3)
    rows = (f"{t},{9 * np.exp(-rate_per_s * t) + draws.normal(0.0, noise):.4f}" for t in range(0, 120, 4))
    return "time [s],pressure [bar]\n" + "\n".join(rows)


def test_a_blind_basket_tells_the_leak_or_that_none_is_shown() -> None:
    found = read(blind_rows(0.003, 0.01), blind=True)
    assert found.leak_flow_m3_per_s == pytest.approx(0.003 * 9 * BAR / FALL, rel=0.05)
    assert found.sink_m_per_s is not None
    assert "sinks" in found.meaning
    assert "nothing is drawn" in found.finding
    steady = read(blind_rows(0.0, 0.01), blind=True)
    assert "nothing is drawn" not in steady.finding
    assert "below what this log can tell" in steady.meaning
    unknown = shotlog(log=blind_rows(0.003, 0.01), blind=True)
    assert unknown.leak_flow_m3_per_s is None
    assert "gasket or valve" in unknown.meaning


def test_readings_before_the_first_drop_and_after_the_end_are_left_out() -> None:
    lines = trace().splitlines()
    early = [f"{-2 + 0.5 * n:.2f},{1.0 + 0.2 * n:.1f},0" for n in range(4)]
    shifted = [
        lines[0],
        *(f"{float(one.split(',')[0]) + 2:.2f},{one.partition(',')[2]}" for one in [*early, *lines[1:]]),
    ]
    last = float(shifted[-1].split(",")[0])
    shifted += [f"{last + 0.5 * n:.2f},{0.5 / n:.3f},{shifted[-1].split(',')[2]}" for n in range(1, 4)]
    found = read("\n".join(shifted))
    assert found.first_flow_m3_per_s == pytest.approx(BEGUN, rel=0.03)
    assert any("left out" in warning for warning in found.warnings)


def test_a_reckoned_shot_reads_as_it_was_reckoned() -> None:
    made = shot(**SPRING, stroke_m=0.022, first_flow_m3_per_s=1.1 * ML, last_flow_m3_per_s=1.8 * ML, dose_kg=0.008)
    rows = zip(made.curve_time_s, made.curve_pressure_pa, made.curve_flow_m3_per_s, strict=True)
    text = "time [s],pressure [bar],flow [ml/s]\n" + "\n".join(f"{t},{p / BAR},{q / ML}" for t, p, q in rows)
    found = read(text)
    assert found.first_flow_m3_per_s == pytest.approx(BEGUN, rel=0.06)
    assert "past the seals" not in found.finding


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "empty"),
        ("time [s],volume [ml]\n0,0\n1,1\n2,2\n", "pressure"),
        (trace().replace("pressure [bar]", "pressure"), "no unit"),
        (trace().replace("pressure [bar]", "pressure [bar abs]"), "absolute"),
        (trace().replace("pressure [bar]", "pressure [mm]"), "unit"),
        (trace().replace("1.00,", "0.50,", 1), "twice"),
        (trace().replace("1.00,", "0.20,", 1), "goes back"),
        (trace().replace("\n1.00,", "\n1.00;", 1), "cells"),
        ("time [s],pressure [bar]\n" + "\n".join(f"{n},{9 - n}" for n in range(8)), "Too little"),
        ("time [s],pressure [bar]\n" + "\n".join(f"{n},0" for n in range(20)), "Too little"),
        ("time [s],pressure [bar],volume [ml],mass [g]\n0,9,0,0\n1,8,1,1\n2,7,2,2\n", "twice"),
        ("\n".join(line for n, line in enumerate(trace().splitlines()) if not 5 < n < 25), "gap"),
    ],
)
def test_a_log_that_is_wrong_is_refused(text: str, said: str) -> None:
    with pytest.raises((ImpossibleValue, NotFound), match=said):
        read(text)


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        ({"spring_rate_n_per_m": None}, ImpossibleValue, "known by its rate"),
        ({"blind": True}, ImpossibleValue, "blind basket"),
        ({"piston_diameter_m": 0.5}, OutsideValidity, "piston_diameter_m"),
        ({"piston_diameter_m": np.array([0.05, 0.06])}, ImpossibleValue, "one figure"),
        ({"gauge_sigma_pa": -1.0}, OutsideValidity, "gauge_sigma_pa"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, Any], error: type[BrasswrightError], said: str) -> None:
    with pytest.raises(error, match=said):
        read(trace(), **given)


def test_pressure_alone_without_a_spring_says_nothing() -> None:
    with pytest.raises(ImpossibleValue, match="Pressure alone"):
        shotlog(log=without_meter(trace()))
    found = shotlog(log=trace())
    assert found.expected_peak_pa is None
    assert found.curve_reckoned_pa == ()
    assert found.first_flow_m3_per_s == pytest.approx(BEGUN, rel=0.03)


def test_a_pressure_that_does_not_fall_is_not_taken_for_a_tight_spring() -> None:
    rows = "\n".join(f"{n},9.0,{n * 1.2:.1f}" for n in range(20))
    assert "too slowly" in read("time [s],pressure [bar],volume [ml]\n" + rows).finding


def test_the_command_reads_a_file(tmp_path: Path) -> None:
    path = tmp_path / "pull.csv"
    path.write_text(trace(), encoding="utf-8")
    typed = ["piston=54 mm", "spring_rate=4 kgf/mm", "spring_compression=53 mm"]
    told = json.loads(CliRunner().invoke(measure, ["shotlog", f"log={path}", *typed, "--json"]).output)
    assert told["finding"] == "nothing departs clearly"
    assert told["peak_pa"] == pytest.approx(COCKED, rel=1e-3)


def test_a_stated_uncertainty_of_the_spring_counts() -> None:
    one = INSTRUMENTS["shotlog"]
    sharp = answer(one, one.example)
    vague = answer(one, {**one.example, "spring_rate": "4.0 ± 0.4 kgf/mm"})
    assert "below" in sharp["finding"]
    assert "below" not in vague["finding"]
    assert vague["past_seals_sigma"] > sharp["past_seals_sigma"]
