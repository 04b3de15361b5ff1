"""Fits against NIST's Statistical Reference Datasets: certified parameters and their standard deviations.

The data and certified figures are facts of the United States government, in the public domain. They were taken from
independent copies in published test programs and from memory; a wrong digit would break the certified figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from brasswright.bench.fitting import fit
from brasswright.bench.validity import Array
from brasswright.errors import ImpossibleValue

FOLDER = Path(__file__).parent / "data"
DIGITS = 1e-6


@dataclass(frozen=True, slots=True)
class Certified:
    """A data set: the model, NIST's two starts, certified parameters and standard deviations."""

    model: Callable[[Array, Array], Array]
    starts: tuple[tuple[float, ...], ...]
    values: tuple[float, ...]
    sigmas: tuple[float, ...]


def _norris(p: Array, x: Array) -> Array:
    return np.asarray(p[0] + p[1] * x)


def _misra1a(p: Array, x: Array) -> Array:
    return np.asarray(p[0] * (1 - np.exp(-p[1] * x)))


def _thurber(p: Array, x: Array) -> Array:
    top = p[0] + x * (p[1] + x * (p[2] + x * p[3]))
    return np.asarray(top / (1 + x * (p[4] + x * (p[5] + x * p[6]))))


def _mgh09(p: Array, x: Array) -> Array:
    return np.asarray(p[0] * (x**2 + x * p[1]) / (x**2 + x * p[2] + p[3]))


def _eckerle4(p: Array, x: Array) -> Array:
    return np.asarray(p[0] / p[1] * np.exp(-0.5 * ((x - p[2]) / p[1]) ** 2))


SETS = {
    "norris": Certified(
        _norris, ((0.0, 0.0), (1.0, 2.0)), (-2.623230738e-1, 1.002116818),
        (2.328182343e-1, 4.297968482e-4),
    ),
    "misra1a": Certified(
        _misra1a, ((500.0, 1e-4), (250.0, 5e-4)), (2.3894212918e2, 5.5015643181e-4),
        (2.7070075241, 7.2668688436e-6),
    ),
    "thurber": Certified(
        _thurber,
        ((1000.0, 1000.0, 400.0, 40.0, 0.7, 0.3, 0.03), (1300.0, 1500.0, 500.0, 75.0, 1.0, 0.4, 0.05)),
        (
            1.2881396800e3, 1.4910792535e3, 5.8323836877e2, 7.5416644291e1, 9.6629502864e-1, 3.9797285797e-1,
            4.9727297349e-2,
        ),
        (4.6647963344, 39.571156086, 28.698696102, 5.5675370270, 3.1333340687e-2, 1.4984928198e-2, 6.5842344623e-3),
    ),
    "mgh09": Certified(
        _mgh09, ((25.0, 39.0, 41.5, 39.0), (0.25, 0.39, 0.415, 0.39)),
        (1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1),
        (1.1435312227e-2, 1.9633220911e-1, 8.0842031232e-2, 9.0025542308e-2),
    ),
    "eckerle4": Certified(
        _eckerle4, ((1.0, 10.0, 500.0), (1.5, 5.0, 450.0)), (1.5543827178, 4.0888321754, 4.5154121844e2),
        (1.5408051163e-2, 4.6803020753e-2, 4.6800518816e-2),
    ),
}  # fmt: skip


EACH = [(name, start) for name in SETS for start in (0, 1) if (name, start) != ("eckerle4", 0)]


@pytest.mark.parametrize(("name", "start"), EACH)
def test_the_certified_figures_are_met(name: str, start: int) -> None:
    known = SETS[name]
    x, y = np.loadtxt(FOLDER / f"nist-strd-{name}.tsv", comments="#", unpack=True)
    found = fit(lambda p: known.model(p, x), start=known.starts[start], target=y)
    assert found.values == pytest.approx(known.values, rel=DIGITS)
    assert found.sigmas == pytest.approx(known.sigmas, rel=1e-4)


def test_a_start_from_another_valley_is_refused_not_answered() -> None:
    known = SETS["eckerle4"]
    x, y = np.loadtxt(FOLDER / "nist-strd-eckerle4.tsv", comments="#", unpack=True)
    with pytest.raises(ImpossibleValue, match="No curve settled"):
        fit(lambda p: known.model(p, x), start=known.starts[0], target=y)
