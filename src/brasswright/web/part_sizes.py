"""What the dimension book holds about one component, and the form that enters a size of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

from brasswright.bench.dimensions import WORDS, asked_by, dimensions
from brasswright.journal.sized import How
from brasswright.web.offered import instrument_address
from brasswright.web.spoken import capital
from brasswright.workshop.book_words import fit_words, line_name, size_words, source_words, sure_words
from brasswright.workshop.dimension_book import BookReader

if TYPE_CHECKING:
    from brasswright.web.desk import Desk, Visit
    from brasswright.web.forms import Form
    from brasswright.workshop.dimension_book import Book, Line

__all__ = ["ANOTHER", "Chosen", "Kept", "PartSizes", "SizeForm", "book_address", "book_at", "kept_of", "part_sizes"]

ANOTHER = "another"
"""What the list of dimensions says for one that it does not have."""
INSTRUMENTS = ("seal", "flatgasket", "thread", "torque", "spring")
READER = "dimension book"


@dataclass(frozen=True, slots=True)
class Chosen:
    """One choice of a list."""

    key: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Told:
    """One source of a size in words, and the entry it stands in; no address for what came from elsewhere."""

    words: str
    href: str


@dataclass(frozen=True, slots=True)
class Kept:
    """One dimension: its name, what is known of it, how sure that is, and every source."""

    component: str
    name: str
    known: tuple[str, ...]
    sure: str
    sources: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class SizeForm:
    """The form of a size, with what was typed; `confirm` asks whether an unlikely figure was read so."""

    action: str
    dimensions: tuple[Chosen, ...]
    hows: tuple[Chosen, ...]
    name: str
    is_words: bool
    text: str
    instrument: str
    confirm: bool


@dataclass(frozen=True, slots=True)
class PartSizes:
    """All about the sizes of one component; `asks` leads to the instruments that these sizes fill."""

    kept: tuple[Kept, ...]
    form: SizeForm
    book: str
    asks: tuple[tuple[str, str], ...]


def book_at(desk: Desk) -> Book:
    """Return the dimension book as the journals stand now; only what is new is read."""
    reader: BookReader = desk.remembered.answer(READER, lambda: BookReader(desk.workshop))
    return reader.read()


def book_address(kind: str = "", component: str = "") -> str:
    """Return where the book shows a kind of machine, or one of its components."""
    anchor = f"#{component}" if component else ""
    return f"/dimension-book?kind={kind}{anchor}" if kind else "/dimension-book"


def kept_of(line: Line, component: str) -> Kept:
    """Return a line of the book for a page; `component` is what it is called there."""
    known = (*(size_words(line, size) for size in line.sizes), *(fit_words(fit) for fit in line.fits))
    sources = tuple(
        Told(source_words(one), f"/jobs/{one.job}/journal#e-{one.seq}" if one.job else "") for one in line.sources
    )
    return Kept(component, capital(line_name(line)), known, sure_words(line), sources)


def part_sizes(here: Visit, component: str, form: Form, *, confirm: bool = False) -> PartSizes:
    """Return what is kept of the sizes of a job's component, and the form with what stands in it."""
    kind = here.opened.job.sheet
    lines = book_at(here.desk).of(kind, component)
    filled = {line.dimension for line in lines}
    asks = tuple(
        (capital(name), instrument_address(name, {"component": component}, job=here.number))
        for name in INSTRUMENTS
        if any(way.dimension in filled for way in asked_by(name))
    )
    return PartSizes(
        kept=tuple(kept_of(line, component) for line in lines),
        form=_size_form(f"{here.base}/sizes/{component}", form, confirm=confirm),
        book=book_address(kind, component),
        asks=asks,
    )


def _size_form(action: str, form: Form, *, confirm: bool) -> SizeForm:
    wanted, how = form.text("dimension"), form.text("how", "measured")
    named = [Chosen(key, capital(one.name), key == wanted) for key, one in dimensions().items()]
    return SizeForm(
        action=action,
        dimensions=(*named, Chosen(ANOTHER, "Another, named beside", wanted == ANOTHER)),
        hows=tuple(Chosen(one, capital(one), one == how) for one in get_args(How)),
        name=form.text("name"),
        is_words=form.text("quantity") == WORDS,
        text=form.text("text"),
        instrument=form.text("instrument"),
        confirm=confirm,
    )
