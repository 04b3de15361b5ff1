"""Force over travel: what a log says, what is wrong with it, what is never read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.catches import scatter_of
from brasswright.bench.force_travel import line_through, turning_points
from brasswright.bench.stroke import StrokeResult, stroke
from brasswright.bench.traces import read_trace
from brasswright.errors import BrasswrightError, ImpossibleValue, NotFound, OutsideValidity

if TYPE_CHECKING:
    from collections.abc import Callable

PRESS = "restrained press"
HEAD = "travel [mm],force [N]\n"
Bump = tuple[float, float, float, str]


def log(
    *, rate: float = 20.0, preload: float = 100.0, friction: Callable[[float], float] = lambda _: 12.0,
    bumps: tuple[Bump, ...] = (), cycles: int = 3, rows: int = 120, noise: float = 1.0, travel: float = 1.0,
    force: float = 1.0, seed: int = 3,
) -> str:  # fmt: skip
    """An invented log in mm and N: a spring, friction that turns round, and bumps (place, size, width, direction)."""
    draws = np.random.default_rng(seed)
    lines = ["travel [mm],force [N]"]
    for _ in range(cycles):
        for way in (1, -1):
            for at in np.linspace(0.0, 35.0, rows)[::way]:
                spring = preload + rate * at
                drag = friction(spring)
                for place, size, width, direction in bumps:
                    if direction == "both" or (direction == "loading") == (way > 0):
                        drag += size * np.exp(-(((at - place) / width) ** 2) / 2)
                lines.append(f"{travel * at:.4f},{force * (spring + way * drag + draws.normal(0.0, noise)):.3f}")
    return "\n".join(lines)


def read(text: str, **other: Any) -> StrokeResult:
    return stroke(log=text, rig=PRESS, **other)


class TestWhatALogSays:
    def test_spring_and_both_parts_of_friction_come_out_within_their_uncertainty(self) -> None:
        found = read(log(friction=lambda force: 10.0 + 0.05 * force, noise=2.0))
        for value, sigma, true in (
            (found.rate_n_per_m, found.rate_sigma_n_per_m, 20_000.0),
            (found.preload_n, found.preload_sigma_n, 100.0),
            (found.force_end_n, found.force_end_sigma_n, 800.0),
            (found.friction_constant_n, found.friction_constant_sigma_n, 10.0),
            (found.friction_share, found.friction_share_sigma, 0.05),
        ):
            assert 0 < sigma < 0.05 * true
            assert abs(value - true) < 4 * sigma
        assert found.catches == ()
        assert found.cycles == 3

    def test_catches_are_found_where_they_are_and_in_their_direction(self) -> None:
        bumps: tuple[Bump, ...] = (
            (8.0, 15.0, 0.8, "both"),
            (17.0, 11.0, 0.8, "loading"),
            (27.0, 13.0, 1.0, "unloading"),
        )
        found = read(log(bumps=bumps))
        assert [one.direction for one in found.catches] == ["both", "loading", "unloading"]
        for one, (place, size, width, _) in zip(found.catches, bumps, strict=True):
            assert one.kind == "catch"
            assert one.travel_m == pytest.approx(place / 1000, abs=3e-4)
            assert one.size_n == pytest.approx(size, abs=2.5)
            assert one.width_m == pytest.approx(2.355 * width / 1000, abs=8e-4)
            assert one.times_scatter > 4.5
            assert one.strokes == one.of == (6 if one.direction == "both" else 3)
        assert "at 3 places" in found.meaning

    def test_catches_do_not_bend_the_spring(self) -> None:
        plain, caught = read(log()), read(log(bumps=((8.0, 40.0, 0.8, "loading"), (30.0, 40.0, 0.8, "both"))))
        assert caught.rate_n_per_m == pytest.approx(plain.rate_n_per_m, rel=2e-3)
        assert caught.friction_n == pytest.approx(plain.friction_n, abs=0.2)
        assert caught.friction_spread_n > 3 * plain.friction_spread_n

    def test_going_easily_is_slack_and_the_same_side_both_ways_is_a_step(self) -> None:
        (slack,) = read(log(friction=lambda _: 30.0, bumps=((15.0, -20.0, 1.0, "both"),))).catches
        assert (slack.kind, slack.direction) == ("slack", "both")
        found = read(log(bumps=((15.0, 20.0, 1.0, "loading"), (15.0, -20.0, 1.0, "unloading"))))
        (step,) = found.catches
        assert step.kind == "step"
        assert any("spring or geometry" in note for note in found.warnings)

    def test_one_wild_reading_is_no_catch(self) -> None:
        lines = log(cycles=1).splitlines()
        at, force = lines[60].split(",")
        lines[60] = f"{at},{float(force) + 80}"
        assert read("\n".join(lines)).catches == ()

    def test_what_happens_in_one_stroke_of_three_is_said(self) -> None:
        once = log(cycles=1, bumps=((15.0, 60.0, 1.0, "loading"),))
        found = read(once + "\n" + log(cycles=2, seed=8).split("\n", 1)[1])
        (catch,) = found.catches
        assert (catch.strokes, catch.of) == (1, 3)
        assert any("half the strokes" in note for note in found.warnings)

    def test_work_is_the_area(self) -> None:
        found = read(log(noise=0.0))
        assert found.energy_stored_j == pytest.approx((0.1 + 0.8) / 2 * 35.0, rel=1e-3)
        assert found.energy_lost_j == pytest.approx(2 * 12.0 * 0.035, rel=1e-3)

    def test_friction_lowers_the_pressure_at_both_ends(self) -> None:
        dry, free = (
            read(log(preload=900.0, rate=39.0, friction=f.__mul__), piston_diameter_m=0.054) for f in (0.1, 0.0)
        )
        for name in ("pressure_start_pa", "pressure_end_pa"):
            assert getattr(dry, name) == pytest.approx(0.9 * getattr(free, name), rel=2e-3)
        assert isinstance(free.pressure_start_pa, float)
        assert free.pressure_start_pa == pytest.approx((900 + 39 * 35) / (np.pi / 4 * 0.054**2), rel=1e-3)

    def test_much_friction_comes_before_the_spring(self) -> None:
        assert "before the spring is blamed" in read(log(friction=lambda force: 0.3 * force)).meaning
        assert "before the spring is blamed" not in read(log()).meaning

    def test_the_gauges_scales_widen_the_uncertainty(self) -> None:
        found = read(log(), force_scale=0.003, travel_scale=0.004)
        assert found.rate_sigma_n_per_m == pytest.approx(0.005 * found.rate_n_per_m, rel=0.02)
        assert found.preload_sigma_n == pytest.approx(0.3, rel=0.2)

    def test_cycles_that_differ_widen_it_too(self) -> None:
        parts = [log(cycles=1, rate=rate, noise=0.1).split("\n", 1)[1] for rate in (19.0, 20.0, 21.0)]
        found = read("travel [mm],force [N]\n" + "\n".join(parts))
        assert found.rate_sigma_n_per_m == pytest.approx(1000 / 3**0.5, rel=0.05)

    def test_a_bent_line_is_told(self) -> None:
        curved = "travel [mm],force [N]\n" + "\n".join(
            f"{at},{100 + 10 * at + 0.6 * at * at + way * 10}"
            for way in (1, -1)
            for at in np.arange(0.0, 35.5, 0.5)[::way]
        )
        assert any("bent" in note for note in read(curved).warnings)
        assert not any("bent" in note for note in read(log()).warnings)

    def test_a_log_counted_the_other_way_says_the_same(self) -> None:
        bump: tuple[Bump, ...] = ((12.0, 20.0, 1.0, "both"),)
        usual, turned = read(log(bumps=bump)), read(log(bumps=bump, travel=-1.0, force=-1.0))
        assert turned.rate_n_per_m == pytest.approx(usual.rate_n_per_m, rel=1e-4)
        assert turned.friction_n == pytest.approx(usual.friction_n, rel=1e-3)
        assert turned.catches[0].travel_m == pytest.approx(-usual.catches[0].travel_m, abs=1e-4)
        assert len(turned.warnings) == len(usual.warnings) + 2

    def test_uncertainty_of_the_bore_goes_through(self) -> None:
        said = answer(INSTRUMENTS["stroke"], {**INSTRUMENTS["stroke"].example, "piston": "54 ± 0.27 mm"})
        assert said["uncertainty"]["pressure_start_pa"]["sigma"] == pytest.approx(
            0.01 * said["pressure_start_pa"], rel=0.05
        )
        assert said["catches"][0]["direction"] == "both"


class TestWhatIsRefused:
    def test_a_hook_on_the_lever(self) -> None:
        with pytest.raises(ImpossibleValue, match="cocked lever"):
            stroke(log=log(), rig="hook on the lever")
        with pytest.raises(NotFound, match="restrained press"):
            stroke(log=log(), rig="a friend")

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (HEAD + "\n".join(f"{at},{at}" for at in range(40)), "whole stroke each way"),
            (HEAD + "\n".join(f"{at},{9 * at}" for at in (*range(0, 30, 3), *range(30, -1, -3))), "too few readings"),
            (HEAD + "\n".join(f"{at},50" for at in (*range(30), *range(30, -1, -1))), "no spring"),
            ("travel,force [N]\n0,1\n1,2\n2,3", "no unit"),
            ("travel [mm],weight [N]\n0,1\n1,2\n2,3", "column 'force'"),
            ("travel [mm],force [kg]\n0,1\n1,2\n2,3", "no unit of force"),
            ("travel [mm],force [N]\n0,-999\n1,2\n2,3", "no value"),
            ("travel [mm],force [N]\n0,1\n1,\n2,3", "is empty"),
            ("travel [mm],force [N]\n5,1\n5,2\n5,3", "travel"),
        ],
    )  # fmt: skip
    def test_a_log_that_is_none(self, text: str, says: str) -> None:
        with pytest.raises(BrasswrightError, match=says):
            read(text)

    def test_a_gap_names_its_line(self) -> None:
        lines = log(cycles=1).splitlines()
        with pytest.raises(ImpossibleValue, match=r"gap in the travel.*"):
            read("\n".join(lines[:40] + lines[70:]))
        with pytest.raises(ImpossibleValue, match="line 41"):
            read("\n".join(lines[:40] + lines[70:]))

    def test_a_loop_that_runs_backwards(self) -> None:
        with pytest.raises(ImpossibleValue, match="backwards"):
            read(log(friction=lambda _: -12.0))

    def test_a_thousandfold_slip_of_the_travel(self) -> None:
        with pytest.raises(OutsideValidity, match="travel"):
            read(log().replace("[mm]", "[m]"))

    @pytest.mark.parametrize("wrong", [{"piston_diameter_m": 0.5}, {"least_catch_n": -1.0}, {"force_scale": 0.5}])
    def test_figures_that_cannot_be(self, wrong: dict[str, float]) -> None:
        with pytest.raises(OutsideValidity):
            read(log(), **wrong)


class TestTheParts:
    def test_travel_that_hesitates_does_not_turn(self) -> None:
        travel = np.array([0.0, 10.0, 9.0, 20.0, 30.0, 29.5, 30.5, 20.0, 21.0, 5.0, 0.0])
        assert turning_points(travel_m=travel, least_m=7.0) == [0, 6, 10]
        assert turning_points(travel_m=-travel, least_m=7.0) == [0, 6, 10]

    def test_a_weighted_line_agrees_with_another_fitter(self) -> None:
        draws = np.random.default_rng(4)
        x = np.linspace(0.0, 10.0, 40)
        weights = draws.uniform(1.0, 4.0, 40)
        y = 3.0 + 2.0 * x + draws.normal(0.0, 0.1, 40) / np.sqrt(weights)
        line = line_through(x=x, y=y, weights=weights)
        kept = line.kept
        values, covariance = np.polyfit(x[kept], y[kept], 1, w=np.sqrt(weights[kept]), cov=True)
        assert (line.slope, line.at_zero) == pytest.approx(values)
        assert line.slope_sigma == pytest.approx(np.sqrt(covariance[0, 0]))
        assert line.sigma_at(0.0) == pytest.approx(np.sqrt(covariance[1, 1]))

    def test_scatter_is_that_of_the_noise_whatever_stands_out(self) -> None:
        noise = np.random.default_rng(6).normal(0.0, 2.0, 4000)
        noise[1000:1400] += 50.0
        assert scatter_of(residuals=noise) == pytest.approx(2.0, rel=0.2)

    def test_a_log_may_count_below_zero(self) -> None:
        columns = {"travel": "length", "force": "force"}
        trace = read_trace(
            "travel [mm];force [N]\n-1,5;\u22122,5\n0;-99\n1;3\n", columns=columns, source="log", rising=None
        )
        assert trace["travel"] == pytest.approx([-0.0015, 0.0, 0.001])
        assert trace["force"] == pytest.approx([-2.5, -99.0, 3.0])
        for wrong in ("--1", "-9999", "-999.25", "- -3", "-nan"):
            with pytest.raises(ImpossibleValue):
                read_trace(f"travel [mm],force [N]\n0,{wrong}\n1,1\n2,2\n", columns=columns, source="log", rising=None)
