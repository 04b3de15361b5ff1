"""What an estimate rests on, in plain sentences: what was seen, measured and told, and where nobody has looked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.charts.conditions import rank, spoken
from brasswright.judgement.way_in import open_now
from brasswright.sheets.reach import reachable
from brasswright.workshop.meaning import reading_words
from brasswright.workshop.paper_words import and_more, capital, day, lower
from brasswright.workshop.showing import known_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from brasswright.judgement.opinion import Odds
    from brasswright.workshop.paper_words import Basis

__all__ = ["BOILER", "boiler_unopened", "rests_on", "unlooked"]

BAD = 2
"""From this rank on (0 best, 3 worst) a condition that was seen is named."""
NAMED = 6
READINGS = 4
TOLD = 4
MOVERS = 3
FEW_WORDS = 90
"""A teller's own words are printed up to this length."""
BOILER = "boiler_shell"
"""The component by whose inner look "nobody has looked inside the boiler" is judged, where a sheet has it."""


def rests_on(basis: Basis) -> tuple[str, ...]:
    """Return the sentences, most telling first; none is empty."""
    said = (_counts(basis), *_seen(basis), _unseen(basis), *_known(basis))
    return tuple(sentence.replace(" ± ", "\u00a0±\u00a0") for sentence in said if sentence)


def _counts(basis: Basis) -> str:
    known = known_of(basis.judgement)
    if known.inked == 0 and known.pencilled == 0:
        return f"None of its {known.of} parts has been looked at yet: all this is what machines of its kind are like."
    signs = f", of {known.pencilled} more there are signs" if known.pencilled else ""
    rest = known.of - known.inked - known.pencilled
    usual = "; the rest is judged by what is usual for machines of this kind" if rest else ""
    return f"{known.inked} of {known.of} parts seen{signs}{usual}."


def _seen(basis: Basis) -> Iterator[str]:
    """What failed a test, what is bad, worst first, what is missing, and how much was seen sound."""
    failed = [_failed(basis, key) for key, noted in basis.job.proved.items() if noted.body.outcome != "passed"]
    if failed:
        yield f"Tests so far not passed: {and_more(failed, NAMED, joint='; ')}."
    odds = list(basis.judgement.odds.values())
    ranked = [(_rank(one), one) for one in odds if one.stage == "ink" and one.p]
    bad = [one for place, one in sorted(ranked, key=lambda each: -each[0]) if place >= BAD or _binds(basis, one)]
    missing = [f"{lower(one.name)} (missing)" for one in odds if one.stage == "gone" and one.presence == "missing"]
    named = [*(f"{lower(one.name)} ({spoken(one.likeliest)})" for one in bad), *missing]
    sound = sum(place == 0 for place, _ in ranked)
    if named:
        yield f"Seen and in need of work: {and_more(named, NAMED)}."
    if sound > 1:
        yield f"Seen sound: {sound} parts."


def _failed(basis: Basis, key: str) -> str:
    """A test that was done and did not pass, with its value and the first words of its limit."""
    body = basis.job.proved[key].body
    name = lower(basis.sheet.proving[key].name) if key in basis.sheet.proving else spoken(key)
    value = f" at {body.value_text}" if body.value_text else ""
    limit = body.limit_text.split(",")[0].split(";")[0]
    return f"{name} {body.outcome}{value}{f' (limit: {limit})' if limit else ''}"


def _binds(basis: Basis, odds: Odds) -> bool:
    return odds.likeliest in basis.sheet.component[odds.component].must


def _rank(odds: Odds) -> int:
    return rank(odds.states.index(odds.likeliest), len(odds.states))


def _unseen(basis: Basis) -> str:
    """Where nobody has looked: inside the boiler, and what of the unseen moves the figure most."""
    first = "Nobody has looked inside the boiler yet. " if boiler_unopened(basis) else ""
    movers = [
        lower(basis.sheet.component[driver.subject].name)
        for driver in basis.figures.drivers
        if driver.kind == "component" and unlooked(basis, driver.subject)
    ][:MOVERS]
    return first + (f"Still unseen, and moving the figure most: {'; '.join(movers)}." if movers else "")


def unlooked(basis: Basis, component: str) -> bool:
    """Whether nobody has answered any check that shows this component, nor measured, found or set it."""
    odds = basis.judgement.odds.get(component)
    return odds is not None and odds.stage not in {"ink", "gone"} and not any(_answered(basis, component))


def boiler_unopened(basis: Basis) -> bool:
    """Whether nobody has looked inside the boiler: it is not open, nor was any check answered that needs it open."""
    boiler = basis.judgement.odds.get(BOILER)
    if boiler is None or boiler.stage == "gone" or boiler.set_by or any(_answered(basis, BOILER, behind=True)):
        return False
    return not reachable(basis.sheet.component[BOILER].access, open_now(basis.job, basis.sheet))


def _answered(basis: Basis, component: str, *, behind: bool = False) -> Iterator[str]:
    """Return the checks that show this component and were answered; `behind` keeps those that need opening."""
    for checks in (basis.sheet.finding, basis.sheet.reading):
        for key, check in checks.items():
            if any(cause.of == component for cause in check.shows) and (check.access or not behind):
                noted = basis.job.answers.get(key)
                settled = noted is not None and noted.body.aside != "cannot see yet"
                if settled or key in basis.job.sweeps or key in basis.job.readings:
                    yield key


def _known(basis: Basis) -> Iterator[str]:
    """What was measured, with who and when, where no test says it already, and what was told."""
    tested = {test.reading for key, test in basis.sheet.proving.items() if key in basis.job.proved}
    by_whom: dict[str, list[str]] = {}
    for key, noted in basis.job.readings.items():
        if key in basis.sheet.reading and key not in tested:
            who = basis.settings.people.get(noted.by, noted.by)
            when = day(basis.settings.local(noted.at))
            said = f"{lower(basis.sheet.reading[key].ask.rstrip('?.'))}: {reading_words(noted.body)}"
            by_whom.setdefault(f"{who} on {when}", []).append(said)
    for head, said_so in by_whom.items():
        yield f"Measured by {head}: {and_more(said_so, READINGS, joint='; ')}."
    told = list(_told(basis))
    if told:
        yield f"Told, and taken as so: {and_more(told, TOLD, joint='; ')}."


def _told(basis: Basis) -> Iterable[str]:
    """What was told of the machine's past: in the teller's words where they are short, else as question and answer."""
    for key, noted in basis.job.answers.items():
        history, body = basis.sheet.history.get(key), noted.body
        if history is None or body.aside is not None:
            continue
        if 0 < len(body.words) <= FEW_WORDS:
            yield lower(body.words.rstrip("."))
        elif body.answer is not None:
            yield f"{lower(history.ask)} {capital(history.words.get(body.answer, spoken(body.answer)))}"
