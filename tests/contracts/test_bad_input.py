"""Bad input, put to every instrument by its own declaration: refused, asked about or named, never taken in silence."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.cli.measure import measure
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, OutsideValidity, UnitRefused
from brasswright.units import from_si, parse

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from brasswright.bench.instrument import Input, Instrument

FIGURES = [(name, entry) for name, one in INSTRUMENTS.items() for entry in one.inputs if entry.kind == "figure"]
IDS = [f"{name}-{entry.key}" for name, entry in FIGURES]
BARE = {"ratio", "count", "colour_value"}
SIGNED = {"temperature", "temperature_difference", "colour_value", "pressure_gauge"}
SMALL_TOO = {
    ("cooling", "metal_mass"): "a light vessel is possible",
    ("heating", "metal_mass"): "a light vessel is possible",
    ("heatup", "metal_mass"): "a light vessel is possible",
    ("insulation", "resistance"): "a wet element reads so; the answer is a fail",
    ("saturation", "pressure"): "a boiler may stand near the pressure of the air",
    ("leakdown", "start_pressure"): "a vessel may stand near the pressure of the air",
    ("leakdown", "end_pressure"): "a vessel may have lost all its pressure",
    ("leakdown", "time"): "within its stated range",
    ("leakdown", "drop_limit"): "a limit is the person's own",
    ("lever", "offset"): "a straight lever has none",
    ("lever", "pressure"): "a piston may press on nothing",
    ("scale", "drag_out"): "within its stated range",
    ("shot", "friction"): "a greased piston may have next to none",
    ("shot", "soak_pressure"): "a boiler may stand near the pressure of the air",
    ("shot", "soak_time"): "a shot may begin at once",
    ("shotlog", "gauge"): "an uncertainty may be small",
    ("water", "hardness"): "softened water has next to none",
    ("water", "pressure"): "a boiler may stand near the pressure of the air",
    ("water", "chloride"): "soft water has next to none",
}
"""Readings of which a thousandth, or a thousandfold, is met as well."""


def _with(name: str, entry: Input, text: str) -> dict[str, Any]:
    one = INSTRUMENTS[name]
    return answer(one, {**one.example, entry.key: text})


def _united(entry: Input, number: str) -> str:
    return f"{number} {'' if entry.unit == '1' else entry.unit}".strip()


@pytest.mark.parametrize(("name", "entry"), FIGURES, ids=IDS)
class TestEveryFigure:
    def test_no_unit_or_a_wrong_one(self, name: str, entry: Input) -> None:
        if entry.dimension not in BARE:
            with pytest.raises(UnitRefused, match=f"{entry.key}: .*unit is missing"):
                _with(name, entry, "5")
        wrong = "3 V" if entry.dimension == "mass" else "3 kg"
        with pytest.raises(UnitRefused, match=f"{entry.key}: "):
            _with(name, entry, wrong)

    @pytest.mark.parametrize("number", ["nan", "inf", "-inf", "-999", "-9999", "", "n/a", "--", "four"])
    def test_no_number(self, name: str, entry: Input, number: str) -> None:
        with pytest.raises((ImpossibleValue, UnitRefused), match=f"{entry.key}: "):
            _with(name, entry, _united(entry, number))

    def test_a_comma_that_can_be_read_twice(self, name: str, entry: Input) -> None:
        with pytest.raises(UnitRefused, match=r"1\.234 or as 1234"):
            _with(name, entry, _united(entry, "1,234"))

    def test_a_negative_and_a_zero_where_neither_can_be(self, name: str, entry: Input) -> None:
        if entry.dimension not in SIGNED:
            with pytest.raises((ImpossibleValue, OutsideValidity)):
                _with(name, entry, _united(entry, "-1"))
        if entry.dimension not in SIGNED and entry.low and entry.key in INSTRUMENTS[name].example:
            with pytest.raises((ImpossibleValue, OutsideValidity, NeedsConfirmation)):
                _with(name, entry, _united(entry, "0"))

    @pytest.mark.parametrize("text", ["over range", "below resolution"])
    def test_a_reading_without_number_means_something_or_is_refused(self, name: str, entry: Input, text: str) -> None:
        if entry.censored:
            assert _with(name, entry, text)["inputs"][entry.key]["censored"] == text
        elif text in entry.silent:
            assert _with(name, entry, text)["meaning"] == entry.silent[text]
        else:
            with pytest.raises(ImpossibleValue, match=f"{entry.key}: A number is needed"):
                _with(name, entry, text)

    def test_gauge_and_absolute_are_never_mixed(self, name: str, entry: Input) -> None:
        if entry.dimension == "pressure_gauge":
            for text in ("1.0 bar abs", "1.0 bara", "1 atm", "15 psia"):
                with pytest.raises(UnitRefused, match=f"{entry.key}: "):
                    _with(name, entry, text)
        if entry.dimension == "pressure_absolute":
            for text in ("1.0 bar", "1.0 bar g", "15 psig"):
                with pytest.raises(UnitRefused, match=f"{entry.key}: "):
                    _with(name, entry, text)


def _slips() -> Iterator[tuple[str, Input, float]]:
    for name, entry in FIGURES:
        scaled = entry.dimension not in BARE | {"temperature", "temperature_difference"}
        if scaled and entry.key in INSTRUMENTS[name].example and (name, entry.key) not in SMALL_TOO:
            yield from ((name, entry, factor) for factor in (1000.0, 0.001))


@pytest.mark.parametrize(("name", "entry", "factor"), list(_slips()))
def test_a_thousandfold_slip_is_refused_or_asked_about(name: str, entry: Input, factor: float) -> None:
    read = parse(INSTRUMENTS[name].example[entry.key], dimension=entry.dimension)
    assert read.value is not None
    slip = from_si(read.value, unit=entry.unit, dimension=entry.dimension) * factor
    if slip == 0:
        pytest.skip("nought has no thousandth")
    with pytest.raises((ImpossibleValue, NeedsConfirmation, OutsideValidity)):
        _with(name, entry, f"{slip:.9f} {entry.unit}")


def test_the_exceptions_are_still_met() -> None:
    known = {(name, entry.key) for name, entry in FIGURES}
    assert set(SMALL_TOO) <= known


class TestContradictions:
    @pytest.mark.parametrize(
        ("power", "side", "words"),
        [
            ("100 W", "above", "More power than the plate allows"),
            ("500 W", "above", "More power than the plate allows"),
            ("2000 W", "below", "Less power than the plate allows"),
            ("4000 W", "below", "Less power than the plate allows"),
        ],
    )
    def test_a_plate_and_a_resistance_that_disagree_are_named(self, power: str, side: str, words: str) -> None:
        one = INSTRUMENTS["element"]
        said = answer(one, {"resistance": "48.4 ohm", "rated_voltage": "220 V", "rated_power": power})
        assert said["rating"] == side
        assert any(words in warning for warning in said["warnings"])

    @pytest.mark.parametrize("wall", ["0 mm", "-1 mm", "0.0001 mm"])
    def test_a_shell_without_wall_is_refused(self, wall: str) -> None:
        one = INSTRUMENTS["shell"]
        with pytest.raises((ImpossibleValue, NeedsConfirmation, OutsideValidity)):
            answer(one, {**one.example, "wall": wall})
        with pytest.raises((ImpossibleValue, OutsideValidity)):
            answer(one, {**one.example, "wall": wall}, confirmed=True)

    def test_a_gasket_inside_out_is_refused(self) -> None:
        one = INSTRUMENTS["flatgasket"]
        with pytest.raises(BrasswrightError):
            answer(one, {**one.example, "outside": "60 mm", "inside": "70 mm"})

    def test_a_spring_longer_cocked_than_free_is_refused(self) -> None:
        one = INSTRUMENTS["spring"]
        with pytest.raises(BrasswrightError):
            answer(one, {**one.example, "cocked_length": "170 mm"})


LOGGED = [(name, entry) for name, one in INSTRUMENTS.items() for entry in one.inputs if entry.kind == "log"]


def _log(one: Instrument, entry: Input) -> str | None:
    return one.example.get(entry.key)


@pytest.mark.parametrize(
    ("name", "entry"), [(n, e) for n, e in LOGGED if _log(INSTRUMENTS[n], e)], ids=lambda it: getattr(it, "key", it)
)
class TestEveryLog:
    def _refused(self, name: str, entry: Input, lines: list[str]) -> str:
        with pytest.raises(BrasswrightError) as refusal:
            _with(name, entry, "\n".join(lines))
        return str(refusal.value)

    def _lines(self, name: str, entry: Input) -> list[str]:
        return INSTRUMENTS[name].example[entry.key].splitlines()

    def test_a_mark_at_the_front_and_other_line_ends_change_nothing(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        plain = _with(name, entry, "\n".join(lines))
        other = _with(name, entry, "\ufeff" + "\r\n".join(lines) + "\r\n\r\n")
        same = set(plain) - {"inputs"}
        assert {key: plain[key] for key in same} == {key: other[key] for key in same}

    def test_semicolons_and_decimal_commas_say_the_same(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        plain = _with(name, entry, "\n".join(lines))
        other = _with(name, entry, "\n".join(line.replace(",", ";").replace(".", ",") for line in lines))
        same = set(plain) - {"inputs"}
        assert {key: plain[key] for key in same} == {key: other[key] for key in same}

    def test_nothing_but_a_header_or_nothing_at_all(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        assert "too few rows" in self._refused(name, entry, lines[:1])
        assert "empty" in self._refused(name, entry, [])

    def test_a_line_cut_short_a_word_and_a_sentinel_are_named_by_line(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        first = lines[3].split(",")[0]
        for wrong in (first, f"{first},", f"{first},error", f"{first},nan", f"{first},-999", f"{first};1"):
            assert "line 4" in self._refused(name, entry, [*lines[:3], wrong, *lines[4:]]), wrong

    def test_decimal_commas_between_commas(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        cells = lines[2].split(",")
        wrong = ",".join([*cells[:-1], "107,1"])
        assert "Decimal commas need semicolons" in self._refused(name, entry, [*lines[:2], wrong, *lines[3:]])

    def test_other_separators_half_way(self, name: str, entry: Input) -> None:
        lines = self._lines(name, entry)
        cut = len(lines) // 2
        said = self._refused(name, entry, [*lines[:cut], *(line.replace(",", ";") for line in lines[cut:])])
        assert f"line {cut + 1}" in said

    def test_bytes_of_another_coding(self, name: str, entry: Input) -> None:
        text = "\n".join(self._lines(name, entry)).encode("utf-16").decode("latin-1")
        self._refused(name, entry, text.splitlines())


def test_a_log_in_another_coding_is_refused_in_plain_words(tmp_path: Path) -> None:
    log = tmp_path / "cooling.csv"
    log.write_text(INSTRUMENTS["cooling"].example["log"], encoding="utf-16")
    done = CliRunner().invoke(measure, ["cooling", f"log={log}"])
    assert done.exit_code == 2
    assert "save it again as CSV in UTF-8" in " ".join(done.output.split())
