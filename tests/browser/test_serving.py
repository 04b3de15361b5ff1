"""`serve` as a program: loopback only, one line with the address, an end within two seconds, plain refusals."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import httpx2
import pytest

from brasswright.workshop.folder import found
from brasswright.workshop.settings import set_values

if TYPE_CHECKING:
    from collections.abc import Iterator

COMMAND = str(Path(sys.executable).with_name("brasswright"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty workshop."""
    workshop = found(tmp_path / "shop", lambda: datetime.now(tz=UTC))
    set_values(workshop, {"person.nh": "N. Hale"}, by="nh")
    workshop.store.close()
    return tmp_path / "shop"


@pytest.fixture
def served(folder: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A running server and its address."""
    command = [COMMAND, "serve", "--workshop", str(folder), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as server:
        assert server.stdout is not None
        address = re.search(r"http://\S+/", server.stdout.readline())
        assert address is not None
        yield server, address[0]
        if server.poll() is None:
            server.kill()


def test_it_answers_on_loopback_only_and_stops_within_two_seconds(
    served: tuple[subprocess.Popen[str], str],
) -> None:
    server, address = served
    assert address.startswith("http://127.0.0.1:")
    with httpx2.Client() as client:
        assert client.get(address).status_code == 200
        began = time.monotonic()
        server.terminate()
        server.wait(timeout=5)
        assert time.monotonic() - began < 2
    assert server.returncode in {0, -15}


def test_a_taken_port_is_named(folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        told = subprocess.run(
            [COMMAND, "serve", "--workshop", str(folder), "--port", str(port)],
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
    assert told.returncode == 1
    assert str(port) in told.stderr
    assert "--port" in told.stderr


def test_a_folder_without_a_workshop_is_refused(tmp_path: Path) -> None:
    told = subprocess.run(
        [COMMAND, "serve", "--workshop", str(tmp_path), "--port", "0"],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert told.returncode == 1
    assert "Refused" in told.stderr
