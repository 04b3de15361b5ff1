"""Make the demo workshop afresh and run its first job from carton to estimate, saying what happens.

Tern Quay Bench, in the harbour town of Sallow Haven, is invented, and so is everything in it. The clock stands still on
the evening of the day the machine came, so that every run gives the same journal, figures and paper.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import NAMESPACE_URL, UUID, uuid5

from brasswright.errors import BrasswrightError, HeldWork
from brasswright.store import bundle
from brasswright.store.checkup import check
from brasswright.workshop.estimating import Estimated, estimate_job
from brasswright.workshop.folder import OpenJob, Workshop, found
from brasswright.workshop.judging import judge
from brasswright.workshop.papering import set_estimate
from brasswright.workshop.planning import Planned, plan
from brasswright.workshop.receive import arrival_from, receive
from brasswright.workshop.record import Line, note, note_lines, read_lines
from brasswright.workshop.settings import set_values
from brasswright.workshop.telling import odds_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.judgement.opinion import Judgement

SCENARIO = Path(__file__).parent.parent / "demo" / "tern-quay"
EVENING = datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
NUMBER = 214
OTHERS = (("ferry-arrival.json", "ferry-buffet.jsonl"), ("abroad-arrival.json", "bought-abroad.jsonl"))
"""Two more machines of the same days: their arrivals and their journals."""
CONTACTS = {
    "heirs-of-slip-cottage": {"name": "M. and J. Pellow", "place": "Slip Cottage"},
    "sallow-haven-ferry-buffet": {"name": "R. Tregear", "place": "The old ferry buffet, Sallow Haven"},
    "lodger-at-the-net-loft": {"name": "A. Lindqvist", "place": "The net loft, Sallow Haven"},
}
HALF_A_UNIT = 50
SETTINGS: dict[str, str | int | float | bool] = {
    "person.ic": "Ines Calder",
    "person.tw": "Tom Wray",
    "name": "Tern Quay Bench",
    "address": "Restoring lever machines. 3 Tern Quay, Sallow Haven",
    "zone": "Europe/Dublin",
    "currency": "EUR",
    "labour_minor_per_hour": 4800,
    "tax_permille": 230,
    "mains_voltage_v": 230.0,
    "altitude_m": 4.0,
}
MISSING = (
    "strip-down, rebuild, proving and hand-over pages; papers other than the estimate",
    "the calendar of the whole shop",
)


def identity(name: str) -> UUID:
    """Return the same id for the same name in every run."""
    return uuid5(NAMESPACE_URL, f"tern-quay-bench:{name}")


@dataclass(slots=True)
class Steps:
    """Says which step runs and how long it took."""

    total: int
    done: int = 0

    def __call__(self, words: str) -> Callable[[str], None]:
        """Announce a step and return what ends it."""
        self.done += 1
        began = time.perf_counter()
        bar = "#" * self.done + "." * (self.total - self.done)
        sys.stdout.write(f"[{bar}] {words} ")
        sys.stdout.flush()

        def end(outcome: str) -> None:
            print(f"{outcome} ({time.perf_counter() - began:.1f} s)")

        return end


def make(folder: Path) -> Workshop:
    """Make the empty workshop with its people and prices."""
    shutil.rmtree(folder, ignore_errors=True)
    workshop = found(folder, lambda: EVENING)
    set_values(workshop, SETTINGS, by="ic", at=EVENING.replace(hour=8))
    for owner, contact in CONTACTS.items():
        workshop.store.put_contact(owner, contact)
    return workshop


def take_in(workshop: Workshop, file: str = "arrival.json") -> OpenJob:
    """Take a machine in."""
    arrival = arrival_from(SCENARIO / file)
    number = int(arrival.fields["number"])
    ids = (identity(f"job {number}"), identity(f"job {number}, arrival"))
    receive(workshop, arrival.fields, by=arrival.by, at=arrival.at, ids=ids)
    return workshop.open_job(number)


def enter(workshop: Workshop, opened: OpenJob, file: str = "boat-shed.jsonl") -> OpenJob:
    """Enter a whole journal from its JSON Lines file."""
    lines = [
        line if line.id in said_ids() else Line(line.fields, line.by, line.at, identity(line.where), line.where)
        for line in read_lines(SCENARIO / file)
    ]
    note_lines(workshop, opened, lines, beside=SCENARIO)
    return workshop.open_job(opened.number)


def take_in_others(workshop: Workshop) -> tuple[OpenJob, ...]:
    """Take in the other machines of these days, with their journals."""
    return tuple(enter(workshop, take_in(workshop, arrival), journal) for arrival, journal in OTHERS)


def tell_others(workshop: Workshop, others: tuple[OpenJob, ...]) -> None:
    """Print one line of odds and one of money for each of the other machines."""
    print("\nAlso on the bench")
    for opened in others:
        opinion = judge(opened)
        planned = plan(workshop, opened, judgement=opinion)
        figures = estimate_job(workshop, opened, planned=planned).estimate
        worst = sorted((odds for odds in opinion.odds.values() if odds.p), key=lambda odds: odds.p[0])[:3]
        print(f"  job {opened.number}, {opinion.sheet.sheet.name}: {opened.job.seq} entries")
        print(f"    most likely in trouble: {'; '.join(odds.name for odds in worst)}")
        low, likely, high = (minor / 100 for minor in (figures.low_minor, figures.likely_minor, figures.high_minor))
        print(f"    most likely {likely:,.0f} {figures.currency}, eight in ten between {low:,.0f} and {high:,.0f}")


def said_ids() -> frozenset[UUID]:
    """Return the ids that the scenario gives itself, because a later line strikes that entry."""
    return frozenset({UUID("5c0f0e9e-7d2b-4b7e-9a9e-2b1d3f000001")})


def tell_odds(opinion: Judgement) -> None:
    """Print the parts most likely in trouble, and the checks that would tell most."""
    print("\nMost likely in trouble")
    worst = sorted((odds for odds in opinion.odds.values() if odds.p), key=lambda odds: odds.p[0])
    for odds in worst[:12]:
        print(f"  {odds.name:<38} {odds_words(odds)}")
    print("\nNext checks, most told for the minute first")
    for check_ in opinion.checks[:5]:
        opens = f"; opens {', '.join(check_.opens)}" if check_.opens else ""
        print(f"  {check_.ask} ({check_.minutes:g} min{opens}, worth about {check_.worth:.0f} EUR)")
    for warning in opinion.warnings:
        print(f"  Look again: {warning}")


def tell_refusal(workshop: Workshop, opened: OpenJob) -> None:
    """Try to lift the case over the lagging, which a hold point forbids."""
    start = Line(
        {"kind": "started", "operation": "open:case_off", "title": "Case lifted", "acts": ["cover", "lagging"]}
    )
    try:
        note(workshop, opened, [Line(start.fields, by="tw")])
    except HeldWork as refusal:
        print(f"\nTrying to lift the case: refused.\n  {refusal}")
    else:
        raise SystemExit("The case could be lifted over presumed asbestos. This must never happen.")


def tell_plan(planned: Planned) -> None:
    """Print what the plan comes to."""
    operations = planned.plan.operations
    hours = sum(op.minutes[1] for op in operations) / 60
    waits = sum(op.wait_minutes for op in operations) / 60
    kinds: dict[str, int] = {}
    for op in operations:
        kinds[op.kind] = kinds.get(op.kind, 0) + 1
    counted = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    print(f"\nThe plan: {len(operations)} operations ({counted}); {hours:.0f} h hands-on, {waits:.0f} h unattended.")
    for warning in planned.plan.warnings[:4]:
        print(f"  Heed: {warning}")


def tell_estimate(estimated: Estimated) -> None:
    """Print the money."""
    figures = estimated.estimate
    low, likely, high = (minor / 100 for minor in (figures.low_minor, figures.likely_minor, figures.high_minor))
    tax = f"{figures.tax_permille / 10:g} % tax included"
    print(f"\nMost likely {likely:,.0f} {figures.currency}, eight in ten between {low:,.0f} and {high:,.0f}, {tax}.")
    for line in (each for each in figures.lines if each.high_minor >= HALF_A_UNIT):
        sums = "".join(f"{minor / 100:>9,.0f}" for minor in (line.low_minor, line.likely_minor, line.high_minor))
        print(f"  {line.title:<44}{sums}")
    for driver in figures.drivers[:3]:
        print(f"  {driver.share:.0%} of its width: {driver.words}")


def run(folder: Path) -> None:
    """Run the whole job."""
    step = Steps(total=9)
    ended = step("A workshop")
    workshop = make(folder)
    ended(f"in {folder}")
    ended = step("The machine arrives")
    opened = take_in(workshop)
    ended(f"as job {NUMBER}")
    ended = step("Its first day at the bench")
    opened = enter(workshop, opened)
    ended(f"{opened.job.seq} entries, {len(opened.job.photographs)} drawings standing in for photographs")
    ended = step("Two more machines")
    others = take_in_others(workshop)
    ended(f"jobs {' and '.join(str(one.number) for one in others)}")
    ended = step("The odds")
    opinion = judge(opened)
    ended(f"of {len(opinion.odds)} components")
    ended = step("The plan")
    planned = plan(workshop, opened, judgement=opinion)
    ended("checked operation by operation")
    ended = step("The estimate")
    estimated = estimate_job(workshop, opened, planned=planned)
    ended(f"{estimated.estimate.samples:,} trials")
    ended = step("The paper")
    paper = set_estimate(workshop, opened, by="ic")
    (folder / "estimate-214-1.pdf").write_bytes(paper.pdf)
    ended(f"{len(paper.pdf) / 1000:.0f} kB")
    ended = step("Bundle and check")
    bundle.export(workshop.store, opened.id, folder / "job-214.bundle")
    problems = check(folder)
    ended(f"{len(problems) or 'no'} problems found")
    tell_odds(opinion)
    tell_refusal(workshop, workshop.open_job(NUMBER))
    tell_plan(planned)
    tell_estimate(estimated)
    tell_others(workshop, others)
    tell_where(folder)


def tell_where(folder: Path) -> None:
    """Print where everything lies, and what is not there yet."""
    print(f"\nThe workshop lies in {folder}; look at it with `make serve`.")
    print(f"The estimate: {folder / 'estimate-214-1.pdf'}   The whole job: {folder / 'job-214.bundle'}")
    print("Not there yet:")
    for words in MISSING:
        print(f"  {words}")


def main() -> None:
    """Read where the workshop is to lie, and run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path, default=Path("build/tern-quay-bench"))
    try:
        run(parser.parse_args().folder)
    except BrasswrightError as refusal:
        sys.exit(f"\nRefused. {refusal}")


if __name__ == "__main__":
    main()
