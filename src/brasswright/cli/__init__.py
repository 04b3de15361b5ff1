"""The `brasswright` command, one file a group of commands."""

__all__: list[str] = []
