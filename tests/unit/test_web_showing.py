"""Tenths, bars, spoken counts, money, and the state on the section drawing."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.charts.conditions import Shown
from brasswright.errors import StoreRefused
from brasswright.judgement.opinion import Odds
from brasswright.web.conditions import known, tenths
from brasswright.web.drawing import Plate, Wanted, draw, drawing_of, plates
from brasswright.web.money import money
from brasswright.web.scales import element_scales
from brasswright.web.spoken import count, listed, minutes, span

DRAWING = drawing_of("home-spring-lever") or ""


@given(st.lists(st.floats(0.001, 1.0), min_size=2, max_size=6))
def test_ten_squares_are_ten_and_none_is_off_by_one_or_more(weights: list[float]) -> None:
    p = tuple(weight / sum(weights) for weight in weights)
    squares = tenths(p)
    assert sum(squares) == 10
    assert all(abs(square - chance * 10) < 1 for square, chance in zip(squares, p, strict=True))


def test_a_bar_is_as_long_as_its_parts() -> None:
    stages = ("ink", "gone", "pencil", "paper", "silent")
    odds = [Odds(stage, stage, ("sound", "worn"), (), (), stage) for stage in stages]  # type: ignore[arg-type]
    bar = known(odds)
    assert (bar.inked, bar.pencilled, bar.blank, bar.total) == (2, 1, 2, 5)
    assert bar.inked_width + bar.pencil_width + bar.blank_width == 200
    assert known([]).blank_width == 200


def test_words_for_counts_times_and_money() -> None:
    assert [count(1, "machine"), count(3, "machine"), count(40, "entry", "entries")] == [
        "one machine",
        "three machines",
        "40 entries",
    ]
    assert [minutes(0), minutes(0.4), minutes(90), minutes(121), minutes(180)] == [
        "0 min",
        "1 min",
        "90 min",
        "2 h 1 min",
        "3 h",
    ]
    assert span(6, 25) == "6 to 25 min"
    assert span(4, 4) == "4 min"
    assert listed(("a", "b", "c")) == "a, b and c"
    assert money(123_949, "EUR") == "1\u202f239\u00a0EUR"
    assert money(50, "EUR") == "1\u00a0EUR"


def parsed(drawn: str) -> ET.Element:
    """The drawing as a tree."""
    return ET.fromstring(drawn)  # noqa: S314 - our own drawing


def part(drawn: str, key: str) -> str:
    """The classes of a part on the drawing."""
    found = re.search(rf'class="([^"]*)" id="p-{key}"', drawn)
    assert found is not None
    return found[1]


def test_state_changes_classes_and_words_and_nothing_of_the_geometry() -> None:
    state = {"basket": Shown("basket", "Basket", "ink r3 fixed", 'split & "bent" <b>')}
    drawn = draw(DRAWING, Wanted(parts=state, seals={1: "cut"}, now="basket"))
    assert set(part(drawn, "basket").split()) >= {"part", "ink", "r3", "fixed", "now"}
    assert "unknown" in part(drawn, "piston")
    label = re.search(r'data-for="basket".*?</g>', drawn, re.DOTALL)
    assert label is not None
    assert "split &amp; " in label[0]
    assert "&lt;b&gt;" in label[0]
    assert 'class="seal cut"' in drawn
    paths = re.compile(r' d="([^"]+)"')
    assert paths.findall(drawn) == paths.findall(DRAWING)


def test_a_plate_is_the_same_drawing_through_another_window() -> None:
    window = plates("home-spring-lever")["boiler"]
    drawn = parsed(draw(DRAWING, Wanted(parts={}, plate=window)))
    assert drawn.get("viewBox") == " ".join(f"{number:g}" for number in window.view_box)
    assert drawn.get("aria-hidden") == "true"


def test_links_on_parts_are_passed_over_by_the_keyboard() -> None:
    drawn = parsed(draw(DRAWING, Wanted(parts={}), links={"basket": "/jobs/1/odds/basket"}))
    links = list(drawn.iter("{http://www.w3.org/2000/svg}a"))
    assert links
    assert all(link.get("tabindex") == "-1" and link.get("href") == "/jobs/1/odds/basket" for link in links)


@pytest.mark.parametrize(
    "inside", ["<script>1</script>", '<path onload="1" d="M0 0"/>', '<rect style="fill:red"/>', "<foreignObject/>"]
)
def test_a_drawing_brings_nothing_but_drawing(inside: str) -> None:
    with pytest.raises(StoreRefused):
        draw(f'<svg xmlns="http://www.w3.org/2000/svg">{inside}</svg>', Wanted(parts={}, plate=Plate("", (0, 0, 1, 1))))


ELEMENT = {"resistance": "48.4 ± 0.5 ohm", "rated_voltage": "220 V", "rated_power": "1000 W"}


def test_reading_voltage_and_power_lie_on_one_straight_line() -> None:
    drawn = element_scales(answer(INSTRUMENTS["element"], ELEMENT))
    assert drawn is not None
    assert abs((drawn.ohm.here + drawn.watt.here) / 2 - drawn.volt.here) < 0.11
    assert "inside the band 900 to 1050 W" in drawn.says
    assert drawn.band_top is not None
    assert drawn.band_top < drawn.watt.here < drawn.band_top + drawn.band_height


def test_a_scale_is_read_at_its_own_graduations() -> None:
    drawn = element_scales(answer(INSTRUMENTS["element"], ELEMENT))
    assert drawn is not None
    marks = [(float(mark.says), mark.y) for mark in drawn.ohm.marks]
    (low, low_y), (high, high_y) = marks[0], marks[-1]
    place = low_y + (high_y - low_y) * math.log(48.4 / low) / math.log(high / low)
    assert abs(place - drawn.ohm.here) < 0.3


def test_no_power_no_picture_and_no_uncertainty_no_wedge() -> None:
    assert element_scales({"in_words": ()}) is None
    plain = element_scales(answer(INSTRUMENTS["element"], ELEMENT | {"resistance": "48.4 ohm"}))
    assert plain is not None
    assert plain.wedge == ""
