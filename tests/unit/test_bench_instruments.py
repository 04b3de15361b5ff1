"""What every instrument on the bench promises, and the answers given to typed readings."""

from __future__ import annotations

import dataclasses
import inspect
import json
import math
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer, describe
from brasswright.errors import (
    ImpossibleValue,
    NeedsConfirmation,
    NotFound,
    OutsideValidity,
    UnitRefused,
)
from brasswright.sources import sources
from brasswright.units import dimension_of, units_of

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument

ALL = tuple(INSTRUMENTS.values())
NAMES = tuple(INSTRUMENTS)


@pytest.mark.parametrize("one", ALL, ids=NAMES)
class TestEveryInstrument:
    def test_takes_keywords_only_and_names_its_arguments_rightly(self, one: Instrument) -> None:
        parameters = inspect.signature(one.call).parameters
        assert all(p.kind is inspect.Parameter.KEYWORD_ONLY for p in parameters.values())
        named = {entry.argument for entry in one.inputs}
        named |= {name for entry in one.inputs for name in (entry.sigma, entry.censored) if name}
        assert named == set(parameters)
        for entry in one.inputs:
            needs = parameters[entry.argument].default is inspect.Parameter.empty
            assert not needs or entry.required, entry.key

    def test_gives_exactly_the_fields_it_lists(self, one: Instrument) -> None:
        arguments = answer(one, one.example)
        result_type = inspect.signature(one.call, eval_str=True).return_annotation
        fields = {entry.name for entry in dataclasses.fields(result_type)}
        assert {output.field for output in one.outputs} == fields
        assert fields <= set(arguments)
        assert result_type.__dataclass_params__.frozen

    def test_units_stand_in_the_names(self, one: Instrument) -> None:
        endings = {
            "resistance": "_ohm", "voltage": "_v", "power": "_w", "current": "_a", "pressure_gauge": "_pa",
            "pressure_absolute": "_pa", "temperature": "_k", "length": "_m", "area": "_m2",
            "speed": "_m_per_s", "flow": "_m3_per_s", "force": "_n", "torque": "_nm", "angle": "_rad",
            "stiffness": "_n_per_m", "temperature_difference": "_k", "thermal_conductivity": "_w_per_m_k",
            "conductivity": "_s_per_m", "count": "", "colour_value": "",
            "mass": "_kg", "volume": "_m3", "time": "_s", "ratio": "", "mass_flow": "_kg_per_s",
            "concentration": "_kg_per_m3",
            "hardness": "_kg_per_m3", "alkalinity": "_kg_per_m3", "calcium": "_kg_per_m3", "magnesium": "_kg_per_m3",
        }  # fmt: skip
        for entry in one.inputs:
            if entry.kind == "figure":
                assert entry.argument.endswith(endings[entry.dimension]), entry.key
                assert entry.unit in units_of(entry.dimension)
                assert entry.low is not None
                assert entry.high is not None
                assert entry.low < entry.high
            else:
                assert bool(entry.choices) == (entry.kind == "choice")
        for output in one.outputs:
            if output.unit not in {"", "1"}:
                ending = "_" + output.unit.lower().replace("/", "_per_").replace("·", "_")
                assert output.field.endswith(ending), output.field
                assert not output.shown or output.unit == "1" or dimension_of(output.shown)

    def test_names_known_sources_cautions_and_where_it_holds(self, one: Instrument) -> None:
        assert one.sources
        assert set(one.sources) <= set(sources())
        assert one.cautions
        assert one.validity
        assert one.name in NAMES

    def test_docstring_says_symbols_validity_source_and_example(self, one: Instrument) -> None:
        text = inspect.getdoc(one.call) or ""
        for said in ("Symbols:", "Valid for", "Source:", ">>>"):
            assert said in text, said
        assert any(key in text for key in one.sources)

    def test_the_example_gives_json(self, one: Instrument) -> None:
        text = json.dumps(answer(one, one.example), allow_nan=False)
        assert json.loads(text)["instrument"] == one.name
        assert json.dumps(describe(one), allow_nan=False)

    def test_never_calls_a_machine_what_no_test_can_show(self, one: Instrument) -> None:
        assert "safe" not in json.dumps(answer(one, one.example))

    def test_refuses_outside_each_edge_and_what_is_no_number(self, one: Instrument) -> None:
        base = {entry.argument: _si(one, entry.key) for entry in one.inputs if entry.key in one.example}
        for entry in one.inputs:
            if entry.kind != "figure" or entry.low is None or entry.high is None:
                continue
            for value in (math.nan, math.inf, -999.0):
                with pytest.raises((ImpossibleValue, OutsideValidity, NotFound)):
                    one.call(**{**base, entry.argument: value})
            beyond = entry.high * 1.2 + 1.0
            with pytest.raises((ImpossibleValue, OutsideValidity, NotFound)):
                one.call(**{**base, entry.argument: beyond})

    def test_an_array_gives_what_its_members_give(self, one: Instrument) -> None:
        base = {entry.argument: _si(one, entry.key) for entry in one.inputs if entry.key in one.example}
        first = one.inputs[0]
        if first.kind != "figure":  # reads a code or a date, never many at once
            assert isinstance(base[first.argument], str)
            return
        start = base[first.argument]
        values = [start * 0.98, start, start * 1.02]
        together = one.call(**{**base, first.argument: np.array(values)})
        singly = [one.call(**{**base, first.argument: value}) for value in values]
        for output in one.outputs:
            got = getattr(together, output.field)
            if isinstance(got, np.ndarray) and got.shape == (3,):
                assert got == pytest.approx([getattr(result, output.field) for result in singly]), output.field

    def test_an_unknown_input_is_named(self, one: Instrument) -> None:
        with pytest.raises(NotFound, match="colour"):
            answer(one, {**one.example, "colour": "red"})


def _si(one: Instrument, key: str) -> Any:
    return answer(one, one.example)["inputs"][key]["value"]


def test_an_instrument_that_is_not_there_is_refused() -> None:
    with pytest.raises(NotFound, match="element"):
        INSTRUMENTS["teapot"]
    assert "teapot" not in INSTRUMENTS
    assert "limits" not in INSTRUMENTS
    assert len(INSTRUMENTS) >= 4


def test_nothing_heavy_loads_with_the_registry() -> None:
    code = "import sys, brasswright.bench; print('numpy' in sys.modules, 'pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.split() == ["False", "False"]


class TestAnswers:
    def test_a_refusal_names_the_input(self) -> None:
        with pytest.raises(UnitRefused, match="rated_voltage: "):
            answer(INSTRUMENTS["element"], {"resistance": "48.4 ohm", "rated_voltage": "220"})

    def test_a_missing_input_is_named(self) -> None:
        with pytest.raises(ImpossibleValue, match="rated_voltage"):
            answer(INSTRUMENTS["element"], {"resistance": "48.4 ohm"})

    def test_a_thousandfold_slip_asks_and_then_meets_the_range(self) -> None:
        slip = {"resistance": "48.4 kohm", "rated_voltage": "220 V"}
        with pytest.raises(NeedsConfirmation, match=r"Was 48\.4 ohm meant"):
            answer(INSTRUMENTS["element"], slip)
        with pytest.raises(OutsideValidity):
            answer(INSTRUMENTS["element"], slip, confirmed=True)

    def test_uncertainty_goes_through(self) -> None:
        said = answer(INSTRUMENTS["element"], {"resistance": "48.4 ± 0.484 ohm", "rated_voltage": "220 V"})
        spread = said["uncertainty"]["power_cold_w"]
        assert spread["sigma"] == pytest.approx(10.0, rel=0.03)
        assert spread["low"] == pytest.approx(1000 - 1.96 * 10, abs=1.5)
        assert spread["high"] == pytest.approx(1000 + 1.96 * 10, abs=1.5)
        assert any("1000 ± 10 W" in line for line in said["in_words"])

    def test_the_same_question_gets_the_same_answer(self) -> None:
        typed = {"resistance": "48.4 ± 0.4 ohm", "rated_voltage": "220 V"}
        assert answer(INSTRUMENTS["element"], typed) == answer(INSTRUMENTS["element"], typed)
        assert answer(INSTRUMENTS["element"], typed, seed=2) != answer(INSTRUMENTS["element"], typed)

    def test_draws_that_leave_the_range_leave_the_value(self) -> None:
        said = answer(INSTRUMENTS["element"], {"resistance": "2 ± 3 ohm", "rated_voltage": "220 V"}, confirmed=True)
        assert said["uncertainty"] == {}
        assert said["power_cold_w"] == pytest.approx(24_200)

    def test_a_reading_without_number_has_a_meaning_or_is_refused(self) -> None:
        said = answer(INSTRUMENTS["element"], {"resistance": "over range", "rated_voltage": "220 V"})
        assert "open" in said["meaning"]
        assert "power_cold_w" not in said
        with pytest.raises(ImpossibleValue, match="altitude: A number is needed"):
            answer(INSTRUMENTS["saturation"], {"pressure": "1 bar", "altitude": "over range"})

    @pytest.mark.parametrize("text", ["maybe", ""])
    def test_yes_or_no(self, text: str) -> None:
        with pytest.raises(ImpossibleValue, match="yes, no"):
            answer(INSTRUMENTS["insulation"], {"resistance": "20 Mohm", "circuit_closed": text})

    def test_a_choice_is_one_of_those_listed(self) -> None:
        with pytest.raises(NotFound, match="low-ohm tester"):
            answer(INSTRUMENTS["earth"], {"resistance": "0.1 ohm", "tester": "a nail"})
