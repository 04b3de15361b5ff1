"""Words at the edge, SI inside: one grammar for what a person types, one formatter for what a person reads.

Topics: `parse`, `words`, `Measured`, `plausible` (asks about thousandfold slips), `to_si`, `from_si`, `dimension_of`.

Conventions. "48.4 ± 0.2 ohm" gives one standard uncertainty; "(k=2)" behind it says that two are meant. "0.8 %" or
"0.8 % + 2 digits" is a maker's accuracy: limits of error, taken as rectangular (JCGM 100:2008, 4.3.7): the standard
uncertainty is the half-width over root three, a digit is the last place typed. A plain "bar" is gauge pressure.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final, Literal

from brasswright.errors import ImpossibleValue, NeedsConfirmation, UnitRefused
from brasswright.unit_table import UNIT_TABLE

__all__ = [
    "ZERO_CELSIUS_K",
    "Censored",
    "Measured",
    "Quantity",
    "dimension_of",
    "dimensions",
    "from_si",
    "kelvin",
    "parse",
    "plausible",
    "to_si",
    "units_of",
    "words",
]

Censored = Literal["over range", "below resolution"]
"""What an instrument shows when it shows no number."""

ZERO_CELSIUS_K: Final = 273.15
"""0 °C in kelvin, exact by definition of the Celsius scale (SI Brochure, 9th edition, 2.3.1)."""

_OFFSET: Final = {"°C": ZERO_CELSIUS_K, "°F": ZERO_CELSIUS_K - 32 / 1.8}
_SIGNED: Final = ("temperature_difference", "angle", "colour_value")
_LOWEST: Final = {"pressure_gauge": -110_000.0, **dict.fromkeys(_SIGNED, -math.inf)}
_SENTINELS: Final = frozenset({-99.0, -999.0, -9999.0, -99999.0, -999.25})
_NUMBER: Final = r"[+-]?\d[\d.,' ]*(?:[eE][+-]?\d+)?"
_TYPED: Final = re.compile(rf"^\(?\s*(?P<number>{_NUMBER})(?:\((?P<last>\d{{1,3}})\))?\s*\)?\s*(?P<unit>.*?)\s*$")
_ACCURACY: Final = re.compile(
    rf"\s*(?:;|±|,(?=\s)|(?<=\D),)\s*±?\s*(?:(?P<percent>{_NUMBER})\s*%(?:\s*of reading)?)?"
    r"\s*(?:\+?\s*(?P<digits>\d+)\s*(?:digits?|dgts?|counts?))?\s*$"
)
_COVERAGE: Final = re.compile(r"\s*\(\s*k\s*=\s*(?P<k>\d+(?:\.\d+)?)\s*\)\s*$")
_NO_NUMBER: Final = re.compile(r"(?i)^(?P<over>over[ -]?range|o\.?l\.?|0\.l)\b|^(?P<below>below[ -]resolution)\b")
_BOUND: Final = re.compile(r"(?i)^(?P<over>>|≥|over |above |more than )|^(?P<below><|≤|under |below |less than )")
_PRESSURE_WORD: Final = re.compile(r"^(?P<unit>.*?)\s*\(?(?P<word>abs|absolute|a|g|gauge)\)?$")
_ALWAYS_ABSOLUTE: Final = frozenset({"Pa", "mbar", "hPa", "atm", "mmHg"})


@dataclass(frozen=True, slots=True)
class Measured:
    """A value with its standard uncertainty, both in SI; `sigma` 0 means exact."""

    value: float
    sigma: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no instrument can mean."""
        if not (math.isfinite(self.value) and math.isfinite(self.sigma) and self.sigma >= 0):
            raise ImpossibleValue("A measured value is finite and its uncertainty is not negative.", got=self)


@dataclass(frozen=True, slots=True)
class Quantity:
    """What was typed, understood: SI value and standard uncertainty, or the word for a reading without a number.

    A bound such as "> 200 Mohm" is censored and keeps 200 Mohm as its value. `unit` is the unit as typed, in our
    spelling; `sigma` None means that nothing was said about the uncertainty.
    """

    value: float | None
    sigma: float | None
    dimension: str
    unit: str
    censored: Censored | None
    text: str

    def measured(self, *, default_sigma: float = 0.0) -> Measured:
        """Return value and uncertainty; refuses a reading without a number."""
        if self.value is None or self.censored is not None:
            raise ImpossibleValue("This reading has no number.", got=self.text, remedy="Take it as a censored reading.")
        return Measured(self.value, default_sigma if self.sigma is None else self.sigma)


def _read_table() -> tuple[dict[str, dict[str, float]], dict[str, dict[str, str]]]:
    """Return scale by dimension and unit, and unit by dimension and spelling."""
    scales: dict[str, dict[str, float]] = {}
    spellings: dict[str, dict[str, str]] = {}
    for line in UNIT_TABLE.strip().splitlines():
        dimension, _, units = line.partition(":")
        for entry in units.split(" | "):
            name, scale, *others = entry.split()
            symbol = name.replace("_", " ")
            scales.setdefault(dimension, {})[symbol] = float(scale)
            spellings.setdefault(dimension, {}).update(dict.fromkeys((symbol, *others), symbol))
    return scales, spellings


_SCALES, _SPELLINGS = _read_table()


def dimensions() -> tuple[str, ...]:
    """Return the names of all dimensions."""
    return tuple(_SCALES)


def units_of(dimension: str) -> tuple[str, ...]:
    """Return the units of a dimension, the SI one first."""
    if dimension not in _SCALES:
        raise UnitRefused(f"'{dimension}' is no dimension.", allowed=", ".join(_SCALES))
    return tuple(_SCALES[dimension])


def dimension_of(unit: str) -> str:
    """Return the dimension a unit belongs to; a plain pressure unit is gauge pressure, "min" is time."""
    tidy = _tidy(unit)
    for dimension in _SCALES:
        try:
            _symbol(tidy, dimension)
        except UnitRefused:
            continue
        return dimension
    raise UnitRefused(
        f"'{unit}' is no unit this bench knows.", allowed="; ".join(", ".join(u) for u in _SCALES.values())
    )


def to_si(value: float, *, unit: str, dimension: str | None = None) -> float:
    """Return a value given in `unit` in SI."""
    dimension = dimension or dimension_of(unit)
    symbol = _symbol(_tidy(unit), dimension)
    return value * _SCALES[dimension][symbol] + _OFFSET.get(symbol, 0.0) * (dimension == "temperature")


def from_si(value: float, *, unit: str, dimension: str | None = None) -> float:
    """Return an SI value in `unit`."""
    dimension = dimension or dimension_of(unit)
    symbol = _symbol(_tidy(unit), dimension)
    return (value - _OFFSET.get(symbol, 0.0) * (dimension == "temperature")) / _SCALES[dimension][symbol]


def kelvin(*, celsius: float) -> float:
    """Return a temperature given in degrees Celsius in kelvin."""
    return celsius + ZERO_CELSIUS_K


def parse(text: str, *, dimension: str) -> Quantity:
    """Understand what was typed as a quantity of `dimension`, in SI.

    Refuses a missing or unknown unit, a number that can be read in two ways, what cannot exist, and the values by which
    libraries say "no value".

    >>> parse("48,4 ohm", dimension="resistance").value
    48.4
    >>> parse("1.1 bar", dimension="pressure_gauge").value
    110000.0
    >>> parse("> 200 Mohm", dimension="resistance").censored
    'over range'
    """
    units_of(dimension)
    tidy = _tidy(text)
    silent = _NO_NUMBER.match(tidy)
    if silent:
        unit = tidy[silent.end() :].strip() or units_of(dimension)[0]
        word: Censored = "over range" if silent["over"] else "below resolution"
        return Quantity(None, None, dimension, _symbol(unit, dimension), word, text)
    bound = _BOUND.match(tidy)
    number, half, unit = _split(tidy[bound.end() :].strip() if bound else tidy, text, dimension)
    exact = number * Decimal(repr(_SCALES[dimension][unit]))
    value = _possible(to_si(0.0, unit=unit, dimension=dimension) + float(exact), text, dimension)
    sigma = None if half is None else half * _SCALES[dimension][unit]
    if bound:
        return Quantity(value, None, dimension, unit, "over range" if bound["over"] else "below resolution", text)
    return Quantity(value, sigma, dimension, unit, None, text)


def _tidy(text: str) -> str:
    """Return the text with one kind of space, minus, ohm sign and micro sign."""
    for found, ours in (("\u2212", "-"), ("\u2126", "Ω"), ("\u03bc", "µ"), ("+/-", "±"), ("+-", "±"), ("’", "'")):
        text = text.replace(found, ours)
    return " ".join(text.split())


def _split(tidy: str, text: str, dimension: str) -> tuple[Decimal, float | None, str]:
    """Return number, standard uncertainty in the same unit (None if unsaid), unit."""
    coverage = _COVERAGE.search(tidy)
    tidy = tidy[: coverage.start()] if coverage else tidy
    accuracy = _ACCURACY.search(tidy)
    if accuracy and dimension != "ratio" and (accuracy["percent"] or accuracy["digits"]):
        tidy = tidy[: accuracy.start()]
    else:
        accuracy = None
    left, plus_minus, right = tidy.partition("±")
    typed, spread = _typed(left, text), _typed(right, text) if plus_minus else None
    unit = _symbol(typed["unit"] or (spread["unit"].rstrip(")") if spread else ""), dimension, text)
    number = _number(typed["number"], text)
    place = float(Decimal(1).scaleb(int(number.as_tuple().exponent)))
    half: float | None = None
    if accuracy:
        limits = abs(float(number)) * float(_number(accuracy["percent"] or "0", text)) / 100
        half = (limits + place * int(accuracy["digits"] or 0)) / math.sqrt(3)
    elif spread:
        other = _symbol(spread["unit"].rstrip(")") or typed["unit"], dimension, text)
        half = float(_number(spread["number"], text)) * _SCALES[dimension][other] / _SCALES[dimension][unit]
    elif typed["last"]:
        half = int(typed["last"]) * place
    if half is not None and half < 0:
        raise ImpossibleValue("An uncertainty cannot be negative.", got=text)
    return number, half / float(coverage["k"]) if coverage and half is not None else half, unit


def _typed(part: str, text: str) -> re.Match[str]:
    """Return number and unit of one side of the plus-minus sign."""
    match = _TYPED.match(part.strip())
    if match is not None:
        return match
    if re.match(r"^[+-]?(nan|inf|infinity|∞|n/?a|null|none)\b|^[+-]?∞", part.strip(), re.IGNORECASE):
        raise ImpossibleValue(
            "That is no reading.",
            got=text,
            remedy="Write 'over range' or '> 200 Mohm' when the instrument shows no number.",
        )
    raise UnitRefused("No number was found.", got=f"'{text}'", allowed="a number and its unit, such as '48.4 ohm'")


def _number(typed: str, text: str) -> Decimal:
    """Return the number; a comma counts as decimal only where it cannot group thousands."""
    compact = typed.strip().replace("'", " ")
    if " " in compact and not re.match(r"^[+-]?\d{1,3}( \d{3})+([.,]\d+)?$", compact):
        raise UnitRefused("Spaces stand inside the number.", got=f"'{text}'", remedy="Write it in one piece.")
    compact = compact.replace(" ", "")
    commas, points = compact.count(","), compact.count(".")
    if commas and points:
        last = max(compact.rfind(","), compact.rfind("."))
        compact = compact[:last].replace(",", "").replace(".", "") + "." + compact[last + 1 :]
    elif commas > 1:
        compact = compact.replace(",", "") if re.match(r"^[+-]?\d{1,3}(,\d{3})+$", compact) else "twice"
    elif commas and re.match(r"^[+-]?[1-9]\d{0,2},\d{3}$", compact):
        decimal, whole = compact.replace(",", "."), compact.replace(",", "")
        raise UnitRefused(
            f"'{typed.strip()}' can be read as {decimal} or as {whole}.", got=f"'{text}'", remedy="Write the one meant."
        )
    try:
        return Decimal(compact.replace(",", "."))
    except InvalidOperation:
        raise UnitRefused("The number cannot be read.", got=f"'{text}'", allowed="such as 48.4 or 48,4") from None


def _symbol(unit: str, dimension: str, text: str = "") -> str:
    """Return our spelling of a unit of `dimension`, telling gauge and absolute pressure apart."""
    got, allowed = f"'{text or unit}'", ", ".join(_SCALES[dimension])
    if not unit and dimension in {"ratio", "count", "colour_value"}:
        return "1"
    if not unit:
        raise UnitRefused("The unit is missing.", got=got, allowed=allowed)
    if dimension.startswith("pressure"):
        return _pressure_symbol(unit, dimension, got)
    symbol = _SPELLINGS[dimension].get(unit)
    if symbol is None:
        raise UnitRefused(f"'{unit}' is no unit of {dimension.replace('_', ' ')}.", got=got, allowed=allowed)
    return symbol


def _pressure_symbol(unit: str, dimension: str, got: str) -> str:
    """Return a pressure unit, refusing gauge where absolute is asked and the other way round."""
    gauge, allowed = _SPELLINGS["pressure_gauge"], ", ".join(_SCALES[dimension])
    marked = _PRESSURE_WORD.match(unit)
    bare, word = (marked["unit"], marked["word"][0]) if marked else (unit, "")
    if bare not in gauge and bare not in _ALWAYS_ABSOLUTE:
        bare, word = unit, ""
    if bare not in gauge and bare not in _ALWAYS_ABSOLUTE:
        raise UnitRefused(f"'{unit}' is no unit of pressure.", got=got, allowed=allowed)
    if dimension == "pressure_gauge":
        if bare in gauge and word != "a":
            return gauge[bare]
        what = f"'{unit}' is absolute pressure; pressure above the air outside is asked here."
        raise UnitRefused(what, got=got, allowed=allowed, remedy="Take the barometer off.")
    known = _SPELLINGS[dimension]
    symbol = known.get(f"{bare} abs", known.get(bare))
    if symbol is not None and (word == "a" or (not word and symbol in _ALWAYS_ABSOLUTE)):
        return symbol
    what = f"'{unit}' says pressure above the air outside; absolute pressure is asked here."
    raise UnitRefused(
        what, got=got, allowed=allowed, remedy="Write it with 'abs', or add the barometer to the reading."
    )


def _possible(value: float, text: str, dimension: str) -> float:
    """Return the value, unless nothing can have it or a library uses it for "no value"."""
    typed = re.match(r"^\s*(-99+(?:\.25)?)(?!\d)", _tidy(text))
    if typed and float(typed[1]) in _SENTINELS:
        raise ImpossibleValue(f"{typed[1]} is how a program says 'no value'.", got=f"'{text}'")
    if not math.isfinite(value):
        raise ImpossibleValue("That is no reading.", got=f"'{text}'")
    if value < _LOWEST.get(dimension, 0.0):
        raise ImpossibleValue(
            f"{dimension.replace('_', ' ').capitalize()} cannot be that low.",
            got=f"'{text}'",
            allowed=f"{words(_LOWEST.get(dimension, 0.0), unit=units_of(dimension)[0], dimension=dimension)} or more",
        )
    return value


def words(
    value_si: float, sigma: float | None = None, *, unit: str, dimension: str | None = None, figures: int = 4
) -> str:
    """Return an SI value in `unit`, as a person reads it: the one formatter.

    The standard uncertainty keeps one figure (two when it begins with 1), the value ends at the same place; without
    uncertainty four `figures` are shown, or fewer where a sentence knows no more; these never drop whole units.

    >>> words(48.4, 0.2, unit="ohm")
    '48.4 ± 0.2 ohm'
    >>> words(48.44, unit="ohm", figures=2)
    '48 ohm'
    >>> words(120_000.0, unit="bar")
    '1.2 bar'
    """
    dimension = dimension or dimension_of(unit)
    symbol = _symbol(_tidy(unit), dimension)
    value = from_si(value_si, unit=symbol, dimension=dimension)
    tail = "" if symbol == "1" else f"{symbol}" if symbol == "°" else f" {symbol}"
    if sigma:
        spread = sigma / _SCALES[dimension][symbol]
        places = -math.floor(math.log10(spread))
        places += round(spread * 10**places, 1) < 2
        shown = max(places, 0)
        return f"{_plain(round(value, places), shown)} ± {round(spread, places):.{shown}f}{tail}"
    places = figures - 1 - math.floor(math.log10(abs(value))) if value else 0
    figure = _plain(round(value, max(places, 0)), max(places, 0))
    return f"{figure.rstrip('0').rstrip('.') if '.' in figure else figure}{tail}"


def _plain(value: float, places: int) -> str:
    """Return the figure without exponent and without a minus before zero."""
    return f"{value + 0.0:.{places}f}" if value else f"{0.0:.{places}f}"


def plausible(quantity: Quantity, low: float | str, high: float | str, *, confirmed: bool = False) -> Quantity:
    """Return the quantity when it lies between `low` and `high` (SI, or text with unit) or was confirmed.

    Raises NeedsConfirmation otherwise, naming the unit that would fit when the slip is a thousand- or million-fold one.
    """
    dimension = quantity.dimension
    least, most = (
        parse(e, dimension=dimension).measured().value if isinstance(e, str) else float(e) for e in (low, high)
    )
    if confirmed or quantity.value is None or quantity.censored is not None or least <= quantity.value <= most:
        return quantity
    number = from_si(quantity.value, unit=quantity.unit, dimension=quantity.dimension)
    fits = [
        unit
        for unit in units_of(quantity.dimension)
        if unit != quantity.unit and least <= to_si(number, unit=unit, dimension=quantity.dimension) <= most
    ]
    meant = f"Was {number:g} {fits[0]} meant? " if fits else ""
    edges = [words(edge, unit=quantity.unit, dimension=quantity.dimension) for edge in (least, most)]
    raise NeedsConfirmation(
        "This value is far from what is met here.",
        got=f"'{quantity.text}'",
        allowed=f"{edges[0]} to {edges[1]} without asking",
        remedy=f"{meant}Correct it, or confirm that it was read so.",
    )
