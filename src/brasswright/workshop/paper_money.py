"""The money of an estimate in words: its lines, what may be found, what would change it, what it leaves out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.judgement.words import chance_words
from brasswright.papers.estimate import Money, Row
from brasswright.workshop.paper_words import and_more, capital, condition_words, lower, whole

if TYPE_CHECKING:
    from collections.abc import Iterator

    from brasswright.planning.model import Fault, Option
    from brasswright.reckoning.estimate import Line
    from brasswright.workshop.paper_words import Basis

__all__ = ["Lines", "left_undone", "lines_of", "moves"]

MOST_MOVES = 5
MOST_LEFT = 6
NAMED_FINDS = 4
NAMED_PARTS = 2
PACE_SAID = 0.05
HIDDEN_SAID = 0.01
_FIRST = ("clearance", "planned", "by hand", "proving")
_TITLES = {
    "clearance": "Presumed asbestos cleared: a laboratory's answer, or licensed people",
    "proving": "Tests and release",
    "by hand": "Added by us",
}
_REASONS = {
    "clearance": "before lagging, rope or old gaskets are disturbed",
    "proving": "the tests named below, and those that opened joints and moved wires make due again",
}


@dataclass(frozen=True, slots=True)
class Lines:
    """The rows of the table, the number of each line's row by the line's key, and what to say of the sum."""

    rows: tuple[Row, ...]
    finds: tuple[Row, ...]
    places: dict[str, str]
    together: str


def lines_of(basis: Basis) -> Lines:
    """Return every line of the estimate as a numbered row: planned work from outside to inside, tests, then finds."""
    sure = [line for line in basis.figures.lines if not _only_found(basis, line)]
    planned = sorted(sure, key=lambda line: _order(basis, line))
    rest = [line for line in basis.figures.lines if line not in sure]
    found = sorted((line for line in rest if whole(line.high_minor) != "0"), key=lambda line: -line.mean_minor)
    rows = tuple(_row(basis, str(place), line) for place, line in enumerate(planned, 1))
    finds = tuple(_row(basis, str(place), line) for place, line in enumerate(found, len(planned) + 1))
    places = {line.key: row.number for line, row in zip(planned, rows, strict=True)}
    rare = "; finds rarer than one in ten are counted here only" if len(found) < len(rest) else ""
    return Lines(rows, finds, places, f"not the sums of the columns{rare}")


def _only_found(basis: Basis, line: Line) -> bool:
    """Whether a line's money is spent only if something is found that nobody planned for."""
    return line.kind == "found" or (line.kind == "clearance" and not basis.estimated.planned.plan.choice.clears)


def _order(basis: Basis, line: Line) -> tuple[int, int, str]:
    zone = basis.sheet.zone.get(_zone(line))
    return _FIRST.index(line.kind), zone.order if zone is not None else 0, line.key


def _zone(line: Line) -> str:
    return line.key.partition(":")[2]


def _row(basis: Basis, number: str, line: Line) -> Row:
    money = Money(whole(line.low_minor), whole(line.likely_minor), whole(line.high_minor))
    if line.kind == "planned":
        zone = basis.sheet.zone.get(_zone(line))
        return Row(number, zone.name if zone else "Elsewhere", _work(basis, line), money)
    if line.kind == "found":
        zone = basis.sheet.zone.get(_zone(line))
        return Row(number, zone.name if zone else "Elsewhere", _finds(basis, _zone(line)), money)
    return Row(number, _TITLES[line.kind], _REASONS.get(line.kind, lower(line.reason)), money)


def _work(basis: Basis, line: Line) -> str:
    """The treatments of a zone, each with why."""
    chosen = basis.estimated.planned.plan.choice.treatments
    done = [basis.options[key] for key in chosen if key in basis.options and basis.options[key].zone == _zone(line)]
    said = [f"{lower(option.name)}{_why(basis, option)}" for option in done]
    return "; ".join(said) or "taken off and put back to reach other parts"


def _why(basis: Basis, option: Option) -> str:
    """Why a treatment is planned: the conditions it puts right, likeliest parts first."""
    parts: dict[str, list[Fault]] = {}
    for mend in option.mends:
        fault = basis.faults[mend.fault]
        parts.setdefault(fault.component, []).append(fault)
    ordered = sorted(parts.items(), key=lambda part: (-sum(fault.risk_minor for fault in part[1]), part[0]))
    said = []
    for component, faults in ordered[:NAMED_PARTS]:
        words = condition_words(faults, seen=basis.seen(faults[0]))
        name = lower(basis.sheet.component[component].name)
        said.append(f"{name} {words}" if len(parts) > 1 else words)
    return f" ({'; '.join(said)})" if said else " (asked for by hand)"


def _finds(basis: Basis, zone: str) -> str:
    rows = [row for row in basis.figures.hidden if basis.options[row.treatment].zone == zone]
    often = sorted((row for row in rows if row.chance >= HIDDEN_SAID), key=lambda row: (-row.chance, row.fault))
    named = and_more([basis.fault(basis.faults[row.fault]) for row in often], NAMED_FINDS, joint="; ")
    return f"if it shows: {named}" if named else "what has to come off for finds elsewhere, and rarer finds"


def moves(basis: Basis) -> tuple[str, ...]:
    """Return what would change the estimate, with chances and amounts, dearest in expectation first."""
    return tuple(_moves(basis))


def _moves(basis: Basis) -> Iterator[str]:
    told = basis.figures.hidden[:MOST_MOVES]
    for row in told:
        late = ", seen only at the tests" if row.shows == "at proving" else ""
        fault = capital(basis.fault(basis.faults[row.fault]))
        yield f"{fault}: {chance_words(row.chance)}; it then adds about {basis.money(row.adds_minor)}{late}."
    rest = basis.figures.hidden[MOST_MOVES:]
    if rest:
        expected = round(sum(row.chance * row.adds_minor for row in rest))
        yield f"{len(rest)} smaller or rarer finds: together {basis.money(expected)} on average."
    for driver in basis.figures.drivers:
        if driver.kind == "pace" and driver.share >= PACE_SAID:
            yield f"How readily old joints come apart: the pace of the work makes {_tenths(driver.share)} of the width."
    yield "Anything not named here: we stop and ask before it costs you money."


def _tenths(share: float) -> str:
    """Return a share as people say it.

    >>> _tenths(0.33), _tenths(0.5), _tenths(0.97)
    ('about three tenths', 'about half', 'nearly all')
    """
    words: tuple[str, ...] = (
        "a small part",
        "about a tenth",
        "about two tenths",
        "about three tenths",
        "about four tenths",
    )
    words += ("about half", "about six tenths", "about seven tenths", "about eight tenths", "about nine tenths")
    return words[int(share * 10 + 0.5)] if share < 0.95 else "nearly all"


def left_undone(basis: Basis) -> tuple[str, ...]:
    """Return what the money does not include: what is left as it is, the risk left, carriage, looks."""
    return tuple(_left(basis))


def _left(basis: Basis) -> Iterator[str]:
    choice = basis.estimated.planned.plan.choice
    answered = {row.fault for row in basis.figures.hidden}
    faults = [basis.faults[key] for key in choice.left if key in basis.faults and key not in answered]
    sure = [fault for fault in faults if basis.how_sure(fault) != "possible"]
    sure.sort(key=lambda fault: (-fault.risk_minor, fault.id))
    if sure:
        said = [f"{basis.fault(fault)}, {basis.how_sure(fault)} ({whole(fault.risk_minor)})" for fault in sure]
        yield (
            f"Left as it is, with what leaving it may cost later in {basis.figures.currency}, weighed by its odds:"
            f" {and_more(said, MOST_LEFT, joint='; ')}."
        )
    risk = basis.money(basis.figures.risk_left_minor)
    yield (
        f"Risk left: all that is left, and what may not hold, may cost about {risk} later, weighed by its odds. It is"
        " told apart and is no part of the money above."
    )
    yield "Carriage, packing and insurance."
    yield "Looks: polishing, plating and paint beyond what the lines name."
