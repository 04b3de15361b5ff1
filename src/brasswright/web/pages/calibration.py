"""How good the odds were: what they said before strip-down against what was found, in words, a picture and a table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from brasswright.charts.reliability import Class, reliability_svg
from brasswright.errors import NotFound
from brasswright.judgement.scores import calibration as scored
from brasswright.judgement.scores import in_words
from brasswright.web.desk import desk_of
from brasswright.web.frame import Frame, plain_frame
from brasswright.web.pages.estimate import SCHEMES
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count
from brasswright.workshop.learning import called, lessons

if TYPE_CHECKING:
    from brasswright.judgement.scores import Calibration, Called
    from brasswright.web.desk import Desk

__all__ = ["BinRow", "CalibrationPage", "InForce", "KindLink", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class KindLink:
    """A kind of machine with finished jobs, or all of them."""

    href: str
    name: str
    here: bool


@dataclass(frozen=True, slots=True)
class BinRow:
    """One class of chance: as a sentence, and as figures."""

    words: str
    chance: str
    called: int
    were: int
    expected: str


@dataclass(frozen=True, slots=True)
class InForce:
    """Learning that odds of a kind of machine rest on."""

    kind: str
    said: str


@dataclass(frozen=True, slots=True)
class CalibrationPage:
    """What odds were worth, over all finished jobs or those of one kind."""

    template: ClassVar[str] = "calibration.html"
    frame: Frame
    heading: str
    kinds: tuple[KindLink, ...]
    bins: tuple[BinRow, ...]
    scores: str
    picture: str
    alt: str
    left_out: tuple[str, ...]
    in_force: tuple[InForce, ...]


@router.get("/calibration", response_class=HTMLResponse)
def calibration(request: Request) -> Response:
    """Show how good the odds were."""
    desk = desk_of(request)
    kind = request.query_params.get("kind", "")
    read = lessons(desk.workshop)
    parts = _called(desk, kind)
    good = scored(parts)
    names = sorted({job.sheet for job in read.jobs})
    links = [KindLink("/calibration", "All kinds", not kind)] if len(names) > 1 else []
    links += [KindLink(f"/calibration?kind={name}", capital(name.replace("-", " ")), name == kind) for name in names]
    heading = "No job is finished yet"
    if good is not None:
        heading = f"{capital(count(good.parts, 'part'))} found in {count(good.jobs, 'finished job')}"
    context = CalibrationPage(
        frame=plain_frame(desk, request, "How good the odds were"),
        heading=heading,
        kinds=tuple(links) if len(links) > 1 else (),
        bins=_rows(good),
        scores=_scores(good),
        picture=f"/calibration/reliability-{{}}.svg?kind={kind}" if good is not None else "",
        alt=_alt(good),
        left_out=tuple(f"Job {number}: {why}" for number, of, why in read.left_out if kind in {"", of}),
        in_force=_in_force(desk),
    )
    return page(context)


def _called(desk: Desk, kind: str) -> tuple[Called, ...]:
    """Return the odds of all parts found, kept until a journal moves."""
    heads = tuple((row.uuid, row.head) for row in desk.workshop.store.jobs())
    own = desk.workshop.workshop_journal().head
    return desk.remembered.answer(("called", kind, heads, own), lambda: called(desk.workshop, kind))


def _rows(good: Calibration | None) -> tuple[BinRow, ...]:
    if good is None:
        return ()
    return tuple(
        BinRow(in_words(one), f"{one.low:.0%} to {one.high:.0%}", one.called, one.were, f"{one.expected:.1f}")
        for one in good.bins
        if one.called
    )


def _scores(good: Calibration | None) -> str:
    if good is None:
        return ""
    return (
        f"Brier score {good.brier:.3f}, log score {good.log_score:.3f} nat; "
        f"chances and shares lie {good.off:.3f} apart on average. Lower is better."
    )


def _alt(good: Calibration | None) -> str:
    if good is None:
        return ""
    return "Share of parts found bad against the chance they had been given, ten classes, with how many parts in each."


def _in_force(desk: Desk) -> tuple[InForce, ...]:
    settings = desk.settings()
    found = []
    for key, noted in desk.workshop.workshop_journal().learnt.items():
        if noted.body.rows:
            when = settings.local(noted.at)
            learned = f"{count(len(noted.body.rows), 'number')} learned from {count(len(noted.body.jobs), 'job')}"
            who = settings.people.get(noted.by, noted.by)
            kind = capital(key.replace("-", " "))
            found.append(InForce(kind, f"{learned}, adopted on {when.day} {when:%B %Y} by {who}"))
    return tuple(found)


@router.get("/calibration/reliability-{scheme}.svg")
def reliability(request: Request, scheme: str) -> Response:
    """Draw what was called against what was found, for a light or a dark screen."""
    desk = desk_of(request)
    if scheme not in SCHEMES:
        raise NotFound("There is no such picture.", got=scheme, allowed=", ".join(SCHEMES))
    good = scored(_called(desk, request.query_params.get("kind", "")))
    if good is None:
        raise NotFound("No job is finished yet, so there is no picture.")
    classes = tuple(Class(one.low, one.high, one.called, one.were, one.expected) for one in good.bins)
    drawn = desk.remembered.answer(
        ("reliability", scheme, classes), lambda: reliability_svg(classes, scheme=SCHEMES[scheme])
    )
    return Response(drawn, media_type="image/svg+xml", headers={"cache-control": "no-store"})
