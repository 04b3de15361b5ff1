"""Where journals and photographs lie: database, backup, restore, bundles."""

__all__: list[str] = []
