"""Photographs and sound turned into measurements."""

__all__: list[str] = []
