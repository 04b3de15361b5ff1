"""Odds of every component's condition, what to look at next, and why."""

__all__: list[str] = []
