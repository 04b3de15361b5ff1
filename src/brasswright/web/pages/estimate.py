"""The estimate of a job: low, likely and high, what it rests on, what makes it wide, and the paper for the owner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.charts.spread import Spread, spread_svg
from brasswright.errors import BrasswrightError, NotFound
from brasswright.journal.entries import Approved
from brasswright.judgement.words import chance_words
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.money import figure, money
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, clock, day, minutes
from brasswright.web.writing import Refusal, enter, refusal_of
from brasswright.workshop.papering import set_estimate
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.charts.style import Scheme
    from brasswright.reckoning.estimate import Estimate
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["EstimatePage", "Mover", "Paper", "Priced", "router"]

router = APIRouter()

HUNDRED = 100
WORTH_SAYING = 0.02
SCHEMES: dict[str, Scheme] = {"light": "light", "dark": "dark"}


@dataclass(frozen=True, slots=True)
class Priced:
    """One line: what, why, and its money."""

    title: str
    reason: str
    low: str
    likely: str
    high: str


@dataclass(frozen=True, slots=True)
class Mover:
    """Something that makes the range wide, or may be found: its words, and how much in words."""

    words: str
    says: str


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that was set: when, by whom, its figures, its digest, and whether it still matches the journal."""

    href: str
    said: str
    figures: str
    digest: str
    answer: str
    sha256: str


@dataclass(frozen=True, slots=True)
class EstimatePage:
    """The estimate."""

    template: ClassVar[str] = "estimate.html"
    frame: Frame
    heading: str
    low: str
    likely: str
    high: str
    currency: str
    total: Priced | None
    tax: str
    trials: str
    hands: str
    risk_left: str
    spread: str
    spread_words: str
    lines: tuple[Priced, ...]
    movers: tuple[Mover, ...]
    hidden: tuple[Mover, ...]
    papers: tuple[Paper, ...]
    refused: tuple[str, ...]
    action: str


def _papers(opened: OpenJob, settings: Settings) -> tuple[Paper, ...]:
    told = []
    for noted in reversed(opened.job.issued):
        local = settings.local(noted.at)
        who = settings.people.get(noted.by, noted.by)
        given = [one for one in opened.job.approvals if one.body.paper_sha256 == noted.body.sha256]
        answer = ""
        if given:
            last = given[-1].body
            word = "agreed" if isinstance(last, Approved) else "declined"
            answer = f"{word} by {last.who}, {last.how}"
        figures = noted.body.figures
        currency = str(figures.get("currency", ""))
        sums = [
            money(int(figures[key]), currency) for key in ("low_minor", "likely_minor", "high_minor") if key in figures
        ]
        told.append(
            Paper(
                href=f"/jobs/{opened.number}/papers/{noted.body.sha256}",
                said=f"{capital(noted.body.paper)}, {day(local)}, {clock(local)}, by {who}",
                figures=", ".join(sums),
                digest=noted.body.sha256[:12],
                answer=answer,
                sha256=noted.body.sha256,
            )
        )
    return tuple(told)


def _page(here: Visit, refusal: Refusal | None = None) -> Response:
    opened, settings, number = here.opened, here.settings, here.number
    frame = job_frame(here, "estimate", refusal)
    papers = _papers(opened, settings)
    status = refusal.status if refusal is not None else 200
    try:
        made = here.desk.estimated(opened).estimate
    except BrasswrightError as error:
        return page(_none(frame, papers, error, number), status)
    return page(_context(frame, papers, made, number, opened), status)


def _context(frame: Frame, papers: tuple[Paper, ...], made: Estimate, number: int, opened: OpenJob) -> EstimatePage:
    low, likely, high = (money(one, made.currency) for one in (made.low_minor, made.likely_minor, made.high_minor))
    return EstimatePage(
        frame=frame,
        heading="Estimate",
        low=low,
        likely=likely,
        high=high,
        currency=made.currency,
        total=Priced("", "", *(figure(one) for one in (made.low_minor, made.likely_minor, made.high_minor))),
        tax=f"{made.tax_permille / 10:g} per cent tax included" if made.tax_permille else "no tax",
        trials=f"{made.samples:,} trials".replace(",", "\u202f"),
        hands=f"{minutes(made.hands_on_minutes[0])} to {minutes(made.hands_on_minutes[2])}",
        risk_left=money(made.risk_left_minor, made.currency),
        spread=f"/jobs/{number}/estimate/spread-{{}}-{opened.job.head[:12]}.svg",
        spread_words=f"The spread of the trials: one in ten below {low}, half below {likely}, one in ten above {high}.",
        lines=tuple(
            Priced(
                line.title,
                line.reason,
                *(figure(one) for one in (line.low_minor, line.likely_minor, line.high_minor)),
            )
            for line in made.lines
        ),
        movers=tuple(
            Mover(capital(one.words), f"{round(one.share * HUNDRED)} in a hundred of the width")
            for one in made.drivers
            if one.share >= WORTH_SAYING
        ),
        hidden=tuple(
            Mover(
                one.words,
                f"{chance_words(one.chance)}, adds about {money(one.adds_minor, made.currency)}, shows {one.shows}",
            )
            for one in made.hidden[:8]
        ),
        papers=papers,
        refused=(),
        action=f"/jobs/{number}/estimate",
    )


def _none(frame: Frame, papers: tuple[Paper, ...], error: BrasswrightError, number: int) -> EstimatePage:
    return EstimatePage(
        frame=frame,
        heading="No estimate can be shown",
        low="",
        likely="",
        high="",
        currency="",
        total=None,
        tax="",
        trials="",
        hands="",
        risk_left="",
        spread="",
        spread_words="",
        lines=(),
        movers=(),
        hidden=(),
        papers=papers,
        refused=tuple(str(error).splitlines()),
        action=f"/jobs/{number}/estimate",
    )


@router.get("/jobs/{number}/estimate", response_class=HTMLResponse)
def estimate(request: Request, number: int) -> Response:
    """Show the estimate."""
    return _page(visit(request, number))


@router.get("/jobs/{number}/estimate/spread-{scheme}-{head}.svg")
def spread(request: Request, number: int, scheme: str, head: str) -> Response:
    """Draw the spread of the estimate for a light or a dark screen."""
    desk = desk_of(request)
    opened = desk.open(number)
    if scheme not in SCHEMES:
        raise NotFound("There is no such picture.", got=scheme, allowed=", ".join(SCHEMES))
    made = desk.estimated(opened).estimate
    figures = Spread(made.edges, made.counts, made.low_minor, made.likely_minor, made.high_minor)
    drawn = desk.remembered.answer(("spread", scheme, figures), lambda: spread_svg(figures, scheme=SCHEMES[scheme]))
    cached = "private, max-age=3600" if opened.job.head.startswith(head) else "no-store"
    return Response(drawn, media_type="image/svg+xml", headers={"cache-control": cached})


@router.post("/jobs/{number}/estimate")
def set_paper(request: Request, number: int, form: Sent) -> Response:
    """Set the estimate as a paper, or enter the owner's answer to one."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/estimate"
    if form.text("answer"):
        refusal = enter(desk, number, [_answer(form, by)], form, action)
        return _page(visit(request, number), refusal) if refusal is not None else _to_papers(action)
    try:
        set_estimate(desk.workshop, desk.open(number), by=by)
    except BrasswrightError as error:
        return _page(visit(request, number), refusal_of(error))
    return _to_papers(action)


def _to_papers(action: str) -> Response:
    return RedirectResponse(f"{action}#papers", status_code=303)


def _answer(form: Form, by: str) -> Line:
    fields = {
        "kind": "approved" if form.text("answer") == "agreed" else "declined",
        "paper_sha256": form.text("paper"),
        "who": form.text("who"),
        "how": form.text("how"),
    }
    return Line(fields, by, id=form.id_for(*fields.values()))


@router.get("/jobs/{number}/papers/{sha256}")
def paper(request: Request, number: int, sha256: str) -> Response:
    """Send a paper of this job as PDF."""
    desk = desk_of(request)
    for noted in desk.open(number).job.issued:
        if noted.body.sha256 == sha256:
            name = f"{noted.body.paper}-{number}.pdf"
            headers = {"content-disposition": f'inline; filename="{name}"'}
            return Response(desk.workshop.store.paper(sha256), media_type="application/pdf", headers=headers)
    raise NotFound("This job has no such paper.", got=sha256[:12])
