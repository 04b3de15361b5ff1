"""Running commands as a person does, in this process or in one of their own."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from brasswright.cli.main import main

__all__ = ["ROOT", "Done", "apart", "run"]

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, slots=True)
class Done:
    """A command that has ended: exit code, standard output, standard error."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """What it printed, read as JSON; a constant that JSON does not know is a fault."""
        return json.loads(self.out, parse_constant=lambda name: f"no JSON: {name}")


def run(*words: object) -> Done:
    """Run a command in this process."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main([str(word) for word in words])
        except SystemExit as stop:
            code = int(stop.code or 0)
    return Done(code, out.getvalue(), err.getvalue())


def apart(*words: object, **environment: str) -> Done:
    """Run a command in a process of its own."""
    command = [sys.executable, "-c", "from brasswright.cli.main import main; main()", *map(str, words)]
    around = {**os.environ, **environment}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=around, cwd=ROOT)
    return Done(done.returncode, done.stdout, done.stderr)
