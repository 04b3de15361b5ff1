"""A program of its own that tries everything in a folder it may not write, and says how each was refused."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from brasswright.errors import StoreRefused
from brasswright.store import create, open_store
from brasswright.store.backup import backup, restore
from tests.builders import picture

if TYPE_CHECKING:
    from collections.abc import Callable

NOBODY = 65534


def said(trying: Callable[[], object]) -> str:
    """Return the refusal, on one line."""
    try:
        trying()
    except StoreRefused as refusal:
        return str(refusal).replace("\n", " ")
    return "nothing was refused"


def main(folder: Path) -> None:
    """Load whatever is loaded late, become nobody if need be, try."""
    with tempfile.TemporaryDirectory() as room:
        with create(Path(room) / "bench") as other:
            other.put_photograph(picture())
        backup(Path(room) / "bench", Path(room) / "saved.zip")
        restore(Path(room) / "saved.zip", Path(room) / "again")
    if os.geteuid() == 0:
        os.setuid(NOBODY)
    for trying in (
        lambda: open_store(folder / "bench"),
        lambda: create(folder / "new"),
        lambda: backup(folder / "bench", folder / "saved.zip"),
    ):
        sys.stdout.write(said(trying) + "\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
