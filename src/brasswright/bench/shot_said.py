"""What a logged pull says, in words: what departs, what it may come of, what must not be missed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from brasswright.bench.shot_found import CLEAR
from brasswright.tables import constant
from brasswright.units import words

if TYPE_CHECKING:
    from brasswright.bench.shot_fit import Drop
    from brasswright.bench.shot_found import Found

__all__ = ["findings_of", "is_drop", "meaning_of", "warnings_of"]

_CLEAR_DROP: Final = 5.0


def is_drop(drop: Drop | None) -> bool:
    """Return whether resistance drops at once, clearly and by enough to matter."""
    return drop is not None and drop.significance < -_CLEAR_DROP and drop.change < -constant("shot_drop_share")


def findings_of(found: Found) -> list[str]:
    """Return what departs, each in a few words."""
    said = []
    if found.peak is not None and abs(found.peak.departure) > CLEAR:
        said.append(f"highest pressure {'below' if found.peak.departure > 0 else 'above'} what the spring should give")
    if found.seals.clear:
        said.append("pressure falls though nothing is drawn" if found.still else "water goes past the seals")
    if found.seals.slower:
        said.append("pressure falls too slowly for the water in the cup")
    if is_drop(found.drop):
        said.append("the puck's resistance drops at once")
    return said


def meaning_of(found: Found) -> str:
    """Return what the log says, and what it may come of."""
    said = []
    if found.peak is not None and found.spring is not None:
        force = words(found.peak.missing_n, found.peak.sigma_n or None, unit="N")
        if found.peak.departure > CLEAR:
            travel = words(found.peak.missing_n / found.spring.rate, unit="mm", figures=2)
            said.append(
                f"{force} are missing at the piston: a tired spring, friction of seals and lever, air in the "
                f"chamber, or {travel} of travel before it pressed. Rate and length of the spring, on a rig, tell."
            )
        elif found.peak.departure < -CLEAR:
            said.append("More pressure than the spring stated can give: another spring, its shims, or the gauge.")
        else:
            said.append(f"The highest pressure fits the spring: missing {force}.")
    said.append(_of_seals(found))
    if found.bed is not None:
        first = words(found.bed.first_flow, found.bed.first_sigma or None, unit="ml/s")
        last = words(found.bed.last_flow, found.bed.last_sigma or None, unit="ml/s")
        said.append(f"At 9 bar the puck lets {first} through at first and {last} at last.")
    if found.drop is not None and is_drop(found.drop):
        said.append(f"Its resistance drops by {-found.drop.change:.0%} at once: a channel through the puck, likely.")
    return " ".join(one for one in said if one)


def _of_seals(found: Found) -> str:
    """Return what is said of the seals."""
    seals = found.seals
    if found.still:
        if not seals.clear:
            return "No fall of pressure is shown with nothing drawn: what leaks is below what this log can tell."
        if seals.flow is None or seals.sink is None:
            return "Pressure falls with nothing drawn: water goes past the seals, or out at gasket or valve."
        flow, sink = words(seals.flow, seals.flow_sigma, unit="ml/min"), words(seals.sink, unit="mm/min")
        return (
            f"With nothing drawn {flow} go past seals, gasket or valve at 9 bar; the piston sinks by {sink} at first."
        )
    if seals.clear and seals.share is not None:
        share = words(seals.share, seals.share_sigma or None, unit="%", dimension="ratio")
        return f"{share} of what the piston moves does not reach the cup: past the seals, or out at the gasket."
    if seals.slower:
        return (
            "Pressure falls too slowly for the water in the cup: a softer spring, a scale that drifts, or water still "
            "coming in from the boiler."
        )
    return ""


def warnings_of(found: Found) -> tuple[str, ...]:
    """Return what must not be missed."""
    notes = list(found.log.notes)
    if not found.still and found.bed is None:
        notes.append("No puck with a steady course of resistance fits this log: not shown.")
    if not found.still and found.log.cup_m3 is None:
        notes.append("Without a meter, water past the seals counts as water through the puck.")
    if found.peak is not None:
        notes.append("One stroke downwards does not tell friction from a weak spring; up and down on a rig does.")
    return tuple(notes)
