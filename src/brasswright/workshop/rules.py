"""What an entry must agree with before it is stored: the sheet's names, the holds, the entries it speaks of."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from brasswright.errors import EntryRefused, HeldWork
from brasswright.holds.points import refuse_if_held, release_problems, stand
from brasswright.journal.entries import (
    Answered,
    Chose,
    Fixed,
    Found,
    Identified,
    Measured,
    Moved,
    Proved,
    Released,
    Started,
    Stopped,
    Swept,
    Withdrew,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from brasswright.journal.job import Job
    from brasswright.sheets.model import Sheet

__all__ = ["check_body"]


def known(key: str, among: Collection[str], what: str) -> None:
    """Refuse a key that is not among those known, naming the nearest."""
    if key in among:
        return
    near = get_close_matches(key, list(among), n=3)
    allowed = f"perhaps {', '.join(near)}" if near else f"one of {', '.join(sorted(among)[:12])} ..."
    raise EntryRefused(f"There is no {what} '{key}' in this sheet.", allowed=allowed)


def _answer(body: Answered, sheet: Sheet) -> None:
    given = [part is not None for part in (body.answer, body.likelihood, body.aside)]
    if sum(given) != 1:
        raise EntryRefused(
            f"'{body.question}' takes exactly one of answer, likelihood and aside.", got=f"{sum(given)} of them"
        )
    known(body.question, [*sheet.finding, *sheet.history], "question")
    finding = sheet.finding.get(body.question)
    answers = finding.answers if finding else sheet.history[body.question].states
    if body.answer is not None and body.answer not in answers:
        raise EntryRefused(
            f"'{body.answer}' is no answer to '{body.question}'.",
            allowed=", ".join([*answers, "not sure", "cannot see yet", "something else"]),
        )
    if body.aside == "something else" and not body.words.strip():
        raise EntryRefused("'something else' needs words.", where=body.question, remedy="Say what was seen.")
    if body.likelihood is not None:
        _likelihood(body.question, body.likelihood, answers)


def _likelihood(question: str, likelihood: dict[str, float], answers: tuple[str, ...]) -> None:
    unknown = set(likelihood) - set(answers)
    if unknown or min(likelihood.values(), default=-1.0) < 0 or sum(likelihood.values()) <= 0:
        raise EntryRefused(
            f"The likelihood given for '{question}' is not one.",
            got=likelihood,
            allowed=f"a number of 0 or more for each of {', '.join(answers)}, not all zero",
        )


def _swept(body: Swept, sheet: Sheet) -> None:
    known(body.zone, sheet.zone, "zone")
    for question in body.questions:
        known(question, sheet.finding, "question")


def _condition(body: Fixed | Found, sheet: Sheet) -> None:
    known(body.component, sheet.component, "component")
    states = sheet.component[body.component].states
    if body.condition is not None and body.condition not in states:
        raise EntryRefused(f"'{body.condition}' is no condition of '{body.component}'.", allowed=", ".join(states))


def _identified(body: Identified, sheet: Sheet) -> None:
    if body.presence == "extra":
        if body.component in sheet.component:
            raise EntryRefused(f"'{body.component}' is in the sheet, so it is not an extra part.")
        return
    known(body.component, sheet.component, "component")


def _started(body: Started, job: Job, sheet: Sheet) -> None:
    if body.done_while:
        standing = {key for key, state in stand(job, sheet).items() if not state.released}
        false = set(body.done_while) - standing
        if false:
            raise EntryRefused("Done while these holds stood, but they do not stand.", got=", ".join(sorted(false)))
        return
    refuse_if_held(body.title, body.acts, job, sheet)


def _proved(body: Proved, job: Job, sheet: Sheet) -> None:
    known(body.test, sheet.proving, "proving test")
    test = sheet.proving[body.test]
    states = stand(job, sheet)
    held = tuple(states[key] for key in test.needs if key in states and not states[key].released)
    if held and not body.done_while:
        raise HeldWork(
            test.name,
            holds=tuple(f"hold {state.number}, {state.name}" for state in held),
            wants=tuple(want for state in held for want in state.wants),
        )


def _released(body: Released, job: Job, sheet: Sheet) -> None:
    problems = release_problems(body, job, sheet)
    if problems:
        raise EntryRefused(
            f"Hold '{body.hold}' is not released.",
            got="; ".join(str(problem) for problem in problems),
            remedy="Nothing was entered.",
        )


def _stopped(body: Stopped, job: Job) -> None:
    work = job.work.get(body.operation)
    if work is None:
        raise EntryRefused(f"'{body.operation}' was not started.", remedy="Enter `started` first.")


def _withdrew(body: Withdrew, job: Job) -> None:
    for entry in job.entries:
        if entry.id == body.entry:
            if entry.seq == 1:
                raise EntryRefused("The arrival cannot be struck: the job hangs on it.", got=str(body.entry))
            return
    raise EntryRefused("There is no such entry in this job to strike.", got=str(body.entry))


def _measured(body: Measured, sheet: Sheet) -> None:
    known(body.reading, sheet.reading, "reading")


def _chose(body: Chose, sheet: Sheet) -> None:
    known(body.treatment, sheet.treatment, "treatment")


def _moved(body: Moved, job: Job, sheet: Sheet) -> None:
    extra = [key for key, noted in job.presence.items() if noted.body.presence == "extra"]
    known(body.component, [*sheet.component, *extra], "component")


RULES: dict[type[Any], Callable[[Any, Job, Sheet], None]] = {
    Answered: lambda body, _, sheet: _answer(body, sheet),
    Swept: lambda body, _, sheet: _swept(body, sheet),
    Measured: lambda body, _, sheet: _measured(body, sheet),
    Identified: lambda body, _, sheet: _identified(body, sheet),
    Fixed: lambda body, _, sheet: _condition(body, sheet),
    Found: lambda body, _, sheet: _condition(body, sheet),
    Chose: lambda body, _, sheet: _chose(body, sheet),
    Moved: _moved,
    Started: _started,
    Proved: _proved,
    Released: _released,
    Stopped: lambda body, job, _: _stopped(body, job),
    Withdrew: lambda body, job, _: _withdrew(body, job),
}


def check_body(body: object, job: Job, sheet: Sheet) -> None:
    """Refuse a body that does not agree with the sheet, the holds or the journal so far.

    Raises:
        EntryRefused: a name, answer or condition that the sheet does not know; a release that lacks something.
        HeldWork: work or a test whose hold stands.
    """
    rule = RULES.get(type(body))
    if rule is not None:
        rule(body, job, sheet)
