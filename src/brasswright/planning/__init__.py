"""Which treatment, in which order, with which access; and the check of every plan."""

__all__: list[str] = []
