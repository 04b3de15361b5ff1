"""What an entry must agree with before it is stored: the sheet's names, the holds, the entries it speaks of."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

from brasswright.errors import EntryRefused
from brasswright.holds.acts import deeds_of
from brasswright.holds.points import refuse_unless_told, release_problems, stand, standing_before
from brasswright.holds.proofs import later_deed
from brasswright.journal.entries import (
    Added,
    Answered,
    Approved,
    Arrived,
    Chose,
    Declined,
    Disturbed,
    Fixed,
    Found,
    Identified,
    Learnt,
    Measured,
    Moved,
    Priced,
    Proved,
    Released,
    Replated,
    Set,
    Sized,
    Started,
    Stopped,
    Swept,
    Withdrew,
)
from brasswright.workshop.replating import check_plate
from brasswright.workshop.sizing import check_size, sized_components
from brasswright.workshop.work import all_acts, known_acts, needs_of, test_begun

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable

    from brasswright.errors import Problem
    from brasswright.journal.job import Job
    from brasswright.sheets.model import Proving, Sheet

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
        if sheet.finding[question].zone != body.zone:
            raise EntryRefused(f"'{question}' is not asked in zone '{body.zone}'.", got=sheet.finding[question].zone)


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
    known_acts(body.acts, f"'{body.title}'")
    acts = (*body.acts, *(all_acts(body.operation, job, sheet) or ()))
    _only_standing(body.done_while, job, sheet)
    refuse_unless_told(body.title, standing_before(acts, needs_of(body.operation, sheet), job, sheet), body.done_while)


def _only_standing(done_while: Collection[str], job: Job, sheet: Sheet) -> None:
    """Refuse to say that work was done while a hold stood that did not."""
    states = stand(job, sheet)
    false = sorted(key for key in done_while if key not in states or states[key].released)
    if false:
        raise EntryRefused("Done while these holds stood, but they do not stand.", got=", ".join(false))


def _proved(body: Proved, job: Job, sheet: Sheet) -> None:
    """Refuse an outcome nobody could have got: held, not begun, or from a reading that something has overtaken.

    A test that does something to the machine meets its hold points when it is started; under way it breaks some of
    them itself, so they are not asked again when it ends.
    """
    known(body.test, sheet.proving, "proving test")
    test = sheet.proving[body.test]
    if test.during is not None:
        _in_session(body, test, job, sheet)
    if not test.does:
        _only_standing(body.done_while, job, sheet)
        refuse_unless_told(test.name, standing_before((), test.needs, job, sheet), body.done_while)
    else:
        _begun(body, job, test)
    if test.reading is not None:
        _not_overtaken(body, job, test, sheet)


def _in_session(body: Proved, test: Proving, job: Job, sheet: Sheet) -> None:
    """Refuse a test made in the heat of another before that one has begun; done while a hold stood, it says so too."""
    session = test.during or ""
    latest = job.proved.get(session)
    work = test_begun(session, job)
    if work is None and latest is None:
        raise EntryRefused(
            f"{test.name} is made in the heat of '{sheet.proving[session].name}', which has not begun.",
            remedy=f"Start it first: started, operation test:{session}; its hold points guard both.",
        )
    told = work.started.body.done_while if work is not None else latest.body.done_while if latest else ()
    if set(told) - set(body.done_while):
        raise EntryRefused(f"{test.name} was made in a heat that a hold forbade, and does not say so.")


def _begun(body: Proved, job: Job, test: Proving) -> None:
    work = test_begun(body.test, job)
    if work is None:
        raise EntryRefused(
            f"{test.name} was not started.",
            got=f"it does: {', '.join(test.does)}",
            remedy=f"Enter its start first: started, operation test:{body.test}.",
        )
    hidden = set(work.started.body.done_while) - set(body.done_while)
    if hidden:
        raise EntryRefused(f"{test.name} was begun while a hold stood, and does not say so.", got=", ".join(hidden))


def _not_overtaken(body: Proved, job: Job, test: Proving, sheet: Sheet) -> None:
    for entry in job.entries:
        if entry.id == body.reading_entry:
            deed = later_deed(deeds_of(job, sheet), test.broken_by, seq=entry.seq, at=entry.at)
            if deed is not None:
                raise EntryRefused(
                    f"The reading behind {test.name} is older than '{deed.words}'.", remedy="Measure again."
                )


def _hold_words(key: str, sheet: Sheet) -> str:
    """Return a hold as people name it, number first and a comma last, or its key where the sheet does not know it."""
    return f"Hold {sheet.hold[key].number}, {sheet.hold[key].name}," if key in sheet.hold else f"Hold {key}"


def _wants(problems: Iterable[Problem]) -> list[str]:
    """Return each thing that is wanting as one sentence with one stop, its remedy after it."""
    said = (f"{problem.what.strip().rstrip('.')}. {problem.remedy}".strip() for problem in problems)
    return [f"{words[:1].upper()}{words[1:]}" for words in said]


def _released(body: Released, job: Job, sheet: Sheet) -> None:
    problems = release_problems(body, job, sheet)
    if problems:
        raise EntryRefused(
            f"{_hold_words(body.hold, sheet)} is not released.",
            remedy=f"{' '.join(_wants(problems))} Nothing was entered.",
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
            if entry.id in job.struck:
                raise EntryRefused("This entry is struck already.", got=str(body.entry))
            return
    raise EntryRefused("There is no such entry in this job to strike.", got=str(body.entry))


def _measured(body: Measured, sheet: Sheet) -> None:
    known(body.reading, sheet.reading, "reading")


def _chose(body: Chose, sheet: Sheet) -> None:
    known(body.treatment, sheet.treatment, "treatment")


def _moved(body: Moved, job: Job, sheet: Sheet) -> None:
    extra = [key for key, noted in job.presence.items() if noted.body.presence == "extra"]
    known(body.component, [*sheet.component, *extra], "component")


def _in_order(low: float, likely: float, high: float, what: str) -> None:
    if not 0 <= low <= likely <= high:
        got = f"{low:g}, {likely:g}, {high:g}"
        raise EntryRefused(f"The {what} are not low, likely, high.", got=got, allowed="none below 0, never falling")


def _added(body: Added) -> None:
    known_acts(body.does, f"'{body.title}'")
    _in_order(*body.minutes, what="minutes")


def _answer_to_paper(body: Approved | Declined, job: Job) -> None:
    issued = [note.body.sha256 for note in job.issued]
    if body.paper_sha256 not in issued:
        known_papers = ", ".join(issued) or "none was issued yet"
        raise EntryRefused("No such paper was issued for this job.", got=body.paper_sha256, allowed=known_papers)


def _arrived(_: Arrived) -> None:
    raise EntryRefused("This machine has arrived already.", remedy="A new stay is a new job: brasswright new.")


def _set(body: Set) -> None:
    remedy = f"Set it for the workshop: brasswright set {body.key}={body.value}."
    raise EntryRefused("Settings are the workshop's, not a job's.", got=body.key, remedy=remedy)


def _learnt(body: Learnt) -> None:
    remedy = "Learn from all finished jobs: brasswright learn."
    raise EntryRefused("What was learned is the workshop's, not a job's.", got=body.sheet, remedy=remedy)


RULES: dict[type[Any], Callable[[Any, Job, Sheet], None]] = {
    Answered: lambda body, _, sheet: _answer(body, sheet),
    Swept: lambda body, _, sheet: _swept(body, sheet),
    Measured: lambda body, _, sheet: _measured(body, sheet),
    Identified: lambda body, _, sheet: _identified(body, sheet),
    Fixed: lambda body, _, sheet: _condition(body, sheet),
    Found: lambda body, _, sheet: _condition(body, sheet),
    Chose: lambda body, _, sheet: _chose(body, sheet),
    Added: lambda body, _, __: _added(body),
    Priced: lambda body, _, __: _in_order(body.low_minor, body.likely_minor, body.high_minor, what="prices"),
    Disturbed: lambda body, _, __: known_acts(body.acts, "What happened"),
    Arrived: lambda body, _, __: _arrived(body),
    Set: lambda body, _, __: _set(body),
    Learnt: lambda body, _, __: _learnt(body),
    Approved: lambda body, job, _: _answer_to_paper(body, job),
    Declined: lambda body, job, _: _answer_to_paper(body, job),
    Moved: _moved,
    Sized: lambda body, job, sheet: check_size(body, sized_components(job, sheet)),
    Replated: lambda body, _, __: check_plate(body),
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
