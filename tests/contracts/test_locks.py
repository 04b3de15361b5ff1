"""The two locks: pinned, hashed, and free of anything about the machine that made them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.contracts.repository import ROOT, committed

if TYPE_CHECKING:
    from pathlib import Path

LOCKS = (ROOT / "requirements" / "run.lock", ROOT / "requirements" / "dev.lock")
ADDRESS_OR_PATH = re.compile(
    r"[a-z+]+://|file:|(?<![\w.])/\w|[A-Za-z]:\\|--(index|extra-index|find-links|trusted)", re.ASCII
)
OTHER_LOCKS = re.compile(r"(\.lock|[-.]lock\.(json|ya?ml|toml)|^pylock.*\.toml|^Pipfile.*|^requirements.*\.txt)$")
PIN = re.compile(r"^([a-z0-9._-]+)(?:\[[a-z0-9,_-]+\])?==(\S+)(?: ; (.+?))? \\$")


def pins(text: str) -> dict[tuple[str, str], str]:
    """The version of each package and marker."""
    found = (PIN.match(line) for line in text.splitlines())
    return {(match[1], match[3] or ""): match[2] for match in found if match}


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_no_address_and_no_machine_path(lock: Path) -> None:
    lines = lock.read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if ADDRESS_OR_PATH.search(line)] == []


@pytest.mark.parametrize(
    "line",
    [
        "--index-url https://example.org/simple",
        "--find-links ../wheels",
        "thing @ file:///opt/wheels/thing.whl",
        "#    uv pip compile /home/somebody/project/pyproject.toml",
        "    # via -r /tmp/made/requirements.in",
        "thing @ C:\\wheels\\thing.whl",
    ],
)
def test_the_pattern_sees_addresses_and_paths(line: str) -> None:
    assert ADDRESS_OR_PATH.search(line)


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_every_requirement_is_pinned_and_hashed(lock: Path) -> None:
    text = lock.read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    starts = [number for number, line in enumerate(lines) if not line.startswith(" ")]
    assert starts
    for number in starts:
        assert PIN.match(lines[number]), f"not one pinned version: {lines[number]}"
        assert lines[number + 1].strip().startswith("--hash=sha256:"), f"no hash: {lines[number]}"


def test_the_development_lock_keeps_the_run_time_pins() -> None:
    run, dev = (pins(lock.read_text(encoding="utf-8")) for lock in LOCKS)
    assert {key: dev.get(key) for key in run} == run


def test_there_is_no_other_lock() -> None:
    assert {file for file in committed() if OTHER_LOCKS.search(file.name)} == set(LOCKS)
