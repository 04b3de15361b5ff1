"""An entry before it has a place in a journal: what the person says, without number, chain or time of recording."""

from __future__ import annotations

from uuid import UUID

from pydantic import AwareDatetime, Field

from brasswright.journal.entries import Body, Unknown
from brasswright.journal.stored import Stored

__all__ = ["Draft"]


class Draft(Stored):
    """What is to be appended.

    `id` is made by whoever writes, so that sending the same draft twice does no harm. `at` is when it happened, with
    its offset. `by` is a person of the workshop. `job`, if given, must be the job appended to.
    """

    id: UUID
    at: AwareDatetime
    by: str = Field(min_length=1)
    body: Body | Unknown
    job: UUID | None = None
