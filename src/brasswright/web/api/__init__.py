"""The pages' JSON twin: the same shapes as the commands' `--json`."""

__all__: list[str] = []
