"""Building the planning problem: a sheet, the job's journal, the odds and the workshop's prices become integers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from brasswright.holds.acts import deeds_of
from brasswright.holds.points import released_holds
from brasswright.holds.proofs import proved_tests
from brasswright.journal.job import Job
from brasswright.planning.model import RECORD_MINUTES, Bought, Extra, Money, Piece, Problem, ProvingTest
from brasswright.planning.standing import finished, whereabouts
from brasswright.reckoning.faults import faults_of
from brasswright.reckoning.money import CLEARANCE_ITEM, Prices, expected, item_key, labour_minor, rounded
from brasswright.reckoning.options import decisions_of, options_of
from brasswright.sheets.model import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from brasswright.planning.model import Clauses
    from brasswright.sheets.model import Component, Consumable, Part, Unit

__all__ = ["OddsLike", "Tariff", "build"]


OFF_THE_MACHINE = "off the machine"
"""The circuit state of a proving test that is made on the bench, with the tested component taken off."""


class OddsLike(Protocol):
    """What is needed of a component's odds: its conditions best first and their probabilities (none when silent)."""

    @property
    def states(self) -> Sequence[str]:
        """The ladder of conditions, best first."""

    @property
    def p(self) -> Sequence[float] | None:
        """Probabilities of the conditions, or nothing when the odds are silent."""


def build(sheet: Sheet, job: Job, odds: Mapping[str, OddsLike], prices: Prices) -> Problem:
    """Build the problem that planning solves.

    Which holds are released and which proofs are held is what the hold points themselves say. A component without
    odds, or of another kind than the sheet's, has no faults; a note says so. Money is expected money: the mean of each
    triangle at the workshop's prices.
    """
    tariff = Tariff(sheet, job, prices)
    released, proved = released_holds(job, sheet), proved_tests(job, sheet)
    places = whereabouts(job, sheet)
    faults, notes = faults_of(sheet, job, odds, prices)
    display = job.arrived is not None and job.arrived.body.use == "display"
    return Problem(
        pieces=tuple(_piece(key, tariff, places[key]) for key in dict.fromkeys((*sheet.unit, *sheet.component))),
        faults=faults,
        options=options_of(tariff, faults),
        tests=() if display else _tests(tariff, places, proved),
        decisions=decisions_of(sheet, job),
        extras=_extras(job, prices),
        zones=tuple((key, zone.name) for key, zone in sheet.zone.items()),
        conditions=tuple((key, component.states) for key, component in sheet.component.items()),
        clearance=tariff.clearance(places),
        cleared="presumed_asbestos" in released,
        released=tuple(sorted(released)),
        proved=tuple(sorted(proved)),
        labour_minor_per_hour=prices.labour_minor_per_hour,
        currency=prices.currency,
        ends="display only" if display else "proved and released",
        notes=(*notes, *tariff.notes()),
    )


@dataclass(frozen=True, slots=True)
class Tariff:
    """Sheet, journal and prices together: turns what a sheet says into what is bought, at this workshop's prices."""

    sheet: Sheet
    job: Job
    prices: Prices
    hand: dict[str, Money] = field(init=False)

    def __post_init__(self) -> None:
        """Lay the job's own prices by hand over the workshop's, leaving out those in another currency."""
        own = {
            key: (noted.body.low_minor, noted.body.likely_minor, noted.body.high_minor)
            for key, noted in self.job.prices.items()
            if noted.body.currency == self.prices.currency
        }
        object.__setattr__(self, "hand", {**self.prices.hand, **own})

    def notes(self) -> tuple[str, ...]:
        """Say which prices by hand are not used."""
        return tuple(
            f"The price by hand for {key} is in {noted.body.currency}, not {self.prices.currency}, and is not used."
            for key, noted in self.job.prices.items()
            if noted.body.currency != self.prices.currency
        )

    def money(self, units: float) -> int:
        """Return sheet money in minor units."""
        return rounded(units * self.prices.minor_per_unit)

    def part(self, part: Part) -> Bought:
        """Price a part, by hand where a price was entered."""
        item = item_key(part.name)
        low, likely, high = part.cost
        cost = self.hand.get(item, (self.money(low), self.money(likely), self.money(high)))
        return Bought(item=item, name=part.name, cost=cost, days=part.lead_days, had=part.had)

    def used(self, consumable: Consumable) -> Bought:
        """Price what is used up, by hand where a price was entered."""
        item, cost = item_key(consumable.name), self.money(consumable.cost)
        return Bought(item=item, name=consumable.name, cost=self.hand.get(item, (cost, cost, cost)))

    def whole(self, treatment: str, name: str) -> Bought | None:
        """Everything a treatment buys at one price by hand, or None if there is no such price."""
        cost = self.hand.get(treatment)
        return (
            None
            if cost is None
            else Bought(item=treatment, name=f"All parts to {name[:1].lower()}{name[1:]}", cost=cost)
        )

    def clearance(self, places: Mapping[str, str]) -> Bought | None:
        """What clearing presumed asbestos costs, or None where nothing on the machine is presumed to hold it."""
        presumed = [key for key, part in self.sheet.component.items() if part.presumed_asbestos]
        if all(places[key] == "gone" for key in presumed):
            return None
        return Bought(
            item=CLEARANCE_ITEM,
            name="Laboratory report or licensed people for presumed asbestos",
            cost=self.hand.get(CLEARANCE_ITEM, self.prices.clearance),
            had="must be made",
        )


def _piece(key: str, tariff: Tariff, now: str) -> Piece:
    """One unit or component; where a unit and a component share a key, opening the unit is taking the component off."""
    unit, part = tariff.sheet.unit.get(key), tariff.sheet.component.get(key)
    first = unit or part
    if first is None:
        raise KeyError(key)
    prices = tariff.prices
    takes = list(_minutes(unit, part, back=False))
    gives = list(_minutes(unit, part, back=True))
    consumes = tuple(tariff.used(item) for owner in (unit, part) if owner is not None for item in owner.consumes)
    records = tuple(
        name for name, prompt in tariff.sheet.record.items() if prompt.before == key and not _recorded(tariff.job, name)
    )
    taking = math.fsum(expected(minutes) for minutes in takes) + len(records) * expected(RECORD_MINUTES)
    giving = labour_minor(math.fsum(expected(m) for m in gives), prices) + math.fsum(
        expected(item.cost) for item in consumes
    )
    asbestos = part is not None and part.presumed_asbestos
    acts = dict.fromkeys(act for owner in (unit, part) if owner is not None for act in owner.does)
    return Piece(
        id=key,
        name=first.name,
        zone=part.zone if part is not None else _zone_behind(key, tariff.sheet),
        kind="component" if unit is None else "unit",
        access=_reach(key, unit, part),
        off_minutes=_summed(takes),
        on_minutes=_summed(gives),
        acts=tuple(acts) if not asbestos or "lagging" in acts else (*acts, "lagging"),
        needs=() if unit is None else unit.needs,
        consumes=consumes,
        records=records,
        taking_minor=rounded(labour_minor(taking, prices)),
        giving_minor=rounded(giving),
        risk_minor=0 if unit is None else tariff.money(unit.risk_cost),
        presumed_asbestos=asbestos,
        now="gone" if now == "gone" else "off" if now == "off" else "on",
        do_not_force=" ".join(owner.do_not_force for owner in (unit, part) if owner is not None and owner.do_not_force),
    )


def _recorded(job: Job, prompt: str) -> bool:
    return finished(job, f"record:{prompt}")


def _zone_behind(key: str, sheet: Sheet) -> str:
    """Where a unit belongs: the first component, or zone, that is reached through it."""
    for part in sheet.component.values():
        if any(key in clause for clause in part.access):
            return part.zone
    behind = (name for name, zone in sheet.zone.items() if any(key in clause for clause in zone.access))
    return next(behind, "")


def _reach(key: str, unit: Unit | None, part: Component | None) -> Clauses:
    clauses = (clause for owner in (unit, part) if owner is not None for clause in owner.access)
    return tuple(dict.fromkeys(clause for clause in clauses if key not in clause))


def _minutes(unit: Unit | None, part: Component | None, *, back: bool) -> Iterable[tuple[float, float, float]]:
    if unit is not None:
        yield unit.close_minutes if back else unit.open_minutes
    if part is not None:
        yield part.refit_minutes if back else part.remove_minutes


def _summed(triples: Iterable[tuple[float, float, float]]) -> tuple[float, float, float]:
    rows = list(triples)
    return (math.fsum(t[0] for t in rows), math.fsum(t[1] for t in rows), math.fsum(t[2] for t in rows))


def _off_for(key: str, tariff: Tariff, places: Mapping[str, str]) -> tuple[str, ...]:
    """What lies on the bench for a test made off the machine: the fitted components whose handling breaks its hold."""
    sheet = tariff.sheet
    if sheet.proving[key].circuit != OFF_THE_MACHINE:
        return ()
    watched = {act for hold in sheet.hold.values() if key in hold.proofs for act in hold.broken_by}
    return tuple(name for name, part in sheet.component.items() if watched & set(part.does) and places[name] != "gone")


def _tests(tariff: Tariff, places: Mapping[str, str], held: frozenset[str]) -> tuple[ProvingTest, ...]:
    """All proving tests; wanted are those not held that a hold point rests on, or that something done has undone."""
    sheet = tariff.sheet
    rested = {key for hold in sheet.hold.values() for key in hold.proofs}
    done = {act for deed in deeds_of(tariff.job, sheet) for act in deed.acts}
    return tuple(
        ProvingTest(
            id=key,
            name=proving.name,
            money_minor=rounded(labour_minor(expected(proving.minutes), tariff.prices)),
            minutes=proving.minutes,
            wait_minutes=proving.wait_minutes,
            acts=proving.does,
            broken_by=proving.broken_by,
            needs=proving.needs,
            after=proving.after,
            off=_off_for(key, tariff, places),
            wanted=key not in held and (key in rested or bool(done.intersection(proving.broken_by))),
        )
        for key, proving in sheet.proving.items()
    )


def _extras(job: Job, prices: Prices) -> tuple[Extra, ...]:
    return tuple(
        Extra(
            id=key,
            title=noted.body.title,
            minutes=noted.body.minutes,
            acts=noted.body.does,
            after=noted.body.after,
            parts_minor=noted.body.parts_minor,
            money_minor=rounded(labour_minor(expected(noted.body.minutes), prices)) + noted.body.parts_minor,
            reason=noted.body.reason,
        )
        for key, noted in job.added.items()
        if not noted.body.struck
    )
