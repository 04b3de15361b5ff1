"""Enter a corrected plate: refuse what no machine is made for, ask back where it is far from usual."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.errors import EntryRefused
from brasswright.units import parse, plausible

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.journal.replated import Replated

__all__ = ["check_plate", "complete_plate"]

USUAL = (("rated_voltage_v", "V", "voltage", 90.0, 260.0), ("rated_power_w", "W", "power", 150.0, 8000.0))
"""Field, unit, dimension, least and most that is usual on the plate of a lever machine: common practice, no source."""
WIDEST = {"rated_voltage_v": (6.0, 500.0), "rated_power_w": (5.0, 20_000.0)}
"""What the bench can reckon an element's resistance from; beyond it a plate would give no limit at all."""


def complete_plate(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a correction with figures for what was typed: "125", "125 V", "1.2 kW".

    Raises:
        UnitRefused, ImpossibleValue: a text that is no such figure.
        EntryRefused: a bound or a mark of the instrument instead of a figure.
    """
    filled = dict(fields)
    for field, unit, dimension, _, _ in USUAL:
        text = filled.get(field)
        if not isinstance(text, str):
            continue
        bare = not any(letter.isalpha() for letter in text)
        read = parse(f"{text.strip()} {unit}" if bare else text, dimension=dimension)
        if read.value is None or read.censored is not None:
            raise EntryRefused("A plate needs its number.", where=field, got=text)
        filled[field] = read.value
    return filled


def check_plate(body: Replated) -> None:
    """Refuse a correction that says nothing or nothing that can be; ask where it is unusual.

    Raises:
        EntryRefused: neither volts nor watts, or figures that no element is made for.
        NeedsConfirmation: a figure far from usual that is not confirmed.
    """
    if body.rated_voltage_v is None and body.rated_power_w is None:
        raise EntryRefused("A corrected plate gives volts, watts or both.", allowed="rated_voltage_v, rated_power_w")
    for field, unit, dimension, low, high in USUAL:
        value: float | None = getattr(body, field)
        if value is None:
            continue
        least, most = WIDEST[field]
        if not least <= value <= most:
            raise EntryRefused(
                "No element of such a machine is made for this.",
                where=field,
                got=f"{value:g} {unit}",
                allowed=f"{least:g} to {most:g} {unit}",
            )
        plausible(parse(f"{value:g} {unit}", dimension=dimension), low, high, confirmed=body.confirmed)
