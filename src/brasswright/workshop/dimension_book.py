"""The dimension book: sizes that were measured or that fitted, over all jobs, by kind of machine.

A pure projection of the journals: nothing is kept but the entries themselves. Figures that were measured are put
together with the spread between machines; designations are counted by what they did. What came with a bundle counts
once somebody here adopts it; what was read in from elsewhere never counts, it is only shown.
"""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

from brasswright.bench.dimensions import apart_of, designation, usual_sigma
from brasswright.bench.pooled import Pooled, look_alikes, pooled
from brasswright.journal.entries import Entry
from brasswright.journal.replay import replay
from brasswright.journal.sized import How, Sized
from brasswright.store.foreign import foreign
from brasswright.store.gleaning import glean, last_row
from brasswright.workshop.folder import Workshop

if TYPE_CHECKING:
    from brasswright.journal.job import Job, Noted

__all__ = ["Book", "BookReader", "Fit", "Line", "Place", "Size", "Source", "book_of", "read_book"]

KINDS = ("arrived", "resheeted", "identified", "sized", "withdrew")
NOT_ADOPTED = "it came with a bundle that nobody here has adopted"
OTHER_PART = "another kind of part is fitted there"
ELSEWHERE = "it was read in from elsewhere"

Place = tuple[str, str, str]
"""Kind of machine, component, dimension."""


@dataclass(frozen=True, slots=True)
class Source:
    """One entry behind a line: the size as typed, its SI figure and uncertainty (`assumed` where none was typed).

    `job` is 0 and `origin` has words for what was read in from elsewhere; `why_not` says why it does not count.
    """

    job: int
    seq: int
    at: datetime
    by: str
    machine: str
    how: How
    text: str
    value: float | None
    sigma: float | None
    assumed: bool
    unit: str
    quantity: str
    name: str
    instrument: str = ""
    origin: str = ""
    why_not: str = ""

    @property
    def counts(self) -> bool:
        """Whether the book reckons with it."""
        return not self.why_not


@dataclass(frozen=True, slots=True)
class Size:
    """Figures that belong together: their consensus in SI, and the jobs they were measured in."""

    pooled: Pooled
    jobs: tuple[int, ...]
    assumed: bool


@dataclass(frozen=True, slots=True)
class Fit:
    """A designation and what it did: on how many machines it held, leaked, was measured so or stood on a paper."""

    text: str
    held: int
    leaked: int
    measured: int
    paper: int
    jobs: tuple[int, ...]

    @property
    def rank(self) -> tuple[int, int, int]:
        """What speaks for it, best first when sorted downwards: machines for it less against, for it, papers."""
        return self.held + self.measured - self.leaked, self.held + self.measured, self.paper


@dataclass(frozen=True, slots=True)
class Line:
    """One dimension of one component of one kind of machine: sizes, fits, and every source, newest first.

    More than one size means that they lie apart like two sizes taken for one another: none of them is offered.
    """

    kind: str
    component: str
    dimension: str
    name: str
    quantity: str
    unit: str
    sizes: tuple[Size, ...]
    fits: tuple[Fit, ...]
    sources: tuple[Source, ...]

    def own(self, job: int) -> Source | None:
        """Return what was last measured on this very machine, or fitted and held without leaking since."""
        mine = [one for one in self.sources if one.job == job and one.counts]
        measured = next((one for one in mine if one.how == "measured"), None)
        if measured is not None:
            return measured
        leaked: set[str] = set()
        for one in mine:
            spelt = designation(self.dimension, one.text)
            if one.how == "fitted and held" and spelt not in leaked:
                return one
            if one.how == "fitted and leaked":
                leaked.add(spelt)
        return None

    def of(self, how: How) -> tuple[Source, ...]:
        """Return the figures learnt in this way that count."""
        return tuple(one for one in self.sources if one.counts and one.how == how and one.value is not None)


@dataclass(frozen=True, slots=True)
class Book:
    """All lines, by kind of machine, component and dimension."""

    lines: Mapping[Place, Line]

    def kinds(self) -> tuple[str, ...]:
        """Return the kinds of machine it knows sizes of."""
        return tuple(sorted({kind for kind, _, _ in self.lines}))

    def of(self, kind: str = "", component: str = "") -> tuple[Line, ...]:
        """Return the lines of a kind of machine, of a component, or all."""
        found = (self.lines[place] for place in sorted(self.lines))
        return tuple(line for line in found if kind in {"", line.kind} and component in {"", line.component})


@dataclass
class BookReader:
    """Reads the book, and the next time only what is new."""

    workshop: Workshop
    seen: int = 0
    entries: dict[UUID, list[Entry]] = field(default_factory=lambda: defaultdict(list))
    kept: Book | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)

    def read(self) -> Book:
        """Return the book as the journals stand now."""
        store = self.workshop.store
        with self.lock:
            newest = last_row(store)
            if self.kept is not None and newest == self.seen:
                return self.kept
            for entry in glean(store, KINDS, after=self.seen, until=newest):
                self.entries[entry.job].append(entry)
            self.seen = newest
            self.kept = book_of(_told(self.workshop, self.entries))
            return self.kept


def read_book(workshop: Workshop) -> Book:
    """Read the whole book of a workshop once."""
    return BookReader(workshop).read()


def _told(workshop: Workshop, journals: Mapping[UUID, list[Entry]]) -> list[tuple[Place, Source]]:
    """Return every size of every journal, with why it does not count where it does not."""
    found: list[tuple[Place, Source]] = []
    for journal, entries in journals.items():
        if not any(isinstance(entry.body, Sized) for entry in entries):
            continue
        if journal == workshop.store.journal_of_workshop:
            found += [_elsewhere(noted) for noted in replay(entries).sizes]
            continue
        there = foreign(workshop.store, journal)
        job = replay(entries, set_aside=frozenset((*there.releases, *there.strikes)))
        found += [_of_job(job, noted, there.sizes) for noted in job.sizes]
    return found


def _of_job(job: Job, noted: Noted[Sized], brought: tuple[UUID, ...]) -> tuple[Place, Source]:
    body = noted.body
    arrived = job.arrived.body if job.arrived is not None else None
    presence = job.presence.get(body.component)
    other = presence is not None and presence.body.presence == "foreign"
    why_not = NOT_ADOPTED if noted.id in brought else OTHER_PART if other else ""
    number = arrived.number if arrived is not None else 0
    serial = " ".join(arrived.machine.serial.split()).casefold() if arrived is not None else ""
    machine = f"{job.sheet}/{serial}" if serial else f"job {number}"
    return (job.sheet, body.component, body.dimension), _source(noted, number, machine, why_not=why_not)


def _elsewhere(noted: Noted[Sized]) -> tuple[Place, Source]:
    body = noted.body
    place = (body.machine_kind, body.component, body.dimension)
    return place, _source(noted, 0, body.origin, why_not=ELSEWHERE)


def _source(noted: Noted[Sized], number: int, machine: str, *, why_not: str) -> Source:
    body = noted.body
    assumed = body.value is not None and not body.sigma
    sigma = usual_sigma(key=body.dimension, value=body.value) if assumed and body.value is not None else body.sigma
    return Source(
        job=number,
        seq=noted.seq,
        at=noted.at,
        by=noted.by,
        machine=machine,
        how=body.how,
        text=body.text,
        value=body.value,
        sigma=sigma,
        assumed=assumed,
        unit=body.unit,
        quantity=body.quantity,
        name=body.name,
        instrument=body.instrument,
        origin=body.origin,
        why_not=why_not,
    )


def book_of(told: Iterable[tuple[Place, Source]]) -> Book:
    """Put sources together into a book: pure, the same in whatever order they come."""
    by_place: dict[Place, list[Source]] = defaultdict(list)
    for place, source in told:
        by_place[place].append(source)
    return Book({place: _line(place, by_place[place]) for place in sorted(by_place)})


def _line(place: Place, sources: list[Source]) -> Line:
    kind, component, dimension = place
    newest = sorted(sources, key=lambda one: (one.counts, one.at, one.job, one.seq), reverse=True)
    figures = next((one for one in newest if one.value is not None), None)
    return Line(
        kind=kind,
        component=component,
        dimension=dimension,
        name=next((one.name for one in newest if one.name), ""),
        quantity=figures.quantity if figures is not None else "",
        unit=figures.unit if figures is not None else "",
        sizes=_sizes(dimension, newest),
        fits=_fits(dimension, newest),
        sources=tuple(newest),
    )


def _sizes(dimension: str, newest: list[Source]) -> tuple[Size, ...]:
    """Put measured figures together, the last of each machine; sizes that lie apart stay apart, smallest first."""
    last: dict[str, Source] = {}
    for one in newest:
        if one.counts and one.how == "measured" and one.value is not None:
            last.setdefault(one.machine, one)
    own = list(last.values())
    if len({one.quantity for one in own}) > 1:
        own = [one for one in own if one.quantity == own[0].quantity]
    values = [one.value or 0.0 for one in own]
    sigmas = [one.sigma or 0.0 for one in own]
    steps = [apart_of(key=dimension, value=value) for value in values]
    return tuple(
        Size(
            pooled(values=[values[i] for i in group], sigmas=[sigmas[i] for i in group]),
            tuple(sorted({own[i].job for i in group})),
            any(own[i].assumed for i in group),
        )
        for group in look_alikes(values=values, sigmas=sigmas, apart=steps)
    )


def _fits(dimension: str, newest: list[Source]) -> tuple[Fit, ...]:
    """Count designations, and figures that fitted: each machine's last word on each, most for it first."""
    last: dict[tuple[str, str], Source] = {}
    texts: dict[str, str] = {}
    for one in newest:
        if one.counts and (one.value is None or one.how.startswith("fitted")):
            spelt = designation(dimension, one.text)
            texts.setdefault(spelt, one.text)
            last.setdefault((spelt, one.machine), one)
    counted = [
        _fit(texts[spelt], [one for (other, _), one in last.items() if other == spelt]) for spelt in sorted(texts)
    ]
    return tuple(sorted(counted, key=lambda fit: fit.rank, reverse=True))


def _fit(text: str, sources: list[Source]) -> Fit:
    def many(how: How) -> int:
        return sum(one.how == how for one in sources)

    return Fit(
        text=text,
        held=many("fitted and held"),
        leaked=many("fitted and leaked"),
        measured=many("measured"),
        paper=many("read off a paper"),
        jobs=tuple(sorted({one.job for one in sources})),
    )
