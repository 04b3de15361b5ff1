"""The journal of a job: every entry in order, struck ones readable; add a remark, strike an entry."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.journal.entries import Remarked, Withdrew
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, clock, count, day
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line
from brasswright.workshop.telling import entry_words

if TYPE_CHECKING:
    from brasswright.journal.entries import Entry
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["Day", "JournalPage", "Told", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class Told:
    """One entry in words: `struck` says by whom and why, `quoted` marks a person's own words."""

    id: str
    seq: int
    time: str
    moment: str
    words: str
    by: str
    struck: str
    quoted: bool
    may_strike: bool


@dataclass(frozen=True, slots=True)
class Day:
    """The entries of one day, newest first."""

    name: str
    entries: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class JournalPage:
    """The journal of a job."""

    template: ClassVar[str] = "journal.html"
    frame: Frame
    heading: str
    head: str
    days: tuple[Day, ...]
    striking: Told | None
    remark: str
    reason: str
    action: str


def _told(entry: Entry, opened: OpenJob, settings: Settings, strikes: dict[str, str]) -> Told:
    local = settings.local(entry.at)
    struck = entry.id in opened.job.struck
    return Told(
        id=str(entry.id),
        seq=entry.seq,
        time=clock(local),
        moment=local.isoformat(timespec="minutes"),
        words=capital(entry_words(entry, opened.sheet)),
        by=settings.people.get(entry.by, entry.by),
        struck=strikes.get(str(entry.id), "struck") if struck else "",
        quoted=isinstance(entry.body, Remarked),
        may_strike=not struck and entry.seq > 1 and not isinstance(entry.body, Withdrew),
    )


def _strikes(opened: OpenJob, settings: Settings) -> dict[str, str]:
    """Return how each struck entry was struck: when, by whom, why."""
    return {
        str(entry.body.entry): (
            f"struck {clock(settings.local(entry.at))} by {settings.people.get(entry.by, entry.by)}: "
            f"{entry.body.reason}"
        )
        for entry in opened.job.entries
        if isinstance(entry.body, Withdrew)
    }


def _page(here: Visit, form: Form, refusal: Refusal | None = None) -> Response:
    opened, settings, request, number = here.opened, here.settings, here.request, here.number
    strikes = _strikes(opened, settings)
    entries = list(reversed(opened.job.entries))
    days = tuple(
        Day(name, tuple(_told(entry, opened, settings, strikes) for entry in those))
        for name, those in groupby(entries, key=lambda entry: day(settings.local(entry.at)))
    )
    wanted = form.text("withdraw") or request.query_params.get("strike", "")
    striking = next((one for some in days for one in some.entries if one.id == wanted and one.may_strike), None)
    context = JournalPage(
        frame=job_frame(here, "journal", refusal),
        heading=capital(count(len(entries), "entry", "entries")),
        head=opened.job.head[:12],
        days=days,
        striking=striking,
        remark=form.text("words"),
        reason=form.text("reason"),
        action=f"/jobs/{number}/journal",
    )
    return page(context, refusal.status if refusal is not None else 200)


@router.get("/jobs/{number}")
def job(number: int) -> Response:
    """Go to the journal of a job."""
    return RedirectResponse(f"/jobs/{number}/journal", status_code=303)


@router.get("/jobs/{number}/journal", response_class=HTMLResponse)
def journal(request: Request, number: int) -> Response:
    """Show the journal of a job."""
    return _page(visit(request, number), Form())


@router.post("/jobs/{number}/journal")
def write(request: Request, number: int, form: Sent) -> Response:
    """Enter a remark, or strike an entry with a reason."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/journal"
    if form.text("withdraw"):
        fields = {"kind": "withdrew", "entry": form.text("withdraw"), "reason": form.text("reason")}
        line = Line(fields, by, id=form.id_for("withdraw", form.text("withdraw"), form.text("reason")))
    else:
        line = Line({"kind": "remarked", "words": form.text("words")}, by, id=form.id_for(form.text("words")))
    refusal = enter(desk, number, [line], form, action)
    if refusal is not None:
        return _page(visit(request, number), form, refusal)
    return RedirectResponse(f"{action}#entries", status_code=303)
