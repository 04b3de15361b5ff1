"""Benchmarks, one file for each promise: they print figures and ratios and judge nothing."""

__all__: list[str] = []
