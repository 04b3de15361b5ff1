"""What the workshop's own journal says of itself: name, people, mains, money, hours. Set one key at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from brasswright.errors import EntryRefused
from brasswright.journal.entries import Set
from brasswright.reckoning.money import Prices
from brasswright.store import Draft

if TYPE_CHECKING:
    from datetime import datetime

    from brasswright.journal.job import Job
    from brasswright.workshop.folder import Workshop

__all__ = ["KNOWN", "Settings", "read_settings", "set_values"]

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


def _checked(key: str, value: Value) -> Value:
    """Return the value in its setting's own type, or refuse it."""
    if key.startswith("person."):
        return str(value)
    if key not in KNOWN:
        raise EntryRefused(
            f"There is no setting '{key}'.", allowed=", ".join([*KNOWN, "person.KEY"]), remedy="Choose one of these."
        )
    wanted = type(KNOWN[key][0])
    try:
        taken: Value = wanted(value)
        if key == "zone":
            ZoneInfo(str(value))
    except (ValueError, ZoneInfoNotFoundError):
        raise EntryRefused(
            f"The setting '{key}' does not take this.", got=repr(value), allowed=f"{wanted.__name__}: {KNOWN[key][1]}"
        ) from None
    if not isinstance(taken, str) and taken < 0:
        raise EntryRefused(f"The setting '{key}' cannot be negative.", got=value, allowed="0 or more")
    return taken


def set_values(workshop: Workshop, values: dict[str, Value], *, by: str, at: datetime | None = None) -> None:
    """Enter settings in the workshop's own journal, all or none.

    Raises:
        EntryRefused: an unknown key or a value of the wrong kind.
    """
    moment = at or workshop.clock()
    drafts = [
        Draft(id=uuid4(), at=moment, by=by, body=Set(key=key, value=_checked(key, value)))
        for key, value in values.items()
    ]
    workshop.store.append(UUID(str(workshop.store.journal_of_workshop)), drafts)
