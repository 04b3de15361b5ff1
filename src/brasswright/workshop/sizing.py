"""Enter a size: understand what was typed, ask back where it is far from usual, and hold it against the sheet."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from brasswright.bench.dimensions import WORDS, dimensions
from brasswright.errors import BrasswrightError, EntryRefused
from brasswright.units import parse, plausible

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from brasswright.bench.dimensions import Dimension
    from brasswright.journal.job import Job
    from brasswright.journal.sized import Sized
    from brasswright.sheets.model import Sheet

__all__ = ["check_size", "complete_size", "known_component", "sized_components"]

Fields = dict[str, Any]


def complete_size(fields: Mapping[str, Any]) -> Fields:
    """Return the fields of a size with its figure in SI; a designation stays as typed, its blanks put in order.

    A dimension that the bench has no name for needs `name`, and `quantity` where it is no length: another dimension of
    units, or "words" for a designation.

    Raises:
        EntryRefused: an unknown dimension without a name, or no number where a size needs one.
        UnitRefused, ImpossibleValue, NeedsConfirmation: a figure that cannot be taken as it stands.
    """
    key = str(fields.get("dimension", ""))
    text = " ".join(str(fields.get("text", "")).split())
    known = dimensions().get(key)
    if known is None and not str(fields.get("name", "")).strip():
        raise _nameless(key)
    quantity = known.quantity if known is not None else str(fields.get("quantity") or "length")
    filled = {**fields, "text": text}
    if known is not None:
        filled["name"] = ""
    if quantity == WORDS:
        return {**filled, "quantity": "", "unit": "", "value": None, "sigma": None}
    try:
        return filled | _figure(text, quantity, known, confirmed=fields.get("confirmed") is True)
    except BrasswrightError as refusal:
        again = type(refusal)(refusal.what, where=key, got=refusal.got, allowed=refusal.allowed, remedy=refusal.remedy)
        raise again from None


def _figure(text: str, quantity: str, known: Dimension | None, *, confirmed: bool) -> Fields:
    """Return value, uncertainty, quantity and unit of a figure."""
    read = parse(text, dimension=quantity)
    if read.value is None or read.censored is not None:
        raise EntryRefused("A size needs its number.", got=f"'{text}'", remedy="Measure it, or leave it out.")
    if read.value <= 0:
        raise EntryRefused("A size is more than nothing.", got=f"'{text}'", remedy="Measure it again.")
    if known is not None and known.low is not None and known.high is not None:
        plausible(read, known.low, known.high, confirmed=confirmed)
    return {"value": read.value, "sigma": read.sigma, "quantity": quantity, "unit": read.unit}


def _nameless(key: str) -> EntryRefused:
    names = dimensions()
    near = get_close_matches(key, list(names), n=3)
    return EntryRefused(
        f"There is no dimension '{key}' by name here.",
        allowed=f"perhaps {', '.join(near)}" if near else ", ".join(names),
        remedy="Choose one of these, or say what it is: name='width of the lug'.",
    )


def sized_components(job: Job, sheet: Sheet) -> tuple[str, ...]:
    """Return the components a size can be entered for: the sheet's, and those that were found extra."""
    extra = (key for key, noted in job.presence.items() if noted.body.presence == "extra")
    return (*sheet.component, *extra)


def known_component(component: str, among: Collection[str]) -> None:
    """Refuse a component that is not among those of a job, naming the nearest.

    Raises:
        EntryRefused: it is not.
    """
    if component in among:
        return
    near = get_close_matches(component, list(among), n=3)
    raise EntryRefused(
        f"There is no component '{component}' in this job.",
        allowed=f"perhaps {', '.join(near)}" if near else f"one of {', '.join(sorted(among)[:12])} ...",
        remedy="A part the sheet does not know is entered first: identified, presence=extra.",
    )


def check_size(body: Sized, among: Collection[str]) -> None:
    """Refuse a size of a component that is not `among` those of the job, or that says it comes from elsewhere.

    Raises:
        EntryRefused: which, and what is near it.
    """
    known_component(body.component, among)
    if body.machine_kind or body.origin:
        raise EntryRefused(
            "A job's size is its own machine's.",
            got=body.origin or body.machine_kind,
            remedy="Sizes from elsewhere are read in with: brasswright book --read FILE.",
        )
