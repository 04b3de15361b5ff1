"""What an instrument answered, laid out for a page: a verdict in words, figures with uncertainty, lists, curves."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from brasswright.bench.saying import NO_SPREAD, label, own_sigmas, reach, unit_shown
from brasswright.bench.traces import read_trace
from brasswright.charts.curves import Curve, Curves
from brasswright.errors import BrasswrightError
from brasswright.units import dimension_of, from_si, words
from brasswright.web.spoken import capital

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.bench.instrument import Instrument, Output

__all__ = [
    "Figure",
    "Listing",
    "Plot",
    "Shown",
    "curves_of",
    "is_curve",
    "logged_curves",
    "plot_of",
    "shown_of",
]

_UNSAID: Final = (None, "", "not asked")
_VERDICTS: Final = ("outcome", "finding")
_LEADS: Final = {"element": "power_hot_w"}
_APART: Final = frozenset({"outcome", "finding", "meaning", "warnings", "likeliest"})
_RECORD_UNITS: Final = {
    "_per_s": "", "_ohm": "ohm", "_kg": "kg", "_pa": "bar", "_m2": "mm²", "_m3": "l", "_v": "V", "_w": "W", "_m": "mm",
    "_k": "°C", "_n": "N", "_a": "A", "_s": "s",
}  # fmt: skip
_SHARES: Final = frozenset({"probability", "stretch", "squeeze", "fill", "share", "duty"})
_TITLE: Final = re.compile(r"^\s*(?P<name>[^\[\](]+?)\s*[\[(]\s*(?P<unit>[^\])]+?)\s*[\])]\s*$")
_ROWS: Final = 9
_KEPT_TOGETHER: Final = "\u00a0"
_LEAST_POINTS: Final = 3
_LONG: Final = 70
"""Words longer than this stand under the table, not in it [characters]."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table: what it is, its value with unit and uncertainty, and the middle 95 in 100."""

    says: str
    value: str
    interval: str


@dataclass(frozen=True, slots=True)
class Listing:
    """Several lines or records under one heading; records have heads."""

    title: str
    lines: tuple[str, ...]
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Plot:
    """A chart in words and as a table: its description, its heads and some of its rows."""

    title: str
    says: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    picked: str
    light: str
    dark: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Shown:
    """An answer in words: `verdict` heads it, `meaning` says it, `notes` must not be missed."""

    verdict: str
    meaning: str
    notes: tuple[str, ...]
    figures: tuple[Figure, ...]
    spread: bool
    listings: tuple[Listing, ...]


def shown_of(instrument: Instrument, answered: Mapping[str, Any]) -> Shown:
    """Return an instrument's answer laid out for a page; curves are told apart, see `curves_of`."""
    spread: Mapping[str, Mapping[str, float]] = answered.get("uncertainty", {})
    sigmas = own_sigmas(instrument)
    figures, listings = [], []
    for output in instrument.outputs:
        value = answered.get(output.field)
        if value in _UNSAID or output.field in {*_APART, *sigmas.values()} or is_curve(output, value):
            continue
        if isinstance(value, list | dict):
            listings += [_listing(output, value)] if value else []
        elif isinstance(value, str) and len(value) > _LONG:
            listings.append(Listing(capital(label(output)), (capital(value),)))
        else:
            own = answered.get(sigmas.get(output.field, ""))
            figures.append(_figure(output, value, spread.get(output.field), own))
    meaning = str(answered.get("meaning") or "")
    verdict = _verdict(instrument, answered, figures)
    return Shown(
        verdict=verdict,
        meaning=capital(meaning.removeprefix(f"{verdict.lower()}: ").removeprefix(verdict).lstrip(".;: ")),
        notes=tuple(capital(str(note)) for note in _notes(answered)),
        figures=tuple(figures),
        spread=any(figure.interval for figure in figures),
        listings=tuple(listings),
    )


def _notes(answered: Mapping[str, Any]) -> list[str]:
    """Return what must not be missed: the warnings, and an uncertainty that could not be worked out."""
    return [*(answered.get("warnings") or ()), *(one for one in answered.get("in_words", ()) if one == NO_SPREAD)]


def _verdict(instrument: Instrument, answered: Mapping[str, Any], figures: Sequence[Figure]) -> str:
    """Return what heads the answer: its outcome, else its leading figure, else its first one."""
    for name in _VERDICTS:
        if answered.get(name) not in _UNSAID:
            return capital(str(answered[name]))
    if answered.get("likeliest") not in _UNSAID:
        return f"Likeliest: {answered['likeliest']}"
    meaning = str(answered.get("meaning") or "")
    lead = next((o for o in instrument.outputs if o.field == _LEADS.get(instrument.name)), None)
    if lead is not None and answered.get(lead.field) not in _UNSAID:
        spread = answered.get("uncertainty", {}).get(lead.field)
        return f"{_figure(lead, answered[lead.field], spread).value}: {label(lead)}".replace(_KEPT_TOGETHER, " ")
    if meaning:
        return capital(re.split(r"(?<=[.;:])\s", meaning, maxsplit=1)[0].rstrip(".;:"))
    return f"{figures[0].says}: {figures[0].value}".replace(_KEPT_TOGETHER, " ") if figures else "No figures"


def _figure(
    output: Output, value: object, spread: Mapping[str, float] | None, own_sigma: float | None = None
) -> Figure:
    """Return one output in words, with the uncertainty that came of the inputs, else with its own."""
    if not output.unit or isinstance(value, bool | str) or not isinstance(value, int | float):
        said = "yes" if value is True else "no" if value is False else str(value)
        return Figure(capital(label(output)), said, "")
    unit, dimension = unit_shown(output)
    interval = ""
    if spread:
        ends = reach(spread["low"], spread["high"], unit=unit, dimension=dimension, sigma=spread["sigma"])
        interval = _KEPT_TOGETHER.join(ends.rsplit(" ", 1)) if unit != "1" else ends
    sigma = spread["sigma"] if spread else own_sigma
    told = words(float(value), sigma, unit=unit, dimension=dimension)
    return Figure(capital(label(output)), told.replace(" ", _KEPT_TOGETHER), interval)


def _listing(output: Output, value: list[Any] | dict[str, Any]) -> Listing:
    """Return a list of words as lines, records as rows."""
    title = capital(label(output))
    records = [value] if isinstance(value, dict) else value
    if not all(isinstance(one, dict) for one in records):
        return Listing(title, tuple(_item(output, one) for one in records))
    names = [name for name in records[0] if any(one.get(name) not in _UNSAID for one in records)]
    return Listing(
        title,
        (),
        tuple(_head(name) for name in names),
        tuple(tuple(_cell(name, one.get(name)) for name in names) for one in records),
    )


def _item(output: Output, value: object) -> str:
    """Return one line of a list."""
    if output.unit and isinstance(value, int | float):
        unit, dimension = unit_shown(output)
        return words(float(value), unit=unit, dimension=dimension)
    return capital(str(value))


def _suffix(name: str) -> str:
    return next((one for one in sorted(_RECORD_UNITS, key=len, reverse=True) if name.endswith(one)), "")


def _head(name: str) -> str:
    """Return a record's field as the head of its column."""
    return capital(name.removesuffix(_suffix(name)).replace("_", " "))


def _cell(name: str, value: object) -> str:
    """Return one cell of a record in words."""
    if value in _UNSAID:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(str(one) for one in value)
    if not isinstance(value, int | float):
        return str(value)
    if name in _SHARES:
        return words(float(value), unit="%", dimension="ratio") if abs(value) >= 0.001 else "under 0.1 %"
    unit = _RECORD_UNITS.get(_suffix(name), "")
    return words(float(value), unit=unit) if unit else f"{value:.4g}"


def is_curve(output: Output, value: object) -> bool:
    """Return whether an output is a row of figures, to be drawn rather than listed."""
    return (
        bool(output.unit)
        and isinstance(value, list)
        and len(value) >= _LEAST_POINTS
        and all(one is None or (isinstance(one, int | float) and not isinstance(one, bool)) for one in value)
    )


def curves_of(instrument: Instrument, answered: Mapping[str, Any]) -> tuple[Curves, ...]:
    """Return the rows of figures of an answer as curves: those of one length over the first time among them.

    Where none is a time, the first row is what the others stand over.
    """
    rows = [
        (output, answered[output.field])
        for output in instrument.outputs
        if is_curve(output, answered.get(output.field))
    ]
    drawn = []
    for length in dict.fromkeys(len(values) for _, values in rows):
        same = [(output, values) for output, values in rows if len(values) == length]
        along = next((pair for pair in same if pair[0].unit == "s"), same[0])
        over = [pair for pair in same if pair is not along]
        if over:
            drawn.append(Curves(_curve(*along), tuple(_curve(*pair) for pair in over)))
    return tuple(drawn)


def _curve(output: Output, values: Sequence[float | None]) -> Curve:
    unit, dimension = unit_shown(output)
    shown = tuple(None if one is None else from_si(float(one), unit=unit, dimension=dimension) for one in values)
    return Curve(label(output), "" if unit == "1" else unit, shown)


def logged_curves(text: str) -> Curves | None:
    """Return a log's own columns as curves over the first; None where it cannot be drawn."""
    lines = (line for line in text.removeprefix("\ufeff").splitlines() if line.strip() and not line.startswith("#"))
    first = next(lines, "")
    separator = max((";", "\t", ","), key=first.count)
    titles = [found for cell in first.split(separator) if (found := _TITLE.match(cell))]
    try:
        columns = {title["name"].lower(): dimension_of(title["unit"]) for title in titles}
        units = {title["name"].lower(): title["unit"] for title in titles}
        trace = read_trace(text, columns=columns, source="log", rising=None)
    except BrasswrightError:
        return None
    drawn = [
        Curve(name, unit, tuple(from_si(float(one), unit=unit, dimension=columns[name]) for one in trace[name]))
        for name, unit in units.items()
    ]
    return Curves(drawn[0], tuple(drawn[1:])) if len(drawn) > 1 else None


def plot_of(curves: Curves, title: str, address: str) -> Plot:
    """Return a chart's words and table; `address` takes the scheme in place of its braces."""
    rows = len(curves.along.values)
    step = max(1, -(-(rows - 1) // (_ROWS - 1)))
    picked = sorted({*range(0, rows, step), rows - 1})
    columns = (curves.along, *curves.lines)
    return Plot(
        title=title,
        says=f"{title}: {'; '.join(_told(line, curves.along) for line in curves.lines)}.",
        heads=tuple(f"{capital(one.name)}, {one.unit}" if one.unit else capital(one.name) for one in columns),
        rows=tuple(tuple(_short(one.values[row]) for one in columns) for row in picked),
        picked="" if len(picked) == rows else f"{len(picked)} of {rows} points; the chart shows all.",
        light=address.format("light"),
        dark=address.format("dark"),
        width=720,
        height=67 + 259 * len(curves.units),
    )


def _told(line: Curve, along: Curve) -> str:
    """Return a curve in a sentence: where it begins, its highest, where it ends."""
    there = [(value, at) for value, at in zip(line.values, along.values, strict=True) if value is not None]
    if not there:
        return f"{line.name} has no points"
    most, when = max(there, key=lambda pair: pair[0])
    where = f" at {_short(when)} {along.unit}".rstrip()
    return (
        f"{line.name} against {along.name} begins at {_short(there[0][0])} {line.unit}, "
        f"is highest with {_short(most)} {line.unit}{where} and ends at {_short(there[-1][0])} {line.unit}"
    ).replace(" ,", ",")


def _short(value: float | None) -> str:
    """Return a figure of a curve, four figures at most."""
    return "" if value is None else words(value, unit="1", dimension="ratio")
