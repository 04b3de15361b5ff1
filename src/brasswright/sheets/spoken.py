"""A sheet's keys as a person says them: the one place where underscores and hyphens become spaces."""

from __future__ import annotations

__all__ = ["spoken"]


def spoken(key: str) -> str:
    """Return a key as words.

    >>> spoken("two_core"), spoken("not-at-all")
    ('two core', 'not at all')
    """
    return key.replace("_", " ").replace("-", " ")
