"""Learning from finished jobs: seconds for 30 to 300 jobs, and how near it comes to a known truth on fresh jobs.

Run: python -m benchmarks.learning [--quick]. The shop is invented: true strengths are the home sheet's, shifted.
"""

from __future__ import annotations

import argparse
import time
from typing import TYPE_CHECKING

import numpy as np

from brasswright.judgement.cases import Reader, read_jobs
from brasswright.judgement.gains import chances_of, log_scores
from brasswright.judgement.learn import learn
from brasswright.judgement.scores import Calibration, Called, calibration
from brasswright.judgement.strengths import with_rows
from brasswright.sheets.load import load_packaged
from tests.simulated_shop import Shop, shifted

if TYPE_CHECKING:
    from brasswright.judgement.truth import Finished
    from brasswright.sheets.model import Sheet

__all__ = ["main"]

OFF, SEED, FRESH = 0.8, 1, 150


def judged(sheet: Sheet, jobs: tuple[Finished, ...]) -> tuple[float, Calibration]:
    """Mean log score and calibration of a sheet's odds before strip-down, on these jobs."""
    reader = Reader(sheet)
    lessons, _, _ = read_jobs(reader, jobs)
    odds = chances_of(lessons, lambda _: reader.strengths.chances)
    called = [
        Called(lesson.number, key, key, tuple(map(float, rows[place])), state)
        for lesson, rows in zip(lessons, odds, strict=True)
        if rows is not None
        for place, (key, state) in enumerate(lesson.found.items())
    ]
    good = calibration(called)
    if good is None:
        raise SystemExit("no job of the invented shop taught anything")
    return float(np.mean(log_scores(lessons, odds))), good


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="30 jobs, few fresh ones")
    quick = parser.parse_args().quick
    sheet = load_packaged("home-spring-lever").sheet
    truth = shifted(sheet, OFF, SEED)
    fresh = Shop(sheet, truth, SEED + 2).jobs(20 if quick else FRESH, first=5001)
    own, true = judged(sheet, fresh), judged(truth, fresh)
    print(f"{'':>12} {'log score':>10} {'Brier':>7} {'off':>7}")
    for name, (score, good) in (("sheet's own", own), ("truth", true)):
        print(f"{name:>12} {score:>10.4f} {good.brier:>7.4f} {good.off:>7.4f}")
    for many in (30,) if quick else (30, 100, 300):
        jobs = Shop(sheet, truth, SEED + 1).jobs(many)
        began = time.perf_counter()
        lesson = learn(sheet, jobs)
        spent = time.perf_counter() - began
        score, good = judged(with_rows(sheet, lesson.rows)[0], fresh)
        closed = (own[0] - score) / (own[0] - true[0])
        print(
            f"{many:>7} jobs {score:>10.4f} {good.brier:>7.4f} {good.off:>7.4f}   {spent:.1f} s, "
            f"{closed:.0%} of the gap to the truth, {len(lesson.rows)} rows adopted"
        )


if __name__ == "__main__":
    main()
