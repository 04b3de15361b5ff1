"""The state of a job, folded from its journal: what was said, seen, measured, decided and done, by key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any, Generic, TypeVar
from uuid import UUID

from brasswright.journal.entries import (
    Added,
    Answered,
    Approved,
    Arrived,
    Chose,
    Declined,
    Entry,
    Fixed,
    Found,
    Identified,
    Issued,
    Learnt,
    Measured,
    Moved,
    Photographed,
    Priced,
    Proved,
    Released,
    Remarked,
    Replated,
    Sent,
    Set,
    Sized,
    Started,
    Stopped,
)

__all__ = ["Deed", "Job", "Noted", "Sweep", "Work"]

B = TypeVar("B")


@dataclass(frozen=True, slots=True)
class Noted(Generic[B]):
    """A body together with who entered it, when it happened and which entry it is."""

    body: B
    id: UUID
    seq: int
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Sweep:
    """A question answered by looking at a whole zone: the best answer, weaker than a single one."""

    question: str
    zone: str
    id: UUID
    seq: int
    at: datetime
    by: str


@dataclass(frozen=True, slots=True)
class Work:
    """One operation's life: when it started and stopped, whether it is finished, minutes spent, holds that stood."""

    operation: str
    started: Noted[Started]
    stopped: Noted[Stopped] | None = None
    minutes: float = 0.0
    finished: bool = False


@dataclass(frozen=True, slots=True)
class Deed:
    """Acts that happened, in journal order: what hold points look at. `operation` is empty for a disturbance."""

    acts: tuple[str, ...]
    components: tuple[str, ...]
    words: str
    id: UUID
    seq: int
    at: datetime
    by: str
    done_while: tuple[str, ...] = ()
    operation: str = ""


def _none() -> Mapping[str, Any]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Job:
    """Everything derived from one journal, struck entries left out. Keys are the sheet's; nothing here knows a sheet.

    `answers`, `readings`, `presence`, `fixed`, `found`, `choices`, `added`, `prices`, `released`, `proved`, `moved` and
    `learnt` hold the latest entry of each subject; `sweeps` only questions with no later single answer. `head` is the
    digest of the last entry (of all entries, struck ones included), `seq` its number. `entries` is the whole journal as
    read.
    """

    arrived: Noted[Arrived] | None = None
    sheet: str = ""
    sheet_sha256: str = ""
    answers: Mapping[str, Noted[Answered]] = field(default_factory=_none)
    sweeps: Mapping[str, Sweep] = field(default_factory=_none)
    readings: Mapping[str, Noted[Measured]] = field(default_factory=_none)
    presence: Mapping[str, Noted[Identified]] = field(default_factory=_none)
    fixed: Mapping[str, Noted[Fixed]] = field(default_factory=_none)
    found: Mapping[str, Noted[Found]] = field(default_factory=_none)
    choices: Mapping[str, Noted[Chose]] = field(default_factory=_none)
    added: Mapping[str, Noted[Added]] = field(default_factory=_none)
    prices: Mapping[str, Noted[Priced]] = field(default_factory=_none)
    released: Mapping[str, Noted[Released]] = field(default_factory=_none)
    proved: Mapping[str, Noted[Proved]] = field(default_factory=_none)
    moved: Mapping[str, Noted[Moved]] = field(default_factory=_none)
    work: Mapping[str, Work] = field(default_factory=_none)
    settings: Mapping[str, Noted[Set]] = field(default_factory=_none)
    learnt: Mapping[str, Noted[Learnt]] = field(default_factory=_none)
    photographs: tuple[Noted[Photographed], ...] = ()
    remarks: tuple[Noted[Remarked], ...] = ()
    sizes: tuple[Noted[Sized], ...] = ()
    plates: tuple[Noted[Replated], ...] = ()
    deeds: tuple[Deed, ...] = ()
    issued: tuple[Noted[Issued], ...] = ()
    approvals: tuple[Noted[Approved] | Noted[Declined], ...] = ()
    sent: tuple[Noted[Sent], ...] = ()
    unread: tuple[Entry, ...] = ()
    struck: frozenset[UUID] = frozenset()
    set_aside: frozenset[UUID] = frozenset()
    entries: tuple[Entry, ...] = ()
    head: str = ""
    seq: int = 0

    @property
    def rated_voltage_v(self) -> float | None:
        """Volts the machine is made for: as last corrected, else as it arrived; None where nobody has said."""
        said = [noted.body.rated_voltage_v for noted in self.plates if noted.body.rated_voltage_v is not None]
        return said[-1] if said else self.arrived.body.machine.rated_voltage_v if self.arrived is not None else None

    @property
    def rated_power_w(self) -> float | None:
        """Watts the machine is made for: as last corrected, else as it arrived; None where nobody has said."""
        said = [noted.body.rated_power_w for noted in self.plates if noted.body.rated_power_w is not None]
        return said[-1] if said else self.arrived.body.machine.rated_power_w if self.arrived is not None else None
