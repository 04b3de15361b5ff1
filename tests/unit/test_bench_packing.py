"""Packing in the cases that catch people out, and its laws."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.carton import box_strength_n, strength_share
from brasswright.bench.cushion import best_peak_g, best_stress_pa, curve, materials, peak_g
from brasswright.bench.packing import height_for_mass_m, packing
from brasswright.bench.propagate import propagate
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity
from brasswright.tables import rows
from brasswright.units import Measured

PLANK = materials()[0]
DAY = 86400.0
BOX: dict[str, Any] = {"edge_crush_n_per_m": 5600.0, "board_thickness_m": 0.004, "perimeter_m": 1.42}
PADS: dict[str, Any] = {"thickness_m": 0.05, "pad_area_m2": 0.02}


@pytest.mark.parametrize(("mass", "height"), [(9.99, 0.76), (10.0, 0.61), (18.99, 0.61), (19.0, 0.46), (67.9, 0.2)])
def test_a_band_begins_at_its_lower_mass(mass: float, height: float) -> None:
    assert height_for_mass_m(mass_kg=mass) == height


def test_heavier_than_the_bands_needs_a_height_of_its_own() -> None:
    with pytest.raises(OutsideValidity):
        packing(mass_kg=80.0)
    assert packing(mass_kg=80.0, drop_height_m=0.1).drop_height_m == 0.1
    with pytest.raises(NotFound, match="ISTA 1A"):
        height_for_mass_m(mass_kg=8.0, standard="over the shoulder")


@given(st.floats(0.5, 67.0), st.floats(0.0, 60.0))
def test_heavier_is_never_dropped_from_higher(mass: float, more: float) -> None:
    assert height_for_mass_m(mass_kg=min(mass + more, 67.9)) <= height_for_mass_m(mass_kg=mass)


@given(st.floats(0.0, 180.0), st.floats(0.0, 1.0), st.floats(0.0, 0.2), st.floats(0.0, 180.0), st.floats(0.0, 1.0))
def test_time_damp_and_offset_only_weaken(days: float, damp: float, offset: float, more: float, damper: float) -> None:
    share = strength_share(storage_s=days * DAY, humidity=damp, offset=offset)
    assert 0.0 < float(share) <= 1.0
    later = strength_share(storage_s=max(days, more) * DAY, humidity=max(damp, damper), offset=offset)
    assert float(later) <= float(share) + 1e-12
    crossed = strength_share(storage_s=days * DAY, humidity=damp, offset=offset, interlocked=True)
    assert float(crossed) == pytest.approx(float(share) / 2)


@given(st.floats(1.5, 10.0))
def test_a_box_and_its_board_grown_alike_grow_in_strength_alike(times: float) -> None:
    small = float(box_strength_n(edge_crush_n_per_m=2000.0, board_thickness_m=0.002, perimeter_m=0.5))
    grown = float(box_strength_n(edge_crush_n_per_m=2000.0, board_thickness_m=0.002 * times, perimeter_m=0.5 * times))
    assert grown == pytest.approx(small * times)


@given(st.floats(0.2, 1.2), st.floats(0.025, 0.15), st.floats(0.0, 1.0))
def test_no_stress_beats_the_best_one(height: float, thick: float, where: float) -> None:
    found = curve(PLANK)
    energy = found.lowest_pa + where * (found.highest_pa - found.lowest_pa)
    drop = {"material": PLANK, "drop_height_m": height, "thickness_m": thick}
    peak = float(peak_g(**drop, static_stress_pa=energy * thick / height))  # type: ignore[arg-type]
    least = float(best_peak_g(**drop))  # type: ignore[arg-type]
    assert peak >= least * (1 - 1e-12)
    at_best = peak_g(**drop, static_stress_pa=best_stress_pa(**drop))  # type: ignore[arg-type]
    assert float(at_best) == pytest.approx(least)


@given(st.floats(0.2, 0.9), st.floats(0.03, 0.09), st.floats(1.1, 1.6))
def test_only_height_over_thickness_counts_for_the_least_peak(height: float, thick: float, times: float) -> None:
    one = best_peak_g(material=PLANK, drop_height_m=height, thickness_m=thick)
    other = best_peak_g(material=PLANK, drop_height_m=height * times, thickness_m=thick * times)
    assert float(one) == pytest.approx(float(other))


def test_two_points_give_no_residual_and_say_so() -> None:
    assert "two-point estimate" in packing(mass_kg=11.0, **PADS).cushion
    assert "no residual" in curve(PLANK).words
    assert curve(PLANK).points == len([row for row in rows("cushion_points") if row["material"] == PLANK])
    with pytest.raises(NotFound, match="nothing is guessed"):
        curve("straw")


@pytest.mark.parametrize(
    ("fragility", "words"), [(40.0, "not shown"), (60.0, "only a drop test"), (25.0, "other pads"), (35.0, "not shown")]
)
def test_an_estimate_never_passes_a_drop(fragility: float, words: str) -> None:
    result = packing(mass_kg=11.0, **PADS, fragility=fragility)
    assert words in result.cushion
    assert "passed" not in result.cushion
    assert result.least_thickness_m is not None
    assert result.peak_low_g is not None
    thick = float(result.least_thickness_m)
    peak = best_peak_g(material=PLANK, drop_height_m=0.61, thickness_m=thick)
    assert float(peak) * 1.2 == pytest.approx(fragility)


def test_outside_the_points_the_refusal_names_the_stress_that_would_do() -> None:
    with pytest.raises(OutsideValidity) as refused:
        packing(mass_kg=11.0, thickness_m=0.05, pad_area_m2=0.01)
    middle = (refused.value.low + refused.value.high) / 2
    assert packing(mass_kg=11.0, thickness_m=0.05, pad_area_m2=11.0 * 9.80665 / middle).peak_g is not None


@pytest.mark.parametrize(
    "half",
    [{"thickness_m": 0.05}, {"pad_area_m2": 0.02}, {"half_base_m": 0.2}, {"edge_crush_n_per_m": 5600.0}],
)
def test_half_of_what_is_needed_is_refused(half: dict[str, float]) -> None:
    with pytest.raises(ImpossibleValue, match="must be known too"):
        packing(mass_kg=11.0, **half)  # type: ignore[arg-type]


def test_a_stack_that_crushes_the_box_is_called_so() -> None:
    light, heavy = (packing(mass_kg=11.0, **BOX, boxes_above=count) for count in (2.0, 12.0))
    assert "more than its load" in light.stacking
    assert "crushed" in heavy.stacking
    assert light.stack_factor is not None
    assert heavy.stack_factor is not None
    assert float(light.stack_factor) == pytest.approx(6 * float(heavy.stack_factor))
    assert packing(mass_kg=11.0, **BOX, boxes_above=0.0).stacking == "nothing stands on it"
    assert packing(mass_kg=11.0).stacking == "not asked"


def test_a_base_of_1_6_heights_stands_at_0_8_g_and_less_does_not() -> None:
    for half, word in ((0.281, "stands"), (0.279, "tips")):
        loads = packing(mass_kg=11.0, half_base_m=half, centre_height_m=0.35).tipping
        assert f": {word}" in next(load for load in loads if load.startswith("0.8"))


def test_the_angle_is_that_of_the_diagonal() -> None:
    result = packing(mass_kg=11.0, half_base_m=0.2, centre_height_m=0.2)
    assert result.tip_angle_rad == pytest.approx(math.pi / 4)


def test_small_thick_pads_and_creep_are_warned_about() -> None:
    notes = packing(mass_kg=1.0, thickness_m=0.1, pad_area_m2=0.002, drop_height_m=0.8).warnings
    assert any("buckles" in note for note in notes)
    creeping = packing(mass_kg=11.0, thickness_m=0.1, pad_area_m2=0.009, drop_height_m=0.46).warnings
    assert any("creep" in note for note in creeping)


def test_the_mass_spreads_into_peak_and_stack() -> None:
    spread = propagate(packing, inputs={"mass_kg": Measured(13.0, 0.2), **PADS, **BOX}, seed=1)
    assert spread["stack_load_n"].sigma == pytest.approx(0.2 * 9.80665, rel=0.05)
    assert spread["peak_g"].sigma > 0
    masses = np.array([11.0, 12.0])
    assert packing(mass_kg=masses, **PADS).peak_g == pytest.approx(
        [packing(mass_kg=float(mass), **PADS).peak_g for mass in masses]
    )


def test_an_uncertain_fragility_keeps_the_spread_of_all() -> None:
    plain = {"mass": "11 ± 0.2 kg", "thickness": "50 mm", "pad_area": "200 cm²"}
    sure = answer(INSTRUMENTS["packing"], {**plain, "fragility": "40"})["uncertainty"]
    unsure = answer(INSTRUMENTS["packing"], {**plain, "fragility": "40 ± 2"})["uncertainty"]
    assert unsure["static_stress_pa"]["sigma"] == pytest.approx(sure["static_stress_pa"]["sigma"], rel=0.05)
    least = unsure["least_thickness_m"]
    assert least["sigma"] / ((least["low"] + least["high"]) / 2) == pytest.approx(2 / 40, rel=0.1)
