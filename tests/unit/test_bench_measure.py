"""`brasswright measure` on the command line."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from brasswright.bench import INSTRUMENTS
from brasswright.cli.measure import measure


def run(*arguments: str) -> Result:
    return CliRunner().invoke(measure, list(arguments))


def test_without_a_name_the_instruments_are_listed() -> None:
    done = run()
    assert done.exit_code == 0
    assert all(name in done.output for name in INSTRUMENTS)
    listed = json.loads(run("--json").output)["instruments"]
    assert [one["name"] for one in listed] == list(INSTRUMENTS)


def test_the_element_as_json() -> None:
    done = run("element", "resistance=48.4 ohm", "rated_voltage=220 V", "--json")
    assert done.exit_code == 0
    said = json.loads(done.output)
    assert said["power_cold_w"] == pytest.approx(1000.0, rel=1e-3)
    assert said["power_hot_w"] == pytest.approx(975.6, rel=1e-3)
    assert said["alloy"] == "Cr20Ni80"


def test_in_words() -> None:
    done = run("element", "resistance=48.4 ohm", "rated_voltage=220 V")
    assert "1000 W" in done.output
    assert "Caution:" in done.output


@pytest.mark.parametrize("name", list(INSTRUMENTS))
def test_help_of_an_instrument_says_everything(name: str) -> None:
    done = run(name, "--help")
    assert done.exit_code == 0
    one = INSTRUMENTS[name]
    for said in [*(entry.key for entry in one.inputs), *(output.field for output in one.outputs), *one.cautions]:
        assert said in done.output
    for heading in ("Inputs", "Outputs", "Holds for", "Sources", "Example", "Before you begin"):
        assert heading in done.output


def test_help_without_a_name_is_the_commands_own() -> None:
    assert "Exit codes" in run("--help").output


@pytest.mark.parametrize(
    "arguments",
    [
        ("element", "resistance=1,234 ohm", "rated_voltage=220 V"),
        ("element", "resistance=48.4 kohm", "rated_voltage=220 V"),
        ("element", "resistance=-4 ohm", "rated_voltage=220 V"),
        ("element", "resistance=48.4 parsec", "rated_voltage=220 V"),
        ("saturation",),
    ],
)
def test_a_refusal_exits_with_one_and_says_why(arguments: tuple[str, ...]) -> None:
    done = run(*arguments)
    assert done.exit_code == 1
    assert "Refused." in done.stderr
    assert "Allowed:" in done.stderr or "can be read as" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ("teapot",),
        ("element", "resistance"),
        ("element", "colour=red"),
        ("element", "resistance=48.4 ohm"),
        ("element", "resistance=48.4 ohm", "resistance=50 ohm", "rated_voltage=220 V"),
    ],
)
def test_wrong_usage_exits_with_two(arguments: tuple[str, ...]) -> None:
    assert run(*arguments).exit_code == 2


def test_confirming_takes_an_odd_value() -> None:
    odd = ("element", "resistance=1.6 ohm", "rated_voltage=220 V")
    assert run(*odd).exit_code == 1
    assert run(*odd, "--confirm").exit_code == 0


def test_the_page_names_every_instrument_and_output() -> None:
    page = (Path(__file__).parents[2] / "docs" / "reference" / "measure.md").read_text(encoding="utf-8")
    for name, one in INSTRUMENTS.items():
        _, heading, rest = page.partition(f"\n### {name}\n")
        assert heading, name
        section = rest.partition("\n#")[0]
        named = {word.strip("`") for word in re.findall(r"`\w+`", section)}
        assert {output.field for output in one.outputs} <= named, name
