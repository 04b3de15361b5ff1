"""The clock that dates what is recorded; it comes in as an argument everywhere."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

__all__ = ["Clock", "system_clock"]

Clock = Callable[[], datetime]
"""Returns the present moment, with its offset."""


def system_clock() -> datetime:
    """Return the present moment in UTC."""
    return datetime.now(UTC)
