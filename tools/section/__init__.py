"""Section drawings: geometry as plain records, written out as class-styled SVG."""

__all__: list[str] = []
