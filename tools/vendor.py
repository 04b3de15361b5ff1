"""Fetch the few foreign files that the pages, the papers and the tests carry, each pinned by its SHA-256.

`tools/vendored.toml` says which file of which package goes where. The files are committed, so this runs only when a
pin is moved:

    .venv/bin/python tools/vendor.py           fetch, verify, write
    .venv/bin/python tools/vendor.py --check   verify what is committed, without a network
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
import tarfile
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Pin", "differences", "fetch", "main", "read_pins"]

ROOT = Path(__file__).resolve().parent.parent
TABLE = ROOT / "tools" / "vendored.toml"


@dataclass(frozen=True, slots=True)
class Pin:
    """One committed file: where it lies, its SHA-256, and the packed file it comes from (empty: made by us)."""

    path: str
    sha256: str
    package: str = ""
    member: str = ""


def read_pins(table: Path = TABLE) -> tuple[Pin, ...]:
    """Read every pin of the table, fetched files first, then those made from them."""
    tables = tomllib.loads(table.read_text(encoding="utf-8"))
    fetched = [
        Pin(file["to"], file["sha256"], f"{package['name']}@{package['version']}", file["from"])
        for package in tables["package"]
        for file in package["files"]
    ]
    return (*fetched, *(Pin(file["path"], file["sha256"]) for file in tables.get("made", [])))


def differences(pins: tuple[Pin, ...], root: Path = ROOT) -> Iterator[str]:
    """Name every pinned file that is missing or has other bytes than its pin says."""
    for pin in pins:
        file = root / pin.path
        if not file.is_file():
            yield f"{pin.path} is missing"
        elif (got := _digest(file.read_bytes())) != pin.sha256:
            yield f"{pin.path} has SHA-256 {got}, pinned is {pin.sha256}"


def fetch(pins: tuple[Pin, ...], root: Path = ROOT) -> Iterator[str]:
    """Pack each package with the npm client, verify each wanted file and write it; yield what is refused."""
    with tempfile.TemporaryDirectory() as folder:
        for package in dict.fromkeys(pin.package for pin in pins if pin.package):
            with tarfile.open(_pack(package, Path(folder))) as archive:
                for pin in (pin for pin in pins if pin.package == package):
                    yield from _write(pin, archive, root)


def _pack(package: str, folder: Path) -> Path:
    command = ["npm", "pack", "--silent", "--pack-destination", str(folder), package]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return folder / done.stdout.strip().splitlines()[-1]


def _write(pin: Pin, archive: tarfile.TarFile, root: Path) -> Iterator[str]:
    member = archive.extractfile(f"package/{pin.member}")
    found = member.read() if member else b""
    if (got := _digest(found)) != pin.sha256:
        yield f"{pin.package} {pin.member} has SHA-256 {got}, pinned is {pin.sha256}: not written"
        return
    target = root / pin.path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(found)


def _digest(found: bytes) -> str:
    return hashlib.sha256(found).hexdigest()


def main(arguments: list[str]) -> int:
    """Fetch or check; print what is wrong; return the exit code."""
    pins = read_pins()
    if arguments not in ([], ["--check"]):
        print(__doc__)
        return 2
    refused = [] if arguments else list(fetch(pins))
    wrong = refused or list(differences(pins))
    for line in wrong:
        print(line, file=sys.stderr)
    if wrong:
        return 1
    print(f"Vendored files: {len(pins)} match their pins.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
