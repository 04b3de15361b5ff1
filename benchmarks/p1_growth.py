"""How odds and worths grow with components, findings and histories that nobody knows.

Run: python -m benchmarks.p1_growth [--quick] [--write]. With --write the picture and the page of the reference are
written. All sheets are made up at random.
"""

from __future__ import annotations

import argparse
import statistics
from pathlib import Path

from benchmarks.p1_odds import HISTORIES, evidence, made_up_sheet, seconds
from brasswright.charts.curves import Curve, Curves, curves_svg
from brasswright.judgement.compile import compile_network
from brasswright.judgement.tree import TreeEngine

__all__ = ["main"]

REFERENCE = Path(__file__).resolve().parent.parent / "docs" / "reference"
SIZES = (20, 40, 60, 80, 100)
CHECKS = (40, 80, 120, 160, 200)
UNKNOWN = (0, 2, 4, 6, 8, 10)
PIECES = 30
USUAL_COMPONENTS, USUAL_FINDINGS, USUAL_KNOWN = 60, 120, 6


def milliseconds(components: int, findings: int, known: int, sheets: int) -> float:
    """Median time of odds and worths of all open checks over so many sheets."""
    times = []
    for seed in range(sheets):
        net = compile_network(made_up_sheet(seed, components, findings))
        spent, _, _ = seconds(TreeEngine(), net, evidence(net, known, seed, PIECES), findings)
        times.append(spent * 1e3)
    return statistics.median(times)


def main() -> None:
    """Print three tables; write the picture if asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one sheet each, three points")
    parser.add_argument("--write", action="store_true", help="write docs/reference/growth.*")
    asked = parser.parse_args()
    step, sheets = (2, 1) if asked.quick else (1, 5)
    runs = {
        "components": ({n: milliseconds(n, USUAL_FINDINGS, USUAL_KNOWN, sheets) for n in SIZES[::step]}),
        "findings": ({n: milliseconds(USUAL_COMPONENTS, n, USUAL_KNOWN, sheets) for n in CHECKS[::step]}),
        "histories unknown": (
            {n: milliseconds(USUAL_COMPONENTS, USUAL_FINDINGS, HISTORIES - n, sheets) for n in UNKNOWN[::step]}
        ),
    }
    for name, found in runs.items():
        print(f"{name}: " + ", ".join(f"{n}: {ms:.0f} ms" for n, ms in found.items()))
    if asked.write:
        _write(runs)


def _write(runs: dict[str, dict[int, float]]) -> None:
    """Write one picture for each run, and the page with the figures."""
    lines = [
        "# How the time for the odds grows",
        "",
        "Written by `python -m benchmarks.p1_growth --write` on two cores. Median time [ms] of the odds of all",
        "components and the worth of all open checks, over five made-up sheets each, denser than the packaged ones.",
        "Unless varied: 60 components, 120 findings, 6 of 10 histories known, 30 answers.",
    ]
    for name, found in runs.items():
        stem = f"growth-{name.replace(' ', '-')}"
        along = Curve(name, "number", tuple(float(n) for n in found))
        picture = Curves(along, (Curve("odds and worths", "ms", tuple(found.values())),))
        (REFERENCE / f"{stem}.svg").write_text(curves_svg(picture, scheme="light"), encoding="utf-8")
        lines += ["", f"## {name.capitalize()}", "", f"![Time against {name}]({stem}.svg)", ""]
        lines += [f"| {name} | ms |", "|---|---|", *(f"| {n} | {ms:.0f} |" for n, ms in found.items())]
    (REFERENCE / "growth.md").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
