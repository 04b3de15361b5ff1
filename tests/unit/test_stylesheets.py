"""The look: contrast by the formula of WCAG 2.2, nothing fetched from elsewhere, the specimen up to date."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "brasswright" / "web" / "static"
OWN = ("tokens", "bench-book", "frame", "section", "marks", "walk-round", "job", "print")

TEXT, GRAPHICS = 4.5, 3.0
"""WCAG 2.2, success criteria 1.4.3 and 1.4.11."""

PAIRS = (
    ("ink", "paper", TEXT),
    ("ink", "sheet", TEXT),
    ("ink2", "paper", TEXT),
    ("ink2", "sheet", TEXT),
    ("brass", "paper", TEXT),
    ("brass", "sheet", TEXT),
    ("ink", "lead", TEXT),
    ("sheet", "ink", TEXT),
    ("pencil", "paper", GRAPHICS),
    ("rule", "paper", GRAPHICS),
    ("rule", "sheet", GRAPHICS),
    ("brassline", "paper", GRAPHICS),
    ("ink", "w1", GRAPHICS),
    ("ink", "w2", GRAPHICS),
    ("paper", "w3", GRAPHICS),
)


def sheet(name: str) -> str:
    return (STATIC / f"{name}.css").read_text(encoding="utf-8")


def schemes() -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {"light": {}, "dark by wish": {}, "dark by choice": {}}
    blocks = re.findall(r"(:root[^{]*)\{([^}]*)\}", sheet("tokens"))
    names = {
        ":root": "light",
        ':root:not([data-scheme="light"])': "dark by wish",
        ':root[data-scheme="dark"]': "dark by choice",
    }
    for selector, body in blocks:
        tokens = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", body))
        if len(tokens) > 5:
            found[names[selector.strip()]] = tokens
    return found


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_twenty_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", ["light", "dark by wish", "dark by choice"])
@pytest.mark.parametrize(("front", "ground", "least"), PAIRS)
def test_colours_stand_out(scheme: str, front: str, ground: str, least: float) -> None:
    tokens = schemes()[scheme]
    assert contrast(tokens[front], tokens[ground]) >= least


def test_dark_by_wish_and_by_choice_are_one() -> None:
    found = schemes()
    assert found["dark by wish"] == found["dark by choice"]


def test_washes_step_away_from_the_ground_in_both_schemes() -> None:
    for tokens in schemes().values():
        steps = [contrast(tokens[f"w{rank}"], tokens["paper"]) for rank in (1, 2, 3)]
        assert steps == sorted(steps)


@pytest.mark.parametrize("name", OWN)
def test_a_stylesheet_fetches_only_what_lies_beside_it(name: str) -> None:
    for address in re.findall(r"url\(\"?([^)\"]+)\"?\)", sheet(name)):
        assert address.startswith("#") or (STATIC / address).is_file(), address


@pytest.mark.parametrize("name", OWN)
def test_no_shadow_and_no_colour_outside_the_tokens(name: str) -> None:
    text = sheet(name)
    assert "shadow" not in text
    assert len(text.splitlines()) <= 400
    if name != "tokens":
        assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[;, )])", re.sub(r"url\(#\w+\)", "", text)) == []


def test_the_pattern_names_of_drawing_and_stylesheet_agree() -> None:
    drawing = (ROOT / "src/brasswright/sheets/packaged/home-spring-lever.svg").read_text(encoding="utf-8")
    assert set(re.findall(r"url\(#(\w+)\)", sheet("section"))) == set(re.findall(r'<pattern id="(\w+)"', drawing))


def test_the_specimen_is_up_to_date() -> None:
    done = subprocess.run([sys.executable, "-m", "tools.draw_specimen", "--check"], cwd=ROOT, check=False)
    assert done.returncode == 0, "run python -m tools.draw_specimen"
