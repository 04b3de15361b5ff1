"""The bench book: the pages and their JSON twin."""

__all__: list[str] = []
