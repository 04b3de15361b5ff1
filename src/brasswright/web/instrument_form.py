"""An instrument's form, made from its inputs, and what was typed into it: understood, or told apart field by field.

A figure may be typed with its unit ("48.4 ± 0.2 ohm") or as a number beside a list of units; the unit that was typed
wins. What a person gets wrong is kept as typed and told at its field; a value far from usual is asked about, and a tick
confirms that very text and no other.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from brasswright.bench.saying import reach
from brasswright.errors import BrasswrightError, ImpossibleValue, NeedsConfirmation, OutsideValidity
from brasswright.sources import cite
from brasswright.units import parse, plausible, units_of
from brasswright.web.pages.photographs import Choice
from brasswright.web.spoken import capital, count

if TYPE_CHECKING:
    from brasswright.bench.instrument import Input, Instrument
    from brasswright.web.forms import Form, Upload
    from brasswright.web.offered import Offered

__all__ = [
    "LOG_BYTES",
    "Blank",
    "Checked",
    "Typed",
    "asked_with",
    "blanks",
    "checked",
    "log_text",
    "placed",
    "said",
    "typed_in",
]

LOG_BYTES: Final = 524_288
"""The most that a logged curve may hold [bytes]: some twenty thousand lines."""

_AS_TYPED: Final = ""
_CELLS: Final = 2
_CELL_LETTERS: Final = 18
_SPELT: Final = {"ph": "pH", "co2": "CO2", "tds": "TDS"}
_UNIT_NAMES: Final = {"1": "share of 1"}
_TINY: Final = "0.000000"
"""Edges so small are told where the range is broken; nobody reads them beside a field."""
_UNIT_GOES: Final = re.compile(r"\s*(?:±|;|,\s|\(k)")


@dataclass(frozen=True, slots=True)
class Typed:
    """What came with the form, by input key: texts as typed, units chosen beside them, texts that were confirmed."""

    texts: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    confirmed: Mapping[str, str] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)

    @property
    def asked(self) -> bool:
        """Whether anything was sent at all, be it an empty form."""
        return bool(self.texts or self.problems)

    @property
    def holding(self) -> tuple[str, ...]:
        """The keys whose text is still the one that was confirmed."""
        return tuple(key for key, text in self.confirmed.items() if self.texts.get(key) == text)


@dataclass(frozen=True, slots=True)
class Checked:
    """What was typed, with units, ready for the instrument; `problems` and `doubts` stand at their fields."""

    texts: Mapping[str, str]
    problems: Mapping[str, str]
    doubts: Mapping[str, str]

    @property
    def good(self) -> bool:
        """Whether the instrument can be asked."""
        return not self.problems and not self.doubts


@dataclass(frozen=True, slots=True)
class Blank:
    """One field of the form: its words, how it is drawn (`shape`), what stands in it, what is wrong with it."""

    key: str
    name: str
    asks: str
    shape: str
    needed: bool
    takes: str
    text: str
    units: tuple[Choice, ...]
    choices: tuple[Choice, ...]
    problem: str
    confirm: str
    confirmed: bool
    offered: str
    described: str


def typed_in(instrument: Instrument, form: Form) -> Typed:
    """Return what a form holds for an instrument; a log's file goes before its pasted text."""
    texts, units, problems = {}, {}, {}
    for entry in instrument.inputs:
        if entry.key in form.texts:
            texts[entry.key] = form.text(entry.key)
        if form.text(f"unit.{entry.key}"):
            units[entry.key] = form.text(f"unit.{entry.key}")
        sent = form.files.get(f"file.{entry.key}", ())
        if entry.kind == "log":
            try:
                texts |= {entry.key: log_text(sent[0])} if sent else {}
                _small(texts.get(entry.key, "").encode())
            except BrasswrightError as refusal:
                problems[entry.key] = said(refusal)
    pairs = (one.partition("=") for one in form.several("confirm"))
    return Typed(texts, units, {key: text for key, _, text in pairs}, problems)


def log_text(upload: Upload) -> str:
    """Return the text of a log that came as a file.

    Raises:
        ImpossibleValue: it is larger than `LOG_BYTES`, or it is no text in UTF-8.
    """
    _small(upload.content)
    name = upload.name or "the file"
    remedy = "Save it as CSV in UTF-8 and choose it again, or paste its text."
    if upload.content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        raise ImpossibleValue(f"{name} is written in UTF-16.", allowed="UTF-8", remedy=remedy)
    if b"\0" in upload.content:
        raise ImpossibleValue(f"{name} is no text: it holds bytes that no CSV has.", remedy=remedy)
    try:
        return upload.content.decode("utf-8-sig")
    except UnicodeDecodeError as failure:
        line = upload.content.count(b"\n", 0, failure.start) + 1
        raise ImpossibleValue(
            f"{name} is not written in UTF-8: line {line} holds a sign of another encoding.",
            allowed="UTF-8",
            remedy=remedy,
        ) from None


def _small(content: bytes) -> None:
    if len(content) > LOG_BYTES:
        raise ImpossibleValue(
            "The log is too large.",
            got=f"{len(content) // 1024} kB",
            allowed=f"up to {LOG_BYTES // 1024} kB",
            remedy="Keep the part that matters, or every second line.",
        )


def checked(instrument: Instrument, typed: Typed) -> Checked:
    """Return what was typed as the instrument takes it, and everything that is wrong, not only the first of it."""
    texts: dict[str, str] = {}
    problems, doubts = dict(typed.problems), {}
    for entry in instrument.inputs:
        text = typed.texts.get(entry.key, "")
        if entry.key in problems:
            continue
        if not text:
            if entry.required:
                problems[entry.key] = "This is needed."
            continue
        if entry.kind != "figure":
            texts[entry.key] = text
            continue
        try:
            texts[entry.key] = _with_unit(entry, text, typed.units.get(entry.key, _AS_TYPED))
            confirmed = typed.confirmed.get(entry.key) == text
            read = parse(texts[entry.key], dimension=entry.dimension)
            if entry.plausible is not None:
                plausible(read, *entry.plausible, confirmed=confirmed)
        except NeedsConfirmation as doubt:
            doubts[entry.key] = said(doubt)
        except BrasswrightError as refusal:
            problems[entry.key] = said(refusal)
    return Checked(texts, problems, doubts)


def _own_unit(entry: Input, text: str) -> str | None:
    """Return the unit that stands in the text itself, None where there is none."""
    try:
        return parse(text, dimension=entry.dimension).unit
    except BrasswrightError:
        return None


def _with_unit(entry: Input, text: str, chosen: str) -> str:
    """Return a figure with its unit: the one typed, else the one chosen; two that differ are refused."""
    own = _own_unit(entry, text)
    if own is not None:
        if own != chosen and chosen not in {_AS_TYPED, entry.unit} and any(letter.isalpha() for letter in text):
            raise ImpossibleValue(
                f"The field says {own}, the list beside it {chosen}.",
                remedy="Take the unit out of the field, or choose 'as typed' in the list.",
            )
        if chosen == "%" and own == "1" and _own_unit(entry, f"{text} %") is not None:
            return f"{text} %"
        return text
    if not chosen:
        return text
    goes = _UNIT_GOES.search(text)
    tries = [f"{text} {chosen}"]
    if goes is not None:
        tries.append(f"{text[: goes.start()]} {chosen}{text[goes.start() :]}")
        again = _UNIT_GOES.search(text, goes.end())
        tries += [f"{text[: again.start()]} {chosen}{text[again.start() :]}"] if again is not None else []
    found = next((one for one in tries if _own_unit(entry, one) is not None), None)
    if found is not None:
        return found
    return text if any(letter.isalpha() for letter in text) else f"{text} {chosen}"


def placed(instrument: Instrument, refusal: BrasswrightError) -> tuple[str, str]:
    """Return the key of the input a refusal is about, empty where it is about several, and the refusal in words."""
    if isinstance(refusal, OutsideValidity):
        for entry in instrument.inputs:
            if refusal.name in {entry.argument, entry.key}:
                return entry.key, _outside(entry, refusal)
    head = re.split(r"[,: ]", refusal.where, maxsplit=1)[0]
    for entry in instrument.inputs:
        if head and head in {entry.key, entry.argument}:
            return entry.key, said(refusal)
    logs = [entry.key for entry in instrument.inputs if entry.kind == "log"]
    return ("" if not head or len(logs) != 1 else logs[0]), said(refusal)


def _outside(entry: Input, refusal: OutsideValidity) -> str:
    """Return a refusal outside validity with its edges in the unit of the field."""
    edges = reach(refusal.low, refusal.high, unit=entry.unit, dimension=entry.dimension)
    try:
        source = cite(refusal.source)
    except BrasswrightError:
        source = refusal.source
    return f"Outside the range in which this instrument holds. Allowed: {edges} ({source})."


def said(refusal: BrasswrightError) -> str:
    """Return a refusal without its place, which the page shows by where it stands."""
    place = f"{refusal.where}: " if ", line" in refusal.where else ""
    parts = [f"{capital(place)}{refusal.what}"]
    if refusal.got is not None:
        parts.append(f"Got {refusal.got}.")
    if refusal.allowed:
        parts.append(f"Allowed: {refusal.allowed}.")
    return " ".join([*parts, refusal.remedy]).strip()


def blanks(
    instrument: Instrument, typed: Typed, offers: Mapping[str, Offered], problems: Mapping[str, str], checks: Checked
) -> tuple[Blank, ...]:
    """Return the fields of the form, what was typed still in them, offers where nothing was sent."""
    return tuple(_blank(entry, typed, offers.get(entry.key), problems, checks) for entry in instrument.inputs)


def _blank(entry: Input, typed: Typed, offer: Offered | None, problems: Mapping[str, str], checks: Checked) -> Blank:
    sent = typed.texts.get(entry.key)
    text = sent if sent is not None else offer.text if offer is not None else ""
    doubt = checks.doubts.get(entry.key, "") if typed.asked else ""
    problem = problems.get(entry.key, "") or doubt
    ticked = typed.confirmed.get(entry.key) == text and bool(text)
    about = [f"about-{entry.key}"] + ([f"why-{entry.key}"] if problem else [])
    return Blank(
        key=entry.key,
        name=_name(entry),
        asks=capital(entry.asks),
        shape=_shape(entry),
        needed=entry.required,
        takes=_takes(entry),
        text=text,
        units=_units(entry, text, typed.units.get(entry.key)),
        choices=_choices(entry, text),
        problem=problem,
        confirm=f"{entry.key}={text}" if doubt or ticked else "",
        confirmed=ticked,
        offered=capital(offer.said) if offer is not None else "",
        described=" ".join(about),
    )


def _name(entry: Input) -> str:
    return capital(" ".join(_SPELT.get(word, word) for word in entry.key.split("_")))


def _shape(entry: Input) -> str:
    """Return how a field is drawn: figure, cells, select, words or log."""
    if entry.kind == "yes or no":
        return "cells"
    if entry.kind == "choice":
        short = len(entry.choices) <= _CELLS and sum(map(len, entry.choices)) <= _CELL_LETTERS
        return "cells" if short else "select"
    return entry.kind


def _takes(entry: Input) -> str:
    """Return the range in which a figure holds, or what a log may hold, in words."""
    if entry.kind == "log":
        return f"Comma, semicolon or tab between the columns; UTF-8; up to {LOG_BYTES // 1024} kB."
    if entry.low is None or entry.high is None:
        return ""
    edges = reach(entry.low, entry.high, unit=entry.unit, dimension=entry.dimension)
    return "" if _TINY in edges else f"Holds for {edges}."


def _units(entry: Input, text: str, chosen: str | None) -> tuple[Choice, ...]:
    """Return the list of units beside a figure; a text that holds its own unit stands as typed."""
    if entry.kind != "figure" or entry.unit == "1":
        return ()
    own = bool(text) and _own_unit(entry, text) is not None and entry.dimension != "ratio"
    wanted = _AS_TYPED if own else entry.unit if chosen is None else chosen
    known = units_of(entry.dimension)
    listed = [entry.unit, *(unit for unit in known if unit != entry.unit)] if entry.unit in known else list(known)
    return (
        *(Choice(unit, _UNIT_NAMES.get(unit, unit), unit == wanted) for unit in listed),
        Choice(_AS_TYPED, "as typed", wanted == _AS_TYPED),
    )


def _choices(entry: Input, text: str) -> tuple[Choice, ...]:
    """Return what can be chosen; "not said" comes first and is no answer."""
    if entry.kind not in {"choice", "yes or no"}:
        return ()
    names = entry.choices or ("yes", "no")
    return (
        Choice("", "not said", not text),
        *(Choice(one, one, one.lower() == text.lower()) for one in names),
    )


def asked_with(instrument: Instrument, texts: Mapping[str, str]) -> str:
    """Return what the instrument was asked with, on one line; a log by its length."""
    parts = []
    for entry in instrument.inputs:
        if entry.key in texts:
            lines = count(len(texts[entry.key].splitlines()), "line")
            parts.append(f"{entry.key.replace('_', ' ')} {f'of {lines}' if entry.kind == 'log' else texts[entry.key]}")
    return ", ".join(parts)
