"""The documents that leave the workshop, set by typst."""

__all__: list[str] = []
