"""The dimension book: sizes by kind of machine and component, each with its jobs; and entering a size of a part."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from brasswright.bench.dimensions import WORDS
from brasswright.web.desk import Visit, desk_of, visit
from brasswright.web.forms import Form, Sent, person_of
from brasswright.web.frame import Frame, job_frame, plain_frame
from brasswright.web.part_sizes import ANOTHER, Kept, PartSizes, book_address, book_at, kept_of, part_sizes
from brasswright.web.rendering import page
from brasswright.web.spoken import capital, count
from brasswright.web.writing import Refusal, enter
from brasswright.workshop.record import Line
from brasswright.workshop.sizing import known_component, sized_components
from brasswright.workshop.telling import component_name

if TYPE_CHECKING:
    from brasswright.sheets.model import Sheet
    from brasswright.web.desk import Desk
    from brasswright.workshop.dimension_book import Line as Row

__all__ = ["DimensionBookPage", "KindLink", "Part", "SizesPage", "router"]

router = APIRouter()


@dataclass(frozen=True, slots=True)
class KindLink:
    """A kind of machine that sizes are kept of."""

    href: str
    name: str
    here: bool


@dataclass(frozen=True, slots=True)
class Part:
    """A component of a kind of machine with its sizes."""

    key: str
    name: str
    kept: tuple[Kept, ...]


@dataclass(frozen=True, slots=True)
class DimensionBookPage:
    """The book of one kind of machine."""

    template: ClassVar[str] = "dimension_book.html"
    frame: Frame
    heading: str
    kinds: tuple[KindLink, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class SizesPage:
    """The sizes of one component of a job, and the form that enters one."""

    template: ClassVar[str] = "sizes.html"
    frame: Frame
    heading: str
    back: str
    sizes: PartSizes


def _sheet_of(desk: Desk, rows: tuple[Row, ...]) -> Sheet | None:
    """Return the sheet of the newest job behind these lines: it has the components' names."""
    jobs = [one.job for row in rows for one in row.sources if one.job]
    return desk.open(max(jobs)).sheet if jobs else None


def _kind_name(desk: Desk, kind: str, rows: tuple[Row, ...]) -> str:
    sheet = _sheet_of(desk, rows)
    return sheet.sheet.name if sheet is not None else capital(kind.replace("-", " "))


@router.get("/dimension-book", response_class=HTMLResponse)
def dimension_book(request: Request) -> Response:
    """Show the book of one kind of machine; the first one unless a kind is named."""
    desk = desk_of(request)
    book = book_at(desk)
    kinds = book.kinds()
    wanted = request.query_params.get("kind", "") or (kinds[0] if kinds else "")
    rows = book.of(wanted) if wanted else ()
    sheet = _sheet_of(desk, rows)
    parts = tuple(
        Part(key, _part_name(key, sheet), tuple(kept_of(row, key) for row in those))
        for key, those in groupby(rows, key=lambda row: row.component)
    )
    links = tuple(KindLink(book_address(kind), _kind_name(desk, kind, book.of(kind)), kind == wanted) for kind in kinds)
    heading = f"{capital(count(len(rows), 'dimension'))} kept of this kind" if rows else "Nothing is kept yet"
    return page(DimensionBookPage(plain_frame(desk, request, "Dimension book"), heading, links, parts))


def _part_name(key: str, sheet: Sheet | None) -> str:
    return component_name(key, sheet) if sheet is not None else capital(key.replace("_", " "))


def _sizes_page(here: Visit, component: str, form: Form, refusal: Refusal | None = None) -> Response:
    known_component(component, sized_components(here.opened.job, here.opened.sheet))
    confirm = refusal is not None and refusal.kind == "confirm"
    name = component_name(component, here.opened.sheet)
    context = SizesPage(
        frame=job_frame(here, "odds", refusal),
        heading=f"{name}: sizes",
        back=f"{here.base}/odds/{component}" if component in here.opened.sheet.component else f"{here.base}/odds",
        sizes=part_sizes(here, component, form, confirm=confirm),
    )
    return page(context, refusal.status if refusal is not None else 200)


@router.get("/jobs/{number}/sizes/{component}", response_class=HTMLResponse)
def sizes(request: Request, number: int, component: str) -> Response:
    """Show the sizes of one component of a job."""
    return _sizes_page(visit(request, number), component, Form())


@router.post("/jobs/{number}/sizes/{component}")
def enter_size(request: Request, number: int, component: str, form: Sent) -> Response:
    """Enter a size of a component."""
    desk = desk_of(request)
    by = person_of(request, desk.settings().people)
    action = f"/jobs/{number}/sizes/{component}"
    line = Line(_fields(component, form), by, id=form.id_for(component, *form.visible().values()))
    refusal = enter(desk, number, [line], form, action)
    if refusal is not None:
        return _sizes_page(visit(request, number), component, form, refusal)
    return RedirectResponse(f"{action}#kept", status_code=303)


def _fields(component: str, form: Form) -> dict[str, object]:
    """Return the fields of the entry that a form says; a dimension of one's own gets its key from its name."""
    own = form.text("dimension") == ANOTHER
    name = form.text("name")
    key = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
    fields: dict[str, object] = {
        "kind": "sized",
        "component": component,
        "dimension": (key if key[:1].isalpha() else f"size_{key}")[:80] if own else form.text("dimension"),
        "text": form.text("text"),
        "how": form.text("how"),
        "instrument": form.text("instrument"),
        "confirmed": form.text("confirmed") == "yes",
    }
    if own:
        fields |= {"name": name, "quantity": WORDS if form.text("quantity") == WORDS else ""}
    return fields
