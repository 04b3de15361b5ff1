"""Colour differences against colour-science, over colours drawn all round the hue circle."""

from __future__ import annotations

from typing import TYPE_CHECKING

import colour as other
import numpy as np
import pytest

from brasswright.bench.colour import colour_difference

if TYPE_CHECKING:
    from brasswright.bench.validity import Array

PAIRS = 400
ROOM = 2.0
"""Degrees kept from opposite hues, where the mean hue jumps and the last digit decides."""


def _drawn(apart: float) -> tuple[Array, Array]:
    draws = np.random.default_rng(7)
    first = np.column_stack([draws.uniform(40, 60, PAIRS), draws.uniform(-80, 80, (PAIRS, 2))])
    second = first + draws.normal(0, apart, (PAIRS, 3))
    return first, second


def _lab(colours: Array) -> tuple[Array, Array, Array]:
    return colours[:, 0], colours[:, 1], colours[:, 2]


@pytest.mark.parametrize("apart", [0.5, 2.0, 8.0])
def test_agrees_all_round(apart: float) -> None:
    first, second = _drawn(apart)
    hues = [np.degrees(np.arctan2(lab[:, 2], lab[:, 1])) for lab in (first, second)]
    clear = np.abs(np.abs(hues[0] - hues[1]) % 360 - 180) > ROOM
    assert clear.sum() > PAIRS * 0.9
    ours = colour_difference(paint=_lab(first[clear]), touch_up=_lab(second[clear]))
    assert ours == pytest.approx(other.delta_E(first[clear], second[clear], method="CIE 2000"), rel=1e-9)
