"""Commands when the ground gives way: a killed process, a folder nobody may write, a workshop from the future."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

import pytest

from brasswright.store import check
from tests.unit.commands_bench import ROOT, run
from tests.unit.workshop_bench import NUMBER, file_lines, made

LINES = 800
KILLED_HALF_WAY = """
import os, signal, sys
from brasswright.cli.main import main
from brasswright.store import appending
add = appending.add
def half(connection, lines, *, known):
    add(connection, lines[: len(lines) // 2], known=known)
    print("half of it is written", flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
appending.add = half
main(sys.argv[1:])
"""
AS_NOBODY = """
import os, sys
from brasswright.cli.main import main
def attempt(*words):
    try:
        main(words)
    except SystemExit as stop:
        print(stop.code, flush=True)
scratch, folder = sys.argv[1:]
attempt("note", "-w", scratch, "31", "remarked", "words=x", "--by", "ic")
attempt("backup", "-w", scratch, scratch + "/kept.zip")
attempt("set", "-w", scratch, "name=x", "--by", "ic")
if os.geteuid() == 0:
    os.setuid(65534)
sys.stderr.write("now\\n")
attempt("note", "-w", folder, "31", "remarked", "words=x", "--by", "ic")
attempt("set", "-w", folder, "name=x", "--by", "ic")
attempt("backup", "-w", folder, folder + "/kept.zip")
"""


def long_file(folder: Path) -> Path:
    """A long evening's file."""
    line = json.dumps({"kind": "remarked", "words": "a word about the lever " * 20, "by": "ic"})
    return file_lines(folder / "long.jsonl", *[line] * LINES)


def entries(folder: Path) -> int:
    count: int = run("show", "-w", folder, "--json").json["jobs"][0]["entries"]
    return count


@pytest.fixture
def quay(tmp_path: Path) -> Path:
    workshop = made(tmp_path / "quay")
    workshop.store.close()
    return workshop.folder


def test_killed_with_half_a_file_written_it_enters_nothing(quay: Path, tmp_path: Path) -> None:
    words = ["note", str(NUMBER), str(long_file(tmp_path)), "-w", str(quay)]
    command = [sys.executable, "-c", KILLED_HALF_WAY, *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr
    assert done.stdout == "half of it is written\n"
    assert entries(quay) == 1
    assert check(quay) == ()
    assert run(*words).code == 0
    assert entries(quay) == 1 + LINES


def test_killed_at_any_moment_it_enters_all_or_nothing_and_keeps_what_it_acknowledged(
    quay: Path, tmp_path: Path
) -> None:
    path, expected = long_file(tmp_path), 1
    command = [sys.executable, "-c", "from brasswright.cli.main import main; main()"]
    command += ["note", str(NUMBER), str(path), "-w", str(quay)]
    begun = time.monotonic()
    subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
    took, expected = time.monotonic() - begun, expected + LINES
    for share in (0.6, 0.8, 0.9, 1.0):
        with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as going:
            time.sleep(took * share)
            os.kill(going.pid, signal.SIGKILL)
            said, _ = going.communicate()
        now = entries(quay)
        assert now in {expected, expected + LINES}
        assert now == expected + LINES or "Entered" not in said
        expected = now
    assert check(quay) == ()


def test_a_folder_that_may_not_be_written_is_named_and_left_alone() -> None:
    with tempfile.TemporaryDirectory() as room:
        for name in ("scratch", "quay"):
            made(Path(room) / name).store.close()
        folder = Path(room) / "quay"
        for path in (*folder.rglob("*"), folder, Path(room)):
            path.chmod(0o555 if path.is_dir() else 0o444)
        command = [sys.executable, "-c", AS_NOBODY, f"{room}/scratch", str(folder)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        for path in (Path(room), folder, *folder.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
        refusals = done.stderr.partition("now\n")[2].splitlines()
        assert len(refusals) == 3, done.stderr
        for refusal in refusals:
            assert refusal.startswith("Refused. ")
            assert str(folder) in refusal
            assert "writ" in refusal
        assert done.stdout.splitlines()[-3:] == ["1", "1", "1"]
        assert not (folder / "kept.zip").exists()
        assert entries(folder) == 1


@pytest.mark.parametrize("words", [["show"], ["judge", NUMBER], ["note", NUMBER, "remarked", "words=x", "--by", "ic"]])
def test_a_workshop_made_by_a_newer_version_is_left_alone(quay: Path, words: list[object]) -> None:
    with closing(sqlite3.connect(quay / "workshop.sqlite")) as database:
        version = database.execute("PRAGMA user_version").fetchone()[0]
        database.execute(f"PRAGMA user_version = {version + 1}")
        database.commit()
    done = run(*words, "-w", quay)
    assert (done.code, done.out) == (1, "")
    assert done.err.startswith("Refused. ")
    assert "newer version" in done.err
    assert str(quay) in done.err
    with closing(sqlite3.connect(quay / "workshop.sqlite")) as database:
        database.execute(f"PRAGMA user_version = {version}")
        database.commit()
    assert entries(quay) == 1
