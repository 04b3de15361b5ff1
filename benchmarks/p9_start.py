"""Promise 9: how quickly the command answers `--help`, and how long the whole demo takes once set up.

Run: python -m benchmarks.p9_start [--quick]. Prints figures, judges nothing.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent


def seconds(command: list[str], runs: int) -> list[float]:
    """Return how long each run of a command takes [s]."""
    taken = []
    for _ in range(runs):
        began = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        taken.append(time.perf_counter() - began)
    return taken


def main() -> None:
    """Print median and range."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer runs")
    runs = 5 if parser.parse_args().quick else 25
    bare = statistics.median(seconds([sys.executable, "-c", "pass"], runs))
    shown = seconds([sys.executable, "-m", "brasswright.cli.main", "--help"], runs)
    print(
        f"--help: median {statistics.median(shown):.3f} s ({min(shown):.3f} to {max(shown):.3f}); promised 0.3 s;"
        f" {statistics.median(shown) / bare:.1f} times a Python that does nothing ({bare:.3f} s)"
    )
    with tempfile.TemporaryDirectory() as folder:
        demo = seconds([sys.executable, "tools/demo.py", str(Path(folder) / "demo")], 1 if runs == 5 else 3)
    print(f"demo after set-up: {statistics.median(demo):.1f} s; promised 30 s")


if __name__ == "__main__":
    main()
