"""The kind of entry that corrects the plate: what the machine is really made for, found after it arrived."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from brasswright.journal.stored import Stored, Words

__all__ = ["Replated"]


class Replated(Stored):
    """What the plate really is, or what the fitted element is made for: volts, watts or both, and in words why.

    A figure left out stays as it was known. The latest entry that gives a figure counts; striking it takes it back.
    """

    kind: Literal["replated/1"] = "replated/1"
    rated_voltage_v: float | None = Field(default=None, gt=0, le=500)
    rated_power_w: float | None = Field(default=None, gt=0, le=20000)
    words: Words
    confirmed: bool = False
