"""Helical springs: what sizes and lengths say, what they cannot be, what is warned of."""

from __future__ import annotations

from typing import Any

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.coil import ENDS, WIRES, active_coils, allowed_stress_pa, shear_modulus_pa, tensile_strength_pa
from brasswright.bench.spring import SpringResult, spring
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity

MM = 1e-3


def group(**other: Any) -> SpringResult:
    sizes: dict[str, Any] = {
        "wire_m": 7 * MM, "outside_diameter_m": 46 * MM, "total_coils": 12.5, "free_length_m": 167 * MM,
        "fitted_length_m": 145 * MM, "cocked_length_m": 115 * MM, "piston_diameter_m": 54 * MM,
    }  # fmt: skip
    return spring(**(sizes | other))


def test_a_pull_begins_with_more_pressure_than_it_ends_with() -> None:
    found = group()
    assert isinstance(found.pressure_start_pa, float)
    assert isinstance(found.pressure_end_pa, float)
    assert found.pressure_start_pa / found.pressure_end_pa == pytest.approx((167 - 115) / (167 - 145))
    assert 8e5 < found.pressure_start_pa < 10e5


def test_a_spring_pressed_too_far_for_its_wire_is_told() -> None:
    assert "Near" in group().meaning
    assert "set shorter" in group(cocked_length_m=95 * MM).meaning
    assert "rust is not seen" in group(cocked_length_m=140 * MM).meaning


def test_sizes_alone_give_the_rate() -> None:
    found = spring(wire_m=7 * MM, outside_diameter_m=46 * MM, total_coils=12.5)
    assert found.force_cocked_n is None
    assert found.stress_share is None
    assert "Rate only" in found.meaning


@pytest.mark.parametrize(
    ("ends", "active"), [("closed and ground", 8.0), ("closed", 8.0), ("open and ground", 9.0), ("open", 10.0)]
)
def test_ends_take_coils_away(ends: str, active: float) -> None:
    assert active_coils(total_coils=10.0, ends=ends) == active
    assert set(ENDS) == {"closed and ground", "closed", "open and ground", "open"}


@pytest.mark.parametrize("wire", WIRES)
def test_thinner_wire_is_stronger_and_no_wire_bears_its_strength_in_shear(wire: str) -> None:
    thin, thick = (tensile_strength_pa(wire=wire, wire_m=d) for d in (1 * MM, 6 * MM))
    assert thin > thick > 9e8
    assert allowed_stress_pa(wire=wire, wire_m=1 * MM) < 0.6 * thin
    assert 6e10 < shear_modulus_pa(wire=wire) < 8.5e10


def test_a_wire_outside_its_table_gets_no_judgement() -> None:
    found = group(wire="music wire")
    assert found.stress_allowed_pa is None
    assert isinstance(found.stress_pa, float)
    assert any("not judged" in text for text in found.warnings)
    assert "in no table" in found.meaning
    with pytest.raises(OutsideValidity):
        tensile_strength_pa(wire="music wire", wire_m=7 * MM)


def test_an_odd_index_and_a_slender_spring_are_warned_of() -> None:
    tight = spring(wire_m=7 * MM, outside_diameter_m=28 * MM, total_coils=10.0)
    assert any("Index" in text for text in tight.warnings)
    slender = spring(wire_m=2 * MM, outside_diameter_m=14 * MM, total_coils=20.0, free_length_m=80 * MM)
    assert any("buckles" in text for text in slender.warnings)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="solid"):
        group(cocked_length_m=80 * MM)
    with pytest.raises(ImpossibleValue, match="longer than free"):
        group(fitted_length_m=170 * MM)
    with pytest.raises(ImpossibleValue, match="mixed up"):
        group(fitted_length_m=115 * MM, cocked_length_m=145 * MM)
    with pytest.raises(ImpossibleValue, match="free length"):
        group(free_length_m=None)
    with pytest.raises(ImpossibleValue, match="Count"):
        group(free_length_m=60 * MM, fitted_length_m=None, cocked_length_m=None)
    with pytest.raises(ImpossibleValue, match="two wires"):
        group(outside_diameter_m=13 * MM)
    with pytest.raises(NotFound, match="hard-drawn"):
        group(wire="copper")
    with pytest.raises(NotFound, match="closed"):
        group(ends="hooked")


def test_the_wire_counts_fourfold_in_the_uncertainty() -> None:
    said = answer(INSTRUMENTS["spring"], {"wire": "4 ± 0.02 mm", "outside": "34 mm", "coils": "8.5"})
    sigma = said["uncertainty"]["rate_n_per_m"]["sigma"] / said["rate_n_per_m"]
    assert sigma == pytest.approx((4 / 4 + 3 / 30) * 0.02, rel=0.06)


def test_cautions_stand_with_the_answer() -> None:
    said = " ".join(INSTRUMENTS["spring"].cautions)
    assert "restrains both ends" in said
    assert "cocked lever" in said
