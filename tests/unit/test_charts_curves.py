"""Curves as pictures: one panel a unit, gaps left open, the same bytes each time, lines told apart without colour."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from brasswright.charts.curves import Curve, Curves, curves_svg
from brasswright.charts.style import SCHEMES

if TYPE_CHECKING:
    from brasswright.charts.style import Scheme

TIMES = Curve("time", "s", (0.0, 10.0, 20.0, 30.0))
PRESSURE = Curve("pressure", "bar", (1.0, 9.0, 7.0, 4.0))
FLOW = Curve("flow", "ml/s", (0.0, 1.5, 2.0, 2.5))
SVG = "{http://www.w3.org/2000/svg}"


def texts(drawn: str) -> list[str]:
    """All words of a picture."""
    return ["".join(node.itertext()) for node in ET.fromstring(drawn).iter(f"{SVG}text")]  # noqa: S314 - our own


def lines(drawn: str, stroke: str) -> list[str]:
    """The paths of the curves: drawn in ink, at the width of a curve."""
    found = re.findall(r'<path d="([^"]+)"[^>]*style="([^"]+)"', drawn)
    return [path for path, style in found if stroke in style and "stroke-width: 1.6" in style]


def test_each_unit_has_its_panel_and_the_axis_is_named_once() -> None:
    words = texts(curves_svg(Curves(TIMES, (PRESSURE, FLOW)), scheme="light"))
    assert words.count("time, s") == 1
    assert "pressure, bar" in words
    assert "flow, ml/s" in words


def test_lines_of_one_unit_share_a_panel_and_differ_in_stroke() -> None:
    drawn = curves_svg(Curves(TIMES, (PRESSURE, Curve("logged", "bar", (1.0, 8.0, 8.0, 3.0)))), scheme="light")
    assert {"bar", "pressure", "logged"} <= set(texts(drawn))
    dashes = [part for part in re.findall(r'style="([^"]+)"', drawn) if "stroke-width: 1.6" in part]
    assert any("stroke-dasharray" in part for part in dashes)
    assert any("stroke-dasharray" not in part for part in dashes)


def test_higher_values_stand_higher_and_later_ones_further_right() -> None:
    (path,) = lines(curves_svg(Curves(TIMES, (PRESSURE,)), scheme="light"), SCHEMES["light"].ink)
    points = [tuple(map(float, pair)) for pair in re.findall(r"[ML] ([\d.]+) ([\d.]+)", path)]
    across, down = zip(*points, strict=True)
    assert len(points) == 4
    assert list(across) == sorted(across)
    assert [sorted(down).index(one) for one in down] == [3, 0, 1, 2]


def test_a_missing_value_leaves_a_gap() -> None:
    gone = Curve("pressure", "bar", (1.0, 9.0, None, 4.0, 3.0))
    along = Curve("time", "s", (0.0, 10.0, 20.0, 30.0, 40.0))
    (path,) = lines(curves_svg(Curves(along, (gone,)), scheme="light"), SCHEMES["light"].ink)
    assert path.count("M") == 2


def test_panels_stand_over_the_same_axis_even_where_one_begins_late() -> None:
    late = Curve("flow", "ml/s", (None, None, 2.0, 2.5))
    whole, begun = lines(curves_svg(Curves(TIMES, (PRESSURE, late)), scheme="light"), SCHEMES["light"].ink)
    across = [[float(x) for x, _ in re.findall(r"[ML] ([\d.]+) ([\d.]+)", path)] for path in (whole, begun)]
    assert across[1] == pytest.approx(across[0][2:])


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_same_curves_are_the_same_bytes(scheme: Scheme) -> None:
    first, second = (curves_svg(Curves(TIMES, (PRESSURE,)), scheme=scheme) for _ in range(2))
    assert first == second
    assert SCHEMES[scheme].ink in first


@pytest.mark.parametrize("wrong", [(), (Curve("short", "bar", (1.0,)),)])
def test_curves_without_lines_or_of_another_length_are_refused(wrong: tuple[Curve, ...]) -> None:
    with pytest.raises(ValueError, match="as long as the axis"):
        curves_svg(Curves(TIMES, wrong), scheme="light")
