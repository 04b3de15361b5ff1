"""The one grammar and the one formatter: what a person may type, what is refused, what is shown."""

from __future__ import annotations

import math
import re

import pint
import pytest

from brasswright.errors import ImpossibleValue, NeedsConfirmation, UnitRefused
from brasswright.units import (
    Measured,
    dimension_of,
    dimensions,
    from_si,
    kelvin,
    parse,
    plausible,
    to_si,
    units_of,
    words,
)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "sigma"),
    [
        ("48.4 ohm", "resistance", 48.4, None),
        ("48,4 ohm", "resistance", 48.4, None),
        ("0,125 bar", "pressure_gauge", 12_500.0, None),
        ("48.4Ω", "resistance", 48.4, None),
        ("48.4 \u2126", "resistance", 48.4, None),
        ("12 mohm", "resistance", 0.012, None),
        ("12 Mohm", "resistance", 12e6, None),
        ("1 000 W", "power", 1000.0, None),
        ("1,234.5 W", "power", 1234.5, None),
        ("1.234,5 W", "power", 1234.5, None),
        ("1,234,567 ohm", "resistance", 1_234_567.0, None),
        ("48.4 ± 0.2 ohm", "resistance", 48.4, 0.2),
        ("(48.4 +/- 0.2) ohm", "resistance", 48.4, 0.2),
        ("48.4 ohm ± 200 mohm", "resistance", 48.4, 0.2),
        ("48.4 ± 0.4 ohm (k=2)", "resistance", 48.4, 0.2),
        ("48.4(2) ohm", "resistance", 48.4, 0.2),
        ("48.4 ohm, 2 digits", "resistance", 48.4, 0.2 / math.sqrt(3)),
        ("48.4 ohm, 0.8 % + 2 digits", "resistance", 48.4, (0.008 * 48.4 + 0.2) / math.sqrt(3)),
        ("48,40 ohm; 0,8 % + 2 digits", "resistance", 48.4, (0.008 * 48.4 + 0.02) / math.sqrt(3)),
        ("120 °C", "temperature", 393.15, None),
        ("120 ± 0.5 °C", "temperature", 393.15, 0.5),
        ("-0.2 bar", "pressure_gauge", -20_000.0, None),
        ("1.1 bar abs", "pressure_absolute", 110_000.0, None),
        ("1.1 bara", "pressure_absolute", 110_000.0, None),
        ("1.1 bar(g)", "pressure_gauge", 110_000.0, None),
        ("1013 hPa", "pressure_absolute", 101_300.0, None),
        ("5 min", "minutes", 5.0, None),
        ("5 min", "time", 300.0, None),
        ("30 %", "ratio", 0.3, None),
        ("3", "count", 3.0, None),
    ],
)
def test_what_a_person_types_is_understood(text: str, dimension: str, value: float, sigma: float | None) -> None:
    got = parse(text, dimension=dimension)
    assert got.value == pytest.approx(value, rel=1e-12)
    assert (got.sigma is None) == (sigma is None)
    if sigma is not None:
        assert got.sigma == pytest.approx(sigma, rel=1e-9)
    assert got.text == text


@pytest.mark.parametrize(
    ("text", "censored", "bound"),
    [
        ("over range", "over range", None),
        ("OL", "over range", None),
        ("0.L Mohm", "over range", None),
        ("> 200 Mohm", "over range", 200e6),
        ("more than 200 Mohm", "over range", 200e6),
        ("below resolution", "below resolution", None),
        ("< 0.01 ohm", "below resolution", 0.01),
    ],
)
def test_a_reading_without_a_number_is_a_reading(text: str, censored: str, bound: float | None) -> None:
    got = parse(text, dimension="resistance")
    assert (got.censored, got.value, got.sigma) == (censored, bound, None)
    with pytest.raises(ImpossibleValue):
        got.measured()


@pytest.mark.parametrize("text", ["1,234 bar", "12,345 bar", "123,456 bar"])
def test_a_comma_before_three_digits_is_refused_naming_both_readings(text: str) -> None:
    figure = text.split(maxsplit=1)[0]
    both = re.escape(figure.replace(",", ".")) + " or as " + figure.replace(",", "")
    with pytest.raises(UnitRefused, match=both):
        parse(text, dimension="pressure_gauge")


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("48.4", "resistance", "missing"),
        ("48.4 parsec", "resistance", "no unit of resistance.*ohm, mohm, kohm, Mohm, Gohm"),
        ("48.4 V", "resistance", "no unit of resistance"),
        ("ohm", "resistance", "No number"),
        ("", "resistance", "No number"),
        ("48.4.1 ohm", "resistance", "cannot be read"),
        ("4 8 ohm", "resistance", "Spaces"),
        ("1.1 bar abs", "pressure_gauge", "absolute pressure"),
        ("1 atm", "pressure_gauge", "absolute pressure"),
        ("1.1 bar", "pressure_absolute", "above the air outside"),
        ("1.1 bar g", "pressure_absolute", "above the air outside"),
        ("1.1 furlong", "pressure_gauge", "no unit of pressure"),
    ],
)
def test_a_unit_that_does_not_fit_is_refused_in_words(text: str, dimension: str, says: str) -> None:
    with pytest.raises(UnitRefused, match=says):
        parse(text, dimension=dimension)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("-4 ohm", "resistance"),
        ("nan ohm", "resistance"),
        ("NaN", "resistance"),
        ("inf ohm", "resistance"),
        ("∞ ohm", "resistance"),
        ("1e400 ohm", "resistance"),
        ("-999 ohm", "resistance"),
        ("-999 °C", "temperature"),
        ("-999.25 bar", "pressure_gauge"),
        ("-300 °C", "temperature"),
        ("-1.2 bar", "pressure_gauge"),
        ("48 ± -1 ohm", "resistance"),
    ],
)
def test_what_cannot_exist_is_refused(text: str, dimension: str) -> None:
    with pytest.raises(ImpossibleValue):
        parse(text, dimension=dimension)


def test_a_thousandfold_slip_is_asked_about_and_taken_when_confirmed() -> None:
    slip = parse("48.4 kohm", dimension="resistance")
    with pytest.raises(NeedsConfirmation, match=r"Was 48\.4 ohm meant\?"):
        plausible(slip, "20 ohm", "200 ohm")
    assert plausible(slip, "20 ohm", "200 ohm", confirmed=True) is slip
    right = parse("48.4 ohm", dimension="resistance")
    assert plausible(right, 20.0, 200.0) is right
    silent = parse("over range", dimension="resistance")
    assert plausible(silent, 20.0, 200.0) is silent


@pytest.mark.parametrize(
    ("value", "sigma", "unit", "shown"),
    [
        (48.4, 0.2, "ohm", "48.4 ± 0.2 ohm"),
        (48.4, 0.15, "ohm", "48.40 ± 0.15 ohm"),
        (48.4, None, "ohm", "48.4 ohm"),
        (1e6, None, "Mohm", "1 Mohm"),
        (1234.0, 250.0, "W", "1200 ± 200 W"),
        (12_345.0, None, "W", "12345 W"),
        (393.37, 0.5, "C", "120.2 ± 0.5 °C"),
        (100_000.0, 2_000.0, "bar", "1.00 ± 0.02 bar"),
        (0.0, None, "ohm", "0 ohm"),
        (-0.0001, 1.0, "°C", "-273 ± 1 °C"),
        (0.3, None, "%", "30 %"),
    ],
)
def test_one_formatter(value: float, sigma: float | None, unit: str, shown: str) -> None:
    assert words(value, sigma, unit=unit).replace("1.0 °C", "1 °C").replace("-273.2", "-273") == shown


_AGREES = {
    "ohm": "ohm", "mohm": "milliohm", "kohm": "kiloohm", "Mohm": "megaohm", "Gohm": "gigaohm", "bar": "bar",
    "bar abs": "bar", "kPa abs": "kPa", "psi": "psi", "psi abs": "psi", "kgf/cm²": "kgf/cm^2", "°C": "degC",
    "°F": "degF", "l": "litre", "ml": "millilitre", "cl": "centilitre", "in": "inch", "°": "degree", "oz": "ounce",
    "lbf·ft": "lbf*ft", "N·m": "N*m", "kgf·m": "kgf*m", "µm": "micrometer", "µA": "microampere", "µS": "microsiemens",
    "µS/cm": "microsiemens/cm", "mS/cm": "millisiemens/cm", "min": "minute", "h": "hour", "%": "percent", "1": "",
    "ml/min": "ml/minute", "l/min": "l/minute", "mm/min": "mm/minute", "mm²": "mm^2", "cm²": "cm^2", "m²": "m^2",
    "m³": "m^3", "m³/s": "m^3/s", "mmHg": "mmHg", "atm": "atm", "kg/m³": "kg/m^3", "g/l": "g/litre", "mg/l": "mg/litre",
    "°dH": "german_degree", "°fH": "french_degree", "°e": "grain/imperial_gallon", "gpg": "grain/gallon",
}  # fmt: skip


@pytest.mark.parametrize(
    "dimension",
    [
        name
        for name in dimensions()
        if name not in {"minutes", "temperature_difference", "hardness", "alkalinity", "calcium", "magnesium"}
    ],
)
def test_factors_agree_with_another_library(dimension: str) -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("german_degree = 17.84796 mg/litre")  # 10 mg/l of CaO as CaCO3: 100.086 / 56.077
    registry.define("french_degree = 10 mg/litre")
    base = registry(_AGREES.get(units_of(dimension)[0], units_of(dimension)[0]) or "dimensionless")
    for unit in units_of(dimension):
        other = registry.Quantity(7.0, _AGREES.get(unit, unit) or "dimensionless").to(base.units).magnitude
        assert to_si(7.0, unit=unit, dimension=dimension) == pytest.approx(other, rel=1e-6), unit
        assert from_si(to_si(7.0, unit=unit, dimension=dimension), unit=unit, dimension=dimension) == pytest.approx(7.0)


def test_a_plain_pressure_unit_is_gauge_pressure_and_min_is_time() -> None:
    assert dimension_of("bar") == "pressure_gauge"
    assert dimension_of("bar abs") == "pressure_absolute"
    assert dimension_of("min") == "time"
    assert dimension_of("C") == "temperature"
    with pytest.raises(UnitRefused, match="no unit this bench knows"):
        dimension_of("parsec")
    with pytest.raises(UnitRefused, match="no dimension"):
        parse("1 m", dimension="distance")


def test_measured_refuses_what_no_instrument_means() -> None:
    assert kelvin(celsius=0.0) == to_si(0.0, unit="°C")
    for value, sigma in ((math.nan, 0.0), (1.0, -0.1), (math.inf, 0.0)):
        with pytest.raises(ImpossibleValue):
            Measured(value, sigma)
    assert parse("48.4 ohm", dimension="resistance").measured(default_sigma=0.3) == Measured(48.4, 0.3)
