"""The instruments: pure physics, one instrument a file, SI inside, the unit in the name.

`INSTRUMENTS` finds every file of this folder that defines `INSTRUMENT`, and imports only what is asked for.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from brasswright.errors import NotFound

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument

__all__ = ["INSTRUMENTS"]


class _Bench(Mapping[str, "Instrument"]):
    """All instruments by name, each imported when it is first taken up."""

    def __getitem__(self, name: str) -> Instrument:
        """Return one instrument."""
        found = self._take(name) if name in _files() else None
        if found is None:
            raise NotFound(f"There is no instrument '{name}'.", allowed=", ".join(self))
        return found

    def __contains__(self, name: object) -> bool:
        """Return whether an instrument of that name lies on the bench."""
        return isinstance(name, str) and name in _files() and self._take(name) is not None

    def __iter__(self) -> Iterator[str]:
        """Yield the names in the order of the alphabet."""
        return (name for name in _files() if self._take(name) is not None)

    def __len__(self) -> int:
        """Return how many instruments there are."""
        return sum(1 for _ in self)

    @staticmethod
    def _take(name: str) -> Instrument | None:
        """Return what the file defines, or None where it is no instrument."""
        found: Instrument | None = getattr(importlib.import_module(f"{__name__}.{name}"), "INSTRUMENT", None)
        return found


def _files() -> tuple[str, ...]:
    """Return the names of the files in this folder."""
    return tuple(sorted(module.name for module in pkgutil.iter_modules(__path__)))


INSTRUMENTS: Mapping[str, Instrument] = _Bench()
"""Every instrument by name."""
