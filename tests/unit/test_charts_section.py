"""The section drawing with a job's state on it, for page and paper."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest

from brasswright.charts.conditions import Shown
from brasswright.charts.section import (
    SVG,
    Plate,
    Wanted,
    drawing_of,
    marked,
    paper_section,
    parsed,
    plates,
    swatch,
    window_of,
)
from brasswright.errors import StoreRefused

SMALL = (
    f'<svg xmlns="{SVG}" viewBox="0 0 40 30"><defs><pattern id="s45"/></defs>'
    '<g class="parts"><g class="part unknown m-s45" data-component="lever"><path class="body" d="M0 0h4"/></g></g>'
    '<g class="seals"><g class="seal" data-hold="3"/></g>'
    '<g class="labels"><g class="lab unknown" data-for="lever"><text class="wd">not known</text></g></g></svg>'
)
WORN = {"lever": Shown("lever", "Lever", "ink r2", "worn")}


def by(root: ET.Element, name: str, value: str) -> ET.Element:
    return next(element for element in root.iter() if element.get(name) == value)


def test_state_goes_into_classes_and_words_and_nothing_else_changes() -> None:
    root = marked(SMALL, Wanted(WORN, seals={3: "stands"}, now="lever"))
    assert by(root, "data-component", "lever").get("class") == "part m-s45 ink r2 now"
    label = by(root, "data-for", "lever")
    assert label.get("class") == "lab ink r2 now"
    assert [text.text for text in label] == ["worn"]
    assert by(root, "data-hold", "3").get("class") == "seal stands"
    assert [path.get("d") for path in root.iter(f"{{{SVG}}}path")] == ["M0 0h4"]


def test_a_part_nobody_speaks_of_is_unknown_and_the_kept_drawing_stays_clean() -> None:
    marked(SMALL, Wanted(WORN))
    assert by(marked(SMALL, Wanted({})), "data-component", "lever").get("class") == "part m-s45 unknown"


def test_a_plate_is_another_window() -> None:
    assert marked(SMALL, Wanted(WORN, plate=Plate("Lever", (1, 2, 3.5, 4)))).get("viewBox") == "1 2 3.5 4"


@pytest.mark.parametrize(
    "inside",
    ["<script>1</script>", '<path onclick="x()"/>', '<path style="fill:red"/>', "<image/>", "<foreignObject/>"],
)
def test_what_is_no_drawing_is_refused(inside: str) -> None:
    with pytest.raises(StoreRefused, match="no drawing"):
        parsed(f'<svg xmlns="{SVG}">{inside}</svg>')


def test_a_broken_drawing_is_refused() -> None:
    with pytest.raises(StoreRefused, match="cannot be read"):
        parsed("<svg")


def test_paper_has_its_colours_inside_and_neither_labels_nor_seals() -> None:
    drawn = paper_section(SMALL, WORN, window=(0, 0, 40, 30))
    root = ET.fromstring(drawn)  # noqa: S314 - made here
    assert {group.get("class") for group in root} == {"parts", None}
    assert "#7aa1c7" in drawn
    assert drawn == paper_section(SMALL, dict(WORN), window=(0, 0, 40, 30))


def test_every_state_a_part_can_have_has_a_rule_on_paper() -> None:
    drawn = paper_section(SMALL, WORN, window=(0, 0, 40, 30))
    for css in ("ink.r0", "ink.r1", "ink.r2", "ink.r3", "pencil", "unknown", "absent", "fixed"):
        assert re.search(rf"\.{re.escape(css)}[ .]", drawn), css


def test_a_mark_of_the_key_carries_the_drawings_hatches() -> None:
    text = drawing_of("home-spring-lever")
    assert text is not None
    root = ET.fromstring(swatch(text, "pencil r2"))  # noqa: S314 - made here
    assert {pattern.get("id") for pattern in root.iter(f"{{{SVG}}}pattern")} >= {"s45", "x2", "x3", "q1", "q2", "q3"}
    assert by(root, "class", "part pencil r2 m-s45").tag == f"{{{SVG}}}g"


def test_the_window_of_paper_holds_every_plate_and_leaves_the_labels_out() -> None:
    text = drawing_of("home-spring-lever")
    assert text is not None
    left, top, width, height = window_of("home-spring-lever", text)
    for plate in plates("home-spring-lever").values():
        x, y, wide, high = plate.view_box
        assert left <= x
        assert top <= y
        assert x + wide <= left + width
        assert y + high <= top + height
    whole = [float(number) for number in (parsed(text).get("viewBox") or "").split()]
    assert width < whole[2]


def test_a_sheet_without_drawing_has_neither_plates_nor_a_window_of_its_own() -> None:
    assert drawing_of("no-such-sheet") is None
    assert not plates("no-such-sheet")
    assert window_of("no-such-sheet", SMALL) == (0, 0, 40, 30)
