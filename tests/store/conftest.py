"""An empty workshop, and one with a job in it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from brasswright.store import create
from tests.builders import JOB, NOON, SHEET, answered, arrived, draft

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    from brasswright.store import Store


def next_day() -> datetime:
    return NOON + timedelta(days=1)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """An empty workshop that knows the trial sheet."""
    with create(tmp_path / "bench", clock=next_day) as made:
        made.put_sheet(SHEET)
        yield made


@pytest.fixture
def busy(store: Store) -> Store:
    """The same with one job of two entries."""
    store.append(JOB, [draft(arrived(), 1), draft(answered(), 2)])
    return store
