"""P6: a durable append over a bare sqlite3 insert with the same settings, and the replay of 1,000 entries.

Run: python -m benchmarks.p6_journal [--quick]. For the comparison the disk is not waited for on either side; the figure
with waiting is printed too. Both sides take turns in one run. Promised: at most 0.6 ms more; replay at most 40 ms.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

from sqlalchemy import event

from brasswright.journal.codec import dump, load
from brasswright.journal.entries import Answered, Arrived, Machine, Measured, Remarked, Started, Swept, Withdrew
from brasswright.journal.replay import replay, resume
from brasswright.store import Draft, Store, create
from brasswright.store.engine import PRAGMAS

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.journal.entries import Body

__all__ = ["main"]

JOB = UUID("7e000000-0000-4000-8000-000000000001")


def bodies(count: int, sheet: str) -> list[Body]:
    """A made-up job: an arrival, then answers, readings, remarks, sweeps and work."""
    made: list[Body] = [
        Arrived(number=1, machine=Machine(description="made-up machine"), sheet="made_up", sheet_sha256=sheet)
    ]
    for number in range(1, count):
        key = f"k{number % 60}"
        made.append(
            (
                Answered(question=key, answer="sound", words="seen in good light"),
                Measured(reading=key, text="48.4 ohm", value=48.4, sigma=0.2, unit="ohm", instrument="bench meter"),
                Remarked(words="a remark of the usual length, about one thing", subject=key),
                Swept(zone="outside", questions=(key, f"{key}x", f"{key}y")),
                Started(operation=key, title="take it off", acts=("cover",), components=(key,)),
            )[number % 5]
        )
    return made


def drafted(made: list[Body]) -> list[Draft]:
    """Drafts of these bodies, all of now."""
    at = datetime.now(UTC)
    return [Draft(id=uuid4(), at=at, by="Ines", body=body) for body in made]


def timed(act: Callable[[], object]) -> float:
    """Seconds that one call takes."""
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def bare(path: Path, synchronous: str) -> sqlite3.Connection:
    """A database with one table of the same shape and the same settings."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    for pragma in PRAGMAS:
        connection.execute(pragma)
    connection.execute(f"PRAGMA synchronous = {synchronous}")
    connection.execute(
        "CREATE TABLE entries (job TEXT, seq INTEGER, id TEXT UNIQUE, text TEXT, digest TEXT, PRIMARY KEY (job, seq))"
    )
    return connection


def insert(connection: sqlite3.Connection, seq: int, text: str) -> None:
    """One row in one transaction."""
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("INSERT INTO entries VALUES (?, ?, ?, ?, ?)", (str(JOB), seq, str(uuid4()), text, "0" * 64))
    connection.execute("COMMIT")


def appends(count: int, synchronous: str) -> tuple[float, float]:
    """Median seconds of an append by the store, and of a bare insert, turn by turn."""
    with tempfile.TemporaryDirectory() as room, create(Path(room) / "bench") as store:
        made = drafted(bodies(count, store.put_sheet(b"made up")))
        event.listen(store.engine, "checkout", lambda raw, *_: raw.execute(f"PRAGMA synchronous = {synchronous}"))
        other = bare(Path(room) / "bare.sqlite", synchronous)
        ours, theirs = [], []
        text = "x" * 500
        for seq, draft in enumerate(made, 1):
            ours.append(timed(lambda draft=draft: store.append(JOB, [draft])))  # type: ignore[misc]
            theirs.append(timed(lambda seq=seq: insert(other, seq, text)))  # type: ignore[misc]
        other.close()
        return statistics.median(ours), statistics.median(theirs)


def stored(store: Store, count: int) -> list[str]:
    """Texts of a stored journal of that many entries, one striking in it."""
    made = drafted(bodies(count - 1, store.put_sheet(b"made up")))
    made += drafted([Withdrew(entry=made[3].id, reason="a slip")])
    return [dump(entry) for entry in store.append(JOB, made)]


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer appends")
    count = 100 if parser.parse_args().quick else 1000
    for synchronous, words in (("OFF", "not waiting for the disk"), ("FULL", "waiting for the disk")):
        ours, theirs = appends(count, synchronous)
        print(
            f"append, {words}, {count} each: store {ours * 1e3:.2f} ms, bare insert {theirs * 1e3:.2f} ms, "
            f"over it {(ours - theirs) * 1e3:.2f} ms, ratio {ours / theirs:.1f}"
        )
    with tempfile.TemporaryDirectory() as room, create(Path(room) / "bench") as store:
        texts = stored(store, 1000)
        entries = [load(text) for text in texts]
        reading = statistics.median(timed(lambda: store.read(JOB)) for _ in range(5))
        whole = statistics.median(timed(lambda: replay(entries)) for _ in range(5))
        half = replay(entries[:998])
        rest = statistics.median(timed(lambda: resume(half, entries[998:999])) for _ in range(5))
        print(
            f"1,000 entries: read from the store {reading * 1e3:.1f} ms, replay {whole * 1e3:.2f} ms, "
            f"one more entry {rest * 1e3:.2f} ms, ratio of replay to it {whole / rest:.0f}"
        )


if __name__ == "__main__":
    main()
