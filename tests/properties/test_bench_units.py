"""Laws of the grammar: what the formatter writes, the parser reads."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brasswright.errors import BrasswrightError
from brasswright.units import dimensions, from_si, parse, to_si, units_of, words

ALL_UNITS = [(dimension, unit) for dimension in dimensions() for unit in units_of(dimension)]


@given(st.sampled_from(ALL_UNITS), st.floats(0.02, 9e5), st.floats(1e-3, 0.2))
def test_what_is_written_can_be_read(pair: tuple[str, str], number: float, spread: float) -> None:
    dimension, unit = pair
    value = to_si(number, unit=unit, dimension=dimension)
    sigma = to_si(number * spread, unit=unit, dimension=dimension) - to_si(0.0, unit=unit, dimension=dimension)
    read = parse(words(value, sigma, unit=unit, dimension=dimension), dimension=dimension)
    assert read.value is not None
    assert read.sigma is not None
    assert from_si(read.value, unit=unit, dimension=dimension) == pytest.approx(number, abs=0.51 * number * spread)
    assert read.sigma == pytest.approx(sigma, rel=0.34)


@given(st.text(max_size=40), st.sampled_from(dimensions()))
def test_any_text_is_understood_or_refused(text: str, dimension: str) -> None:
    try:
        read = parse(text, dimension=dimension)
    except BrasswrightError as refusal:
        assert str(refusal)  # noqa: PT017 - any text may be refused, but never without words
    else:
        assert read.value is not None or read.censored is not None


@given(st.sampled_from([pair for pair in ALL_UNITS if pair[1] != "1"]), st.integers(0, 999), st.integers(0, 99))
def test_a_decimal_comma_of_two_places_is_a_decimal_point(pair: tuple[str, str], whole: int, part: int) -> None:
    dimension, unit = pair
    comma = parse(f"{whole},{part:02d} {unit}", dimension=dimension)
    point = parse(f"{whole}.{part:02d} {unit}", dimension=dimension)
    assert comma.value == point.value
