"""Tightening: no screw is turned past its strength, scatter is said, mates that strip decide."""

from __future__ import annotations

import pytest

from brasswright.bench.bolting import MATERIALS, nut_factors, yield_and_strength_pa
from brasswright.bench.torque import torque
from brasswright.errors import NotFound, OutsideValidity

MM = 1e-3
BREAKING_N_M = {
    1.6: (0.35, 0.10),
    2.0: (0.4, 0.21),
    2.5: (0.45, 0.45),
    3.0: (0.5, 0.8),
    4.0: (0.7, 1.9),
    5.0: (0.8, 3.8),
}
"""Least breaking torque of brass screws by diameter, with the pitch (ISO 8839, read on a supplier's page)."""


@pytest.mark.parametrize("state", ["dry", "lubricated"])
@pytest.mark.parametrize("size", BREAKING_N_M)
def test_brass_screws_stay_under_their_breaking_torque(size: float, state: str) -> None:
    pitch, breaks = BREAKING_N_M[size]
    found = torque(diameter_m=size * MM, pitch_m=pitch * MM, screw="brass", mating="brass", state=state)
    assert isinstance(found.torque_n_m, float)
    assert found.torque_n_m < 0.8 * breaks


@pytest.mark.parametrize("material", MATERIALS)
def test_even_the_slickest_screw_stays_under_its_share(material: str) -> None:
    found = torque(diameter_m=8 * MM, pitch_m=1.25 * MM, screw=material, mating=material)
    assert isinstance(found.preload_high_n, float)
    assert isinstance(found.stress_area_m2, float)
    assert found.preload_high_n / found.stress_area_m2 < 0.6 * found.yield_pa
    strength = yield_and_strength_pa(material=material, diameter_m=8 * MM)
    assert strength[0] < strength[1]


def test_by_feel_less_is_aimed_at_and_more_scatters() -> None:
    wrench, feel = (
        torque(diameter_m=6 * MM, pitch_m=1 * MM, screw="brass", tool=tool) for tool in ("torque wrench", "by feel")
    )
    assert feel.torque_n_m < wrench.torque_n_m
    assert feel.preload_high_n == pytest.approx(wrench.preload_high_n)
    assert feel.preload_low_n < wrench.preload_low_n


def test_oil_wants_less_torque_for_the_same_tension() -> None:
    dry, oiled = (
        torque(diameter_m=6 * MM, pitch_m=1 * MM, screw="brass", state=state) for state in ("dry", "lubricated")
    )
    assert oiled.torque_n_m < dry.torque_n_m
    assert any("never a dry figure" in text for text in oiled.warnings)


def test_a_mate_that_strips_decides() -> None:
    short, long = (
        torque(diameter_m=8 * MM, pitch_m=1.25 * MM, screw="steel 8.8", mating="copper", engaged_m=length * MM)
        for length in (3, 16)
    )
    assert short.limited_by == "the thread it goes into"
    assert long.limited_by == "the screw"
    assert short.torque_n_m < long.torque_n_m
    assert any("not looked at" in text for text in torque(diameter_m=8 * MM, pitch_m=1.25 * MM).warnings)


def test_couples_are_looked_up_either_way_round() -> None:
    assert nut_factors(screw="brass", mating="steel 8.8", state="dry") == nut_factors(
        screw="steel 8.8", mating="brass", state="dry"
    )
    assert nut_factors(screw="copper", mating="copper", state="dry") == nut_factors(
        screw="copper", mating="brass", state="dry"
    )


def test_stainless_galls() -> None:
    found = torque(diameter_m=6 * MM, pitch_m=1 * MM, screw="stainless", mating="stainless")
    assert any("galls" in text for text in found.warnings)


def test_what_is_in_no_table_is_refused() -> None:
    with pytest.raises(NotFound, match="brass"):
        torque(diameter_m=6 * MM, pitch_m=1 * MM, screw="phenolic")
    with pytest.raises(NotFound, match="dry"):
        torque(diameter_m=6 * MM, pitch_m=1 * MM, state="wet")
    with pytest.raises(NotFound, match="by feel"):
        torque(diameter_m=6 * MM, pitch_m=1 * MM, tool="hammer")
    with pytest.raises(OutsideValidity):
        torque(diameter_m=2 * MM, pitch_m=1.5 * MM)
    with pytest.raises(OutsideValidity):
        torque(diameter_m=6 * MM, pitch_m=1 * MM, share=1.2)
