"""Money as it stands on a page."""

from __future__ import annotations

__all__ = ["money"]

HUNDRED = 100


def money(minor: int, currency: str) -> str:
    """Return minor units as whole money with its currency, to the nearest whole unit: "1 240 EUR"."""
    whole = (minor + HUNDRED // 2) // HUNDRED
    return f"{whole:,} {currency}".replace(",", "\u202f")
