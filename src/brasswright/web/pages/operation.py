"""One operation of the plan: its hold points, start and stop, what is recorded before it moves, what it handles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import BrasswrightError, NotFound
from brasswright.web.desk import Desk, Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, Seal, job_frame
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, clock, listed, minutes, span
from brasswright.web.writing import Refusal, enter, refusal_of
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.journal.job import Work
    from brasswright.planning.model import Operation
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.planning import Planned
    from brasswright.workshop.settings import Settings

__all__ = ["Asked", "OperationPage", "router"]

router = APIRouter()

MINUTE = 60.0
DONE, GOING = "finished", "started"


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing to record before something moves."""

    key: str
    ask: str
    why: str
    kind: str
    choices: tuple[str, ...]
    unit: str
    answered: str


@dataclass(frozen=True, slots=True)
class OperationPage:
    """One operation."""

    template: ClassVar[str] = "operation.html"
    frame: Frame
    title: str
    place: str
    why: str
    state: str
    holds: tuple[Seal, ...]
    standing: tuple[Seal, ...]
    action: str
    caution: str
    do_not_force: str
    steps_words: str
    asked: tuple[Asked, ...]
    parts: tuple[str, ...]
    handles: tuple[tuple[str, str], ...]
    comes_off: bool
    only_records: bool
    tray: str
    elapsed: str
    since: str
    words: str
    test_href: str
    hold_href: str
    following: str
    following_name: str


def _found(planned: Planned, operation: str) -> tuple[int, Operation]:
    for place, one in enumerate(planned.plan.operations):
        if one.id == operation:
            return place, one
    raise NotFound("This operation is not in the plan any more.", got=operation, remedy="Go back to the plan.")


def _asked(opened: OpenJob, operation: Operation) -> tuple[Asked, ...]:
    own = (operation.id.split(":")[1],) if operation.kind == "record" and ":" in operation.id else ()
    said = {noted.body.subject: noted.body.words for noted in opened.job.remarks}
    return tuple(
        Asked(key, prompt.ask, prompt.why, prompt.kind, prompt.choices, prompt.unit, said.get(f"record:{key}", ""))
        for key in dict.fromkeys((*own, *operation.prompts))
        for prompt in [opened.sheet.record.get(key)]
        if prompt is not None
    )


def _operation_page(here: Visit, key: str, form: Form, refusal: Refusal | None = None) -> Response:
    opened, settings, number = here.opened, here.settings, here.number
    planned = here.desk.planned(opened)
    place, operation = _found(planned, key)
    frame = job_frame(here, "plan", refusal)
    seals = {seal.key: seal for seal in frame.seals}
    held = tuple(seals[one] for one in operation.holds if one in seals)
    work = opened.job.work.get(key)
    low, _, high = operation.minutes
    after = next((one for one in planned.plan.operations[place + 1 :] if one.state != DONE), None)
    context = OperationPage(
        frame=frame,
        title=operation.title,
        place=f"Operation {place + 1} of {len(planned.plan.operations)}. {span(low, high) if high else 'No'} of hands.",
        why=capital(operation.why.rstrip(".")),
        state=operation.state,
        holds=held,
        standing=tuple(seal for seal in held if seal.css != "cut"),
        action=f"/jobs/{number}/plan/{key}",
        caution=operation.caution,
        do_not_force=operation.do_not_force,
        steps_words=f"Then {minutes(operation.wait_minutes)} unattended." if operation.wait_minutes else "",
        asked=_asked(opened, operation),
        parts=tuple(part.name for part in operation.parts),
        handles=tuple(
            (one, opened.sheet.component[one].name) for one in operation.components if one in opened.sheet.component
        ),
        comes_off=operation.kind == "remove",
        only_records=operation.kind == "record",
        tray=form.text("tray"),
        elapsed=form.text("minutes") or _elapsed(work, here.desk),
        since=_since(work, settings),
        words=form.text("words"),
        test_href=f"{frame.base}/bench-tests/test/{operation.id.split(':')[1]}" if operation.kind == "test" else "",
        hold_href=f"{frame.base}/holds/{operation.id.split(':')[1]}" if operation.kind == "hold" else "",
        following=f"{frame.base}/plan/{after.id}" if after is not None else "",
        following_name=after.title if after is not None else "",
    )
    return page(context, refusal.status if refusal is not None else 200)


def _elapsed(work: Work | None, desk: Desk) -> str:
    if work is None or work.finished:
        return ""
    passed = (desk.workshop.clock() - work.started.at).total_seconds() / MINUTE
    return f"{max(1, round(passed))}"


def _since(work: Work | None, settings: Settings) -> str:
    if work is None:
        return ""
    return f"{clock(settings.local(work.started.at))} by {settings.people.get(work.started.by, work.started.by)}"


@router.get("/jobs/{number}/plan/{key:path}", response_class=HTMLResponse)
def operation(request: Request, number: int, key: str) -> Response:
    """Show one operation."""
    return _operation_page(visit(request, number), key, Form())


@router.post("/jobs/{number}/plan/{key:path}")
def work(request: Request, number: int, key: str, form: Sent) -> Response:
    """Start or stop an operation, say that it was done already, or answer what is recorded before it moves."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/plan/{key}"
    try:
        lines = _lines(desk, number, key, form, by)
    except BrasswrightError as error:
        return _operation_page(visit(request, number), key, form, refusal_of(error))
    refusal = enter(desk, number, lines, form, action)
    if refusal is not None:
        return _operation_page(visit(request, number), key, form, refusal)
    return RedirectResponse(f"{action}#main", status_code=303)


def _lines(desk: Desk, number: int, key: str, form: Form, by: str) -> list[Line]:
    opened = desk.open(number)
    _, found = _found(desk.planned(opened), key)
    does = form.text("does")
    if does == "record":
        return _record(form, key, found, by)
    if does == "stop":
        return _stop(form, key, found, by)
    started: dict[str, object] = _started(opened, found)
    line = Line(started, by, id=form.id_for("started", does))
    if does == "already":
        anyway = Line({**started, "anyway": True}, by, id=form.id_for("started", does))
        return [
            anyway,
            Line(
                {"kind": "stopped", "operation": key, "finished": True, "words": form.text("words")},
                by,
                id=form.id_for("stopped", does),
            ),
        ]
    return [line]


def _started(opened: OpenJob, found: Operation) -> dict[str, object]:
    return {
        "kind": "started",
        "operation": found.id,
        "title": found.title,
        "acts": list(found.acts),
        "components": [one for one in found.components if one in opened.sheet.component],
    }


def _record(form: Form, key: str, found: Operation, by: str) -> list[Line]:
    prompt = form.text("prompt")
    words = listed(tuple(word for word in (form.text("answer"), form.text("unit")) if word), "").replace("  ", " ")
    told = Line(
        {"kind": "remarked", "subject": f"record:{prompt}", "words": words}, by, id=form.id_for("record", prompt, words)
    )
    if found.kind != "record":
        return [told]
    start = {"kind": "started", "operation": key, "title": found.title, "acts": list(found.acts), "components": []}
    stop = {"kind": "stopped", "operation": key, "finished": True}
    begun = [] if found.state == GOING else [Line(start, by, id=form.id_for("start", words))]
    return [told, *begun, Line(stop, by, id=form.id_for("stop", words))]


def _stop(form: Form, key: str, found: Operation, by: str) -> list[Line]:
    took = form.text("minutes").replace(",", ".")
    fields: dict[str, object] = {
        "kind": "stopped",
        "operation": key,
        "finished": form.text("finished") == "yes",
        "words": form.text("words"),
    }
    if took:
        fields["minutes"] = _number(took)
    lines = [Line(fields, by, id=form.id_for("stopped", *form.visible().values()))]
    tray = form.text("tray")
    if tray and form.text("finished") == "yes":
        moves = [{"kind": "moved", "component": one, "to": tray} for one in found.components]
        lines += [Line(fields, by, id=form.id_for("moved", str(fields["component"]))) for fields in moves]
    return lines


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
