"""Sheets: the description of a kind of machine, loaded from plain TOML and checked."""

__all__: list[str] = []
