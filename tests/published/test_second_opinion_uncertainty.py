"""Drawn uncertainties against GTC's law of propagation, and the GUM's end gauge (JCGM 100:2008, H.1)."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import GTC  # type: ignore[import-untyped]
import pytest

from brasswright.bench.propagate import Rectangular, propagate
from brasswright.units import Measured

if TYPE_CHECKING:
    from collections.abc import Callable

SAMPLES = 200_000
LAWS: dict[str, tuple[Callable[..., Any], dict[str, tuple[float, float]]]] = {
    "power": (lambda *, volts, ohms: volts * volts / ohms, {"volts": (220.0, 1.0), "ohms": (48.4, 0.2)}),
    "coil": (
        lambda *, g, wire, mean, active: g * wire**4 / (8 * mean**3 * active),
        {"g": (78.5e9, 1e9), "wire": (7e-3, 2e-5), "mean": (39e-3, 1e-4), "active": (10.5, 0.1)},
    ),
    "static stress": (lambda *, mass, area: 9.80665 * mass / area, {"mass": (11.0, 0.05), "area": (0.02, 2e-4)}),
}


@pytest.mark.parametrize("name", LAWS)
def test_small_uncertainties_agree_with_the_law_of_propagation(name: str) -> None:
    law, given = LAWS[name]
    other = law(**{key: GTC.ureal(*pair) for key, pair in given.items()})
    ours = propagate(law, inputs={key: Measured(*pair) for key, pair in given.items()}, seed=3, samples=SAMPLES)
    assert ours["value"].mean == pytest.approx(GTC.value(other), rel=1e-3)
    assert ours["value"].sigma == pytest.approx(GTC.uncertainty(other), rel=0.01)


def _end_gauge(*, standard: Any, difference: Any, expansion: Any, apart: Any, kelvins: Any, unlike: Any) -> Any:
    return standard + difference - standard * (apart * kelvins + expansion * unlike)


def test_the_end_gauge() -> None:
    """Nanometres: 50 000 623 with 25, 215 with 9.7; 32 by the first order (H.1.4), 34 with the second (H.1.7)."""
    normal = {"standard": (50_000_623.0, 25.0), "difference": (215.0, 9.7)}
    kelvins = math.hypot(0.2, 0.5 / math.sqrt(2))
    first = _end_gauge(
        **{name: GTC.ureal(*pair) for name, pair in normal.items()},
        expansion=GTC.ureal(11.5e-6, 1.2e-6), apart=GTC.ureal(0.0, 0.58e-6), kelvins=GTC.ureal(-0.1, kelvins),
        unlike=GTC.ureal(0.0, 0.029),
    )  # fmt: skip
    assert GTC.uncertainty(first) == pytest.approx(32.0, abs=0.5)
    assert GTC.value(first) == pytest.approx(50_000_838.0, abs=0.5)
    ours = propagate(
        _end_gauge,
        inputs={
            **{name: Measured(*pair) for name, pair in normal.items()},
            "expansion": Rectangular(9.5e-6, 13.5e-6),
            "apart": Rectangular(-1e-6, 1e-6),
            "kelvins": Measured(-0.1, kelvins),
            "unlike": Rectangular(-0.05, 0.05),
        },
        seed=3,
        samples=SAMPLES,
    )["value"]
    assert ours.mean == pytest.approx(50_000_838.0, abs=0.5)
    assert ours.sigma == pytest.approx(34.0, abs=0.6)
