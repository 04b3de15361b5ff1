"""Laws of seals: deeper grooves squeeze less, scale changes nothing, bands are bands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.rings import modulus_pa, section_loss, squeeze_band
from brasswright.bench.seal import seal


@given(st.floats(24.0, 27.0), st.floats(2.4, 3.4), st.floats(0.01, 0.2))
def test_a_deeper_groove_squeezes_and_fills_less(groove_mm: float, depth_mm: float, more_mm: float) -> None:
    def at(depth: float) -> tuple[float, float]:
        found = seal(
            groove_diameter_m=groove_mm / 1000, mating_diameter_m=(groove_mm + 2 * depth) / 1000,
            groove_width_m=0.0047, ring_inside_m=0.02499, ring_section_m=0.00353,
        )  # fmt: skip
        assert isinstance(found.squeeze, float)
        assert isinstance(found.fill, float)
        return found.squeeze, found.fill

    shallow, deep = at(depth_mm), at(depth_mm + more_mm)
    assert deep[0] < shallow[0]
    assert deep[1] < shallow[1]


@given(st.floats(0.6, 1.9))
def test_squeeze_stretch_and_fill_do_not_depend_on_scale(times: float) -> None:
    one, other = (
        seal(
            groove_diameter_m=0.0256 * k, mating_diameter_m=0.0317 * k, groove_width_m=0.0047 * k,
            ring_inside_m=0.02499 * k, ring_section_m=0.00353 * k,
        )
        for k in (1.0, times)
    )  # fmt: skip
    assert other.squeeze == pytest.approx(one.squeeze)
    assert other.stretch == pytest.approx(one.stretch)
    assert other.fill == pytest.approx(one.fill)


@given(st.floats(0.0, 0.2), st.floats(0.001, 0.05))
def test_more_stretch_never_leaves_more_section(stretch: float, more: float) -> None:
    below, above = section_loss(stretch=stretch), section_loss(stretch=min(stretch + more, 0.25))
    assert above >= below - 2e-5


@given(st.floats(0.001, 0.0071), st.sampled_from([("static", "radial"), ("static", "face"), ("dynamic", "radial")]))
def test_a_band_is_a_band(section_m: float, groove: tuple[str, str]) -> None:
    low, high = squeeze_band(section_m=section_m, motion=groove[0], place=groove[1])
    assert 0 < low < high < 0.4


@given(st.floats(20.0, 89.0), st.floats(0.01, 1.0))
def test_harder_rubber_is_stiffer(hardness: float, more: float) -> None:
    assert modulus_pa(hardness_shore_a=hardness + more) > modulus_pa(hardness_shore_a=hardness)
