"""Drawn pictures that stand in for photographs in the demo workshop; every one says so in its caption."""

__all__: list[str] = []
