"""One hold point: why it is there, how it stands, what would release it, and the form that releases it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import NotFound
from brasswright.holds.points import stand
from brasswright.holds.proofs import proof_gap
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, Seal, job_frame
from brasswright.web.pages.bench_tests import TestRow, rows_of
from brasswright.web.pages.photographs import Choice
from brasswright.web.rendering import page
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.workshop.folder import OpenJob

__all__ = ["HoldPage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class HoldPage:
    """One hold point."""

    template: ClassVar[str] = "hold.html"
    frame: Frame
    seal: Seal
    why: str
    released: bool
    before: tuple[Seal, ...]
    statements: tuple[Choice, ...]
    proofs: tuple[TestRow, ...]
    proofs_lack: bool
    cautions: tuple[str, ...]
    done_while: tuple[str, ...]
    words: str
    back: str
    action: str


def _page(here: Visit, key: str, form: Form, refusal: Refusal | None = None) -> Response:
    opened, request, number = here.opened, here.request, here.number
    states = stand(opened.job, opened.sheet)
    if key not in states:
        raise NotFound(f"This sheet has no hold point '{key}'.", allowed=", ".join(states))
    state = states[key]
    frame = job_frame(here, "plan", refusal)
    seals = {seal.key: seal for seal in frame.seals}
    hold = opened.sheet.hold[key]
    said = form.several("statement")
    context = HoldPage(
        frame=frame,
        seal=seals[key],
        why=state.why,
        released=state.released,
        before=tuple(seals[one] for one in hold.after if one in states and not states[one].released),
        statements=tuple(Choice(words, words, words in said) for words in state.statements),
        proofs=rows_of(opened, here.settings, hold.proofs),
        proofs_lack=_lacking(opened, hold.proofs),
        cautions=state.cautions,
        done_while=state.done_while,
        words=form.text("words"),
        back=form.text("back") or request.query_params.get("back", ""),
        action=f"/jobs/{number}/holds/{key}",
    )
    return page(context, refusal.status if refusal is not None else 200)


def _lacking(opened: OpenJob, proofs: tuple[str, ...]) -> bool:
    return any(proof_gap(test, opened.job, opened.sheet)[0] for test in proofs)


@router.get("/jobs/{number}/holds/{key}", response_class=HTMLResponse)
def hold(request: Request, number: int, key: str) -> Response:
    """Show one hold point."""
    return _page(visit(request, number), key, Form())


@router.post("/jobs/{number}/holds/{key}")
def release(request: Request, number: int, key: str, form: Sent) -> Response:
    """Release a hold with the statements that were ticked."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/holds/{key}"
    fields = {
        "kind": "released",
        "hold": key,
        "statements": list(form.several("statement")),
        "words": form.text("words"),
    }
    line = Line(fields, by, id=form.id_for(form.text("statement"), form.text("words")))
    refusal = enter(desk, number, [line], form, action)
    if refusal is not None:
        return _page(visit(request, number), key, form, refusal)
    back = form.text("back")
    return RedirectResponse(back if back.startswith(f"/jobs/{number}/") else action, status_code=303)
