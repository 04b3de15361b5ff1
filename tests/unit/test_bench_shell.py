"""Thin vessels: what the laws of strength demand, and that no wall alone ever passes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.pressure_law import place_in_law, water_test_pressure_pa
from brasswright.bench.shell import shell
from brasswright.bench.vessel import (
    ENDS,
    allowable_stress_pa,
    bore_stress_pa,
    code_stress_pa,
    end_stress_pa,
    end_wall_m,
    hoop_stress_pa,
    lengthwise_wall_m,
    longitudinal_stress_pa,
    shell_wall_m,
)
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity

PRESSURE = st.floats(2e4, 1.5e6)
DIAMETER = st.floats(0.03, 0.5)
THIN = st.floats(0.011, 0.099)
COPPER = ("copper annealed", "copper drawn", "copper R220")
ORDER = {"outside": 0, "Article 4(3)": 1, "I": 2, "II": 3, "III": 4, "IV": 5}


@given(PRESSURE, DIAMETER, THIN)
def test_a_cut_through_the_shell_is_in_balance(pressure: float, diameter: float, thin: float) -> None:
    """Free body of a ring and of an end: stress times metal carries pressure times the mean opening."""
    wall = thin * diameter / 2
    sizes = {"pressure_pa": pressure, "inside_diameter_m": diameter, "wall_m": wall}
    assert hoop_stress_pa(**sizes) * 2 * wall == pytest.approx(pressure * (diameter + wall))
    metal = math.pi * (diameter + wall) * wall
    opening = math.pi * (diameter + wall) ** 2 / 4
    assert longitudinal_stress_pa(**sizes) * metal == pytest.approx(pressure * opening)
    assert bore_stress_pa(**sizes) > hoop_stress_pa(**sizes)


@given(PRESSURE, DIAMETER, st.floats(0.5, 1.0), st.sampled_from(COPPER))
def test_the_least_wall_carries_just_what_is_allowed(pressure: float, diameter: float, seam: float, metal: str) -> None:
    allowed = allowable_stress_pa(material=metal, temperature_k=400.0)
    size = {"pressure_pa": pressure, "inside_diameter_m": diameter, "allowable_pa": allowed, "seam": seam}
    wall = shell_wall_m(**size)
    if 1e-5 < wall < 0.099 * diameter / 2:
        got = code_stress_pa(pressure_pa=pressure, inside_diameter_m=diameter, wall_m=wall, seam=seam)
        assert got == pytest.approx(allowed)
    assert lengthwise_wall_m(**size) < wall


@given(PRESSURE, DIAMETER, st.sampled_from(ENDS[2:]))
def test_a_dished_end_of_least_wall_carries_just_what_is_allowed(pressure: float, diameter: float, end: str) -> None:
    size = {"pressure_pa": pressure, "inside_diameter_m": diameter}
    wall = end_wall_m(end=end, allowable_pa=60e6, **size)
    if 1e-5 < wall < 0.099 * diameter / 2:
        assert end_stress_pa(end=end, wall_m=wall, **size) == pytest.approx(60e6)


@given(PRESSURE, DIAMETER, st.floats(0.02, 0.09))
def test_ends_stand_in_the_order_of_their_shape(pressure: float, diameter: float, thin: float) -> None:
    stress = [
        end_stress_pa(end=end, pressure_pa=pressure, inside_diameter_m=diameter, wall_m=thin * diameter / 2)
        for end in ("hemispherical", "ellipsoidal 2:1", "torispherical 6 %", "flat clamped", "flat resting")
    ]
    assert stress == sorted(stress)


@given(st.sampled_from(COPPER), st.floats(273.15, 473.0), st.floats(0.0, 50.0))
def test_hotter_copper_carries_no_more(metal: str, kelvins: float, more: float) -> None:
    hotter = min(kelvins + more, 473.0)
    assert allowable_stress_pa(material=metal, temperature_k=hotter) <= allowable_stress_pa(
        material=metal, temperature_k=kelvins
    )


@given(st.floats(0.0, 1.6e6), st.floats(1.0, 5.0))
def test_a_test_is_always_above_the_working_pressure(pressure: float, ratio: float) -> None:
    for rule in ("PED 7.4", "ASME UG-99(b)"):
        assert water_test_pressure_pa(pressure_pa=pressure, rule=rule, stress_ratio=ratio) >= 1.3 * pressure * 0.999


@given(st.floats(1e4, 1.5e6), st.floats(1e-5, 0.049), st.floats(1.0, 1.2), st.booleans())
def test_more_pressure_or_volume_never_lowers_the_category(p: float, v: float, more: float, heated: bool) -> None:
    here, beyond = (
        place_in_law(pressure_pa=p * times, volume_m3=v * times, temperature_k=400.0, heated=heated)
        for times in (1.0, min(more, 1.599e6 / p))
    )
    assert ORDER[beyond.category] >= ORDER[here.category]


@given(PRESSURE, DIAMETER, THIN, st.floats(1e-6, 1e-4), st.sampled_from((*COPPER, "brass", "other")))
def test_no_wall_alone_ever_passes(p: float, diameter: float, thin: float, sigma: float, metal: str) -> None:
    wall = min(max(thin * diameter / 2, 0.0002), 0.02)
    if wall / (diameter / 2) > 0.1:
        return
    result = shell(
        pressure_gauge_pa=p, inside_diameter_m=diameter, wall_m=wall, wall_sigma_m=sigma, tool="ball micrometer",
        material=metal, metal_temperature_k=400.0,
    )  # fmt: skip
    assert result.outcome != "passed"
    if result.stress_share is not None:
        assert (result.stress_share > 1) == (result.outcome in {"failed", "investigate"})


def test_a_wall_far_too_thin_fails_and_a_flat_end_between_is_looked_into() -> None:
    known = {"tool": "ultrasonic gauge", "wall_sigma_m": 1e-5, "metal_temperature_k": 394.0}
    thin = shell(pressure_gauge_pa=1.5e6, inside_diameter_m=0.3, wall_m=0.002, **known)  # type: ignore[arg-type] # mixed
    assert thin.outcome == "failed"
    sound = {"pressure_gauge_pa": 250e3, "inside_diameter_m": 0.120, "wall_m": 0.0015, "end": "flat clamped", **known}
    assert shell(end_thickness_m=0.003, **sound).outcome == "failed"  # type: ignore[arg-type] # mixed keywords
    assert shell(end_thickness_m=0.0042, **sound).outcome == "investigate"  # type: ignore[arg-type] # mixed keywords
    assert shell(end_thickness_m=0.008, **sound).outcome == "not shown"  # type: ignore[arg-type] # mixed keywords


def test_half_described_ends_and_unknown_words_are_refused() -> None:
    sizes = {"pressure_gauge_pa": 1e5 + 1, "inside_diameter_m": 0.120, "wall_m": 0.0015}
    with pytest.raises(ImpossibleValue, match="kind of end"):
        shell(**sizes, end_thickness_m=0.003)  # type: ignore[arg-type] # mixed keywords
    with pytest.raises(ImpossibleValue, match="thickness of the end"):
        shell(**sizes, end="flat clamped")  # type: ignore[arg-type] # mixed keywords
    with pytest.raises(NotFound, match="flat resting"):
        end_stress_pa(end="pointed", pressure_pa=1.0, inside_diameter_m=0.1, wall_m=0.001)
    with pytest.raises(NotFound, match="hemispherical"):
        end_wall_m(end="flat clamped", pressure_pa=1.0, inside_diameter_m=0.1, allowable_pa=1e7)
    with pytest.raises(NotFound, match="copper annealed"):
        allowable_stress_pa(material="lead", temperature_k=300.0)
    with pytest.raises(NotFound, match="UG-99"):
        water_test_pressure_pa(pressure_pa=1.0, rule="twice")
    with pytest.raises(OutsideValidity):
        shell(**{**sizes, "wall_m": 0.0})  # type: ignore[arg-type] # mixed keywords


def test_without_a_tool_nothing_is_shown_and_steam_sets_the_metal() -> None:
    result = shell(pressure_gauge_pa=100_000.0, inside_diameter_m=0.120, wall_m=0.0015)
    assert "instrument is not named" in result.meaning
    assert result.metal_temperature_k == pytest.approx(273.15 + 120.4, abs=0.1)
    assert result.category == "not asked"
