"""The photographs of a job: taken or chosen, several at once, sorted by zone whenever there is time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.errors import BrasswrightError, NotFound
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame
from brasswright.web.rendering import page
from brasswright.web.spoken import clock, count
from brasswright.web.writing import Refusal, enter, refusal_of
from brasswright.workshop.record import Line

if TYPE_CHECKING:
    from brasswright.workshop.folder import OpenJob
    from brasswright.workshop.settings import Settings

__all__ = ["Album", "Choice", "Photo", "PhotographsPage", "photos_of", "router"]

router = APIRouter()

A_YEAR = 31_536_000


@dataclass(frozen=True, slots=True)
class Photo:
    """One photograph: where its bytes are, its title, and time with "drawing" where it is one."""

    href: str
    title: str
    said: str


@dataclass(frozen=True, slots=True)
class Album:
    """The photographs of one zone, or those nobody has sorted yet."""

    name: str
    photos: tuple[Photo, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose."""

    key: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class PhotographsPage:
    """All photographs of a job."""

    template: ClassVar[str] = "photographs.html"
    frame: Frame
    heading: str
    albums: tuple[Album, ...]
    zones: tuple[Choice, ...]
    title: str
    action: str


def photos_of(opened: OpenJob, settings: Settings, zone: str | None = None) -> tuple[Photo, ...]:
    """Return a job's photographs in the order they were taken; those of one zone if it is given."""
    return tuple(
        Photo(
            href=f"/jobs/{opened.number}/photographs/{noted.body.sha256}",
            title=noted.body.title,
            said=f"{clock(settings.local(noted.at))} {noted.body.title}{', a drawing' if noted.body.drawing else ''}",
        )
        for noted in opened.job.photographs
        if zone is None or noted.body.zone == zone
    )


def _page(here: Visit, form: Form, refusal: Refusal | None = None) -> Response:
    opened, settings, request = here.opened, here.settings, here.request
    zones = {key: zone.name for key, zone in sorted(opened.sheet.zone.items(), key=lambda pair: pair[1].order)}
    albums = [Album(name, photos_of(opened, settings, key)) for key, name in zones.items()]
    loose = tuple(
        photo
        for photo, noted in zip(photos_of(opened, settings), opened.job.photographs, strict=True)
        if noted.body.zone not in zones
    )
    chosen = form.text("zone") or request.query_params.get("zone", "")
    context = PhotographsPage(
        frame=job_frame(here, "photographs", refusal),
        heading=count(len(opened.job.photographs), "picture").capitalize(),
        albums=tuple(album for album in (*albums, Album("Not sorted yet", loose)) if album.photos),
        zones=tuple(Choice(key, name, key == chosen) for key, name in zones.items()),
        title=form.text("title"),
        action=f"/jobs/{opened.number}/photographs",
    )
    return page(context, refusal.status if refusal is not None else 200)


@router.get("/jobs/{number}/photographs", response_class=HTMLResponse)
def photographs(request: Request, number: int) -> Response:
    """Show all photographs of a job."""
    return _page(visit(request, number), Form())


@router.post("/jobs/{number}/photographs")
def take(request: Request, number: int, form: Sent) -> Response:
    """Keep one photograph or several, and enter each."""
    desk = desk_of(request)
    uploads = form.files.get("photograph", ())
    action = f"/jobs/{number}/photographs"
    if not uploads:
        nothing = Refusal("refused", "No picture came along", ("Choose one or several pictures, then send them.",))
        return _page(visit(request, number), form, nothing)
    by = person_of(request, desk.settings().people)
    title = form.text("title")
    lines: list[Line] = []
    try:
        for place, upload in enumerate(uploads, 1):
            kept = desk.workshop.store.put_photograph(upload.content)
            fields = {
                "kind": "photographed",
                "sha256": kept.sha256,
                "media_type": kept.media_type,
                "bytes": kept.size,
                "title": f"{title} {place}" if title and len(uploads) > 1 else title or "photograph",
                "zone": form.text("zone"),
                "drawing": form.text("drawing") == "yes",
            }
            lines.append(Line(fields, by, id=form.id_for(kept.sha256)))
    except BrasswrightError as error:
        return _page(visit(request, number), form, refusal_of(error))
    refusal = enter(desk, number, lines, form, action)
    if refusal is not None:
        return _page(visit(request, number), form, refusal)
    return RedirectResponse(f"{action}#main", status_code=303)


@router.get("/jobs/{number}/photographs/{sha256}")
def one(request: Request, number: int, sha256: str) -> Response:
    """Send a photograph's bytes; they never change under their own digest."""
    desk = desk_of(request)
    for noted in desk.open(number).job.photographs:
        if noted.body.sha256 == sha256:
            headers = {"cache-control": f"private, max-age={A_YEAR}, immutable"}
            content = desk.workshop.store.photograph(sha256)
            return Response(content, media_type=noted.body.media_type, headers=headers)
    raise NotFound("This job has no such photograph.", got=sha256[:12])
