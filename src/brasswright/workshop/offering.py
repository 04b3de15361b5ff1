"""What the dimension book offers to an instrument first: inputs that nobody typed, each with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brasswright.bench import INSTRUMENTS
from brasswright.bench.dimensions import asked_by, designation, dimensions, parts_of
from brasswright.errors import EntryRefused, NotFound
from brasswright.units import words
from brasswright.workshop.book_words import day_words, jobs_words, line_name, size_words, sure_words
from brasswright.workshop.sizing import known_component, sized_components

if TYPE_CHECKING:
    from brasswright.bench.dimensions import Asked
    from brasswright.bench.instrument import Instrument
    from brasswright.workshop.dimension_book import Book, Fit, Line, Source
    from brasswright.workshop.folder import OpenJob

__all__ = ["Ask", "Offer", "Offers", "offered", "offers_shape", "whose"]


@dataclass(frozen=True, slots=True)
class Ask:
    """What is asked of the book: kind of machine, its components (the first that has a size wins), the job if any."""

    kind: str
    components: tuple[str, ...]
    job: int = 0


@dataclass(frozen=True, slots=True)
class Offer:
    """An input's text as it would be typed, and its origin in words; `sure` says how sure the book is of it."""

    input: str
    text: str
    origin: str
    sure: str


@dataclass(frozen=True, slots=True)
class Offers:
    """What is offered, by input, and why something that the book knows is not."""

    given: Mapping[str, Offer]
    notes: tuple[str, ...] = ()

    def lines(self) -> tuple[str, ...]:
        """Return all of it in words."""
        told = (f"{one.input} = {one.text}, from {one.origin}. {one.sure}".rstrip() for one in self.given.values())
        return (*told, *self.notes)


def whose(opened: OpenJob | None, kind: str, components: tuple[str, ...]) -> Ask:
    """Return what to ask the book for a job or a kind of machine.

    Raises:
        EntryRefused: neither, or both; or no component, or one that the job does not have.
    """
    if (opened is None) == (not kind):
        raise EntryRefused("The book is asked about one job or one kind of machine.", remedy="Name one of the two.")
    if not components:
        raise EntryRefused("Which component it is, is not said.", remedy="Name it, such as piston_seals.")
    if opened is not None:
        for component in components:
            known_component(component, sized_components(opened.job, opened.sheet))
    return Ask(opened.job.sheet if opened is not None else kind, components, opened.number if opened else 0)


def offered(book: Book, ask: Ask, instrument: str, typed: Mapping[str, str]) -> Offers:
    """Return what the book offers for the inputs of an instrument that were not typed.

    What was learnt on this very machine comes first, then what the kind's other machines agree on, then what stood on a
    paper, then what was read in from elsewhere. Sizes that lie apart, designations that are equally borne out and those
    that leaked as often as they held are not offered; a note says so.

    Raises:
        NotFound: no such instrument.
    """
    if instrument not in INSTRUMENTS:
        raise NotFound(f"There is no instrument '{instrument}'.", allowed=", ".join(INSTRUMENTS))
    given: dict[str, Offer] = {}
    notes: dict[str, str] = {}
    for way in asked_by(instrument):
        if way.input in typed or way.input in given or not _applies(way, INSTRUMENTS[instrument], typed):
            continue
        for component in ask.components:
            line = book.lines.get((ask.kind, component, way.dimension))
            offer = _offer(line, way, ask.job) if line is not None else None
            if offer is not None:
                given[way.input] = offer
                notes.pop(way.input, None)
                break
            if line is not None:
                notes.setdefault(way.input, f"{way.input} is not offered: {line_name(line)}. {_why_none(line)}")
    if not given and not notes:
        return Offers({}, (f"The book holds nothing for {instrument} of {', '.join(ask.components)} yet.",))
    return Offers(given, tuple(notes.values()))


def offers_shape(offers: Offers) -> dict[str, Any]:
    """Return what is offered as JSON can hold it."""
    given = [
        {"input": one.input, "text": one.text, "origin": one.origin, "sure": one.sure} for one in offers.given.values()
    ]
    return {"shape": "offers/1", "offers": given, "notes": list(offers.notes)}


def _applies(way: Asked, instrument: Instrument, typed: Mapping[str, str]) -> bool:
    """Return whether a way holds for what was typed, or for the first choice where nothing was."""
    if way.when is None:
        return True
    key, value = way.when
    choices = next((entry.choices for entry in instrument.inputs if entry.key == key), ())
    said = " ".join(typed.get(key, choices[0] if choices else "").split())
    return said.lower() == value


def _offer(line: Line, way: Asked, job: int) -> Offer | None:
    """Return the best a line offers for an input, or None."""
    own = line.own(job) if job else None
    if own is not None:
        origin = f"this machine: {own.how}, entry {own.seq}, {day_words(own.at)}"
        return _made(way, _source_text(line, own), origin, "")
    if line.sizes or line.fits:
        return _of_machines(line, way)
    papers = line.of("read off a paper")
    if papers:
        origin = f"the dimension book: {papers[0].how} ({jobs_words((papers[0].job,))})"
        return _made(way, _source_text(line, papers[0]), origin, sure_words(line))
    far = next((one for one in line.sources if one.origin and one.how != "fitted and leaked"), None)
    if far is None:
        return None
    origin = f"elsewhere ({far.origin}): {far.how}"
    return _made(way, _source_text(line, far), origin, sure_words(line))


def _of_machines(line: Line, way: Asked) -> Offer | None:
    """Return what the machines of the kind agree on, or None where they do not."""
    if len(line.sizes) == 1:
        put = line.sizes[0].pooled
        text = words(put.mean, put.next_sigma, unit=line.unit, dimension=line.quantity)
        origin = f"the dimension book: {size_words(line, line.sizes[0]).partition(', ')[2]}"
        return _made(way, text, origin, sure_words(line))
    best = _best(line.fits)
    if line.sizes or best is None:
        return None
    origin = f"the dimension book: '{best.text}' ({jobs_words(best.jobs)})"
    return _made(way, best.text, origin, sure_words(line))


def _best(fits: tuple[Fit, ...]) -> Fit | None:
    """Return the one designation that is best borne out, or None where none is."""
    if not fits or (len(fits) > 1 and fits[1].rank == fits[0].rank):
        return None
    best = fits[0]
    return best if best.rank[0] > 0 or (best.paper and not best.leaked) else None


def _source_text(line: Line, source: Source) -> str:
    """Return a source as it would be typed: a figure with its uncertainty, a designation as it stands."""
    if source.value is None or source.how.startswith("fitted"):
        return source.text
    return words(source.value, source.sigma, unit=source.unit, dimension=line.quantity or source.quantity)


def _made(way: Asked, text: str, origin: str, sure: str) -> Offer | None:
    """Return the offer, the wanted figure taken out of a designation; None where it cannot be read."""
    if not way.part:
        return Offer(way.input, text, origin, sure)
    parts = parts_of(way.dimension, text)
    if len(parts) < way.part:
        return None
    return Offer(way.input, parts[way.part - 1], f"{origin}, {designation(way.dimension, text)}", sure)


def _why_none(line: Line) -> str:
    """Say why a line offers nothing."""
    if len(line.sizes) > 1 or line.fits:
        told = [size_words(line, size) for size in line.sizes]
        unread = line.dimension in dimensions() and not told and _best(line.fits) is not None
        if unread:
            return f"No figures can be read in '{line.fits[0].text}'."
        return " ".join([*(f"{one}." for one in told), sure_words(line)])
    reasons = dict.fromkeys(one.why_not for one in line.sources if one.why_not)
    return f"What is there does not count: {'; '.join(reasons)}." if reasons else sure_words(line)
