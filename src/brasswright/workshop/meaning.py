"""What a reading of a job means: its instrument's words, and its outcome against the limit of the test it belongs to.

The instrument is asked with what the journal knows beside the reading: plate, mains, height above the sea, tester, test
voltage, circuit state. What it cannot be asked, or will not answer, is said in words instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brasswright.bench import INSTRUMENTS
from brasswright.bench.answer import answer
from brasswright.bench.limits import Verdict
from brasswright.errors import BrasswrightError
from brasswright.holds.verdicts import from_plate, judged
from brasswright.judgement.opinion import machine_facts
from brasswright.units import dimension_of, words

if TYPE_CHECKING:
    from brasswright.bench.instrument import Instrument
    from brasswright.journal.entries import Measured
    from brasswright.sheets.model import Reading
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["Meaning", "meaning_of", "reading_words"]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a reading means.

    `headline` says it in a sentence, `lines` are all the instrument's words, `verdicts` (test key, verdict) how it
    stands against its limits. `said` is the instrument's whole answer, for drawing.
    """

    headline: str
    lines: tuple[str, ...]
    cautions: tuple[str, ...]
    verdicts: tuple[tuple[str, Verdict], ...]
    said: Mapping[str, Any] = field(default_factory=dict)


def reading_words(body: Measured) -> str:
    """Return a reading as it is said: value, uncertainty and unit, or what the instrument showed instead."""
    if body.value is None:
        return body.censored or body.text
    value = words(body.value, body.sigma, unit=body.unit)
    return value if body.censored is None else f"{'above' if body.censored == 'over range' else 'below'} {value}"


def meaning_of(opened: OpenJob, key: str, settings: Settings) -> Meaning | None:
    """Return what the latest reading under this key means; None when it was not taken."""
    noted = opened.job.readings.get(key)
    if noted is None or key not in opened.sheet.reading:
        return None
    reading, body = opened.sheet.reading[key], noted.body
    verdicts = tuple(
        (test, verdict)
        for test, proving in opened.sheet.proving.items()
        if proving.reading == key
        for verdict in [judged(proving, body, from_plate(proving, opened.job, opened.sheet))]
        if verdict is not None
    )
    if reading.instrument not in INSTRUMENTS:
        return Meaning("", (), (), verdicts)
    said = _asked(INSTRUMENTS[reading.instrument], opened, reading, body, settings)
    cautions = tuple(dict.fromkeys([*said.get("warnings", ()), *said.get("cautions", ())]))
    return Meaning(_headline(said), tuple(said["in_words"]), cautions, verdicts, said)


def _headline(said: dict[str, Any]) -> str:
    """Return what the instrument says in one sentence, empty where it says only figures."""
    if said.get("meaning"):
        return str(said["meaning"])
    hot = said.get("power_hot_w")
    if not isinstance(hot, float):
        return ""
    band = said.get("rated_band")
    fit = {"within": "inside the band", "below": "below the band", "above": "above the band"}.get(said["rating"], "")
    if not fit or not isinstance(band, dict):
        return f"{words(hot, unit='W')} when hot."
    low, high = (words(float(band[edge]), unit="W") for edge in ("low_w", "high_w"))
    return f"{words(hot, unit='W')} when hot: {fit} of {low} to {high} about the power on the plate."


def _asked(
    instrument: Instrument, opened: OpenJob, reading: Reading, body: Measured, settings: Settings
) -> dict[str, Any]:
    dimension = dimension_of(reading.unit)
    own = next((entry for entry in instrument.inputs if entry.dimension == dimension), None)
    if own is None:
        return {"in_words": ()}
    beside = _beside(opened, reading, body, settings)
    asks = {entry.key: entry for entry in instrument.inputs}
    typed = {
        name: text
        for name, text in beside.items()
        if name in asks and (asks[name].kind != "choice" or text in asks[name].choices)
    }
    try:
        return answer(instrument, {**typed, own.key: body.text}, confirmed=True)
    except BrasswrightError as error:
        return {"in_words": (f"The instrument gives no answer: {error}",)}


def _beside(opened: OpenJob, reading: Reading, body: Measured, settings: Settings) -> dict[str, str]:
    facts = machine_facts(opened.sheet, opened.job)
    known = {
        "rated_voltage": f"{facts.rated_voltage_v:g} V" if facts.rated_voltage_v else "",
        "rated_power": f"{facts.rated_power_w:g} W" if facts.rated_power_w else "",
        "supply_voltage": f"{settings.mains_voltage_v:g} V" if settings.mains_voltage_v else "",
        "altitude": f"{settings.altitude_m:g} m",
        "tester": body.instrument_kind,
        "test_voltage": f"{body.test_voltage_v:g} V" if body.test_voltage_v else "",
        "circuit_closed": "yes" if body.circuit and body.circuit == reading.circuit else "",
    }
    return {name: text for name, text in known.items() if text}
