"""What an instrument says to people: uncertainty and interval beside each value, records as phrases, fit figures."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.catches import Catch
from brasswright.bench.saying import NO_SPREAD, own_sigmas, reach
from brasswright.bench.stamps import stamp_readings
from brasswright.cli.measure import measure
from brasswright.units import words

LOGS = ("cooling", "heating", "leakdown", "cycling", "shotlog", "stroke")


def test_a_value_stands_with_its_uncertainty_and_95_percent() -> None:
    said = answer(INSTRUMENTS["element"], {"resistance": "48.4 ± 0.2 ohm", "rated_voltage": "220 V"})
    line = next(one for one in said["in_words"] if one.startswith("cold resistance"))
    assert re.fullmatch(r"cold resistance without the test leads: 48\.4 ± 0\.2 ohm \(95 %: 48\.0 to 48\.8 ohm\)", line)


@pytest.mark.parametrize("name", LOGS)
def test_what_a_fit_says_of_itself_is_given_as_uncertainty_and_interval(name: str) -> None:
    asked = INSTRUMENTS[name]
    said = answer(asked, asked.example)
    pairs = {field: by for field, by in own_sigmas(asked).items() if isinstance(said[by], float) and said[by] > 0}
    assert pairs
    for field, by in pairs.items():
        told = said["uncertainty"][field]
        assert told["sigma"] >= said[by]
        assert told["low"] < said[field] < told["high"]
    assert not any("its standard uncertainty" in line for line in said["in_words"])


def test_an_uncertain_input_that_a_fit_was_not_handed_adds_in_squares() -> None:
    asked = INSTRUMENTS["heating"]
    assert not next(entry for entry in asked.inputs if entry.key == "water_volume").sigma
    plain = answer(asked, dict(asked.example) | {"power": "1000 W"})["uncertainty"]["apparent_power_w"]["sigma"]
    loose = answer(asked, dict(asked.example) | {"power": "1000 W", "water_volume": "1.5 ± 0.3 l"})
    assert loose["uncertainty"]["apparent_power_w"]["sigma"] > 1.5 * plain


def test_no_figure_stands_as_exact_where_the_readings_leave_the_range() -> None:
    typed = {"pressure": "1.0 ± 0.05 bar", "diameter": "1000 ± 5 mm", "wall": "20 ± 5 mm"}
    said = answer(INSTRUMENTS["shell"], typed, confirmed=True)
    assert said["uncertainty"] == {}
    assert said["in_words"][-1] == NO_SPREAD


def test_draws_that_leave_the_range_give_way_to_a_straight_line() -> None:
    said = answer(INSTRUMENTS["shell"], {"pressure": "1.0 bar", "diameter": "120 mm", "wall": "0.5 ± 0.15 mm"})
    low, high = (said["uncertainty"]["hoop_stress_pa"][edge] for edge in ("low", "high"))
    assert low < said["hoop_stress_pa"] < high


def test_a_range_ends_where_its_uncertainty_does() -> None:
    assert reach(0.00663, 0.00931, unit="m³", dimension="volume", sigma=0.0007) == "0.0066 to 0.0093 m³"
    assert reach(0.1, 0.2, unit="°", dimension="angle") == "5.73 to 11.46°"
    assert reach(-0.29, 0.49, unit="1", dimension="ratio", sigma=0.2) == "-0.3 to 0.5"


def test_a_sentence_may_know_fewer_figures() -> None:
    assert words(0.06531, unit="mg/l", figures=2) == "65 mg/l"
    assert words(339.4e-3, unit="l", figures=2) == "339 l"
    assert words(7.34e4, unit="bar", figures=2) == "0.73 bar"


def test_records_are_told_as_phrases() -> None:
    told = Catch("catch", "both", 15.66e-3, 55.5, 3.575e-3, 18.5, 2, 2).in_words
    assert told.startswith("catch at 15.7 mm, both ways, 56 N")
    reading = stamp_readings(code="3662", component="element", last_year=2026).readings[0]
    assert reading.in_words == "element 3662 as week, two-digit year: 1962, 1962-09-03 to 1962-09-09"


def test_a_water_is_told_with_no_more_figures_than_are_known() -> None:
    asked = INSTRUMENTS["water"]
    meaning = answer(asked, asked.example)["meaning"]
    assert "weeks" in meaning
    assert "litres" in meaning
    assert not re.search(r"\d\.\d{2}|\d{3}\.\d", meaning)


@pytest.mark.parametrize("name", list(INSTRUMENTS))
def test_cautions_and_rig_stand_before_the_inputs(name: str) -> None:
    told = CliRunner().invoke(measure, [name, "--help"]).output
    assert told.index("Before you begin") < told.index("Inputs (* needed)")
    assert all(told.index(caution) < told.index("Inputs (* needed)") for caution in INSTRUMENTS[name].cautions)
