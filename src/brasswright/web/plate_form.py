"""The small form on the element's reading: what the plate is known to be, and its correction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brasswright.holds.plate import PREDICTION
from brasswright.judgement.opinion import machine_facts

if TYPE_CHECKING:
    from brasswright.web.forms import Form
    from brasswright.workshop.folder import OpenJob

__all__ = ["PlateForm", "plate_form", "plate_known"]


@dataclass(frozen=True, slots=True)
class PlateForm:
    """The form: where it is sent, what is known now, and what was typed and not entered."""

    action: str
    known: str
    volts: str
    watts: str
    words: str
    unusual: bool


def plate_known(opened: OpenJob) -> str:
    """Return in a sentence what the machine counts as made for now, and since when."""
    facts = machine_facts(opened.sheet, opened.job)
    figures = ((facts.rated_voltage_v, "V"), (facts.rated_power_w, "W"))
    said = " and ".join(f"{value:g} {unit}" for value, unit in figures if value)
    if not said:
        return "What it is made for is not known."
    job = opened.job
    if job.plates:
        return f"It counts as made for {said}; last corrected: {job.plates[-1].body.words}"
    told = job.rated_voltage_v is not None or job.rated_power_w is not None
    return f"It counts as made for {said}, {'as entered when it arrived' if told else 'as is usual for its kind'}."


def plate_form(opened: OpenJob, key: str, typed: Form) -> PlateForm | None:
    """Return the form for a reading whose limit follows from the plate; None for any other."""
    if opened.sheet.reading[key].predict != PREDICTION:
        return None
    mine = bool(typed.text("plate"))
    return PlateForm(
        action=f"/jobs/{opened.number}/plate/{key}",
        known=plate_known(opened),
        volts=typed.text("volts") if mine else "",
        watts=typed.text("watts") if mine else "",
        words=typed.text("why") if mine else "",
        unusual=mine,
    )
