"""What the workshop's own journal says of itself: name, people, mains, money, hours. Set one key at a time."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import uuid4
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from brasswright.errors import EntryRefused
from brasswright.reckoning.money import Prices
from brasswright.store import Draft
from brasswright.workshop.drafting import body_from

if TYPE_CHECKING:
    from datetime import datetime

    from brasswright.journal.job import Job
    from brasswright.workshop.folder import Workshop

__all__ = ["KNOWN", "Settings", "Value", "checked", "read_settings", "set_values"]

Value = str | int | float | bool

KNOWN: dict[str, tuple[Value, str]] = {
    "name": ("Workshop", "name on pages and papers"),
    "address": ("", "one line under the name on papers"),
    "zone": ("UTC", "IANA time zone of the bench"),
    "currency": ("EUR", "currency of every figure"),
    "labour_minor_per_hour": (4800, "labour rate before tax, in minor units an hour"),
    "tax_permille": (0, "tax on everything, in thousandths"),
    "price_factor": (1.0, "the sheet's prices times this are ours"),
    "mains_voltage_v": (230.0, "mains voltage here [V]"),
    "altitude_m": (0.0, "height above the sea [m]"),
    "estimate_valid_days": (30, "how long an estimate is good [days]"),
}
"""Setting keys with their value when nobody has said otherwise, and what each means. `person.KEY` adds a person."""


@dataclass(frozen=True, slots=True)
class Settings:
    """The workshop's settings as its journal has them now."""

    name: str
    address: str
    zone: ZoneInfo
    people: dict[str, str]
    prices: Prices
    mains_voltage_v: float
    altitude_m: float
    estimate_valid_days: int

    def local(self, at: datetime) -> datetime:
        """Return the moment in the workshop's own time."""
        return at.astimezone(self.zone)


def _value(job: Job, key: str) -> Value:
    noted = job.settings.get(key)
    if noted is None or noted.body.value is None:
        return KNOWN[key][0]
    return noted.body.value


def _hand(job: Job) -> dict[str, tuple[int, int, int]]:
    """Return the prices set by hand in a journal."""
    bodies = {key: noted.body for key, noted in job.prices.items()}
    return {key: (body.low_minor, body.likely_minor, body.high_minor) for key, body in bodies.items()}


def read_settings(workshop: Workshop) -> Settings:
    """Fold the workshop's journal into its settings."""
    job = workshop.workshop_journal()
    people = {
        key.removeprefix("person."): str(noted.body.value)
        for key, noted in job.settings.items()
        if key.startswith("person.") and noted.body.value is not None
    }
    prices = Prices(
        labour_minor_per_hour=int(_value(job, "labour_minor_per_hour")),
        currency=str(_value(job, "currency")),
        tax_permille=int(_value(job, "tax_permille")),
        minor_per_unit=100.0 * float(_value(job, "price_factor")),
        hand=_hand(job),
    )
    return Settings(
        name=str(_value(job, "name")),
        address=str(_value(job, "address")),
        zone=ZoneInfo(str(_value(job, "zone"))),
        people=people,
        prices=prices,
        mains_voltage_v=float(_value(job, "mains_voltage_v")),
        altitude_m=float(_value(job, "altitude_m")),
        estimate_valid_days=int(_value(job, "estimate_valid_days")),
    )


def checked(key: str, value: Value) -> Value:
    """Return the value in its setting's own type.

    Raises:
        EntryRefused: an unknown key, or a value that the setting does not take.
    """
    if key.startswith("person."):
        return _person(key, value)
    if key not in KNOWN:
        raise EntryRefused(
            f"There is no setting '{key}'.", allowed=", ".join([*KNOWN, "person.KEY"]), remedy="Choose one of these."
        )
    wanted = type(KNOWN[key][0])
    try:
        taken: Value = wanted(value)
        if key == "zone":
            ZoneInfo(str(value))
    except (ValueError, OverflowError, ZoneInfoNotFoundError, OSError):
        raise _not_taken(key, value, f"{wanted.__name__}: {KNOWN[key][1]}") from None
    if not isinstance(taken, str) and not (math.isfinite(taken) and taken >= 0):
        raise _not_taken(key, value, "0 or more")
    if key == "currency" and not re.fullmatch(r"[A-Z]{3}", str(taken)):
        raise _not_taken(key, value, "three capitals, such as EUR")
    return taken


def _person(key: str, value: Value) -> str:
    if not re.fullmatch(r"person\.[a-z][a-z0-9_-]{0,19}", key):
        raise EntryRefused("A person's key is short.", got=key, allowed="person. and small letters, such as person.ic")
    if not str(value).strip():
        raise EntryRefused("A person has a name.", where=key)
    return str(value)


def _not_taken(key: str, value: Value, allowed: str) -> EntryRefused:
    return EntryRefused(f"The setting '{key}' does not take this.", got=repr(value), allowed=allowed)


def set_values(workshop: Workshop, values: dict[str, Value], *, by: str, at: datetime | None = None) -> None:
    """Enter settings in the workshop's own journal, all or none; the first person may enter themselves.

    Raises:
        EntryRefused: an unknown key, a value of the wrong kind, or `by` is nobody of this workshop.
    """
    bodies = [body_from({"kind": "set/1", "key": key, "value": checked(key, value)}) for key, value in values.items()]
    people = read_settings(workshop).people
    if by not in people and not (not people and f"person.{by}" in values):
        known = ", ".join(people) or "nobody yet: add person.KEY=NAME"
        raise EntryRefused("Who sets this is nobody of this workshop.", got=by or "no name", allowed=known)
    moment = at or workshop.clock()
    drafts = [Draft(id=uuid4(), at=moment, by=by, body=body) for body in bodies]
    workshop.store.append(workshop.store.journal_of_workshop, drafts)
