"""O-rings in grooves: what fits, what does not, what the measurement cannot tell."""

from __future__ import annotations

import itertools

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.elastomers import suiting
from brasswright.bench.rings import ring, rings, squeeze_band
from brasswright.bench.seal import seal
from brasswright.errors import ImpossibleValue, NotFound, OutsideValidity
from brasswright.tables import rows
from brasswright.units import kelvin

MM = 1e-3


def test_each_ring_stands_once_and_inch_sizes_grow_within_their_section() -> None:
    names = [one.name for one in rings()]
    assert len(set(names)) == len(names)
    inch = [one for one in rings() if one.series == "inch sizes"]
    for before, after in itertools.pairwise(inch):
        if before.section_m == after.section_m:
            assert after.inside_m > before.inside_m, after.name


@pytest.mark.parametrize(
    "row", rows("o_ring_glands"), ids=lambda row: f"{row['section_mm']} {row['motion']} {row['place']}"
)
def test_the_printed_squeeze_is_that_of_its_depths_and_the_section_tolerance(row: dict[str, str]) -> None:
    section, deep, shallow = (float(row[key]) for key in ("section_mm", "depth_high_mm", "depth_low_mm"))
    low, high = 100 * (section - deep) / section, 100 * (section - shallow) / section
    tolerance = 100 * 0.15 / section + 0.6  # printed figures are rounded
    assert float(row["squeeze_low_percent"]) == pytest.approx(low, abs=tolerance)
    assert float(row["squeeze_high_percent"]) == pytest.approx(high, abs=tolerance)


def test_a_groove_of_the_table_gets_the_ring_it_was_made_for() -> None:
    for name in ("014", "116", "214", "222", "325"):
        one = ring(name=name)
        band = squeeze_band(section_m=one.section_m, motion="static", place="radial")
        depth = one.section_m * (1 - sum(band) / 2) * 0.985
        groove = one.inside_m * 1.02
        found = seal(
            groove_diameter_m=groove, mating_diameter_m=groove + 2 * depth, groove_width_m=1.35 * one.section_m
        )
        assert found.ring == name
        assert found.outcome == "fits", found.meaning


def test_a_rod_groove_stretches_by_the_rod_and_presses_on_the_outside() -> None:
    found = seal(
        groove_diameter_m=31.54 * MM, mating_diameter_m=25.4 * MM, groove_width_m=4.7 * MM, kind="rod", motion="dynamic"
    )
    assert found.ring == "214"
    assert found.stretch == pytest.approx(25.4 / 24.99 - 1)
    assert found.outcome == "fits"


def test_a_face_ring_rests_against_the_outer_wall() -> None:
    found = seal(groove_diameter_m=60 * MM, groove_depth_m=2.7 * MM, groove_width_m=4.8 * MM, kind="face")
    assert found.ring == "227"
    assert isinstance(found.stretch, float)
    assert -0.03 < found.stretch < 0


def test_close_to_the_edge_a_coarse_caliper_cannot_tell() -> None:
    def at(sigma: float) -> str:
        return seal(
            groove_diameter_m=25.6 * MM, mating_diameter_m=31.7 * MM, groove_width_m=4.7 * MM, motion="dynamic",
            groove_sigma_m=sigma, mating_sigma_m=sigma,
        ).outcome  # fmt: skip

    assert at(0.02 * MM) == "fits"
    assert at(0.1 * MM) == "not shown"


def test_what_does_not_fit_says_why() -> None:
    flat = seal(
        groove_diameter_m=25.6 * MM, mating_diameter_m=31.7 * MM, groove_width_m=4.7 * MM,
        ring_inside_m=24.99 * MM, ring_section_m=3.1 * MM, motion="dynamic",
    )  # fmt: skip
    assert flat.ring == "the ring at hand"
    assert flat.outcome == "does not fit"
    assert "squeeze" in flat.meaning
    assert flat.choices[0].name == "214"
    tight = seal(groove_diameter_m=25.6 * MM, mating_diameter_m=31.7 * MM, groove_width_m=3.2 * MM, motion="dynamic")
    assert "fill" in tight.meaning


def test_where_no_ring_is_near_it_says_so() -> None:
    found = seal(groove_diameter_m=2 * MM, mating_diameter_m=14 * MM, groove_width_m=8 * MM)
    assert (found.ring, found.outcome, found.squeeze) == ("none near", "none near", None)


def test_silicone_grease_keeps_away_from_silicone_and_movement_from_weak_rubbers() -> None:
    hot = kelvin(celsius=90.0)
    greased = {one.name: one.suits for one in suiting(medium="water", temperature_k=hot, grease="silicone grease")}
    assert greased["VMQ silicone"] == "no"
    moving = {one.name: one.suits for one in suiting(medium="water", temperature_k=hot - 20, motion="dynamic")}
    assert moving["VMQ silicone"] == "limited"
    assert moving["EPDM, peroxide-cured"] == "suits"


def test_what_cannot_be_is_refused() -> None:
    common = {"groove_diameter_m": 25.6 * MM, "groove_width_m": 4.7 * MM}
    with pytest.raises(ImpossibleValue, match="bore"):
        seal(groove_diameter_m=common["groove_diameter_m"], groove_width_m=common["groove_width_m"])
    with pytest.raises(ImpossibleValue, match="mixed up"):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, mating_diameter_m=30 * MM, kind="rod")
    with pytest.raises(ImpossibleValue, match="depth"):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, kind="face")
    with pytest.raises(ImpossibleValue, match="does not move"):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, kind="face", groove_depth_m=2.7 * MM, motion="dynamic")
    with pytest.raises(ImpossibleValue, match="belong together"):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, mating_diameter_m=31 * MM, ring_inside_m=24 * MM)
    with pytest.raises(NotFound, match="static"):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, mating_diameter_m=31 * MM, motion="slow")
    with pytest.raises(OutsideValidity):
        seal(groove_diameter_m=25 * MM, groove_width_m=4.7 * MM, mating_diameter_m=45 * MM)
    with pytest.raises(NotFound, match="214"):
        ring(name="999")


def test_uncertainty_goes_through_to_the_squeeze() -> None:
    said = answer(
        INSTRUMENTS["seal"],
        {
            "groove": "25.6 ± 0.02 mm",
            "mating": "31.7 ± 0.02 mm",
            "width": "4.7 mm",
            "ring_inside": "24.99 mm",
            "ring_section": "3.53 mm",
            "motion": "dynamic",
        },
    )
    expected = 2**0.5 * 0.02 / 2 / 3.46
    assert said["uncertainty"]["squeeze"]["sigma"] == pytest.approx(expected, rel=0.15)
