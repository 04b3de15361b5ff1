"""The odds of every component: the section drawing inked in as far as it is known, the same as a list, and advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, Response

from brasswright.charts.conditions import Shown, shown
from brasswright.web.advice import Check, Doubted, Opening, Wait, doubted, next_asked, openings, waits
from brasswright.web.conditions import Known, known
from brasswright.web.desk import Visit, visit
from brasswright.web.drawing import Wanted, draw, drawing_name, drawing_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.put_right import treated_words
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count
from brasswright.web.troubles import Listed, listed_troubles

if TYPE_CHECKING:
    from brasswright.judgement.opinion import Judgement
    from brasswright.web.frame import Seal
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["ListedPart", "OddsPage", "PartsOfZone", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One component in the list, in the same words as on the drawing."""

    href: str
    shown: Shown
    treated: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartsOfZone:
    """The components of one zone."""

    name: str
    parts: tuple[ListedPart, ...]


@dataclass(frozen=True, slots=True)
class OddsPage:
    """The whole machine, and what the judgement advises."""

    template: ClassVar[str] = "odds.html"
    frame: Frame
    known: Known
    drawing: Markup
    zones: tuple[PartsOfZone, ...]
    doubts: tuple[Doubted, ...]
    checks: tuple[Check, ...]
    behind_holds: str
    openings: tuple[Opening, ...]
    waits: tuple[Wait, ...]
    troubles: tuple[Listed, ...]
    warnings: tuple[str, ...]


def _seals(seals: tuple[Seal, ...]) -> dict[int, str]:
    return {seal.number: seal.css for seal in seals}


def _zones(opened: OpenJob, judgement: Judgement, settings: Settings) -> tuple[PartsOfZone, ...]:
    base = f"/jobs/{opened.number}/odds"
    sheet = opened.sheet
    return tuple(
        zone
        for key in sorted(sheet.zone, key=lambda one: sheet.zone[one].order)
        for zone in [
            PartsOfZone(
                sheet.zone[key].name,
                tuple(
                    ListedPart(
                        f"{base}/{part}",
                        shown(judgement.odds[part], settings.people),
                        treated_words(judgement, part, settings),
                    )
                    for part, component in sheet.component.items()
                    if component.zone == key
                ),
            )
        ]
        if zone.parts
    )


def _drawn(here: Visit, frame: Frame, judgement: Judgement) -> Markup:
    text = drawing_of(drawing_name(here.opened.sheet))
    if text is None:
        return Markup()
    parts = {key: shown(one, here.settings.people) for key, one in judgement.odds.items()}
    links = {key: f"{here.base}/odds/{key}" for key in parts}
    return draw(text, Wanted(parts=parts, seals=_seals(frame.seals)), links=links)


@router.get("/jobs/{number}/odds", response_class=HTMLResponse)
def odds(request: Request, number: int) -> Response:
    """Show the whole machine as far as it is known, and what to look at, open, wait with and look at again."""
    here = visit(request, number)
    opened = here.opened
    judgement, advised = here.desk.judged(opened), here.desk.advised(opened)
    frame = job_frame(here, "odds")
    behind = len(judgement.behind_holds)
    context = OddsPage(
        frame=frame,
        known=known(judgement.odds.values()),
        drawing=_drawn(here, frame, judgement),
        zones=_zones(opened, judgement, here.settings),
        doubts=doubted(judgement, advised.misfits, here.base),
        checks=next_asked(judgement, here.base),
        behind_holds=f"{capital(count(behind, 'more check'))} {'waits' if behind == 1 else 'wait'} behind a hold point."
        if behind
        else "",
        openings=openings(judgement, advised.bundles, here.base),
        waits=waits(judgement, advised.not_yet, here.base),
        troubles=tuple(one for one in listed_troubles(here) if one.seen),
        warnings=judgement.warnings,
    )
    return page(context)
