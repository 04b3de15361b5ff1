"""The spread of an estimate as a picture."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import matplotlib as mpl
import numpy as np
import pytest

from brasswright.charts.spread import Spread, spread_svg

HUMP = Spread([10000 * n for n in range(5, 12)], [5, 30, 60, 40, 20, 5], 62000, 78000, 99000, "EUR")
TEXT = "{http://www.w3.org/2000/svg}text"


def words(svg: str) -> list[str]:
    return ["".join(element.itertext()).strip() for element in ET.fromstring(svg).iter(TEXT)]  # noqa: S314 - made here


def test_the_axis_is_in_whole_units_and_names_its_currency() -> None:
    said = words(spread_svg(HUMP, scheme="paper"))
    assert "EUR" in said
    ticks = [int(word.replace("\u2009", "")) for word in said if word != "EUR"]
    assert 3 <= len(ticks) <= 7
    assert ticks == sorted(set(ticks))
    assert ticks[0] >= 500
    assert ticks[-1] <= 1100


def test_thousands_are_parted() -> None:
    dear = Spread([edge * 10 for edge in HUMP.edges], HUMP.counts, 620000, 780000, 990000, "EUR")
    assert any(re.fullmatch(r"\d\u2009\d{3}", word) for word in words(spread_svg(dear, scheme="light")))


def test_a_flat_spread_is_one_upright_with_the_figure_in_the_middle() -> None:
    flat = spread_svg(Spread([50000, 50001], [10000], 50000, 50000, 50000), scheme="paper")
    assert "LineCollection" in flat
    assert "FillBetween" not in flat
    assert "500" in words(flat)


@pytest.mark.parametrize(("edges", "counts"), [([1, 2], [1, 1]), ([1, 2], [0]), ([1], [])])
def test_a_spread_without_trials_or_edges_is_refused(edges: list[int], counts: list[int]) -> None:
    with pytest.raises(ValueError, match="spread needs trials"):
        spread_svg(Spread(edges, counts, 1, 1, 1), scheme="paper")


def test_somebodys_own_plotting_settings_change_nothing_and_are_left_alone() -> None:
    plain = spread_svg(HUMP, scheme="dark")
    with mpl.rc_context({"axes.linewidth": 7.0, "font.size": 40.0, "svg.fonttype": "path"}):
        assert spread_svg(HUMP, scheme="dark") == plain
        assert mpl.rcParams["axes.linewidth"] == 7.0


def test_two_processes_draw_the_same_bytes() -> None:
    code = (
        "import sys; from brasswright.charts.spread import Spread, spread_svg;"
        f"sys.stdout.write(spread_svg({HUMP!r}, scheme='paper'))"
    )
    drawn = [
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
            cwd=Path(__file__).parent,
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    ]
    assert drawn[0] == drawn[1] == spread_svg(HUMP, scheme="paper").encode()


def test_somebody_elses_way_of_printing_arrays_changes_nothing() -> None:
    usual = spread_svg(HUMP, scheme="paper")
    with np.printoptions(legacy="1.13", precision=3):
        assert spread_svg(HUMP, scheme="paper") == usual


def test_schemes_differ_in_colour_only() -> None:
    """Ids are hashes of what they name, colour included."""
    light, dark = (
        re.sub(r"#[0-9a-f]{6}|\bm[0-9a-f]{10}\b", "#", spread_svg(HUMP, scheme=scheme)) for scheme in ("light", "dark")
    )
    assert light == dark
