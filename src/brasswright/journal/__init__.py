"""The journal of a job: its kinds of entry, its chain of digests, and its replay."""

__all__: list[str] = []
