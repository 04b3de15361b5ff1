"""Where odds and plan meet: money, dates, and what would narrow them."""

__all__: list[str] = []
