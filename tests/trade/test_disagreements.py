"""Where the trade disagrees both views stand, and where people can be hurt only the stricter one is followed.

Source of every view: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from brasswright.sheets.load import load_packaged, packaged

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet

PAGE = Path(__file__).parents[2] / "docs" / "explanation" / "where-the-trade-disagrees.md"
SUBJECTS = (
    "acid on aluminium",
    "chrome in acid",
    "hot or cool acid",
    "zinc anode",
    "plating an aluminium boiler",
    "powder coat",
    "silicone on slow pins",
    "asbestos",
    "lead",
    "very soft water",
    "storing an aluminium boiler",
)
SHEETS = [load_packaged(key).sheet for key in packaged()]
each_sheet = pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.sheet.key)


@pytest.mark.parametrize("subject", SUBJECTS)
def test_both_views_and_what_the_program_does_stand_on_the_page(subject: str) -> None:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    row = next(line for line in lines if line.startswith("|") and subject in line)
    cells = [cell.strip() for cell in row.strip("|").split("|")]
    assert len(cells) == 4
    assert all(len(cell) > 3 for cell in cells)


@each_sheet
def test_no_sheet_disturbs_lagging_but_by_licensed_people(sheet: Sheet) -> None:
    for way in sheet.treatment.values():
        if any(fix.of == "lagging" for fix in way.fixes):
            assert any(step.skill == "send-out" for step in way.steps)
            assert "Nobody here touches it" in way.advice


@each_sheet
def test_nothing_irreversible_is_unmarked(sheet: Sheet) -> None:
    """Acid, brazing, turning and facing cannot be undone."""
    words = ("braze", "weld", "descale", "face the", "turn the")
    for way in sheet.treatment.values():
        if way.way == "repair" and any(word in way.name.lower() for word in words):
            assert not way.reversible, way.name


def test_acid_never_touches_a_boiler_cast_in_aluminium() -> None:
    sheet = load_packaged("home-spring-lever-aluminium").sheet
    for way in sheet.treatment.values():
        if any(fix.of == "boiler_shell" for fix in way.fixes):
            assert not any("descale" in step.does for step in way.steps)


def test_standing_water_weighs_heavily_in_an_aluminium_boiler() -> None:
    sheet = load_packaged("home-spring-lever-aluminium").sheet
    wet = next(cause for cause in sheet.component["boiler_shell"].causes if cause.of == "stored_wet")
    assert sum(wet.gives.values()) > 0.8
