"""What an instrument says about itself: inputs, outputs, where it holds, whose formula it is.

A new instrument is one file dropped beside this one that defines `INSTRUMENT`; nothing else is told about it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

__all__ = ["Input", "Instrument", "Output"]


@dataclass(frozen=True, slots=True)
class Input:
    """One thing an instrument asks: the key a person types, the argument it becomes, its dimension and range.

    `low` and `high` are the edges of validity in SI; `plausible` is the narrower range taken without asking.
    `sigma` and `censored` name the arguments that take the uncertainty and "over range"; `silent` says what a reading
    without a number means where the formula needs one.
    """

    key: str
    argument: str
    asks: str
    kind: Literal["figure", "choice", "yes or no", "words", "log"] = "figure"
    dimension: str = ""
    unit: str = ""
    required: bool = False
    low: float | None = None
    high: float | None = None
    plausible: tuple[float, float] | None = None
    choices: tuple[str, ...] = ()
    sigma: str = ""
    censored: str = ""
    silent: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Output:
    """One field of the result: its SI unit (empty for words), what it says, and the unit on show."""

    field: str
    unit: str
    says: str
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument: its function and everything a person needs to use it."""

    name: str
    summary: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    validity: str
    example: Mapping[str, str]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    call: Callable[..., Any]
