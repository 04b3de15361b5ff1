"""The kind of entry that keeps a size: measured, proved by fitting, or read off a paper."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from brasswright.journal.stored import Key, Stored, Words

__all__ = ["How", "Sized"]

How = Literal["measured", "fitted and held", "fitted and leaked", "read off a paper"]


class Sized(Stored):
    """A size of a component: a figure in SI with its uncertainty, or a designation in words such as "M10 x 1 male".

    `quantity` is the figure's dimension in the sense of units, such as length, and is empty for a designation. `name`
    says what a dimension is that the bench has no name for. `machine_kind` and `origin` are empty in a job; in the
    workshop's own journal they say of which kind of machine, and from where, a size came from elsewhere.
    """

    kind: Literal["sized/1"] = "sized/1"
    component: Key
    dimension: Key
    text: Words
    value: float | None = None
    sigma: float | None = Field(default=None, ge=0)
    quantity: str = ""
    unit: str = ""
    how: How
    instrument: str = ""
    name: str = ""
    machine_kind: str = ""
    origin: str = ""
    words: str = ""
    confirmed: bool = False

    @property
    def about(self) -> str:
        """What two people clash on: the component, its dimension, and how it was learnt."""
        return f"{self.component}/{self.dimension}/{self.how}"
