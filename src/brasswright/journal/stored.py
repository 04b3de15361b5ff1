"""The ground under every kind of entry: what is stored is frozen and strict, and its texts keep to a few shapes."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

__all__ = ["Key", "Sha", "Stored", "Triple", "Words"]

Key = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_.:-]{0,79}$")]
Words = Annotated[str, StringConstraints(min_length=1, max_length=4000)]
Sha = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Triple = tuple[float, float, float]


class Stored(BaseModel):
    """Base of everything in a journal: frozen, strict, nothing unknown accepted, no NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
