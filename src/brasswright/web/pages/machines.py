"""All machines of the workshop, grouped by whose turn it is."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import BrasswrightError
from brasswright.holds.points import stand
from brasswright.web.conditions import Known, known
from brasswright.web.desk import Desk, desk_of
from brasswright.web.drawing import drawing_name, outline
from brasswright.web.forms import WHO, Sent
from brasswright.web.frame import Frame, machine_name, plain_frame
from brasswright.web.rendering import STATIC, page
from brasswright.web.spoken import capital, count

if TYPE_CHECKING:
    from datetime import date

    from brasswright.journal.job import Job

__all__ = ["Group", "Machine", "MachinesPage", "Turn", "router", "turn_of"]

router = APIRouter()

OURS, OWNERS, DONE = "Ours to do", "Waiting for an answer", "Left the workshop"
TURNS = (OURS, OWNERS, DONE)


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose turn it is, where the machine stands, and what it waits for."""

    group: str
    stands: str
    waits: str


@dataclass(frozen=True, slots=True)
class Machine:
    """One row: the machine, where it stands, how much of it is known, and what was promised."""

    href: str
    outline: Markup
    name: str
    number: str
    turn: Turn
    known: Known | None
    promised: str


@dataclass(frozen=True, slots=True)
class Group:
    """The machines whose turn it is with the same people."""

    name: str
    machines: tuple[Machine, ...]


@dataclass(frozen=True, slots=True)
class MachinesPage:
    """The list of all machines."""

    template: ClassVar[str] = "machines.html"
    frame: Frame
    heading: str
    groups: tuple[Group, ...]


def turn_of(job: Job, standing: str) -> Turn:
    """Return whose turn it is; `standing` names the first hold that stands, in words."""
    at_work = [work for work in job.work.values() if not work.finished]
    if job.sent and any("machine" in noted.body.what.lower() for noted in job.sent):
        return Turn(DONE, capital(job.sent[-1].body.what), job.sent[-1].body.channel)
    answered = job.approvals[-1].seq if job.approvals else 0
    if job.issued and job.issued[-1].seq > answered and not at_work:
        return Turn(OWNERS, "Estimate set, no answer yet", standing)
    if at_work:
        return Turn(OURS, at_work[-1].started.body.title, standing)
    if job.work:
        return Turn(OURS, "Between two operations", standing)
    if job.answers or job.sweeps or job.readings:
        return Turn(OURS, "Being looked over", standing)
    return Turn(OURS, "Just taken in", standing)


def _machine(desk: Desk, number: int) -> Machine:
    opened = desk.open(number)
    job, sheet = opened.job, opened.sheet
    standing = [state for state in stand(job, sheet).values() if not state.released]
    said = f"Hold {standing[0].number} stands, {standing[0].name}" if standing else "All holds released"
    arrived = job.arrived.body if job.arrived is not None else None
    owner = desk.workshop.owner_of(job) or (arrived.owner if arrived is not None else "") or "no owner named"
    try:
        bar = known(desk.odds(opened).odds.values())
    except BrasswrightError:
        bar = None
    return Machine(
        href=f"/jobs/{opened.number}/walk-round",
        outline=outline(str(STATIC / f"outline-{drawing_name(sheet)}.svg")),
        name=machine_name(opened),
        number=f"{opened.number}, {owner}",
        turn=turn_of(job, said),
        known=bar,
        promised=_promised(arrived.promised if arrived is not None else None),
    )


def _promised(when: date | None) -> str:
    return f"{when.day} {when:%B}" if when is not None else "none given"


@router.get("/", response_class=HTMLResponse)
def machines(request: Request) -> Response:
    """Show all machines."""
    desk = desk_of(request)
    rows = [
        desk.rows.answer((row.uuid, row.head), functools.partial(_machine, desk, row.number))
        for row in desk.workshop.store.jobs()
    ]
    groups = tuple(Group(name, tuple(one for one in rows if one.turn.group == name)) for name in TURNS)
    context = MachinesPage(
        frame=plain_frame(desk, request, "Machines"),
        heading=capital(count(len(rows), "machine")),
        groups=tuple(group for group in groups if group.machines),
    )
    return page(context)


@router.post("/who")
def who(request: Request, form: Sent) -> Response:
    """Keep who is at this screen, and go back to the page it was said on."""
    desk = desk_of(request)
    back = form.text("back", "/")
    ours = back.startswith("/") and not back.startswith("//") and "\\" not in back
    answer = RedirectResponse(back if ours else "/", status_code=303)
    person = form.text("person")
    if person in desk.settings().people:
        answer.set_cookie(WHO, person, httponly=True, samesite="strict", max_age=60 * 60 * 24 * 60)
    return answer
