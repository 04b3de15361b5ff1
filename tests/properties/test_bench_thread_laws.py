"""Laws of threads: a thread made to its limits is found again; probabilities are probabilities."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench.thread import thread
from brasswright.bench.thread_table import Side, Thread, crest_band_m, threads

STANDARD = st.sampled_from([one for one in threads() if one.family != "sheet-metal screw" and one.major_m <= 0.06])
SIDES = st.sampled_from(["male", "female"])


@given(STANDARD, SIDES, st.floats(0.0, 1.0))
def test_a_thread_made_to_its_limits_is_among_those_listed(one: Thread, side: Side, share: float) -> None:
    low, high = crest_band_m(one, side)
    diameter = low + share * (high - low)
    if diameter < 0.0011:
        return
    found = thread(diameter_m=diameter, side=side, pitch_m=one.pitch_m)
    assert one.name in {candidate.name for candidate in found.candidates}
    assert found.likeliest != "none of these"


@given(st.floats(0.0011, 0.069), st.floats(0.00021, 0.0069), SIDES)
def test_probabilities_are_probabilities(diameter_m: float, pitch_m: float, side: Side) -> None:
    found = thread(diameter_m=diameter_m, pitch_m=pitch_m, side=side)
    listed = [one.probability for one in found.candidates]
    assert listed == sorted(listed, reverse=True)
    assert 0 <= sum(listed) + found.none_probability <= 1 + 1e-9
    assert (found.likeliest == "none of these") == (found.none_probability >= 0.5)


@given(STANDARD, st.integers(5, 40))
def test_counting_threads_and_gauging_the_pitch_agree(one: Thread, n: int) -> None:
    over = one.pitch_m * n
    if not 0.001 <= over <= 0.2:
        return
    counted = thread(diameter_m=one.major_m, threads_counted=n, over_m=over)
    assert counted.pitch_m == pytest.approx(one.pitch_m)
