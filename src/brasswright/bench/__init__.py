"""The instruments: pure physics, one instrument a file, SI inside, the unit in the name."""

__all__: list[str] = []
