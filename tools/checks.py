"""Run every check against an outside value and list them all in docs/reference/checks.md.

`python tools/checks.py` writes the page; `--check` only compares. A check that rests on memory alone is listed apart
when it disagrees and fails nothing; any other that disagrees ends with exit code 1.
"""

from __future__ import annotations

import importlib
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.propagate import Rectangular, propagate
from brasswright.errors import BrasswrightError
from brasswright.sources import cite
from brasswright.units import Measured

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["CASES", "PAGE", "Case", "Checked", "cases", "page", "run"]

ROOT = Path(__file__).resolve().parent.parent
CASES = ROOT / "tests" / "published" / "cases"
PAGE = ROOT / "docs" / "reference" / "checks.md"
DRAWS = 200_000
AIR_DENSITY = 1.2  # kg/m3, conventional, in the mass calibration of JCGM 101:2008, 9.3
NOMINAL_MG = 100_000.0


@dataclass(frozen=True, slots=True)
class Case:
    """One check: what is asked of which function, what an outside source says, and how that reached us."""

    group: str
    number: int
    row: dict[str, Any]

    @property
    def name(self) -> str:
        """Return where the check stands."""
        return f"{self.group}-{self.number:02d}"

    @property
    def from_memory(self) -> bool:
        """Return whether the expected value was only remembered."""
        return bool(self.row["provenance"] == "from memory")


@dataclass(frozen=True, slots=True)
class Checked:
    """A check with what came out."""

    case: Case
    got: Any
    agrees: bool


FORMULAS: dict[str, Callable[..., Any]] = {
    "sum": lambda *, a, b, c, d: a + b + c + d,
    "ratio": lambda *, v, i: v / i,
    "mass calibration": lambda *, m_rc, d_rc, rho_a, rho_w, rho_r: (
        (m_rc + d_rc) * (1 + (rho_a - AIR_DENSITY) * (1 / rho_w - 1 / rho_r)) - NOMINAL_MG
    ),
}
"""The examples of the guides on uncertainty, as functions of their inputs."""


def cases() -> tuple[Case, ...]:
    """Return all checks, in the order of their files."""
    return tuple(
        Case(path.stem, number, row)
        for path in sorted(CASES.glob("*.toml"))
        for number, row in enumerate(tomllib.loads(path.read_text(encoding="utf-8"))["case"], 1)
    )


def run(case: Case) -> Checked:
    """Return what our function says, and whether it agrees within the tolerance of the check."""
    row = case.row
    try:
        got = _got(row)
    except BrasswrightError as refusal:
        return Checked(case, type(refusal).__name__, type(refusal).__name__ == row.get("refuses"))
    return Checked(case, got, "refuses" not in row and _agrees(got, row))


def _got(row: dict[str, Any]) -> Any:  # noqa: ANN401 - a figure, words or a list of them
    """Return the figure or words that the check is about."""
    if "formula" in row:
        inputs = {name: _input(value) for name, value in row["given"].items()}
        result: Any = propagate(FORMULAS[row["formula"]], inputs=inputs, seed=1, samples=DRAWS)["value"]
    elif "typed" in row:
        result = answer(INSTRUMENTS[row["instrument"]], row["typed"])
    else:
        module, _, function = row["call"].partition(".")
        given = {name: np.array(v) if isinstance(v, list) else v for name, v in row["given"].items()}
        result = getattr(importlib.import_module(f"brasswright.bench.{module}"), function)(**given)
    for step in row["field"].split(".") if "field" in row else ():
        if step.isdigit():
            result = result[int(step)]
        else:
            result = result[step] if isinstance(result, dict) else getattr(result, step)
    return result


def _input(value: dict[str, float]) -> Measured | Rectangular:
    """Return an uncertain input."""
    if "low" in value:
        return Rectangular(value["low"], value["high"])
    return Measured(value["mean"], value["sigma"])


def _agrees(got: Any, row: dict[str, Any]) -> bool:  # noqa: ANN401 - as `_got`
    """Return whether the outcome is the one expected."""
    if "contains" in row:
        texts = got if isinstance(got, list | tuple) else [got]
        return any(row["contains"] in text for text in texts)
    expected = row["expect"]
    if isinstance(expected, str) or expected == []:
        return bool(list(got) == [] if expected == [] else got == expected)
    return bool(np.allclose(got, expected, rtol=row.get("rel", 0.0), atol=row.get("abs", 0.0)))


def page(done: tuple[Checked, ...]) -> str:
    """Return the page: every check with its source, what was expected and what came out."""
    wrong = [one for one in done if not one.agrees]
    remembered = [one for one in wrong if one.case.from_memory]
    lines = [
        "# Checks against the outside",
        "",
        "Written by `make checks`. Each line is a value that somebody outside this project states, and what our",
        'function says to the same question. "From memory" means that the source was not open when the row was',
        "written: such a row is listed, and fails nothing until it has been read again.",
        "",
        (
            f"{len(done)} checks, {len(done) - len(wrong)} agree, {len(wrong) - len(remembered)} disagree, "
            f"{len(remembered)} from memory disagree."
        ),
    ]
    for group in dict.fromkeys(one.case.group for one in done):
        lines += ["", f"## {group.capitalize()}", ""]
        lines += [
            "| check | expected | got | agrees | source | how the value reached us |",
            "|---|---|---|---|---|---|",
        ]
        lines += [_line(one) for one in done if one.case.group == group]
    return "\n".join(lines) + "\n"


def _line(one: Checked) -> str:
    """Return one line of the table."""
    row = one.case.row
    if "refuses" in row:
        expected = f"refused ({row['refuses']})"
    elif "contains" in row:
        expected = f"says “{row['contains']}”"
    else:
        expected = _short(row["expect"]) + _tolerance(row)
    cells = (
        row["what"],
        expected,
        _short(one.got),
        "yes" if one.agrees else "**no**",
        f"{cite(row['source'])}; {row['clause']}",
        row["provenance"],
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def _tolerance(row: dict[str, Any]) -> str:
    """Return the tolerance in words; a fact has none."""
    if row.get("rel", 0.0) > 1e-8:
        return f" within {100 * row['rel']:g} %"
    return f" ± {row['abs']:g}" if "abs" in row else ""


def _short(value: Any) -> str:  # noqa: ANN401 - as `_got`
    """Return a value in few figures."""
    value = value.tolist() if isinstance(value, np.ndarray) else value
    if isinstance(value, list | tuple):
        return ", ".join(_short(one) for one in value) or "nothing"
    if isinstance(value, float | np.floating | int):
        return f"{float(value):.6g}"
    text = str(value)
    return text if len(text) <= 90 else text[:87] + "..."


def main(arguments: list[str]) -> int:
    """Write or compare the page; return 1 when a check disagrees that does not rest on memory."""
    done = tuple(run(case) for case in cases())
    text = page(done)
    if "--check" in arguments:
        if not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != text:
            print(f"{PAGE.relative_to(ROOT)} is not current: run `make checks`.")
            return 1
    else:
        PAGE.parent.mkdir(parents=True, exist_ok=True)
        PAGE.write_text(text, encoding="utf-8")
    for one in done:
        if not one.agrees:
            mark = "from memory, re-read it" if one.case.from_memory else "DISAGREES"
            print(f"{one.case.name}: {one.case.row['what']}: got {_short(one.got)} ({mark})")
    print(f"{len(done)} checks, {sum(one.agrees for one in done)} agree; listed in {PAGE.relative_to(ROOT)}")
    return int(any(not one.agrees and not one.case.from_memory for one in done))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
