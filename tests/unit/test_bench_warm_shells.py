"""Warm shells: laws of the balance, of lagging, and of the thresholds of touch."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.burns import BURN_RULES, TOUCHED, burn_band
from brasswright.bench.lagging import lagging
from brasswright.bench.still_air import air_at, nusselt_facing_up
from brasswright.bench.touch import touch
from brasswright.bench.warm_shell import (
    FINISHES,
    SHAPES,
    balance,
    critical_radius_m,
    layer_resistance_m_k_per_w,
    warm_shell,
)
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity
from brasswright.units import kelvin

SHAPE = st.sampled_from(SHAPES)
INSIDE = st.floats(kelvin(celsius=30.0), kelvin(celsius=200.0))
LAYER = st.floats(0.001, 0.1)
CONDUCTIVITY = st.floats(0.015, 1.0)
SIZES = {"diameter_m": 0.12, "length_m": 0.25, "width_m": 0.2}
ROOM = kelvin(celsius=20.0)


@given(SHAPE, INSIDE, LAYER, CONDUCTIVITY, st.tuples(st.sampled_from(FINISHES), st.floats(0.0, 3.0)))
def test_what_comes_through_the_lagging_goes_into_the_room(
    shape: str, inside: float, layer: float, conductivity: float, round_it: tuple[str, float]
) -> None:
    finish, draught = round_it
    shell = warm_shell(
        shape=shape, lagging_m=layer, conductivity_w_per_m_k=conductivity, finish=finish, draught_m_per_s=draught,
        **SIZES,
    )  # fmt: skip
    done = balance(shell, inside_k=inside, air_k=ROOM)
    assert ROOM < done.surface_k < inside
    assert float(done.loss_w) == pytest.approx(float((inside - done.surface_k) / shell.layer), rel=1e-5)
    assert float(done.coefficient * shell.area * (done.surface_k - ROOM)) == pytest.approx(float(done.loss_w), rel=1e-9)


@given(SHAPE, INSIDE, LAYER, st.floats(1.05, 2.0), CONDUCTIVITY)
def test_a_worse_conductor_is_cooler_outside(
    shape: str, inside: float, layer: float, more: float, conductivity: float
) -> None:
    good, poor = (
        touch(
            inside_temperature_k=inside, shape=shape, lagging_m=layer, lagging_w_per_m_k=k, **SIZES  # type: ignore[arg-type] # mixed keywords
        )
        for k in (conductivity * more, conductivity)
    )  # fmt: skip
    assert good.reckoned_temperature_k is not None
    assert poor.reckoned_temperature_k is not None
    assert good.loss_w is not None
    assert poor.loss_w is not None
    assert poor.reckoned_temperature_k < good.reckoned_temperature_k
    assert poor.loss_w < good.loss_w


@given(SHAPE, INSIDE, st.floats(0.1, 2.4), st.floats(1.1, 2.0))
def test_a_stronger_draught_takes_more(shape: str, inside: float, draught: float, more: float) -> None:
    calm, mild, strong = (
        touch(inside_temperature_k=inside, shape=shape, draught_m_per_s=speed, **SIZES).convection_w  # type: ignore[arg-type] # mixed
        for speed in (0.0, draught, draught * more)
    )
    assert calm is not None
    assert mild is not None
    assert strong is not None
    assert calm < mild < strong


@given(st.floats(0.02, 1.0), st.floats(1.0, 30.0))
def test_the_critical_radius_is_where_a_thin_pipe_loses_most(conductivity: float, coefficient: float) -> None:
    radius = float(critical_radius_m(conductivity_w_per_m_k=conductivity, coefficient_w_per_m2_k=coefficient))
    assume(0.002 < radius < 0.9)
    inside = radius / 2
    here, thinner, thicker = (
        layer_resistance_m_k_per_w(
            inside_radius_m=inside, layer_m=radius * times - inside, conductivity_w_per_m_k=conductivity,
            coefficient_w_per_m2_k=coefficient,
        )
        for times in (1.0, 0.98, 1.02)
    )  # fmt: skip
    assert here < thinner
    assert here < thicker


def test_lagging_a_thin_pipe_with_a_good_conductor_is_told() -> None:
    thin = {"inside_temperature_k": 393.15, "diameter_m": 0.012, "length_m": 0.3, "bare_finish": "polished metal"}
    result = lagging(thickness_m=0.002, stated_w_per_m_k=0.3, **thin)  # type: ignore[arg-type] # mixed keywords
    assert result.saved_w < 0
    assert "saves nothing" in result.meaning
    assert any("loses more" in note for note in result.warnings)
    assert lagging(thickness_m=0.02, **thin).saved_w > 0  # type: ignore[arg-type] # mixed keywords


@given(st.sampled_from(TOUCHED), st.floats(0.5, 28_000.0), st.floats(1.0, 3.0))
def test_longer_contact_never_bears_more_heat(touched: str, seconds: float, more: float) -> None:
    shorter = burn_band(touched=touched, time_s=seconds)
    longer = burn_band(touched=touched, time_s=min(seconds * more, 28_800.0))
    assert longer.low_k <= shorter.low_k
    if shorter.high_k is not None:
        assert longer.high_k is not None
        assert longer.high_k <= shorter.high_k
        assert shorter.low_k <= shorter.high_k


@given(st.floats(1.0, 300.0))
def test_metal_burns_before_glass_and_glass_before_plastic(seconds: float) -> None:
    for rule, kinds in zip(BURN_RULES, (TOUCHED, ("bare metal", "glass or ceramic", "plastic")), strict=True):
        if rule == BURN_RULES[0] and seconds < 60:
            continue  # below a minute this rule has figures for bare metal only
        lows = [burn_band(touched=kind, time_s=seconds, rule=rule).low_k for kind in kinds]
        assert lows == sorted(lows)


@given(INSIDE)
def test_no_reckoned_temperature_passes(inside: float) -> None:
    result = touch(inside_temperature_k=inside, lagging_m=0.03, finish="cloth", diameter_m=0.12, length_m=0.25)
    assert result.outcome != "passed"


def test_a_measured_temperature_is_judged_with_its_probe() -> None:
    warm = {"surface_temperature_k": kelvin(celsius=45.0), "surface_sigma_k": 0.5, "contact_time_s": 60.0}
    assert touch(probe="contact probe", **warm).outcome == "passed"  # type: ignore[arg-type] # mixed keywords
    assert touch(**warm).outcome == "not shown"  # type: ignore[arg-type] # mixed keywords
    assert touch(probe="infrared", **warm).outcome == "not shown"  # type: ignore[arg-type] # mixed keywords
    painted = touch(probe="infrared", finish="paint or enamel", **warm)  # type: ignore[arg-type] # mixed keywords
    assert painted.outcome == "passed"
    hot = touch(surface_temperature_k=kelvin(celsius=60.0), probe="contact probe")
    assert (hot.outcome, hot.burn_high_k) == ("investigate", kelvin(celsius=70.0))
    both = touch(surface_temperature_k=kelvin(celsius=35.0), inside_temperature_k=393.15, probe="contact probe",
                 diameter_m=0.12, length_m=0.25)  # fmt: skip
    assert any("apart" in note for note in both.warnings)


def test_first_figure_of_a_table_is_taken_and_said() -> None:
    result = touch(
        surface_temperature_k=kelvin(celsius=58.0), probe="contact probe", touched="wood", contact_time_s=1.0
    )
    assert result.burn_high_k is None
    assert any("too strict" in note for note in result.warnings)


def test_what_is_missing_or_unknown_is_refused_by_name() -> None:
    with pytest.raises(ImpossibleValue, match="inside, surface"):
        touch()
    with pytest.raises(ImpossibleValue, match="diameter and length"):
        touch(inside_temperature_k=393.15)
    with pytest.raises(ImpossibleValue, match="width"):
        touch(inside_temperature_k=393.15, shape="standing flat", length_m=0.2)
    with pytest.raises(ImpossibleValue, match="colder"):
        touch(inside_temperature_k=kelvin(celsius=10.0), **SIZES)  # type: ignore[arg-type] # mixed keywords
    with pytest.raises(NotFound, match="lying cylinder"):
        touch(inside_temperature_k=393.15, shape="ball")
    with pytest.raises(NotFound, match="cloth"):
        touch(inside_temperature_k=393.15, finish="gold", **SIZES)  # type: ignore[arg-type] # mixed keywords
    with pytest.raises(NotFound, match="bare metal"):
        burn_band(touched="wood", time_s=10.0, rule="burn institute")
    with pytest.raises(OutsideValidity):
        nusselt_facing_up(rayleigh=10.0)
    with pytest.raises(OutsideValidity):
        air_at(temperature_k=600.0)
    with pytest.raises(NotFound, match="mineral wool"):
        lagging(inside_temperature_k=393.15, thickness_m=0.02, material="straw", diameter_m=0.1, length_m=0.1)


def test_ten_thousand_samples_agree_with_single_ones() -> None:
    inside = np.linspace(330.0, 420.0, 10_000)
    many = touch(inside_temperature_k=inside, lagging_m=0.02, diameter_m=0.12, length_m=0.25)
    assert isinstance(many.loss_w, np.ndarray)
    for index in (0, 5_000, 9_999):
        one = touch(inside_temperature_k=float(inside[index]), lagging_m=0.02, diameter_m=0.12, length_m=0.25)
        assert one.loss_w is not None
        assert math.isclose(float(many.loss_w[index]), float(one.loss_w), rel_tol=1e-6)


@pytest.mark.parametrize(("given", "outcome"), [("45 ± 0.2 °C", "passed"), ("45 ± 3 °C", "not shown")])
def test_the_uncertainty_typed_with_a_surface_counts(given: str, outcome: str) -> None:
    typed = {"surface": given, "probe": "contact probe", "contact": "60 s"}
    assert answer(INSTRUMENTS["touch"], typed)["outcome"] == outcome


def test_a_reckoned_surface_hands_on_what_was_typed_and_never_passes() -> None:
    typed = {"diameter": "120 mm", "length": "250 mm", "contact": "60 s"}
    sharp, blunt = (answer(INSTRUMENTS["touch"], typed | {"inside": f"55 ± {sigma} °C"}) for sigma in ("0.2", "3"))
    assert (sharp["outcome"], blunt["outcome"]) == ("failed", "investigate")
    assert "± 3 °C" in blunt["meaning"]
    near = answer(INSTRUMENTS["touch"], typed | {"inside": "48 ± 3 °C"})
    assert "not by more than its uncertainty" in near["meaning"]
    assert answer(INSTRUMENTS["touch"], typed | {"inside": "48 ± 0.2 °C"})["outcome"] == "not shown"
