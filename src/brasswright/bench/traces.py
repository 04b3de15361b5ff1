"""Logged curves: a CSV of columns with units becomes checked arrays in SI; whatever is wrong names its line.

The first line names the columns, each with its unit in brackets: `time [s], temperature [°C]`. Columns are parted by
commas, semicolons or tabs. A decimal comma needs semicolons or tabs, and no decimal point anywhere in the log. A time
may be written 0:12:30. Lines that begin with `#` and empty lines are passed over. Forces and lengths may be negative: a
log counts them from where its gauge was set to zero, and in the direction it was set up for.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from brasswright.bench.validity import Array
from brasswright.errors import BrasswrightError, ImpossibleValue, NotFound
from brasswright.units import parse, to_si, units_of

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Trace", "read_trace"]

_SEPARATORS: Final = {";": "semicolons", "\t": "tabs", ",": "commas"}
_TITLE: Final = re.compile(r"^\s*(?P<name>[^\[\](]+?)\s*[\[(]\s*(?P<unit>[^\])]+?)\s*[\])]\s*$")
_CLOCK: Final = re.compile(r"^(?P<hours>\d+):(?P<minutes>[0-5]\d)(?::(?P<seconds>[0-5]\d(?:[.,]\d+)?))?$")
_LEAST_ROWS: Final = 3
_EITHER_WAY: Final = frozenset({"force", "length"})
_NO_VALUE: Final = re.compile(r"^-\s*9{3,}([.,](0+|25))?$")


@dataclass(frozen=True, slots=True)
class Trace:
    """A logged curve: columns by name in SI, all of one length, and the line of the file each row came from."""

    columns: Mapping[str, Array]
    lines: tuple[int, ...]
    source: str

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self.lines)

    def __getitem__(self, name: str) -> Array:
        """Return one column."""
        if name not in self.columns:
            raise NotFound(f"The log has no column '{name}'.", where=self.source, allowed=", ".join(self.columns))
        return self.columns[name]


@dataclass(frozen=True, slots=True)
class _Column:
    """Where a column stands, its dimension and its unit."""

    place: int
    name: str
    dimension: str
    unit: str


def read_trace(
    text: str, *, columns: Mapping[str, str], source: str, rising: str | None = "time", gap_times: float | None = 10.0
) -> Trace:
    r"""Return the columns asked for of a logged CSV, in SI.

    `columns` gives the dimension of each column by name; `source` is how the file is called in errors. `rising` names
    the column that must rise from row to row (None where none must, as force against travel). A step longer than
    `gap_times` times the middle one is a gap and is refused (None takes gaps). Everything wrong raises ImpossibleValue
    or NotFound with file and line.

    >>> trace = read_trace("time [min];temp [°C]\n0;90,5\n1;80,0\n2;71,2\n", source="log.csv",
    ...                    columns={"time": "time", "temp": "temperature"})
    >>> trace["time"].tolist(), round(float(trace["temp"][1]), 2)
    ([0.0, 60.0, 120.0], 353.15)
    """
    numbered = [
        (number, line)
        for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not numbered:
        raise ImpossibleValue("The log is empty.", where=source, remedy="Its first line names the columns.")
    separator, width, found = _header(numbered[0], columns, source)
    comma = separator != "," and not any("." in line for _, line in numbered[1:])
    rows = [
        _row(line.replace(",", ".") if comma else line, separator, width, found, f"{source}, line {number}")
        for number, line in numbered[1:]
    ]
    if len(rows) < _LEAST_ROWS:
        raise ImpossibleValue(
            "The log has too few rows.", where=source, got=len(rows), allowed=f"{_LEAST_ROWS} or more"
        )
    values = {column.name: np.array([row[k] for row in rows]) for k, column in enumerate(found)}
    trace = Trace(values, tuple(number for number, _ in numbered[1:]), source)
    if rising is not None:
        _check_steps(trace, rising, gap_times)
    return trace


def _header(first: tuple[int, str], columns: Mapping[str, str], source: str) -> tuple[str, int, tuple[_Column, ...]]:
    """Return the separator, how many columns there are, and where those asked for stand."""
    number, line = first
    where = f"{source}, line {number}"
    separator = max(_SEPARATORS, key=line.count)
    cells = line.split(separator)
    if len(columns) > 1 and len(cells) == 1:
        raise ImpossibleValue(
            "The first line holds one column only.", where=where, got=f"'{line.strip()}'",
            allowed=f"columns parted by {', '.join(_SEPARATORS.values())}",
        )  # fmt: skip
    titles = [_TITLE.match(cell) for cell in cells]
    names = [
        title["name"].lower() if title else cell.strip().lower() for title, cell in zip(titles, cells, strict=True)
    ]
    found = []
    for name, dimension in columns.items():
        if names.count(name.lower()) != 1:
            what = "is not there" if name.lower() not in names else "is there more than once"
            raise NotFound(f"The column '{name}' {what}.", where=where, allowed=", ".join(filter(None, names)))
        place = names.index(name.lower())
        title = titles[place]
        if title is None:
            raise ImpossibleValue(
                f"The column '{name}' has no unit.", where=where,
                allowed=f"'{name} [{units_of(dimension)[0]}]', or one of {', '.join(units_of(dimension))}",
            )  # fmt: skip
        _in_si("1", dimension, title["unit"], where)
        found.append(_Column(place, name, dimension, title["unit"]))
    return separator, len(cells), tuple(found)


def _row(line: str, separator: str, width: int, found: Sequence[_Column], where: str) -> tuple[float, ...]:
    """Return the values of one line, in SI."""
    cells = line.split(separator)
    if len(cells) != width:
        others = [word for sign, word in _SEPARATORS.items() if sign != separator and sign in line]
        hint = ""
        if separator == "," and len(cells) > width:
            hint = "Decimal commas need semicolons or tabs between the columns."
        elif others:
            hint = f"The first line is parted by {_SEPARATORS[separator]}, this one by {others[0]}?"
        got = f"{len(cells)} cells, '{line.strip()}'"
        raise ImpossibleValue(
            "The line has another number of cells.", where=where, got=got, allowed=f"{width}", remedy=hint
        )
    return tuple(_cell(cells[column.place].strip(), column, where) for column in found)


def _cell(text: str, column: _Column, where: str) -> float:
    """Return one value in SI."""
    if not text:
        raise ImpossibleValue(
            f"'{column.name}' is empty.", where=where, remedy="Take the line out, or split the log where it broke off."
        )
    clock = _CLOCK.match(text) if column.dimension == "time" else None
    if clock is None:
        return _in_si(text, column.dimension, column.unit, where)
    seconds = float((clock["seconds"] or "0").replace(",", "."))
    hours, minutes = (to_si(float(clock[part]), unit=unit) for part, unit in (("hours", "h"), ("minutes", "min")))
    return hours + minutes + seconds


def _in_si(text: str, dimension: str, unit: str, where: str) -> float:
    """Return a number with its unit in SI; what cannot be read is refused with its place."""
    unsigned = text.replace("\u2212", "-").strip()
    negative = dimension in _EITHER_WAY and unsigned.startswith("-") and not _NO_VALUE.match(unsigned)
    try:
        read = parse(f"{unsigned[1:].strip() if negative else text} {unit}", dimension=dimension)
    except BrasswrightError as refusal:
        raise ImpossibleValue(
            refusal.what, where=where, got=f"'{text}' in '{unit}'", allowed=refusal.allowed, remedy=refusal.remedy
        ) from None
    if read.value is None or read.censored is not None or not math.isfinite(read.value):
        raise ImpossibleValue("A log holds numbers only.", where=where, got=f"'{text}'", remedy="Take the line out.")
    return -read.value if negative else read.value


def _check_steps(trace: Trace, rising: str, gap_times: float | None) -> None:
    """Refuse a column that stands still, falls, or jumps."""
    steps = np.diff(trace[rising])
    for kind, wrong in (("is there twice", steps == 0), ("goes back", steps < 0)):
        if np.any(wrong):
            row = int(np.argmax(wrong)) + 1
            raise ImpossibleValue(
                f"'{rising}' {kind}.", where=f"{trace.source}, line {trace.lines[row]}",
                got=f"{trace[rising][row]:g} after {trace[rising][row - 1]:g} in line {trace.lines[row - 1]}",
                allowed="a value that rises from line to line", remedy="Take the line out, or sort the log.",
            )  # fmt: skip
    usual = float(np.median(steps))
    if gap_times is not None and np.any(steps > gap_times * usual):
        row = int(np.argmax(steps > gap_times * usual)) + 1
        raise ImpossibleValue(
            f"There is a gap in '{rising}'.", where=f"{trace.source}, line {trace.lines[row]}",
            got=f"a step of {steps[row - 1]:g} where {usual:g} is usual",
            remedy="Cut the log there and read the parts one by one, or say that gaps are allowed.",
        )  # fmt: skip
