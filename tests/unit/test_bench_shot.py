"""A shot reckoned: against an integrator of another library, balances of water and work, what is refused and told."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np
import pytest
from click.testing import CliRunner
from iapws.iapws97 import IAPWS97
from scipy.integrate import solve_ivp  # type: ignore[import-untyped] # it ships no types

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.shot import ShotResult, shot
from brasswright.bench.shot_puck import Puck, bed_resistance_pa_s_per_m3, water_viscosity_pa_s
from brasswright.cli.measure import measure
from brasswright.errors import ImpossibleValue, NeedsConfirmation, NotFound, OutsideValidity, UnitRefused

MM: Final = 1e-3
ML: Final = 1e-6
BAR: Final = 1e5
AREA: Final = np.pi * (54 * MM) ** 2 / 4
RATE: Final = 4 * 9806.65


def pull(**other: Any) -> ShotResult:
    given: dict[str, Any] = {
        "piston_diameter_m": 54 * MM, "stroke_m": 24 * MM, "spring_rate_n_per_m": RATE,
        "spring_compression_m": 53 * MM, "friction_n": 150.0, "dose_kg": 0.014, "first_flow_m3_per_s": 1.1 * ML,
        "last_flow_m3_per_s": 1.8 * ML, "softening_volume_m3": 15 * ML,
    }  # fmt: skip
    return shot(**(given | other))


def figure(value: object) -> float:
    assert isinstance(value, float)
    return value


def test_another_librarys_integrator_goes_the_same_way() -> None:
    found = pull(leak_flow_m3_per_s=0.2 * ML)
    wet = figure(found.taken_up_m3)
    first, last = 9 * BAR / (1.1 * ML), 9 * BAR / (1.8 * ML)

    def slopes(_: float, state: Any) -> list[float]:
        volume, travel = state
        pressure = (RATE * (53 * MM - travel) - 150.0) / AREA
        wetting = first * max(volume, 1e-9) / wet
        resistance = wetting if volume < wet else last + (first - last) * np.exp(-(volume - wet) / (15 * ML))
        flow = pressure / resistance
        return [flow, (flow + 0.2 * ML * pressure / (9 * BAR)) / AREA]

    there = lambda _, state: state[1] - 24 * MM  # noqa: E731 - an event wants an attribute
    there.terminal = True  # type: ignore[attr-defined]
    other = solve_ivp(slopes, (0.0, 200.0), [1e-9, 0.0], events=there, rtol=1e-8, atol=1e-14, max_step=0.05)
    assert figure(found.end_s) == pytest.approx(float(other.t[-1]), rel=1e-3)
    assert figure(found.delivered_m3) == pytest.approx(float(other.y[0, -1]) - wet, rel=1e-3)
    at = np.array(found.curve_time_s[5::10])
    assert np.array(found.curve_volume_m3[5::10]) + wet == pytest.approx(
        np.maximum(np.interp(at, other.t, other.y[0]), wet), rel=2e-3
    )


@pytest.mark.parametrize("leak", [0.0, 0.3 * ML])
def test_water_is_kept(leak: float) -> None:
    found = pull(leak_flow_m3_per_s=leak)
    gone = figure(found.delivered_m3) + figure(found.taken_up_m3) + figure(found.past_seals_m3)
    assert gone == pytest.approx(figure(found.swept_m3), rel=1e-9)
    assert (figure(found.past_seals_m3) > 0) == (leak > 0)


def test_the_spring_does_the_work_that_the_puck_takes() -> None:
    found = pull()
    assert figure(found.work_j) == pytest.approx(
        RATE * ((53 * MM) ** 2 - (29 * MM) ** 2) / 2 - 150.0 * 24 * MM, rel=1e-9
    )
    t, p, flow = (np.array(row) for row in (found.curve_time_s, found.curve_pressure_pa, found.curve_flow_m3_per_s))
    drips = flow > 0
    power = (p * flow)[drips]
    taken = float(np.sum((power[1:] + power[:-1]) / 2 * np.diff(t[drips])))
    begun = float(p[drips][0]) * AREA + 150.0
    ended = float(p[drips][-1]) * AREA + 150.0
    spring = (begun**2 - ended**2) / (2 * RATE) - 150.0 * (begun - ended) / RATE
    assert taken == pytest.approx(spring, rel=1e-3)


def test_preinfusion_wets_the_puck_before_the_piston_moves() -> None:
    dry, wet = pull(), pull(soak_pressure_gauge_pa=1.0 * BAR, soak_time_s=6.0)
    assert wet.curve_pressure_pa[1] == pytest.approx(1.0 * BAR)
    assert figure(wet.delivered_m3) > figure(dry.delivered_m3)
    assert figure(wet.swept_m3) == pytest.approx(figure(dry.swept_m3))
    long = pull(soak_pressure_gauge_pa=1.2 * BAR, soak_time_s=60.0)
    assert figure(long.first_drop_s) < 60.0
    assert figure(long.end_s) > 60.0


def test_a_puck_that_softens_flows_faster_than_it_should_for_its_pressure() -> None:
    soft, stiff = pull(), pull(last_flow_m3_per_s=1.1 * ML)
    swollen = pull(last_flow_m3_per_s=0.6 * ML)
    assert figure(soft.end_s) < figure(stiff.end_s) < figure(swollen.end_s)


def test_the_puck_goes_there_and_back() -> None:
    one = Puck(*(np.array([value]) for value in (15 * ML, 9e11, 5e11, 20 * ML)))
    for volume in (1 * ML, 14.9 * ML, 16 * ML, 90 * ML):
        v = np.array([volume])
        assert one.volume_for(one.impulse(v)) == pytest.approx(v, rel=1e-9)
        step = 1e-10
        slope = (one.impulse(v + step) - one.impulse(v - step)) / (2 * step)
        assert slope == pytest.approx(one.resistance(v), rel=1e-4)


def test_a_steady_hand_keeps_its_pressure_and_a_tiring_one_does_not() -> None:
    hand = {"piston_diameter_m": 46.8 * MM, "stroke_m": 32 * MM, "hand_force_n": 134.0, "lever_ratio": 11.5}
    steady, tiring = shot(**hand), shot(**hand, hand_force_end_n=90.0)
    assert figure(steady.pressure_end_pa) == pytest.approx(figure(steady.pressure_start_pa))
    assert figure(tiring.pressure_end_pa) == pytest.approx(figure(steady.pressure_end_pa) * 90 / 134)
    rising = shot(**hand, hand_force_end_n=150.0)
    assert rising.pressure_peak_pa == rising.pressure_end_pa


def test_a_steady_pressure_is_what_is_left_after_friction() -> None:
    found = shot(piston_diameter_m=50 * MM, stroke_m=20 * MM, steady_pressure_gauge_pa=9 * BAR, friction_n=100.0)
    assert found.pressure_start_pa == pytest.approx(9 * BAR)


def test_how_it_ends_is_told() -> None:
    assert "stroke" in pull().end_reason
    spent = pull(spring_compression_m=25 * MM, friction_n=400.0, first_flow_m3_per_s=5 * ML, last_flow_m3_per_s=8 * ML)
    assert "spent" in spent.end_reason
    assert spent.pressure_end_pa == pytest.approx(0.2 * BAR, rel=0.02)
    choked = pull(first_flow_m3_per_s=0.02 * ML, last_flow_m3_per_s=0.02 * ML)
    assert "time" in choked.end_reason
    assert choked.end_s == pytest.approx(180.0)
    assert any("stays charged" in warning for warning in choked.warnings)
    assert choked.to_full_cup_s is None


def test_what_must_not_be_missed_is_told() -> None:
    small = pull(stroke_m=14 * MM)
    assert any("second pull" in warning for warning in small.warnings)
    nothing = pull(stroke_m=5 * MM)
    assert any("Nothing reaches" in warning for warning in nothing.warnings)
    assert nothing.first_drop_s is None
    assert nothing.mean_flow_m3_per_s is None
    assert any("past the seals" in warning for warning in pull(leak_flow_m3_per_s=0.5 * ML).warnings)
    assert any("12 bar" in warning for warning in pull(spring_compression_m=75 * MM).warnings)
    assumed = pull(first_flow_m3_per_s=None)
    assert any("assumed" in warning for warning in assumed.warnings)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"spring_rate_n_per_m": None}, "rate and by how much"),
        ({"hand_force_n": 100.0}, "one thing"),
        ({"spring_rate_n_per_m": None, "spring_compression_m": None}, "nothing"),
        ({"spring_rate_n_per_m": None, "spring_compression_m": None, "hand_force_n": 100.0}, "ratio"),
        ({"spring_compression_m": 20 * MM}, "loose"),
        ({"friction_n": 2100.0}, "Friction holds"),
        ({"permeability_m2": 1e-14, "bed_depth_m": 0.01, "basket_diameter_m": 0.05}, "twice"),
        ({"permeability_m2": 1e-14, "first_flow_m3_per_s": None}, "depth"),
        ({"bed_depth_m": 0.01}, "permeability"),
        ({"soak_time_s": 5.0}, "pressure and its time"),
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(ImpossibleValue, match=said):
        pull(**wrong)


def test_a_spring_in_the_wrong_unit_is_outside() -> None:
    with pytest.raises(OutsideValidity, match="pressure_start_pa"):
        pull(spring_compression_m=0.29)


@pytest.mark.parametrize(
    ("typed", "error"),
    [
        ({"piston": "54"}, UnitRefused),
        ({"piston": "54 bar"}, UnitRefused),
        ({"piston": "5.4 mm"}, NeedsConfirmation),
        ({"steady_pressure": "9 bar abs"}, UnitRefused),
        ({"first_flow": "over range"}, ImpossibleValue),
        ({"grind": "fine"}, NotFound),
    ],
)
def test_what_is_typed_wrong_is_refused(typed: dict[str, str], error: type[Exception]) -> None:
    one = INSTRUMENTS["shot"]
    with pytest.raises(error):
        answer(one, {**one.example, **typed})


def test_uncertainty_goes_through_where_it_matters() -> None:
    one = INSTRUMENTS["shot"]
    spread = answer(one, one.example)["uncertainty"]
    assert spread["end_s"]["sigma"] > 1.0
    assert "pressure_start_pa" not in spread


def test_the_command_gives_curves_in_json_and_a_few_of_their_figures_in_words() -> None:
    typed = [f"{key}={text}" for key, text in INSTRUMENTS["shot"].example.items()]
    told = json.loads(CliRunner().invoke(measure, ["shot", *typed, "--json"]).output)
    rows = [told[f"curve_{name}"] for name in ("time_s", "pressure_pa", "flow_m3_per_s", "volume_m3")]
    assert {len(row) for row in rows} == {61}
    assert rows[0][-1] == pytest.approx(told["end_s"])
    assert rows[3][-1] == pytest.approx(told["delivered_m3"], rel=1e-6)
    said = CliRunner().invoke(measure, ["shot", *typed]).output
    assert next(line for line in said.splitlines() if line.startswith("pressure: ")).count("bar") == 11


def test_viscosity_is_that_of_another_library() -> None:
    for kelvins in np.linspace(283.15, 368.15, 12).tolist():
        assert water_viscosity_pa_s(temperature_k=kelvins) == pytest.approx(IAPWS97(T=kelvins, P=0.9).mu, rel=2e-3)
    with pytest.raises(OutsideValidity):
        water_viscosity_pa_s(temperature_k=393.15)


def test_a_bed_twice_as_deep_resists_twice() -> None:
    one, two = (
        bed_resistance_pa_s_per_m3(
            permeability_m2=1e-14, bed_depth_m=depth, basket_diameter_m=58 * MM, temperature_k=363.15
        )
        for depth in (10 * MM, 20 * MM)
    )
    assert two == pytest.approx(2 * figure(one))
