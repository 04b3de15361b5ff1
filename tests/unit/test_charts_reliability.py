"""The picture of how reliable odds were."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from brasswright.charts.reliability import Class, reliability_svg

TEXT = "{http://www.w3.org/2000/svg}text"
CALLED = (1520, 240, 160, 90, 61, 35, 12, 0, 34, 4)
CLASSES = tuple(
    Class(place / 10, (place + 1) / 10, many, round(many * (place + 0.5) / 10), many * (place + 0.5) / 10)
    for place, many in enumerate(CALLED)
)


def words(svg: str) -> list[str]:
    return ["".join(element.itertext()).strip() for element in ET.fromstring(svg).iter(TEXT)]  # noqa: S314 - made here


@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
def test_every_class_says_how_many_parts_it_has_the_empty_one_too(scheme: str) -> None:
    said = words(reliability_svg(CLASSES, scheme=scheme))  # type: ignore[arg-type]
    for many in ("1\u2009520", "240", "160", "35", "12", "0", "34", "4"):
        assert many in said
    assert "on the line: honest odds" in said


def test_the_same_figures_give_the_same_bytes_and_others_do_not() -> None:
    once = reliability_svg(CLASSES, scheme="light")
    assert reliability_svg(CLASSES, scheme="light") == once
    assert reliability_svg((*CLASSES[:-1], Class(0.9, 1.0, 4, 0, 3.8)), scheme="light") != once


def test_a_dot_stands_for_each_class_that_has_parts() -> None:
    def dots(classes: tuple[Class, ...]) -> int:
        return reliability_svg(classes, scheme="light").count("line2d")

    assert dots(CLASSES) - dots(CLASSES[:-1]) == 1
    assert dots((*CLASSES[:-1], Class(0.9, 1.0, 0, 0, 0.0))) == dots(CLASSES[:-1])


@pytest.mark.parametrize("classes", [(), (Class(0.0, 0.1, 0, 0, 0.0),)])
def test_without_parts_there_is_no_picture(classes: tuple[Class, ...]) -> None:
    with pytest.raises(ValueError, match="needs parts"):
        reliability_svg(classes, scheme="light")
