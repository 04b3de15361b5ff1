"""Flat gaskets: loads, thickness for a gap, and what a sheet gives."""

from __future__ import annotations

import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.flatgasket import flatgasket
from brasswright.bench.gaskets import MATERIALS, compression_band
from brasswright.errors import ImpossibleValue, NotFound

MM = 1e-3


@pytest.mark.parametrize(
    ("thick", "outcome", "said"),
    [
        (2.0, "fits", "10%"),
        (1.85, "does not fit", "thin"),
        (2.5, "does not fit", "thick"),
        (1.7, "does not fit", "touches nothing"),
    ],
)
def test_the_compression_lies_in_its_band_or_it_is_told(thick: float, outcome: str, said: str) -> None:
    found = flatgasket(outside_m=70 * MM, inside_m=60 * MM, gap_m=1.8 * MM, thickness_m=thick * MM)
    assert found.outcome == outcome
    assert said in found.meaning


@pytest.mark.parametrize("material", MATERIALS)
def test_sheets_for_a_gap_press_to_the_edges_of_the_band(material: str) -> None:
    found = flatgasket(outside_m=70 * MM, inside_m=60 * MM, gap_m=3 * MM, material=material)
    assert found.thickness_least_m is not None
    assert found.thickness_most_m is not None
    low, high = compression_band(material=material)
    assert 1 - 3 * MM / found.thickness_least_m == pytest.approx(low)
    assert 1 - 3 * MM / found.thickness_most_m == pytest.approx(high)
    assert found.outcome == "not shown"


def test_the_larger_load_is_needed_and_shared_by_the_screws() -> None:
    cold = flatgasket(outside_m=70 * MM, inside_m=60 * MM, pressure_pa=1.5e5, screws=4)
    assert cold.load_needed_n == cold.seating_load_n
    rubber = flatgasket(outside_m=70 * MM, inside_m=60 * MM, pressure_pa=1.5e5, screws=4, material="soft rubber")
    assert rubber.load_needed_n == rubber.holding_load_n
    assert rubber.load_per_screw_n == pytest.approx(rubber.holding_load_n / 4)


def test_the_cut_list_counts_sheets() -> None:
    found = flatgasket(
        outside_m=70 * MM, inside_m=60 * MM, pieces=26, sheet_width_m=300 * MM, sheet_length_m=500 * MM
    )  # fmt: skip
    assert (found.per_sheet, found.sheets) == (25, 2)
    assert "26 pieces of fibre: outside 70 mm, inside 60 mm" in found.cut_list[0]
    assert "73 mm square" in found.cut_list[1]


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="mixed up"):
        flatgasket(outside_m=60 * MM, inside_m=60 * MM)
    with pytest.raises(ImpossibleValue, match="belong together"):
        flatgasket(outside_m=70 * MM, inside_m=60 * MM, sheet_width_m=300 * MM)
    with pytest.raises(ImpossibleValue, match="too small"):
        flatgasket(outside_m=70 * MM, inside_m=60 * MM, sheet_width_m=60 * MM, sheet_length_m=500 * MM)
    with pytest.raises(ImpossibleValue, match="whole"):
        flatgasket(outside_m=70 * MM, inside_m=60 * MM, pieces=1.5)
    with pytest.raises(NotFound, match="fibre"):
        flatgasket(outside_m=70 * MM, inside_m=60 * MM, material="cork")


def test_ptfe_and_metal_come_with_their_warnings() -> None:
    assert any("creeps" in text for text in flatgasket(outside_m=70 * MM, inside_m=60 * MM, material="PTFE").warnings)
    copper = flatgasket(outside_m=70 * MM, inside_m=60 * MM, material="soft copper")
    assert any("scratch" in text for text in copper.warnings)


def test_uncertainty_of_the_gap_goes_through() -> None:
    said = answer(
        INSTRUMENTS["flatgasket"], {"outside": "70 mm", "inside": "60 mm", "gap": "1.8 ± 0.02 mm", "thickness": "2 mm"}
    )
    assert said["uncertainty"]["compression"]["sigma"] == pytest.approx(0.01, rel=0.05)
    assert "asbestos" in " ".join(said["cautions"])
