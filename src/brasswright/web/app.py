"""The application: every route listed, errors as pages in plain words, the guard before all of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.staticfiles import StaticFiles

from brasswright.errors import BrasswrightError, Clash, HeldWork, NotFound, StoreRefused
from brasswright.web.api import routes as api
from brasswright.web.desk import Desk
from brasswright.web.frame import Frame, plain_frame
from brasswright.web.pages import ROUTERS
from brasswright.web.rendering import STATIC, page
from brasswright.web.security import LOOPBACK, Guard

if TYPE_CHECKING:
    from collections.abc import Collection

    from brasswright.workshop.folder import Workshop

__all__ = ["RefusedPage", "bench_book", "status_of"]


@dataclass(frozen=True, slots=True)
class RefusedPage:
    """A page for what cannot be shown: what happened, and what to do."""

    template: ClassVar[str] = "refused.html"
    frame: Frame
    heading: str
    lines: tuple[str, ...]


def status_of(error: BrasswrightError) -> int:
    """Return the status a refusal is answered with."""
    if isinstance(error, NotFound):
        return 404
    if isinstance(error, Clash | HeldWork):
        return 409
    return 503 if isinstance(error, StoreRefused) else 422


def _for_a_program(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def _refused(request: Request, error: Exception) -> Response:
    if not isinstance(error, BrasswrightError):
        raise error
    status = status_of(error)
    if _for_a_program(request):
        return JSONResponse({"refused": type(error).__name__, "says": str(error)}, status)
    return _refused_page(request, status, "This cannot be shown", tuple(str(error).splitlines()))


def _not_a_page(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 422
    if _for_a_program(request):
        return JSONResponse({"refused": "NotFound" if status == 404 else "Request", "says": str(error)}, status)
    lines = ("There is no such page in this bench book.", "Go to the list of machines and choose from there.")
    return _refused_page(request, status, "No such page", lines)


def _broken(request: Request, error: Exception) -> Response:
    """Answer for a mistake of the program itself; what it was stands in the log of the server."""
    if _for_a_program(request):
        return JSONResponse({"refused": "Broken", "says": type(error).__name__}, 500)
    lines = (
        "The program met something it cannot do. What was entered before is kept.",
        f"It was a {type(error).__name__}.",
    )
    return _refused_page(request, 500, "This page cannot be made", lines)


def _refused_page(request: Request, status: int, heading: str, lines: tuple[str, ...]) -> Response:
    desk: Desk = request.app.state.desk
    return page(RefusedPage(plain_frame(desk, request, heading), heading, lines), status)


def bench_book(workshop: Workshop, *, hosts: Collection[str] = LOOPBACK) -> FastAPI:
    """Return the application for one open workshop.

    `hosts` are the names without port under which it may be reached; anything else is refused.
    """
    app = FastAPI(title="Brasswright", docs_url=None, redoc_url=None, openapi_url="/api/openapi.json")
    app.state.desk = Desk(workshop)
    for router in ROUTERS:
        app.include_router(router, include_in_schema=False)
    app.include_router(api.router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_exception_handler(BrasswrightError, _refused)
    app.add_exception_handler(HTTPException, _not_a_page)
    app.add_exception_handler(RequestValidationError, _not_a_page)
    app.add_exception_handler(Exception, _broken)
    app.add_middleware(Guard, hosts=hosts)
    return app
