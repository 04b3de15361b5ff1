"""The plan of a job: operations in order with their hold points; one operation with its start, stop and records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from brasswright.errors import BrasswrightError
from brasswright.web.desk import visit
from brasswright.web.frame import Frame, Seal, job_frame
from brasswright.web.money import money
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count, listed, minutes, span

if TYPE_CHECKING:
    from brasswright.planning.model import Operation
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.planning import Planned

__all__ = ["Phase", "PlanPage", "Step", "router"]

router = APIRouter()

PHASES = {
    "record": "Strip down",
    "open": "Strip down",
    "remove": "Strip down",
    "treat": "Put right",
    "refit": "Put together",
    "close": "Put together",
    "test": "Prove",
}
DONE = "finished"


@dataclass(frozen=True, slots=True)
class Step:
    """One operation in the list."""

    href: str
    css: str
    phase: str
    title: str
    why: str
    minutes: str
    tied: str
    seal: Seal | None
    state: str


@dataclass(frozen=True, slots=True)
class Phase:
    """Operations that follow each other and belong together: stripping, putting right, putting together, proving."""

    name: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The whole plan."""

    template: ClassVar[str] = "plan.html"
    frame: Frame
    heading: str
    lead: str
    phases: tuple[Phase, ...]
    done: tuple[Step, ...]
    parts: tuple[tuple[str, str], ...]
    left: tuple[str, ...]
    also: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    refused: tuple[str, ...]


def _css(operation: Operation) -> str:
    if operation.state == DONE:
        return "operation done"
    if operation.kind == "hold":
        return "stop"
    return "operation by-hand" if operation.kind == "by hand" else "operation"


def _tied(operation: Operation, seals: dict[str, Seal]) -> str:
    """Say which hold points still tie an operation shut."""
    standing = [seals[key] for key in operation.holds if key in seals and seals[key].css != "cut"]
    return f"Tied shut by {listed(tuple(f'hold {seal.number}' for seal in standing))}." if standing else ""


def _phases(steps: tuple[Step, ...]) -> tuple[Phase, ...]:
    """Group steps by what they are for; a hold point, or work by hand, goes with what follows it."""
    phases: list[Phase] = []
    waiting: list[Step] = []
    for step in steps:
        waiting.append(step)
        if not step.phase:
            continue
        if phases and phases[-1].name == step.phase:
            phases[-1] = Phase(step.phase, (*phases[-1].steps, *waiting))
        else:
            phases.append(Phase(step.phase, tuple(waiting)))
        waiting = []
    if waiting:
        phases.append(Phase("At the end", tuple(waiting)))
    return tuple(phases)


def _href(opened: OpenJob, operation: Operation) -> str:
    return f"/jobs/{opened.number}/plan/{operation.id}"


def _step(opened: OpenJob, operation: Operation, seals: dict[str, Seal]) -> Step:
    wait = f", then {minutes(operation.wait_minutes)} unattended" if operation.wait_minutes else ""
    low, _, high = operation.minutes
    return Step(
        href=_href(opened, operation),
        css=_css(operation),
        phase=PHASES.get(operation.kind, ""),
        title=operation.title,
        why=capital(operation.why.rstrip(".")),
        minutes=f"{span(low, high)}{wait}" if high else wait.removeprefix(", then "),
        tied=_tied(operation, seals),
        seal=seals.get(operation.id.split(":")[1]) if operation.kind == "hold" else None,
        state=operation.state,
    )


@router.get("/jobs/{number}/plan", response_class=HTMLResponse)
def plan(request: Request, number: int) -> Response:
    """Show the whole plan."""
    here = visit(request, number)
    opened = here.opened
    frame = job_frame(here, "plan")
    try:
        planned = here.desk.planned(opened)
    except BrasswrightError as error:
        return page(_no_plan(frame, error), 200)
    seals = {seal.key: seal for seal in frame.seals}
    made, problem = planned.plan, planned.problem
    steps = tuple(_step(opened, operation, seals) for operation in made.operations if operation.state != DONE)
    hands = sum(operation.minutes[1] for operation in made.operations if operation.state != DONE)
    context = PlanPage(
        frame=frame,
        heading=capital(count(len(steps), "operation")),
        lead=_lead(hands, proven=made.choice.proven),
        phases=_phases(steps),
        done=tuple(_step(opened, operation, seals) for operation in made.operations if operation.state == DONE),
        parts=tuple(
            (
                part.name,
                f"{money(part.cost[0], problem.currency)} to {money(part.cost[2], problem.currency)}, {part.had}",
            )
            for part in made.parts
        ),
        left=_left(planned),
        also=tuple(
            (one.words, f"{money(one.money_minor, problem.currency)} more")
            for one in made.choice.marginals
            if one.money_minor > 0
        ),
        warnings=(*made.warnings, *problem.notes),
        refused=(),
    )
    return page(context)


def _lead(hands: float, *, proven: bool) -> str:
    shown = "" if proven else ", as far as could be shown in the time"
    return f"About {minutes(hands)} of hands in all. Chosen to cost least in money and risk together{shown}."


def _left(planned: Planned) -> tuple[str, ...]:
    faults = {fault.id: fault for fault in planned.problem.faults}
    names = {piece.id: piece.name for piece in planned.problem.pieces}
    sheet = planned.judgement.sheet
    told = []
    for key in (*planned.plan.choice.left, *planned.plan.choice.unmended):
        fault = faults.get(key)
        if fault is None:
            continue
        name = (
            sheet.component[fault.component].name
            if fault.component in sheet.component
            else names.get(fault.component, key)
        )
        sort = "seen" if fault.certain else "possible"
        told.append(f"{name}, {fault.condition.replace('_', ' ')} ({sort})")
    return tuple(told)


def _no_plan(frame: Frame, error: BrasswrightError) -> PlanPage:
    return PlanPage(
        frame=frame,
        heading="No plan can be shown",
        lead="",
        phases=(),
        done=(),
        parts=(),
        left=(),
        also=(),
        warnings=(),
        refused=tuple(str(error).splitlines()),
    )
