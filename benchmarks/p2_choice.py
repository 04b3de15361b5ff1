"""P2: the choice of treatments on each packaged sheet and on made-up workshops, proven optimal; median time.

Run: python -m benchmarks.p2_choice [--quick]. Odds are the sheets' own with nothing known, then with one component
after another found bad. Prints figures, judges nothing.
"""

from __future__ import annotations

import argparse
import statistics
import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from brasswright.journal.job import Job
from brasswright.judgement.opinion import judge
from brasswright.planning.choose import choose
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from brasswright.sheets.load import load_packaged, packaged
from tests.properties.planning_problems import workshop_problem

if TYPE_CHECKING:
    from collections.abc import Iterable

    from brasswright.planning.model import Problem

__all__ = ["main"]


@dataclass(frozen=True, slots=True)
class Found:
    """Odds of a component found in one condition."""

    states: tuple[str, ...]
    p: tuple[float, ...]


def problems_of(key: str, most: int) -> list[Problem]:
    """The problem of a sheet with nothing known, and with each of its first components in its worst condition."""
    sheet = load_packaged(key).sheet
    odds = judge(sheet, Job()).odds
    made = [build(sheet, Job(), odds, Prices())]
    for name, component in list(sheet.component.items())[:most]:
        worst = Found(component.states, (*(0.0 for _ in component.states[1:]), 1.0))
        made.append(build(sheet, Job(), {**odds, name: worst}, Prices()))
    return made


def report(name: str, problems: Iterable[Problem]) -> None:
    """Print how long the choice takes, proven, and with its margins."""
    bare, whole, proven, count = [], [], 0, 0
    for problem in problems:
        start = time.perf_counter()
        choice = choose(problem, marginals=False)
        middle = time.perf_counter()
        choose(replace(problem))
        whole.append(time.perf_counter() - middle)
        bare.append(middle - start)
        proven += choice.proven
        count += 1
        size = f"{len(problem.pieces)} pieces, {len(problem.faults)} faults, {len(problem.options)} treatments"
    print(
        f"{name} ({size}): {proven} of {count} proven; median {statistics.median(bare) * 1e3:.1f} ms, "
        f"worst {max(bare) * 1e3:.1f} ms; with margins median {statistics.median(whole) * 1e3:.0f} ms"
    )


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="few problems")
    most = 3 if parser.parse_args().quick else 25
    choose(workshop_problem(0), marginals=False)  # the solver is loaded once
    for key in packaged():
        report(key, problems_of(key, most))
    report("made up", (workshop_problem(seed) for seed in range(most)))
    large = (workshop_problem(seed, pieces=300, faults=400, options=440) for seed in range(1 if most < 5 else 4))
    report("made up, large", large)


if __name__ == "__main__":
    main()
