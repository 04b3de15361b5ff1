"""P5: an instrument on 10,000 samples at once, against the same public function sample by sample; and one shot curve.

Run: python -m benchmarks.p5_instruments [--quick]. The single calls are timed on a part of the samples and scaled.
"""

from __future__ import annotations

import argparse
import time
from typing import TYPE_CHECKING, Any

import numpy as np

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument

__all__ = ["main"]

SAMPLES = 10_000
PROMISE = 50.0
SHOT_PROMISE = 30.0


def ratio(one: Instrument, singles: int) -> tuple[float, float] | None:
    """Milliseconds for all samples at once, and how many times longer one by one; None if it takes words or a log."""
    inputs = answer(one, one.example)["inputs"]
    arguments: dict[str, Any] = {
        entry.argument: inputs[entry.key]["value"] for entry in one.inputs if entry.key in inputs
    }
    first = one.inputs[0].argument
    if one.inputs[0].kind != "figure":
        return None
    draws = np.random.default_rng(1).normal(arguments[first], 0.01 * abs(arguments[first]), SAMPLES)
    one.call(**{**arguments, first: draws})
    start = time.perf_counter()
    one.call(**{**arguments, first: draws})
    together = time.perf_counter() - start
    start = time.perf_counter()
    for value in draws[:singles]:
        one.call(**{**arguments, first: float(value)})
    apart = (time.perf_counter() - start) * SAMPLES / singles
    return 1000 * together, apart / together


def shot_curve(times: int) -> float:
    """Milliseconds for one shot with its curves, the best of several: the example with no input uncertain."""
    one = INSTRUMENTS["shot"]
    inputs = answer(one, one.example)["inputs"]
    arguments: dict[str, Any] = {
        entry.argument: inputs[entry.key]["value"] for entry in one.inputs if entry.key in inputs
    }
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        one.call(**arguments)
        best = min(best, time.perf_counter() - start)
    return 1000 * best


def main(arguments: list[str] | None = None) -> int:
    """Print the figures beside the promise; nothing is judged."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="time fewer single calls")
    singles = 50 if parser.parse_args(arguments).quick else 1000
    worst = float("inf")
    for name, one in INSTRUMENTS.items():
        figures = ratio(one, singles)
        if figures is None:
            continue
        milliseconds, times = figures
        worst = min(worst, times)
        print(f"P5 {name:11} {SAMPLES} samples at once {milliseconds:7.2f} ms, one by one {times:7.0f} times longer")
    print(f"P5 one shot with its curves {shot_curve(20):.2f} ms (promised {SHOT_PROMISE:.0f} or less)")
    print(f"P5 worst ratio {worst:.0f} (promised {PROMISE:.0f} or more)")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
