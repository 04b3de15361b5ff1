"""Charts as SVG, in one style, the same on page and paper."""

__all__: list[str] = []
