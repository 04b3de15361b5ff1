"""Laws of springs: scaling, symmetry of the factors, monotony in force."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.coil import shear_stress_pa, spring_rate_n_per_m, stress_factor
from brasswright.bench.spring import spring

WIRE = st.floats(0.001, 0.008)
INDEX = st.floats(4.0, 10.0)
COILS = st.floats(2.0, 30.0)


@given(WIRE, INDEX, COILS, st.floats(1.1, 1.8))
def test_a_spring_twice_the_size_is_twice_as_stiff(wire: float, index: float, coils: float, times: float) -> None:
    one, other = (
        spring_rate_n_per_m(
            wire_m=wire * k, mean_diameter_m=wire * index * k, active_coils=coils, shear_modulus_pa=81.5e9
        )
        for k in (1.0, times)
    )
    assert other == pytest.approx(one * times)


@given(WIRE, INDEX, st.floats(10.0, 20.0))
def test_half_the_coils_are_twice_as_stiff(wire: float, index: float, coils: float) -> None:
    whole, half = (
        spring_rate_n_per_m(wire_m=wire, mean_diameter_m=wire * index, active_coils=n, shear_modulus_pa=81.5e9)
        for n in (coils, coils / 2)
    )
    assert half == pytest.approx(2 * whole)


@given(st.floats(2.0, 40.0))
def test_the_two_forms_of_the_stress_factor_are_one(index: float) -> None:
    assert stress_factor(index=index) == pytest.approx((4 * index + 2) / (4 * index - 3), rel=1e-12)


@given(st.floats(0.0, 2000.0), st.floats(1.0, 500.0))
def test_more_force_more_stress(force: float, more: float) -> None:
    below, above = (shear_stress_pa(force_n=f, wire_m=0.005, mean_diameter_m=0.035) for f in (force, force + more))
    assert above > below


@given(st.floats(0.090, 0.160), st.floats(0.0005, 0.004))
def test_pressed_further_it_pushes_harder(fitted: float, more: float) -> None:
    found = spring(
        wire_m=0.007, outside_diameter_m=0.046, total_coils=12.5, free_length_m=0.167, fitted_length_m=fitted + more,
        cocked_length_m=fitted, piston_diameter_m=0.05,
    )  # fmt: skip
    assert isinstance(found.pressure_start_pa, float)
    assert isinstance(found.pressure_end_pa, float)
    assert found.pressure_start_pa > found.pressure_end_pa
