"""P4: an estimate of 10,000 joint samples on each packaged sheet, and how figures settle with the number of samples.

Run: python -m benchmarks.p4_estimate [--quick]. Prints figures, judges nothing.
"""

from __future__ import annotations

import argparse
import statistics
import time

from brasswright.journal.job import Job
from brasswright.judgement.opinion import judge
from brasswright.planning.choose import choose
from brasswright.planning.expand import expand
from brasswright.reckoning.estimate import estimate
from brasswright.reckoning.money import Prices
from brasswright.reckoning.problem import build
from brasswright.sheets.load import load_packaged, packaged

__all__ = ["main"]


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="three runs a size, no large sizes")
    quick = parser.parse_args().quick
    prices = Prices(tax_permille=190)
    for key in packaged():
        sheet = load_packaged(key).sheet
        judgement = judge(sheet, Job())
        problem = build(sheet, Job(), judgement.odds, prices)
        plan = expand(problem, choose(problem, marginals=False), Job(), sheet)
        for count in (1_000, 10_000) if quick else (1_000, 10_000, 100_000):
            took, drawn, found = [], [], None
            for run in range(3 if quick else 9):
                start = time.perf_counter()
                samples = judgement.samples(count, run)
                middle = time.perf_counter()
                found = estimate(problem, plan, samples, seed=run, prices=prices)
                took.append(time.perf_counter() - middle)
                drawn.append(middle - start)
            if found is not None:
                print(
                    f"{key}, {count} samples: estimate median {statistics.median(took) * 1e3:.0f} ms, worst "
                    f"{max(took) * 1e3:.0f} ms (joint samples {statistics.median(drawn) * 1e3:.0f} ms); last figures "
                    f"{found.low_minor} / {found.likely_minor} / {found.high_minor}, mean {found.mean_minor}"
                )


if __name__ == "__main__":
    main()
