"""Laws of flat gaskets: monotony in pressure, sheets that never hold more than their area."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.flatgasket import flatgasket
from brasswright.bench.gaskets import MATERIALS, pieces_per_sheet, seating_width

OUTSIDE = st.floats(0.02, 0.2)
SHARE = st.floats(0.3, 0.95)


@given(OUTSIDE, SHARE, st.sampled_from(MATERIALS), st.floats(0.0, 1.5e6), st.floats(1e3, 4e5))
def test_more_pressure_never_wants_less_load(d: float, share: float, stuff: str, p: float, more: float) -> None:
    low, high = (flatgasket(outside_m=d, inside_m=share * d, material=stuff, pressure_pa=x) for x in (p, p + more))
    assert high.holding_load_n > low.holding_load_n
    assert high.load_needed_n >= low.load_needed_n
    assert high.seating_load_n == low.seating_load_n


@given(OUTSIDE, SHARE)
def test_the_effective_width_is_never_more_than_half_the_ring(d: float, share: float) -> None:
    width = seating_width(inside_m=share * d, outside_m=d)
    assert 0 < width.effective_m <= (1 - share) * d / 4 * 1.001
    assert share * d <= width.reaction_m <= d


@given(OUTSIDE, st.floats(0.0, 0.01), st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_a_sheet_never_gives_more_than_the_densest_packing(
    d: float, margin: float, width: float, length: float
) -> None:
    found = pieces_per_sheet(outside_m=d, margin_m=margin, width_m=width, length_m=length)
    pitch = d + margin
    assert found * math.pi / 4 * pitch**2 <= width * length * (1 + 1e-6)
    turned = pieces_per_sheet(outside_m=d, margin_m=margin, width_m=length, length_m=width)
    assert found == turned
