"""What the repository promises to somebody who has just cloned it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from typing import TYPE_CHECKING

import pytest

import brasswright
from tests.contracts.repository import ROOT, committed

if TYPE_CHECKING:
    from pathlib import Path

TARGETS = ("setup", "demo", "serve", "test", "check", "checks", "bench", "docs", "locks", "help")
HEAVY = ("matplotlib", "ortools", "pyagrum", "typst", "fastapi", "sqlalchemy", "numpy")
IMPORTED_BY_HELP = """
import sys
from brasswright.cli.main import main
try:
    main(["--help"])
except SystemExit as stop:
    assert not stop.code, stop.code
print(*sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


def test_the_makefile_has_what_is_promised() -> None:
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z-]+):", text, re.MULTILINE))
    phony = set(re.findall(r"^\.PHONY: (.+)$", text, re.MULTILINE)[0].split())
    assert set(TARGETS) <= targets
    assert targets <= phony


def test_make_alone_lists_the_targets() -> None:
    listed = subprocess.run(["make"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    assert [target for target in TARGETS if f"make {target} " not in listed] == []


def test_continuous_integration_runs_checks_and_tests() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "set -euo pipefail" in script
    assert "make check" in script
    assert "make test" in script


@pytest.mark.parametrize("name", ["tools/ensure_system.sh", "tools/locks.sh", ".ci/run"])
def test_shell_scripts_can_run(name: str) -> None:
    assert os.access(ROOT / name, os.X_OK)
    subprocess.run(["bash", "-n", name], cwd=ROOT, check=True)


def test_the_system_check_refuses_what_it_does_not_know() -> None:
    done = subprocess.run(["tools/ensure_system.sh", "kettle"], cwd=ROOT, check=False, capture_output=True, text=True)
    assert done.returncode == 2
    assert "venv|chromium" in done.stderr


def test_a_python_that_is_too_old_is_named() -> None:
    environment = {**os.environ, "PYTHON": "no-such-python"}
    command = ["tools/ensure_system.sh", "venv"]
    done = subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True, env=environment)
    assert done.returncode == 1
    assert "Python 3.11" in done.stderr
    assert "no-such-python" in done.stderr


def test_a_missing_system_package_is_named_where_root_is_not_ours(tmp_path: Path) -> None:
    for name, script in {"bare-python": '[[ "$*" != *venv* ]]', "id": "echo 1000"}.items():
        (tmp_path / name).write_text(f"#!/usr/bin/env bash\n{script}\n", encoding="utf-8")
        (tmp_path / name).chmod(0o755)
    environment = {**os.environ, "PYTHON": "bare-python", "PATH": f"{tmp_path}:{os.environ['PATH']}"}
    command = ["tools/ensure_system.sh", "venv"]
    done = subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True, env=environment)
    assert done.returncode == 1
    assert "python3-venv" in done.stderr


def test_the_version_is_told_once() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == brasswright.__version__


def test_first_pages_are_there() -> None:
    names = {str(file.relative_to(ROOT)) for file in committed()}
    assert {"README.md", "CONTRIBUTING.md", "CHANGELOG.md", "LICENSE", "docs/decisions/README.md"} <= names


def test_pages_link_to_files_that_exist() -> None:
    broken = [
        f"{page.relative_to(ROOT)}: {target}"
        for page in committed()
        if page.suffix == ".md"
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
        if "://" not in target and not target.startswith("mailto:") and not (page.parent / target).exists()
    ]
    assert broken == []


def test_help_loads_nothing_heavy() -> None:
    command = [sys.executable, "-c", IMPORTED_BY_HELP]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "Usage" in done.stdout
    assert set(HEAVY) & set(done.stderr.splitlines()[-1].split()) == set()
