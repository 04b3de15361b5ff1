"""Hold points, worked out from a journal and a sheet and nothing else."""

__all__: list[str] = []
