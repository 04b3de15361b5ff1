"""Run every benchmark, in quick mode unless told otherwise: python -m benchmarks [--full] [NAME ...].

Each prints figures and ratios; none judges. A benchmark that fails to run ends with its own error, so that none rots.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def main() -> int:
    """Run those asked for, or all, one process each; return how many failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="such as p1_odds")
    parser.add_argument("--full", action="store_true", help="full sizes and repetitions")
    asked = parser.parse_args()
    failed = []
    for name in asked.names or sorted(file.stem for file in HERE.glob("[!_]*.py")):
        print(f"\n== {name}", flush=True)
        quick = [] if asked.full else ["--quick"]
        if subprocess.run([sys.executable, "-m", f"benchmarks.{name}", *quick], check=False).returncode:
            failed.append(name)
    if failed:
        print(f"\nCould not be run: {', '.join(failed)}", file=sys.stderr)
    return len(failed)


if __name__ == "__main__":
    sys.exit(main())
