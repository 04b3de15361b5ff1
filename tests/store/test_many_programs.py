"""Real programs side by side, and one that is killed: nothing that was acknowledged is lost."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from brasswright.store import check
from tests.builders import JOB

if TYPE_CHECKING:
    from brasswright.store import Store

ROOT = Path(__file__).resolve().parent.parent.parent


def program(store: Store, name: str, count: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.store.many_programs", str(store.folder), name, str(count)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def test_four_programs_append_250_entries_each_and_lose_none(busy: Store) -> None:
    running = [program(busy, name, 250) for name in ("Ines", "Olof", "Maj", "Aino")]
    acknowledged = [line for each in running for line in each.communicate(timeout=300)[0].split()]
    assert [each.returncode for each in running] == [0, 0, 0, 0]
    entries = busy.read(JOB)
    assert [entry.seq for entry in entries] == list(range(1, 1003))
    assert {str(entry.id) for entry in entries[2:]} == set(acknowledged)
    assert Counter(entry.by for entry in entries[2:]) == {"Ines": 250, "Olof": 250, "Maj": 250, "Aino": 250}
    assert check(busy.folder) == ()


@pytest.mark.parametrize("after", [1, 90, 200])
def test_a_program_killed_while_appending_loses_no_acknowledged_entry(busy: Store, after: int) -> None:
    running = program(busy, "Ines", 100_000)
    assert running.stdout is not None
    acknowledged = [running.stdout.readline().strip() for _ in range(after)]
    running.send_signal(signal.SIGKILL)
    acknowledged += running.stdout.read().split()
    running.stdout.close()
    assert running.wait(timeout=60) == -signal.SIGKILL
    stored = [str(entry.id) for entry in busy.read(JOB)[2:]]
    assert stored[: len(acknowledged)] == acknowledged
    assert len(stored) - len(acknowledged) in {0, 1}
    assert check(busy.folder) == ()
