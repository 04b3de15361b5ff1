"""Entries and odds in a line of plain words, the same on the command line and the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brasswright.journal import entries as kinds
from brasswright.judgement.words import chance_words

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Odds
    from brasswright.sheets.model import Sheet

__all__ = ["component_name", "entry_words", "odds_words", "question_words"]

STAGES = {"ink": "seen", "pencil": "likely", "paper": "not known; from its kind", "silent": "no odds"}


def component_name(key: str, sheet: Sheet) -> str:
    """Return a component's name, or its key in words where the sheet does not know it."""
    return sheet.component[key].name if key in sheet.component else key.replace("_", " ")


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
        f"{odds.likeliest}, set by {odds.set_by}" if odds.set_by else f"{odds.likeliest}, {chance_words(max(odds.p))}"
    )
    tail = ", ".join(f"{state} {p:.2f}" for state, p in zip(odds.states, odds.p, strict=True)) if figures else ""
    return f"{head} ({STAGES[odds.stage]}){'; ' + tail if tail else ''}"


def _answered(body: kinds.Answered, sheet: Sheet) -> str:
    what = (
        body.answer or body.aside or "leaning: " + ", ".join(f"{k} {v:g}" for k, v in (body.likelihood or {}).items())
    )
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


def entry_words(entry: kinds.Entry, sheet: Sheet) -> str:  # noqa: C901, PLR0911, PLR0912 - one line for each kind
    """Return one entry as a line of words."""
    match entry.body:
        case kinds.Arrived() as body:
            return f"arrived: {body.machine.description}; {body.carriage or 'carriage not said'}"
        case kinds.Answered() as body:
            return _answered(body, sheet)
        case kinds.Swept() as body:
            return _swept(body, sheet)
        case kinds.Measured() as body:
            return _measured(body, sheet)
        case kinds.Photographed() as body:
            return f"{'drawing' if body.drawing else 'photograph'}: {body.title}"
        case kinds.Remarked() as body:
            return body.words
        case kinds.Identified() as body:
            return f"{component_name(body.component, sheet)}: {body.presence}"
        case kinds.Fixed() as body:
            return (
                f"{component_name(body.component, sheet)} set to {body.condition or 'what the odds say'}: {body.reason}"
            )
        case kinds.Found() as body:
            return f"{component_name(body.component, sheet)} found {body.condition}"
        case kinds.Chose() as body:
            return f"treatment {body.treatment}: {body.decision}"
        case kinds.Added() as body:
            return f"{'struck by hand' if body.struck else 'added by hand'}: {body.title}"
        case kinds.Priced() as body:
            return f"price of {body.item}: {body.likely_minor / 100:.2f} {body.currency}"
        case kinds.Released() as body:
            return _released(body, sheet)
        case kinds.Disturbed() as body:
            return f"disturbed: {body.words}"
        case kinds.Started() as body:
            return _started(body)
        case kinds.Stopped() as body:
            return f"{'finished' if body.finished else 'stopped'}: {body.operation}"
        case kinds.Moved() as body:
            return f"{component_name(body.component, sheet)} to {body.to}"
        case kinds.Proved() as body:
            return _proved(body, sheet)
        case kinds.Issued() as body:
            return f"issued: {body.paper}, sha256 {body.sha256[:12]}"
        case kinds.Approved() as body:
            return f"approved by {body.who}, {body.how}: paper {body.paper_sha256[:12]}"
        case kinds.Declined() as body:
            return f"declined by {body.who}, {body.how}: paper {body.paper_sha256[:12]}"
        case kinds.Withdrew() as body:
            return f"struck an entry: {body.reason}"
        case _:
            return f"{entry.body.kind}"
