"""A program of its own that appends remarks and says each time that it is done: run by the tests, several at once."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

from brasswright.journal.entries import Remarked
from brasswright.store import Draft, open_store
from tests.builders import JOB


def main(folder: str, name: str, count: str) -> None:
    """Append `count` remarks by `name`; write each id once it is acknowledged."""
    with open_store(Path(folder)) as store:
        for number in range(int(count)):
            body = Remarked(words=f"{name} {number}")
            (entry,) = store.append(JOB, [Draft(id=uuid4(), at=datetime.now(UTC), by=name, body=body)])
            sys.stdout.write(f"{entry.id}\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])
