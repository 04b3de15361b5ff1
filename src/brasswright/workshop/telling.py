"""Entries and odds in a line of plain words, the same on the command line and the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brasswright.bench.dimensions import dimensions
from brasswright.journal import entries as kinds
from brasswright.judgement.words import chance_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from brasswright.judgement.opinion import Odds
    from brasswright.sheets.model import Sheet
from brasswright.sheets.spoken import spoken

__all__ = ["component_name", "entry_words", "odds_words", "question_words"]

STAGES = {"ink": "seen", "pencil": "likely", "paper": "not known; from its kind", "silent": "no odds"}


def component_name(key: str, sheet: Sheet) -> str:
    """Return a component's name, or its key in words where the sheet does not know it."""
    return sheet.component[key].name if key in sheet.component else spoken(key)


def question_words(key: str, sheet: Sheet) -> str:
    """Return what is asked, without its question mark."""
    if key in sheet.finding:
        return sheet.finding[key].look.rstrip("?.")
    if key in sheet.history:
        return sheet.history[key].ask.rstrip("?.")
    return sheet.reading[key].ask.rstrip("?.") if key in sheet.reading else key


def odds_words(odds: Odds, *, figures: bool = False) -> str:
    """Return a component's odds in words: the likeliest condition, how likely, how we know."""
    if odds.stage == "gone":
        return odds.presence
    if not odds.p:
        return f"no odds ({odds.presence})"
    head = (
        f"{spoken(odds.likeliest)}, set by {odds.set_by}"
        if odds.set_by
        else f"{spoken(odds.likeliest)}, {chance_words(max(odds.p))}"
    )
    tail = (
        ", ".join(f"{spoken(state)} {p:.2f}" for state, p in zip(odds.states, odds.p, strict=True)) if figures else ""
    )
    return f"{head} ({STAGES[odds.stage]}){'; ' + tail if tail else ''}"


def _answered(body: kinds.Answered, sheet: Sheet) -> str:
    leaning = ", ".join(f"{spoken(k)} {v:g}" for k, v in (body.likelihood or {}).items())
    what = spoken(body.answer or body.aside or "") or f"leaning: {leaning}"
    words = f" ({body.words})" if body.words else ""
    return f"{question_words(body.question, sheet)}: {what}, {body.manner}{words}"


def _swept(body: kinds.Swept, sheet: Sheet) -> str:
    zone = sheet.zone[body.zone].name if body.zone in sheet.zone else body.zone
    return f"looked at all of {zone}, nothing else seen ({len(body.questions)} questions)"


def _measured(body: kinds.Measured, sheet: Sheet) -> str:
    using = f", with {body.instrument or body.instrument_kind}" if body.instrument or body.instrument_kind else ""
    return f"{question_words(body.reading, sheet)}: {body.text}{using}"


def _proved(body: kinds.Proved, sheet: Sheet) -> str:
    name = sheet.proving[body.test].name if body.test in sheet.proving else body.test
    value = f" {body.value_text}" if body.value_text else ""
    return f"{name}: {body.outcome}{value}, limit: {body.limit_text}"


def _released(body: kinds.Released, sheet: Sheet) -> str:
    name = sheet.hold[body.hold].name if body.hold in sheet.hold else body.hold
    return f"released hold: {name}"


def _started(body: kinds.Started) -> str:
    held = f", done while held ({', '.join(body.done_while)})" if body.done_while else ""
    return f"started: {body.title}{held}"


def _set(body: kinds.Fixed, sheet: Sheet) -> str:
    to = spoken(body.condition) if body.condition else "what the odds say"
    return f"{component_name(body.component, sheet)} set to {to}: {body.reason}"


def _sized(body: kinds.Sized, sheet: Sheet) -> str:
    known = dimensions().get(body.dimension)
    name = known.name if known is not None else body.name or spoken(body.dimension)
    using = f", with {body.instrument}" if body.instrument else ""
    return f"{component_name(body.component, sheet)}, {name}: {body.text}, {body.how}{using}"


def _replated(body: kinds.Replated) -> str:
    figures = ((body.rated_voltage_v, "V"), (body.rated_power_w, "W"))
    said = " and ".join(f"{value:g} {unit}" for value, unit in figures if value is not None)
    return f"plate corrected to {said}: {body.words}"


def _chose(body: kinds.Chose, sheet: Sheet) -> str:
    name = sheet.treatment[body.treatment].name if body.treatment in sheet.treatment else spoken(body.treatment)
    said = {"do": "to be done", "leave": "not to be done", "open": "left to the plan again"}[body.decision]
    return f"decided: {name[:1].lower()}{name[1:]}, {said}{f' ({body.reason})' if body.reason else ''}"


LINES: dict[type[Any], Callable[[Any, Sheet], str]] = {
    kinds.Arrived: lambda b, _: f"arrived: {b.machine.description}; {b.carriage or 'carriage not said'}",
    kinds.Answered: _answered,
    kinds.Swept: _swept,
    kinds.Measured: _measured,
    kinds.Photographed: lambda b, _: f"{'drawing' if b.drawing else 'photograph'}: {b.title}",
    kinds.Remarked: lambda b, _: str(b.words),
    kinds.Identified: lambda b, sheet: f"{component_name(b.component, sheet)}: {b.presence}",
    kinds.Fixed: _set,
    kinds.Found: lambda b, sheet: f"{component_name(b.component, sheet)} found {spoken(b.condition)}",
    kinds.Chose: _chose,
    kinds.Added: lambda b, _: f"{'struck by hand' if b.struck else 'added by hand'}: {b.title}",
    kinds.Priced: lambda b, _: f"price of {spoken(b.item)}: {b.likely_minor / 100:.2f} {b.currency}",
    kinds.Released: _released,
    kinds.Disturbed: lambda b, _: f"disturbed: {b.words}",
    kinds.Started: lambda b, _: _started(b),
    kinds.Stopped: lambda b, _: f"{'finished' if b.finished else 'stopped'}: {b.operation}",
    kinds.Moved: lambda b, sheet: f"{component_name(b.component, sheet)} to {b.to}",
    kinds.Proved: _proved,
    kinds.Issued: lambda b, _: f"issued: {b.paper}, sha256 {b.sha256[:12]}",
    kinds.Approved: lambda b, _: f"approved by {b.who}, {b.how}: paper {b.paper_sha256[:12]}",
    kinds.Declined: lambda b, _: f"declined by {b.who}, {b.how}: paper {b.paper_sha256[:12]}",
    kinds.Resheeted: lambda b, _: f"moved to sheet {b.sheet}: {b.reason}",
    kinds.Sent: lambda b, _: f"sent: {b.what}",
    kinds.Sized: _sized,
    kinds.Replated: lambda b, _: _replated(b),
    kinds.Set: lambda b, _: f"{b.key} = {b.value}",
    kinds.Learnt: lambda b, _: f"learned for {b.sheet}: {len(b.rows)} numbers from {len(b.jobs)} jobs",
    kinds.Withdrew: lambda b, _: f"struck an entry: {b.reason}",
}


def entry_words(entry: kinds.Entry, sheet: Sheet) -> str:
    """Return one entry as a line of words; an entry of a newer kind is named and left unread."""
    line = LINES.get(type(entry.body))
    return line(entry.body, sheet) if line else f"{entry.body.kind}: of a newer kind, kept unread"
