"""Values offered in an instrument's form before anything is typed, each with where it comes from.

One place for all of them: what a job's plate and the workshop's settings say, and whatever else keeps dimensions by
kind of machine. An offer is a suggestion: it stands in the field, its origin below, and whoever asks may change it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from brasswright.bench import INSTRUMENTS
from brasswright.judgement.opinion import machine_facts
from brasswright.units import dimension_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.bench.instrument import Instrument
    from brasswright.journal.entries import Measured
    from brasswright.sheets.model import Reading
    from brasswright.web.desk import Visit

__all__ = ["LIST", "Offered", "address_of_reading", "instrument_address", "offered_values"]

LIST = "/instruments"
"""Where all instruments are listed; each stands below it."""


@dataclass(frozen=True, slots=True)
class Offered:
    """A value as it would be typed, and its origin in words: "from the plate: 220 V"."""

    text: str
    origin: str

    @property
    def said(self) -> str:
        """The offer in words."""
        return f"from {self.origin}: {self.text}"


def offered_values(instrument: Instrument, here: Visit | None) -> Mapping[str, Offered]:
    """Return the offers for an instrument's inputs by key; none where no job is open."""
    if here is None:
        return {}
    asked = {entry.key for entry in instrument.inputs}
    return {key: offer for key, offer in _from_job(here).items() if key in asked}


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


def instrument_address(name: str, texts: Mapping[str, str] | None = None, *, job: int | str = "") -> str:
    """Return the address of an instrument's page, with what is asked and the job it is asked for."""
    asked = urlencode({**({"job": str(job)} if job else {}), **(texts or {})})
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
