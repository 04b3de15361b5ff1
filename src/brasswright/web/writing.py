"""From a form to the journal: enter what it says once, notice who wrote in between, and keep what was typed.

A refusal is a value that a page shows; only what a programmer got wrong raises.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from brasswright.errors import BrasswrightError, Clash, HeldWork, NeedsConfirmation
from brasswright.journal.replay import replay
from brasswright.workshop.record import note

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from brasswright.journal.entries import Entry
    from brasswright.web.desk import Desk
    from brasswright.web.forms import Form
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.record import Line

__all__ = ["Refusal", "enter", "refusal_of"]

Kind = Literal["refused", "clash", "confirm", "held"]
STATUS: Mapping[Kind, int] = {"refused": 422, "clash": 409, "confirm": 422, "held": 409}
HEADINGS: Mapping[Kind, str] = {
    "refused": "This is not entered yet",
    "clash": "Somebody else wrote on this at the same time",
    "confirm": "Was it really read so?",
    "held": "A hold point stands",
}


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something was not entered, in words, with what was typed; `again` is sent once more if the person insists."""

    kind: Kind
    heading: str
    lines: tuple[str, ...]
    again: tuple[tuple[str, str], ...] = ()
    action: str = ""
    action_back: str = ""

    @property
    def status(self) -> int:
        """The status with which a page shows it."""
        return STATUS[self.kind]


def refusal_of(error: BrasswrightError) -> Refusal:
    """Return a refusal for an error, in its own words."""
    kind: Kind = "refused"
    if isinstance(error, HeldWork):
        return Refusal("held", HEADINGS["held"], (error.what, *(f"To release: {want}." for want in error.wants)))
    if isinstance(error, NeedsConfirmation):
        kind = "confirm"
    elif isinstance(error, Clash):
        kind = "clash"
    return Refusal(kind, HEADINGS[kind], tuple(line.strip() for line in str(error).splitlines()))


def enter(desk: Desk, number: int, lines: Sequence[Line], form: Form, action: str) -> Refusal | None:
    """Enter lines that belong together; return None when they are in the journal, or why they are not.

    What the same person entered in between is no clash: they saw it, on this screen or another. `action` is where the
    form is sent again when the person settles a clash.
    """
    opened = desk.open(number)
    if _there(opened, lines):
        return None
    try:
        note(desk.workshop, _as_seen(opened, form.seen()), lines)
    except BrasswrightError as error:
        now = desk.open(number)
        if _there(now, lines):
            return None
        if not isinstance(error, Clash):
            return refusal_of(error)
        others = _by_others(now, form.seen(), lines)
        if others:
            return _clash(others, error, form, action, now.job.seq, desk.settings().people)
        return _again(desk, now, lines)
    return None


def _again(desk: Desk, now: OpenJob, lines: Sequence[Line]) -> Refusal | None:
    try:
        note(desk.workshop, now, lines)
    except BrasswrightError as error:
        return refusal_of(error)
    return None


def _there(opened: OpenJob, lines: Sequence[Line]) -> bool:
    """Whether these lines are in the journal already, because the form was sent before."""
    stored = {entry.id for entry in opened.job.entries}
    return bool(lines) and all(line.id in stored for line in lines)


def _as_seen(opened: OpenJob, seen: int | None) -> OpenJob:
    """Return the job as the page showed it, so that the store notices what came in between."""
    if seen is None or not 0 < seen < opened.job.seq:
        return opened
    return replace(opened, job=replay(opened.job.entries[:seen], set_aside=opened.job.set_aside))


def _by_others(now: OpenJob, seen: int | None, lines: Sequence[Line]) -> tuple[Entry, ...]:
    mine = {line.by for line in lines}
    return tuple(entry for entry in now.job.entries[seen or 0 :] if entry.by not in mine)


def _clash(  # noqa: PLR0913, PLR0917 - what a clash shows
    others: tuple[Entry, ...], error: Clash, form: Form, action: str, seq: int, people: Mapping[str, str]
) -> Refusal:
    whose = ", ".join(dict.fromkeys(people.get(entry.by, entry.by) for entry in others))
    lines = (
        f"{whose} entered something on the same subject while this page was open ({error.got}).",
        "The page now shows the journal as it stands. Yours is not entered: put it after theirs, or leave it.",
    )
    again = {**form.visible(), "entry": form.text("entry"), "seen": str(seq)}
    return Refusal("clash", HEADINGS["clash"], lines, tuple(again.items()), action)
