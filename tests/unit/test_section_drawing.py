"""The first sheet's section drawing: complete, legible, and the same as its geometry."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import tomllib
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

ROOT = Path(__file__).parents[2]
PACKAGED = ROOT / "src" / "brasswright" / "sheets" / "packaged"
SVG = "{http://www.w3.org/2000/svg}"
PITCH = 31.0
NAME_ADVANCE, WORD_ADVANCE = 8.2, 6.8
"""Drawing units a letter takes at most on average, at 17 and 14.5 units high."""

COMPONENTS = """
lever_handle lever yoke pivot_pins group_cap spring spring_seats piston_rod rod_seal group_body sleeve piston
piston_seals screen group_gasket bayonet_ring portafilter portafilter_handle basket
steam_tap tap_packing steam_knob steam_wand wand_tip
boiler_gauge sight_glass glass_seals glass_glands
boiler_shell boiler_end flange_gasket boiler_bolts boiler_cap cap_seal safety_valve vacuum_breaker drain_plug
group_seal lagging element element_gasket
pressurestat_body pressurestat_switch pressurestat_tube thermal_cutout element_terminals terminal_block wiring
earth_bond
flex flex_bushing plug main_switch pilot_lamp case base feet drip_tray drip_grid plating"""

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@pytest.fixture(scope="module")
def drawing() -> ET.Element:
    return ET.fromstring((PACKAGED / "home-spring-lever.svg").read_text(encoding="utf-8"))  # noqa: S314  our own file


def grouped(drawing: ET.Element, first_class: str) -> list[ET.Element]:
    return [g for g in drawing.iter(f"{SVG}g") if g.get("class", "").split()[:1] == [first_class]]


def leader(label: ET.Element) -> list[Point]:
    path = next(p for p in label.iter(f"{SVG}path") if p.get("class") == "leader")
    x, y, elbow, dot_x, dot_y = (float(n) for n in re.findall(r"-?[\d.]+", path.get("d", "")))
    return [(x, y), (elbow, y), (dot_x, dot_y)]


def swatch(label: ET.Element) -> Point:
    box = next(r for r in label.iter(f"{SVG}rect") if r.get("class") == "sw")
    return float(box.get("x", "nan")) + 6, float(box.get("y", "nan")) + 6


def word_boxes(label: ET.Element) -> list[Box]:
    """Where the name and a condition of fifteen letters stand, generously."""
    boxes = []
    for text in label.iter(f"{SVG}text"):
        x, y = float(text.get("x", "nan")), float(text.get("y", "nan"))
        name = text.get("class") == "nm"
        wide = len(text.text or "") * NAME_ADVANCE if name else 15 * WORD_ADVANCE
        left = x - wide if text.get("text-anchor") == "end" else x
        boxes.append((left, y - 11, left + wide, y + 3))
    return boxes


def cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def through(a: Point, b: Point, box: Box) -> bool:
    steps = max(2, int(math.dist(a, b)))
    along = [(a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps) for i in range(steps + 1)]
    return any(box[0] < x < box[2] and box[1] < y < box[3] for x, y in along)


def test_every_component_has_one_shape_and_one_label_not_known_yet(drawing: ET.Element) -> None:
    parts, labels = grouped(drawing, "part"), grouped(drawing, "lab")
    assert sorted(p.get("data-component", "") for p in parts) == sorted(COMPONENTS.split())
    assert sorted(label.get("data-for", "") for label in labels) == sorted(COMPONENTS.split())
    assert all("unknown" in g.get("class", "").split() for g in parts + labels)
    for part in parts:
        shape = next(part.iter(f"{SVG}path"))
        assert shape.get("id") == f"d-{part.get('data-component')}"
        assert [use.get("class") for use in part.iter(f"{SVG}use")] == ["halo", "gap", "body", "tex"]


def test_labels_keep_their_distance(drawing: ET.Element) -> None:
    labels = grouped(drawing, "lab")
    columns: dict[float, list[float]] = {}
    for label in labels:
        x, y = swatch(label)
        columns.setdefault(x, []).append(y)
    tall = [sorted(ys) for ys in columns.values() if len(ys) > 1]
    assert min(lower - upper for ys in tall for upper, lower in pairwise(ys)) >= PITCH
    above = sorted(ys[0] for ys in columns.values() if len(ys) == 1)
    assert min(lower - upper for upper, lower in pairwise(above)) >= PITCH


def test_no_two_leaders_cross(drawing: ET.Element) -> None:
    leaders = {label.get("data-for"): leader(label) for label in grouped(drawing, "lab")}
    crossed = [
        (one, other)
        for (one, p), (other, q) in combinations(leaders.items(), 2)
        if any(cross(a, b, c, d) for a, b in pairwise(p) for c, d in pairwise(q))
    ]
    assert crossed == []


def test_no_leader_runs_through_a_word_or_off_the_paper(drawing: ET.Element) -> None:
    labels = grouped(drawing, "lab")
    _, _, width, height = (float(n) for n in drawing.get("viewBox", "").split())
    for label in labels:
        for other in labels:
            for box in word_boxes(other):
                hit = any(through(a, b, box) for a, b in pairwise(leader(label)))
                assert not hit, f"{label.get('data-for')} runs through the words of {other.get('data-for')}"
        for left, top, right, bottom in word_boxes(label):
            assert left >= 0, label.get("data-for")
            assert right <= width, label.get("data-for")
            assert top >= 0, label.get("data-for")
            assert bottom <= height, label.get("data-for")


def test_state_is_classes_only(drawing: ET.Element) -> None:
    for element in drawing.iter():
        assert element.tag not in {f"{SVG}style", f"{SVG}script"}
        assert not {"style", "onclick", "onload"} & set(element.attrib)


def test_layers_stand_in_order(drawing: ET.Element) -> None:
    layers = [child.get("class") for child in drawing if child.tag == f"{SVG}g"]
    assert layers == ["ground", "behind", "water", "parts", "centre", "seals", "labels"]


def test_plates_hold_the_dots_of_their_zone(drawing: ET.Element) -> None:
    plates = tomllib.loads((PACKAGED / "home-spring-lever.plates.toml").read_text(encoding="utf-8"))["plate"]
    labels = grouped(drawing, "lab")
    assert set(plates) == {label.get("data-zone") for label in labels}
    for label in labels:
        x, y, wide, high = plates[label.get("data-zone", "")]["view_box"]
        dot_x, dot_y = leader(label)[-1]
        assert x <= dot_x <= x + wide, label.get("data-for")
        assert y <= dot_y <= y + high, label.get("data-for")


def test_the_drawing_is_what_its_geometry_says() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tools.draw_section", "--check"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
