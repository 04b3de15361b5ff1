"""Tables of the trade, each row with its source: threads, O-rings, alloys, limits."""

__all__: list[str] = []
