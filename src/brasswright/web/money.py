"""Money as it stands on a page."""

from __future__ import annotations

__all__ = ["figure", "money"]

HUNDRED = 100


def money(minor: int, currency: str) -> str:
    """Return minor units as whole money with its currency, to the nearest whole unit: "1 240 EUR"."""
    return f"{figure(minor)}\u00a0{currency}"


def figure(minor: int) -> str:
    """Return minor units as whole money without its currency: "1 240"."""
    whole = (minor + HUNDRED // 2) // HUNDRED
    return f"{whole:,}".replace(",", "\u202f")
