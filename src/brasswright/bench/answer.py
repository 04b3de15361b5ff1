"""From what a person typed to what an instrument says: parse, ask back, run, spread, and give it all in plain types."""

from __future__ import annotations

import dataclasses
import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from brasswright.bench.propagate import NORMAL_95, propagate, propagate_linear
from brasswright.bench.saying import NO_SPREAD, lines, own_sigmas
from brasswright.errors import BrasswrightError, ImpossibleValue, NotFound, OutsideValidity
from brasswright.sources import cite
from brasswright.units import Measured, Quantity, parse, plausible, words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brasswright.bench.instrument import Input, Instrument
    from brasswright.bench.propagate import Spread

__all__ = ["SEED", "answer", "describe"]

SEED: Final = 1
"""Seed of the draws when nobody gives another: the same question gets the same answer."""

_YES: Final = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False, "false": False, "0": False}


def answer(
    instrument: Instrument, typed: Mapping[str, str], *, confirmed: bool = False, seed: int = SEED
) -> dict[str, Any]:
    """Return what an instrument says to typed readings, as plain types that JSON takes.

    Every output stands under its own name in SI; `inputs` repeats what was understood, `uncertainty` holds standard
    uncertainty and 95 % interval of each output where an input came with one or the output has its own, `in_words` is
    for people. A reading without a number, where the formula needs one, gives only its `meaning`.
    """
    quantities, arguments = _arguments(instrument, typed, confirmed=confirmed)
    head: dict[str, Any] = {"instrument": instrument.name, "inputs": _understood(instrument, typed, quantities)}
    tail = {"cautions": list(instrument.cautions), "sources": [cite(key) for key in instrument.sources]}
    silent = _silent(instrument, quantities)
    if silent is not None:
        return head | silent | tail
    result = instrument.call(**arguments)
    given = {output.field: getattr(result, output.field) for output in instrument.outputs}
    spread = _spread(instrument, quantities, arguments, seed)
    if spread is not None:
        spread = _with_own(instrument, quantities, given, spread)
    told = lines(instrument, given, spread or {}) + ([NO_SPREAD] if spread is None else [])
    return (
        head
        | {name: _simple(value) for name, value in given.items()}
        | {"uncertainty": spread or {}, "in_words": told}
        | tail
    )


def describe(instrument: Instrument) -> dict[str, Any]:
    """Return what an instrument says about itself, as plain types that JSON takes."""
    return {
        "name": instrument.name,
        "summary": instrument.summary,
        "validity": instrument.validity,
        "inputs": [
            {
                "key": entry.key,
                "asks": entry.asks,
                "kind": entry.kind,
                "required": entry.required,
                "dimension": entry.dimension,
                "unit": entry.unit,
                "range": _edges(entry),
                "choices": list(entry.choices),
            }
            for entry in instrument.inputs
        ],
        "outputs": [{"field": o.field, "unit": o.unit, "says": o.says} for o in instrument.outputs],
        "example": dict(instrument.example),
        "cautions": list(instrument.cautions),
        "sources": [cite(key) for key in instrument.sources],
    }


def _edges(entry: Input) -> list[str]:
    """Return the edges of validity in words."""
    return [
        words(edge, unit=entry.unit, dimension=entry.dimension) for edge in (entry.low, entry.high) if edge is not None
    ]


def _arguments(
    instrument: Instrument, typed: Mapping[str, str], *, confirmed: bool
) -> tuple[dict[str, Quantity], dict[str, Any]]:
    """Return the quantities by key, and the arguments of the instrument's function."""
    known = {entry.key: entry for entry in instrument.inputs}
    for key in typed:
        if key not in known:
            raise NotFound(f"{instrument.name} has no input '{key}'.", allowed=", ".join(known))
    missing = [entry.key for entry in instrument.inputs if entry.required and entry.key not in typed]
    if missing:
        raise ImpossibleValue(
            f"{instrument.name} needs {' and '.join(missing)}.",
            remedy="Such as: " + " ".join(f'{key}="{text}"' for key, text in instrument.example.items()),
        )
    quantities: dict[str, Quantity] = {}
    arguments: dict[str, Any] = {}
    for key, text in typed.items():
        entry = known[key]
        if entry.kind == "figure":
            quantities[key] = _quantity(entry, text, confirmed=confirmed)
            arguments |= _figure_arguments(entry, quantities[key])
        else:
            arguments[entry.argument] = _chosen(entry, text)
    return quantities, arguments


def _quantity(entry: Input, text: str, *, confirmed: bool) -> Quantity:
    """Return one typed reading, asked about when it is far from usual; a refusal names the input."""
    try:
        read = parse(text, dimension=entry.dimension)
        if entry.plausible is not None:
            plausible(read, *entry.plausible, confirmed=confirmed)
    except BrasswrightError as refusal:
        again = type(refusal)(
            refusal.what, where=entry.key, got=refusal.got, allowed=refusal.allowed, remedy=refusal.remedy
        )
        raise again from None
    return read


def _figure_arguments(entry: Input, read: Quantity) -> dict[str, Any]:
    """Return the arguments that one reading fills: value, uncertainty, "over range"."""
    found: dict[str, Any] = {}
    if read.value is not None:
        found[entry.argument] = read.value
    if entry.sigma and read.sigma is not None:
        found[entry.sigma] = read.sigma
    if entry.censored and read.censored is not None:
        found[entry.censored] = read.censored
    return found


def _chosen(entry: Input, text: str) -> str | bool:
    """Return the choice, the yes or no, the words that were typed, or the text of a log as it stands."""
    if entry.kind == "log":
        return text
    tidy = " ".join(text.split())
    if entry.kind == "words":
        return tidy
    if entry.kind == "yes or no":
        if tidy.lower() not in _YES:
            raise ImpossibleValue("Yes or no is asked.", where=entry.key, got=f"'{text}'", allowed="yes, no")
        return _YES[tidy.lower()]
    for choice in entry.choices:
        if choice.lower() == tidy.lower():
            return choice
    raise NotFound("That is none of the choices.", where=entry.key, got=f"'{text}'", allowed=", ".join(entry.choices))


def _silent(instrument: Instrument, quantities: Mapping[str, Quantity]) -> dict[str, Any] | None:
    """Return the meaning of a reading without a number where the formula needs one, or None."""
    for entry in instrument.inputs:
        read = quantities.get(entry.key)
        if read is None or read.censored is None or entry.censored:
            continue
        if read.censored not in entry.silent:
            raise ImpossibleValue("A number is needed here.", where=entry.key, got=f"'{read.text}'")
        meaning = entry.silent[read.censored]
        return {"censored": {entry.key: read.censored}, "meaning": meaning, "in_words": [f"{read.text}: {meaning}"]}
    return None


def _spread(
    instrument: Instrument, quantities: Mapping[str, Quantity], arguments: Mapping[str, Any], seed: int
) -> dict[str, dict[str, float]] | None:
    """Return sigma and 95 % interval of each output, where an input came with its uncertainty.

    None: it came with one, but even one standard uncertainty about the reading leaves the range in which the instrument
    holds.
    """
    uncertain = {
        entry.argument: Measured(read.value, read.sigma)
        for entry in instrument.inputs
        if (read := quantities.get(entry.key)) is not None and read.value is not None and read.sigma
    }
    if not uncertain:
        return {}
    spread = _spread_of(instrument, {**arguments, **uncertain}, seed)
    if spread is None:
        return None
    shown = {output.field for output in instrument.outputs}
    return {
        name: {"sigma": one.sigma, "low": one.low, "high": one.high} for name, one in spread.items() if name in shown
    }


def _with_own(
    instrument: Instrument,
    quantities: Mapping[str, Quantity],
    given: Mapping[str, Any],
    spread: Mapping[str, dict[str, float]],
) -> dict[str, dict[str, float]]:
    """Return the spread with what the instrument itself says of its outputs, such as a fit to a log.

    Its own standard uncertainty holds the uncertainties that it was handed; that of any other input is added in
    squares (JCGM 100:2008, 5.1.2). The 95 % are those of a normal distribution.
    """
    sigmas = own_sigmas(instrument)
    found = {name: one for name, one in spread.items() if name not in sigmas.values()}
    unseen = any(one.sigma and not e.sigma for e in instrument.inputs if (one := quantities.get(e.key)) is not None)
    for name, by in sigmas.items():
        value, own = given[name], given[by]
        if not (isinstance(value, float) and isinstance(own, float) and own > 0):
            continue
        sigma = math.hypot(own, spread[name]["sigma"]) if unseen and name in spread else own
        found[name] = {"sigma": sigma, "low": value - NORMAL_95 * sigma, "high": value + NORMAL_95 * sigma}
    return found


def _spread_of(instrument: Instrument, inputs: Mapping[str, Any], seed: int) -> Mapping[str, Spread] | None:
    """Return the spread by draws; in a straight line where draws leave the range or arrays are not taken; or None."""
    try:
        return propagate(instrument.call, inputs=inputs, seed=seed)
    except (TypeError, ValueError, OutsideValidity, ImpossibleValue):
        pass
    try:
        return propagate_linear(instrument.call, inputs=inputs)
    except (OutsideValidity, ImpossibleValue):
        return None


def _understood(
    instrument: Instrument, typed: Mapping[str, str], quantities: Mapping[str, Quantity]
) -> dict[str, dict[str, Any]]:
    """Return each input as typed and as understood."""
    found: dict[str, dict[str, Any]] = {}
    for entry in instrument.inputs:
        if entry.key in quantities:
            read = quantities[entry.key]
            found[entry.key] = {"text": read.text, "value": read.value, "sigma": read.sigma, "censored": read.censored}
        elif entry.key in typed:
            found[entry.key] = {"text": typed[entry.key], "value": _chosen(entry, typed[entry.key])}
    return found


def _simple(value: object) -> Any:  # noqa: ANN401 - JSON takes any of its own types
    """Return a value in the types that JSON takes."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {entry.name: _simple(getattr(value, entry.name)) for entry in dataclasses.fields(value)}
    if isinstance(value, tuple | list):
        return [_simple(one) for one in value]
    return value.tolist() if isinstance(value, np.ndarray | np.generic) else value
