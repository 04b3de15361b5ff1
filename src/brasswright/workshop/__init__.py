"""What a person can do, one verb a file."""

__all__: list[str] = []
