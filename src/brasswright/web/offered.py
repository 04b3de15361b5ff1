"""Values offered in an instrument's form before anything is typed, each with where it comes from.

One place for all of them: what a job's plate and the workshop's settings say, and whatever else keeps dimensions by
kind of machine. An offer is a suggestion: it stands in the field, its origin below, and whoever asks may change it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from brasswright.bench import INSTRUMENTS
from brasswright.bench.dimensions import asked_by
from brasswright.judgement.opinion import machine_facts
from brasswright.units import dimension_of
from brasswright.workshop.dimension_book import BookReader
from brasswright.workshop.offering import offered, whose

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument
    from brasswright.journal.entries import Measured
    from brasswright.sheets.model import Reading
    from brasswright.web.desk import Visit
    from brasswright.workshop.dimension_book import Book
    from brasswright.workshop.offering import Offer

__all__ = [
    "LIST",
    "Offered",
    "Offers",
    "address_of_reading",
    "components_offered",
    "instrument_address",
    "offered_values",
]

LIST = "/instruments"
"""Where all instruments are listed; each stands below it."""


@dataclass(frozen=True, slots=True)
class Offered:
    """A value as it would be typed, and its origin in words: "from the plate: 220 V"; `detail` says more of it."""

    text: str
    origin: str
    detail: str = ""

    @property
    def said(self) -> str:
        """The offer in words."""
        return f"from {self.origin}: {self.text}" + (f" ({self.detail})" if self.detail else "")


@dataclass(frozen=True, slots=True)
class Offers:
    """What is offered, by input, and why something that is known is not."""

    given: Mapping[str, Offered] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def offered_values(instrument: Instrument, here: Visit | None, component: str = "") -> Offers:
    """Return the offers for an instrument's inputs; none where no job is open.

    The sizes of a component come from the dimension book, where one is named; they go before everything else.
    """
    if here is None:
        return Offers()
    asked = {entry.key for entry in instrument.inputs}
    given = {key: offer for key, offer in _from_job(here).items() if key in asked}
    if not component:
        return Offers(given)
    ask = whose(here.opened, "", (component,))
    book = offered(_book(here), ask, instrument.name, {})
    return Offers({**given, **{key: _of_book(offer) for key, offer in book.given.items()}}, book.notes)


def components_offered(instrument: Instrument, here: Visit | None) -> tuple[tuple[str, str], ...]:
    """Return key and name of the components of which the dimension book knows a size that this instrument asks."""
    if here is None:
        return ()
    wanted = {way.dimension for way in asked_by(instrument.name)}
    if not wanted:
        return ()
    names = here.opened.sheet.component
    lines = _book(here).of(kind=here.opened.job.sheet)
    known = dict.fromkeys(line.component for line in lines if line.dimension in wanted and line.component in names)
    return tuple((key, names[key].name) for key in known)


def _book(here: Visit) -> Book:
    """Return the dimension book as it stands now; one reader is kept, which reads only what is new."""
    desk = here.desk
    reader: BookReader = desk.remembered.answer("dimension book", lambda: BookReader(desk.workshop))
    return reader.read()


def _of_book(offer: Offer) -> Offered:
    """Return an offer of the book, its origin parted from what speaks for it."""
    origin, _, detail = offer.origin.partition(": ")
    return Offered(offer.text, origin, "; ".join(part.rstrip(".") for part in (detail, offer.sure) if part))


def _from_job(here: Visit) -> dict[str, Offered]:
    """Return what the plate and the workshop's own settings say."""
    facts = machine_facts(here.opened.sheet, here.opened.job)
    settings = here.settings
    offers = {}
    if facts.rated_voltage_v:
        offers["rated_voltage"] = Offered(f"{facts.rated_voltage_v:g} V", "the plate")
    if facts.rated_power_w:
        offers["rated_power"] = Offered(f"{facts.rated_power_w:g} W", "the plate")
    if settings.mains_voltage_v:
        offers["supply_voltage"] = Offered(f"{settings.mains_voltage_v:g} V", "the workshop's settings")
    if settings.altitude_m:
        offers["altitude"] = Offered(f"{settings.altitude_m:g} m", "the workshop's settings")
    return offers


def instrument_address(
    name: str, texts: Mapping[str, str] | None = None, *, job: int | str = "", component: str = ""
) -> str:
    """Return the address of an instrument's page, with what is asked, for which job and with whose sizes."""
    stays = {key: str(one) for key, one in (("job", job), ("component", component)) if one}
    asked = urlencode({**stays, **(texts or {})})
    return f"{LIST}/{name}?{asked}" if asked else f"{LIST}/{name}"


def address_of_reading(reading: Reading, body: Measured | None, job: int) -> str:
    """Return where a reading's instrument is asked with what was read; empty where no instrument explains it."""
    if reading.instrument not in INSTRUMENTS:
        return ""
    instrument = INSTRUMENTS[reading.instrument]
    if body is None:
        return instrument_address(instrument.name, job=job)
    own = next((entry for entry in instrument.inputs if entry.dimension == dimension_of(reading.unit)), None)
    asks = {entry.key: entry for entry in instrument.inputs}
    beside = {
        "tester": body.instrument_kind,
        "test_voltage": f"{body.test_voltage_v:g} V" if body.test_voltage_v else "",
        "circuit_closed": "yes" if body.circuit and body.circuit == reading.circuit else "",
    }
    texts = {own.key: body.text} if own is not None else {}
    texts |= {
        key: text
        for key, text in beside.items()
        if text and key in asks and (asks[key].kind != "choice" or text in asks[key].choices)
    }
    return instrument_address(instrument.name, texts, job=job)
