"""The bench book: pages and their API."""

__all__: list[str] = []
